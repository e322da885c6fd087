//! A further press for the inks that a press has no units for.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{Estimate, Pricer, Stage, estimate};
use inkset_spec::{Job, Press, Printing, RateCard};
use support::{NOWHERE, card, flyer, four_colour_flyer, given, money, orange_flyer, press};

/// A press of four units, and a small one of one unit at a third of its price.
fn two_presses() -> RateCard {
    let small = Press {
        hourly_rate: given(money("40.00")),
        plate_price: given(money("5.00")),
        ..press("small", 1)
    };
    RateCard {
        presses: vec![press("four", 4), small],
        ..card()
    }
}

fn by_hand(press: Option<&str>, further: Option<&str>) -> Job {
    let name = |name: &str| given(name.to_owned());
    let printing = Printing {
        place: NOWHERE,
        part: 0,
        press: press.map(name),
        further_press: further.map(name),
        sheet: None,
        style: None,
        up: None,
        make_ready_sheets: None,
        why: None,
    };
    Job {
        printing: vec![printing],
        ..flyer()
    }
}

fn lines(found: &Estimate, stages: &[Stage]) -> Vec<String> {
    let own = found.lines.iter().filter(|l| stages.contains(&l.stage));
    own.map(|l| format!("{}: {} × {}", l.item, l.quantity, l.rate.amount()))
        .collect()
}

/// Worked with a pencil in `docs/worked-further-press.md`.
#[test]
fn orange_goes_on_the_small_press() {
    let found = estimate(&flyer(), &two_presses(), &orange_flyer(), 5_000).unwrap();
    let part = &found.parts[0];
    assert_eq!(part.presses(), "four, then orange on small");
    let runs = part.sections[0].runs.iter();
    let sheets: Vec<(usize, u64)> = runs.map(|run| (run.press_index, run.sheets_in())).collect();
    assert_eq!(sheets, [(0, 868), (0, 754), (1, 731), (1, 650)]);
    assert_eq!((part.passes, part.plates), (2, 5));
    let stages = [Stage::Plates, Stage::MakeReady, Stage::WashUp, Stage::Press];
    assert_eq!(
        lines(&found, &stages),
        [
            "plates on four, 1 form × 4 inks: 4 × 8.00",
            "plates on small, 1 form × 1 ink: 1 × 5.00",
            "four: 0.3 × 120.00",
            "small: 0.2 × 40.00",
            "small, 1 unit: 0.25 × 40.00",
            "four: 0.255 × 120.00",
            "small: 0.22 × 40.00",
        ]
    );
    assert_eq!(found.total.amount().to_string(), "271.00");
}

#[test]
fn a_press_named_alone_prints_alone() {
    let card = two_presses();
    let price = |job: &Job| estimate(job, &card, &orange_flyer(), 5_000).unwrap();
    let alone = price(&by_hand(Some("four"), None));
    assert!(alone.parts[0].further.is_none());
    assert_eq!(alone.presses(), ["four"]);
    // Two make-readies and two runs more on the dear press, and two washes there.
    assert!(alone.total > price(&flyer()).total);
    let both = price(&by_hand(Some("four"), Some("small")));
    assert_eq!(both.total, price(&flyer()).total);
    assert_eq!(both.presses(), ["four", "small"]);
}

#[test]
fn a_further_press_is_spared_where_units_do() {
    let job = by_hand(None, Some("small"));
    let four = estimate(&job, &two_presses(), &four_colour_flyer(), 5_000).unwrap();
    assert_eq!(four.presses(), ["four"]);
    let five = estimate(&job, &two_presses(), &orange_flyer(), 5_000).unwrap();
    assert_eq!(five.presses(), ["four", "small"]);
    let mut card = two_presses();
    card.presses.push(press("five", 5));
    let found = estimate(
        &by_hand(Some("four"), Some("five")),
        &card,
        &orange_flyer(),
        5_000,
    );
    assert!(found.is_err(), "five units print all in one pass");
}

#[test]
fn explanations_name_the_press_of_every_run() {
    let (job, card, plan) = (flyer(), two_presses(), orange_flyer());
    let pricer = Pricer::new(&job, &card).unwrap();
    let prepared = pricer.prepare(&plan).unwrap();
    let found = prepared.estimate(5_000).unwrap();
    let all: Vec<String> = prepared
        .explain(&found, Stage::Press)
        .into_iter()
        .flat_map(|line| line.steps)
        .collect();
    let hours = |of: &str| all.iter().any(|step| step.ends_with(of));
    assert!(hours("778 ÷ 6\u{a0}000 an hour = 0.129667 h"), "{all:?}");
    assert!(hours("671 ÷ 6\u{a0}000 an hour = 0.111833 h"), "{all:?}");
    let plates = prepared.explain(&found, Stage::Plates);
    let plates = plates.iter().map(|line| line.steps.len());
    assert!(
        plates.into_iter().all(|steps| steps == 3),
        "a run, their sum, the amount"
    );
}
