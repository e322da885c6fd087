//! The job that `docs/worked-example.md` costs with a pencil, line by line.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{Estimate, estimate};
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
