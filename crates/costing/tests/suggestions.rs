//! Moves that save, against the jobs that they make priced by hand.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{InkKind, Move, PrintPlan, estimate, suggestions};
use inkset_spec::{Job, RateCard};
use inkset_units::Money;
use support::{
    FOUR, all_pages, booklet, card, flyer, given, inks, money, plan, press, size, stock,
};

fn total(job: &Job, card: &RateCard, plan: &PrintPlan, quantity: u64) -> Money {
    estimate(job, card, plan, quantity).unwrap().total
}

/// Orange on both sides, and the four inks alone.
fn orange_both_sides() -> [PrintPlan; 2] {
    let mut five = FOUR.to_vec();
    five.push((4, 0.3));
    let orange = inks(&[("orange", InkKind::Solid)]);
    [
        plan(orange, vec![all_pages(2, &five)]),
        plan(inks(&[]), vec![all_pages(2, &FOUR)]),
    ]
}

#[test]
fn solids_move_to_one_side() {
    let (mut job, mut card) = (flyer(), card());
    // One on a sheet, so that front and back have plates of their own.
    job.product.trim = given(size(400.0, 550.0));
    card.presses = vec![press("five-unit", 5)];
    let [both, four] = orange_both_sides();
    let found = suggestions((&job, &card), (&[&both, &four], 0), &[5_000]).unwrap();
    let one_form = found[0]
        .iter()
        .find(|s| matches!(s.change, Move::OneForm { .. }))
        .unwrap();
    let Move::OneForm {
        pages,
        inks,
        instead,
        ..
    } = &one_form.change
    else {
        unreachable!("found as one");
    };
    assert_eq!((inks.as_slice(), *instead), (&["orange".to_owned()][..], 1));
    let mut kept = both.clone();
    let other = usize::from(pages[0] == 1);
    kept.parts[0].pages[other] = four.parts[0].pages[other].clone();
    assert_eq!(one_form.then, total(&job, &card, &kept, 5_000));
    assert_eq!(one_form.now, total(&job, &card, &both, 5_000));
    assert!(one_form.saving() > Money::ZERO);
}

#[test]
fn covers_on_the_paper_of_the_text_join_it() {
    let (job, mut card) = (booklet(12), card());
    card.presses[0].largest_sheet = given(size(1020.0, 720.0));
    card.stocks[0].sheets = vec![given(size(720.0, 1020.0))];
    let plan = plan(inks(&[]), vec![all_pages(4, &FOUR), all_pages(12, &FOUR)]);
    let found = suggestions((&job, &card), (&[&plan], 0), &[2_000]).unwrap();
    let ganged = found[0]
        .iter()
        .find(|s| matches!(s.change, Move::Gang { .. }))
        .unwrap();
    let mut together = job.clone();
    together.parts.remove(0);
    together.parts[0].pages = given(16);
    let sixteen = support::plan(inks(&[]), vec![all_pages(16, &FOUR)]);
    assert_eq!(ganged.then, total(&together, &card, &sixteen, 2_000));
}

#[test]
fn cheaper_papers_and_smaller_sizes_are_priced() {
    let (mut job, mut card) = (flyer(), card());
    let mut cheap = stock("matt-135");
    cheap.price = given(inkset_spec::PaperPrice::Tonne(money("500.00")));
    card.stocks.push(cheap);
    // 151 mm is a millimetre too wide for another row on the sheet.
    job.product.trim = given(size(151.0, 210.0));
    let plan = support::four_colour_flyer();
    let found = suggestions((&job, &card), (&[&plan], 0), &[5_000]).unwrap();
    let mut on_matt = job.clone();
    on_matt.parts[0].stock = given("matt-135".to_owned());
    let paper = found[0]
        .iter()
        .find(|s| matches!(s.change, Move::Paper { .. }))
        .unwrap();
    assert_eq!(paper.then, total(&on_matt, &card, &plan, 5_000));
    for suggestion in &found[0] {
        if let Move::Trim { off } = suggestion.change {
            let mut smaller = job.clone();
            smaller.product.trim =
                given(size(151.0 - f64::from(off[0]), 210.0 - f64::from(off[1])));
            assert_eq!(suggestion.then, total(&smaller, &card, &plan, 5_000));
        }
    }
}

#[test]
fn copies_for_the_same_money_cost_the_same() {
    let (job, mut card) = (flyer(), card());
    card.stocks[0].pack = given(2_000);
    card.round_total_to = given(money("50"));
    let plan = support::four_colour_flyer();
    let found = suggestions((&job, &card), (&[&plan], 0), &[3_000]).unwrap();
    for suggestion in &found[0] {
        if suggestion.change == Move::Quantity {
            assert_eq!(
                suggestion.then,
                total(&job, &card, &plan, suggestion.copies)
            );
        }
    }
    let more = found[0].iter().find(|s| s.copies > 3_000).unwrap();
    assert_eq!(more.then, more.now);
    assert!(total(&job, &card, &plan, more.copies + 1) > more.now || more.copies == 3_300);
}

#[test]
fn suggestions_are_sorted_by_their_saving() {
    let [both, four] = orange_both_sides();
    let (job, card) = (flyer(), card());
    for moves in suggestions((&job, &card), (&[&both, &four], 0), &[500, 5_000, 50_000]).unwrap() {
        assert!(moves.is_sorted_by(|a, b| a.saving() >= b.saving()));
        assert!(
            moves
                .iter()
                .all(|s| s.saving() >= Money::ZERO && s.now - s.then == s.saving())
        );
    }
}
