//! The job that `docs/worked-example.md` costs with a pencil, line by line.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{Estimate, Pricer, Stage, estimate};
use inkset_layout::WorkStyle;
use support::{card, euro, flyer, money, orange_flyer};

const PENCIL: &str = include_str!("../../../docs/worked-example.md");

/// Rows of the table under the heading: stage, item, quantity, unit, rate, amount.
fn table(heading: &str) -> Vec<Vec<String>> {
    let section = PENCIL.split_once(heading).unwrap().1;
    let rows = section.lines().skip_while(|line| !line.starts_with('|'));
    rows.take_while(|line| line.starts_with('|'))
        .skip(2)
        .map(|line| {
            line.trim_matches('|')
                .split('|')
                .map(|cell| cell.trim().to_owned())
                .collect()
        })
        .collect()
}

fn flyer_estimate() -> Estimate {
    estimate(&flyer(), &card(), &orange_flyer(), 5_000).unwrap()
}

#[test]
fn every_line_is_as_the_pencil_has_it() {
    let estimate = flyer_estimate();
    let lines: Vec<Vec<String>> = estimate
        .lines
        .iter()
        .map(|line| {
            vec![
                line.stage.name().to_owned(),
                line.item.clone(),
                line.quantity.to_string(),
                line.unit.name().to_owned(),
                line.rate.to_text(euro()),
                line.amount.to_text(euro()),
            ]
        })
        .collect();
    assert_eq!(lines, table("## 8. All lines"));
    assert!(PENCIL.contains(&format!("**Total {} EUR**", estimate.total.to_text(euro()))));
    assert_eq!(estimate.per_thousand, money("75.00"));
}

#[test]
fn every_run_is_as_the_pencil_has_it() {
    let estimate = flyer_estimate();
    let choice = &estimate.parts[0].sections[0];
    assert_eq!((choice.style, choice.up), (WorkStyle::WorkAndTurn, 8));
    let runs: Vec<Vec<String>> = choice
        .runs
        .iter()
        .map(|run| {
            let figures = [run.good_sheets, run.running_sheets, run.make_ready_sheets];
            figures.map(|n| n.to_string()).to_vec()
        })
        .rev()
        .collect();
    let pencil: Vec<Vec<String>> = table("## 2. Sheets")
        .into_iter()
        .map(|row| row[1..4].to_vec())
        .collect();
    assert_eq!(runs, pencil);
    assert_eq!(estimate.parts[0].press_sheets, 868);
}

#[test]
fn runner_up_is_as_the_pencil_has_it() {
    let runner_up = flyer_estimate().runner_up.unwrap();
    assert_eq!(runner_up.choice.sections[0].style, WorkStyle::Sheetwise);
    assert_eq!(
        (runner_up.choice.plates, runner_up.choice.press_sheets),
        (9, 939)
    );
    let total = runner_up.total.to_text(euro());
    assert!(
        PENCIL.contains(&format!("{total} EUR sheetwise")),
        "{total}"
    );
}

#[test]
fn steps_of_a_line_are_those_of_the_pencil() {
    let (job, card, plan) = (flyer(), card(), orange_flyer());
    let pricer = Pricer::new(&job, &card).unwrap();
    let prepared = pricer.prepare(&plan).unwrap();
    let estimate = prepared.estimate(5_000).unwrap();
    let steps = |stage, line: usize| prepared.explain(&estimate, stage)[line].steps.clone();
    let plain = |step: &String| step.replace('\u{a0}', " ");
    assert_eq!(
        steps(Stage::Press, 0).iter().map(plain).collect::<Vec<_>>(),
        [
            "2 pp, both sides, 4 inks: 778 ÷ 6 000 an hour = 0.129667 h",
            "2 pp, both sides, 4 inks, turned: 754 ÷ 6 000 an hour = 0.125667 h",
            "2 pp, both sides, 1 ink: 671 ÷ 6 000 an hour = 0.111833 h",
            "2 pp, both sides, 1 ink, turned: 650 ÷ 6 000 an hour = 0.108333 h",
            "hours: 0.4755 h in all",
            "amount: 0.476 h × 120 = 57.12",
        ]
    );
    assert_eq!(
        steps(Stage::Ink, 0).iter().map(plain).collect::<Vec<_>>(),
        [
            "flyer, 2 pp: 0.3 pages covered × 0.03108 m² × 8 up × 868 sheets × 1 g/m² ÷ 1000 = 0.064746 kg",
            "flyer, lost: hung 1 × 0.1 kg = 0.1 kg",
            "flyer, together: 0.164746 kg, rounded to 0.165 kg",
            "used: 0.165 kg",
            "amount: 0.165 kg × 9 = 1.485, rounded to 1.48",
        ]
    );
    let paper = steps(Stage::Paper, 0);
    let said = |step: &str| paper.iter().any(|own| plain(own) == step);
    assert!(
        said("into cutting: 5 000 ÷ (1 − 0.5 %) + 10 = 5 036"),
        "{paper:#?}"
    );
    assert!(said("2 pp, good sheets: 5 036 ÷ 8 up = 630"), "{paper:#?}");
    assert!(said("press sheets: 868 in all"), "{paper:#?}");
}
