//! Pads and sets: leaves counted back from copies.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{CannotPrint, Estimate, Pricer, PrintPlan, Stage, estimate};
use inkset_spec::{Job, ProductKind, RateCard};
use support::*;

/// One-sided A5 leaves, so many in a copy, of so many parts.
fn leaves(kind: ProductKind, in_a_copy: u32, parts: usize) -> Job {
    let part = |n: usize| {
        let mut part = part(&format!("leaf {n}"), 1);
        part.leaves = given(in_a_copy);
        part
    };
    job(kind, size(148.0, 210.0), (0..parts).map(part).collect())
}

fn black(parts: usize) -> PrintPlan {
    plan(inks(&[]), vec![all_pages(1, &[(BLACK, 0.05)]); parts])
}

fn quantity(estimate: &Estimate, stage: Stage, item: &str) -> String {
    let found = estimate
        .lines
        .iter()
        .find(|line| line.stage == stage && line.item == item);
    found
        .unwrap_or_else(|| panic!("{item} in {:#?}", estimate.lines))
        .quantity
        .to_string()
}

fn without(card: &RateCard, operation: &str) -> RateCard {
    let mut card = card.clone();
    match operation {
        "pad" => card.finishing.pad = None,
        _ => card.finishing.collate = None,
    }
    card
}

#[test]
fn pads_are_reckoned_by_the_leaf() {
    let pads = estimate(&leaves(ProductKind::Pad, 50, 1), &card(), &black(1), 100).unwrap();
    // 100 / 0.99 + 2 = 104 pads, 5,200 leaves, 5,200 / 0.995 + 10 = 5,237 cut.
    assert_eq!(
        quantity(&pads, Stage::Padding, "counting off, gluing, boards"),
        "0.104"
    );
    assert_eq!(
        quantity(&pads, Stage::Cutting, "printed sheets to pieces"),
        "5.237"
    );
    assert_eq!(quantity(&pads, Stage::Packing, "packing"), "0.1");
    assert_eq!(
        pads.of_stage(Stage::Padding),
        money("41.20"),
        "10.00 and 31.20"
    );
    assert_eq!(pads.of_stage(Stage::Collating), money("0"));
    let section = &pads.parts[0].sections[0];
    let run = section.runs.iter().rfind(|run| run.makes_ready).unwrap();
    assert_eq!(run.good_sheets, 5_237_u64.div_ceil(u64::from(section.up)));
    assert_eq!(pads.delivered, 100);
}

#[test]
fn loose_sets_are_collated_and_not_padded() {
    let job = leaves(ProductKind::Set, 1, 3);
    let sets = estimate(&job, &card(), &black(3), 1_000).unwrap();
    // 1,000 / 0.99 + 50 = 1,061 leaves of each of three parts.
    assert_eq!(
        quantity(&sets, Stage::Collating, "collating leaves"),
        "3.183"
    );
    assert_eq!(sets.of_stage(Stage::Padding), money("0"));
    let again = estimate(&job, &without(&card(), "pad"), &black(3), 1_000).unwrap();
    assert_eq!(again.total, sets.total, "loose sets need no padding");
}

#[test]
fn books_of_sets_are_collated_and_padded() {
    let job = leaves(ProductKind::Set, 50, 2);
    let books = estimate(&job, &card(), &black(2), 20).unwrap();
    // 20 / 0.99 + 2 = 23 books, 1,150 leaves, 1,150 / 0.99 + 50 = 1,212 of each of two parts.
    assert_eq!(
        quantity(&books, Stage::Padding, "counting off, gluing, boards"),
        "0.023"
    );
    assert_eq!(
        quantity(&books, Stage::Collating, "collating leaves"),
        "2.424"
    );
}

#[test]
fn what_the_card_lacks_is_told() {
    let refused = |kind, in_a_copy, parts, lacks: &'static str| {
        let job = leaves(kind, in_a_copy, parts);
        let refusal = estimate(&job, &without(&card(), lacks), &black(parts), 10).unwrap_err();
        assert_eq!(refusal, CannotPrint::NoOperation { operation: lacks });
    };
    refused(ProductKind::Pad, 50, 1, "pad");
    refused(ProductKind::Set, 50, 2, "pad");
    refused(ProductKind::Set, 1, 2, "collate");
}

#[test]
fn more_leaves_never_cost_less() {
    let card = card();
    let total = |in_a_copy| {
        let job = leaves(ProductKind::Pad, in_a_copy, 1);
        estimate(&job, &card, &black(1), 500).unwrap().total
    };
    let totals: Vec<_> = (1..=40).map(total).collect();
    assert!(totals.is_sorted(), "{totals:?}");
}

#[test]
fn steps_lead_from_copies_to_leaves() {
    let (card, plan) = (card(), black(2));
    let job = leaves(ProductKind::Set, 50, 2);
    let pricer = Pricer::new(&job, &card).unwrap();
    let priced = pricer.prepare(&plan).unwrap();
    let books = priced.estimate(20).unwrap();
    let steps = |stage| {
        let lines = priced.explain(&books, stage);
        lines.last().unwrap().steps.join("\n")
    };
    let paper = steps(Stage::Paper);
    assert!(paper.contains("leaves: 23 × 50 = 1\u{a0}150"), "{paper}");
    assert!(
        paper.contains("into collating: 1\u{a0}150 ÷ (1 − 1 %) + 50 = 1\u{a0}212"),
        "{paper}"
    );
    let collating = steps(Stage::Collating);
    assert!(
        collating.contains("leaves of all parts: 2\u{a0}424"),
        "{collating}"
    );
    let padding = steps(Stage::Padding);
    assert!(
        padding.contains("into padding: 20 ÷ (1 − 1 %) + 2 = 23"),
        "{padding}"
    );
    assert!(!padding.contains("into cutting"), "{padding}");
}
