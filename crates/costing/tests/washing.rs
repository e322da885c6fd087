//! Washing: what hangs on which unit, over forms, parts and jobs.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{Estimate, InkKind, PartInks, Pricer, PrintPlan, Stage, estimate};
use inkset_spec::{Effect, Job, Queue, RateCard};
use support::{
    FOUR, all_pages, booklet, card, flyer, four_colour_flyer, given, inks, orange_flyer, page,
    percent, plan, press,
};

fn with_units(units: u32) -> RateCard {
    RateCard {
        presses: vec![press("press", units)],
        ..card()
    }
}

fn queue(before: &[&str], after: &[&str]) -> Vec<Queue> {
    let names = |all: &[&str]| all.iter().map(|name| given((*name).to_owned())).collect();
    vec![Queue {
        press: given("Press".to_owned()),
        before: names(before),
        after: names(after),
    }]
}

fn queued(job: Job, before: &[&str], after: &[&str]) -> Job {
    Job {
        queue: queue(before, after),
        ..job
    }
}

/// Hours of all lines of washing, in words.
fn washed(found: &Estimate) -> Vec<String> {
    let lines = found
        .lines
        .iter()
        .filter(|line| line.stage == Stage::WashUp);
    lines.map(|line| line.quantity.to_string()).collect()
}

/// A booklet with orange on the cover and the text.
fn orange_booklet() -> (Job, PrintPlan) {
    let five = [FOUR.as_slice(), &[(4, 0.1)]].concat();
    let parts = [4, 16].map(|pages| all_pages(pages, &five)).to_vec();
    (
        booklet(16),
        plan(inks(&[("orange", InkKind::Solid)]), parts),
    )
}

#[test]
fn parts_on_a_press_share_a_wash() {
    let (job, plan) = orange_booklet();
    let found = estimate(&job, &with_units(5), &plan, 2_000).unwrap();
    assert_eq!(washed(&found), ["0.25"], "15 minutes, once");
    let washing = &found.washing[0];
    assert_eq!(
        (washing.parts.as_slice(), washing.washes),
        (&[0, 1][..], [1, 0])
    );
    assert_eq!(washing.ended, ["orange"]);
    // On four units one unit changes, and is washed in the end, whatever the number of forms.
    let found = estimate(&job, &with_units(4), &plan, 2_000).unwrap();
    assert_eq!(washed(&found), ["0.5"]);
    assert_eq!(found.washing[0].changed.len(), 1);
}

#[test]
fn both_sides_of_a_perfecting_pass_are_washed() {
    let both = [FOUR.as_slice(), &[(4, 0.1)]].concat();
    let plan = plan(
        inks(&[("orange", InkKind::Solid)]),
        vec![all_pages(2, &both)],
    );
    let mut card = with_units(10);
    card.presses[0].perfecting = given(true);
    card.presses[0].plate_price = given(support::money("0"));
    card.run_spoilage.steps[0].percent = percent(40.0);
    card.run_spoilage.steps[1].percent = percent(40.0);
    let found = estimate(&flyer(), &card, &plan, 60_000).unwrap();
    let section = &found.parts[0].sections[0];
    assert_eq!(section.style, inkset_layout::WorkStyle::Perfecting);
    assert_eq!(found.washing[0].ended, ["orange", "orange"]);
    assert_eq!(washed(&found), ["0.5"]);
}

#[test]
fn form_with_the_special_comes_first() {
    let pages = vec![
        page(1, &FOUR),
        page(2, &[(0, 0.2), (1, 0.2), (2, 0.2), (4, 0.2)]),
    ];
    let plan = plan(
        inks(&[("orange", InkKind::Solid)]),
        vec![PartInks { pages }],
    );
    let mut card = with_units(4);
    // Sheetwise: turning would need five inks on one form.
    card.presses[0].make_ready_minutes = given(90.0);
    card.presses[0].make_ready_sheets = given(500);
    let found = estimate(&flyer(), &card, &plan, 5_000).unwrap();
    let washing = &found.washing[0];
    assert_eq!(found.parts[0].sections[0].runs.len(), 2);
    assert_eq!(
        (washing.changed.as_slice(), washing.ended.len()),
        (&["orange".to_owned()][..], 0)
    );
    assert!(
        washing
            .units
            .contains(&vec!["orange".to_owned(), "black".to_owned()]),
        "{washing:?}"
    );
}

#[test]
fn special_that_stays_is_not_washed() {
    let job = queued(flyer(), &[], &["Orange"]);
    let (card, plan) = (with_units(5), orange_flyer());
    let without = estimate(&flyer(), &card, &plan, 5_000).unwrap();
    let found = estimate(&job, &card, &plan, 5_000).unwrap();
    assert_eq!(
        (washed(&without), washed(&found)),
        (vec!["0.25".to_owned()], vec!["0".to_owned()])
    );
    let line = found
        .lines
        .iter()
        .find(|line| line.stage == Stage::WashUp)
        .unwrap();
    assert_eq!(line.item, "press, 0 units; orange stays for the next job");
    assert!(found.total < without.total);
    let pricer = Pricer::new(&job, &card).unwrap();
    let explained = pricer
        .prepare(&plan)
        .unwrap()
        .explain(&found, Stage::WashUp);
    let steps = &explained[0].steps;
    assert!(
        steps
            .iter()
            .any(|s| s == "orange: stays for the next job, not washed"),
        "{steps:?}"
    );
    assert!(steps.iter().any(|s| s == "unit 5: orange"), "{steps:?}");
}

#[test]
fn special_that_hangs_already_takes_no_unit() {
    let before = ["cyan", "magenta", "yellow", "black", "orange"];
    let job = queued(flyer(), &before, &[]);
    let found = estimate(&job, &with_units(5), &orange_flyer(), 5_000).unwrap();
    assert_eq!(washed(&found), ["0.25"]);
    assert_eq!(found.washing[0].item, "press, 1 unit; orange hangs already");
    // Another special in its place has to make room.
    let before = ["cyan", "magenta", "yellow", "black", "mint"];
    let job = queued(flyer(), &before, &[]);
    let found = estimate(&job, &with_units(5), &orange_flyer(), 5_000).unwrap();
    assert_eq!(found.washing[0].changed, ["mint"]);
    assert_eq!(washed(&found), ["0.5"]);
    // A metallic before takes the longer time.
    let before = ["cyan", "magenta", "yellow", "black", "metallic"];
    let job = queued(flyer(), &before, &[]);
    let found = estimate(&job, &with_units(5), &orange_flyer(), 5_000).unwrap();
    assert_eq!(washed(&found), ["0.75"]);
    // Nobody needs its unit: nothing is washed.
    let job = queued(flyer(), &["mint"], &[]);
    let found = estimate(&job, &with_units(5), &four_colour_flyer(), 5_000).unwrap();
    assert!(washed(&found).is_empty());
}

#[test]
fn more_units_never_wash_more() {
    let more = [
        ("orange", InkKind::Solid),
        ("silver", InkKind::Effect(Effect::Metallic)),
        ("mint", InkKind::Solid),
    ];
    let all: Vec<(u16, f64)> = (0..7).map(|ink| (ink, 0.1)).collect();
    let pages = vec![page(1, &all), page(2, &all[3..6])];
    let plan = plan(inks(&more), vec![PartInks { pages }]);
    let mut last = u32::MAX;
    for units in 1..=8 {
        let found = estimate(&flyer(), &with_units(units), &plan, 3_000).unwrap();
        let washes: u32 = found.washing[0].washes.iter().sum();
        assert!(washes <= last, "{units} units: {washes}");
        // A solid stays one wash however many units there are.
        assert!(washes >= 3, "{units} units: {washes}");
        last = washes;
    }
    assert_eq!(last, 3);
}
