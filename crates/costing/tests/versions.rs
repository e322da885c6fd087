//! Versions that share a run: layouts, plates and pieces.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{CostLine, Estimate, InkKind, Pricer, PrintPlan, Stage, estimate};
use inkset_spec::{Job, RateCard, Version, VersionPortion};
use proptest::prelude::*;
use rust_decimal::Decimal;
use support::*;

fn version(name: &str, copies: u64) -> Version {
    Version {
        name: given(name.to_owned()),
        portion: VersionPortion::Copies(given(copies)),
    }
}

/// A flyer in versions of so many copies each, told apart by some inks on the front.
fn versions(copies: &[u64], inks: &[&str]) -> Job {
    let mut job = flyer();
    let own = copies.iter().enumerate();
    job.versions = own
        .map(|(n, copies)| version(&format!("{n}"), *copies))
        .collect();
    job.parts[0].version_inks = inks.iter().map(|ink| given((*ink).to_owned())).collect();
    job.parts[0].version_pages = vec![1];
    job
}

/// Four inks on the front of a flyer, black on the back.
fn front_four() -> PrintPlan {
    let pages = vec![page(1, &FOUR), page(2, &[(BLACK, 0.05)])];
    plan(inks(&[]), vec![inkset_costing::PartInks { pages }])
}

fn line<'e>(estimate: &'e Estimate, stage: Stage, item: &str) -> &'e CostLine {
    let found = estimate
        .lines
        .iter()
        .find(|l| l.stage == stage && l.item.contains(item));
    found.unwrap_or_else(|| panic!("{item} in {:#?}", estimate.lines))
}

/// A card on which a layout more costs nothing but its plates.
fn free_stops() -> RateCard {
    let mut card = card();
    card.presses[0].plate_change_minutes = given(0.0);
    card.presses[0].plate_change_sheets = given(0);
    card.presses[0].plate_price = given(money("0.01"));
    card
}

#[test]
fn only_the_black_plate_changes() {
    // 1 up: whatever is printed, each version has the sheet for itself.
    let mut job = versions(&[500, 300, 200], &["black"]);
    job.product.trim = given(size(420.0, 594.0));
    let mut card = card();
    card.presses[0].side = given(inkset_units::Millimetres::new(0.0).unwrap());
    card.stocks[0].sheets = vec![given(size(500.0, 700.0))];
    let found = estimate(&job, &card, &front_four(), 1_000).unwrap();
    // Front 4, back 1, and two further blacks for the front.
    assert_eq!(found.parts[0].plates, 5 + 2);
    assert!(line(&found, Stage::Plates, " + 2 for versions").quantity == Decimal::from(7));
    let runs: Vec<(u32, u32, u64)> = found.parts[0]
        .sections
        .iter()
        .flat_map(|s| {
            s.runs
                .iter()
                .map(|r| (r.changes, r.stops, r.changing_sheets))
        })
        .collect();
    assert_eq!(runs, [(1, 2, 24), (0, 0, 0)]);
    // Two stops of one plate, 4 minutes each: 8 minutes.
    assert_eq!(
        line(&found, Stage::MakeReady, "changed for versions").quantity,
        Decimal::new(133, 3)
    );
    assert_eq!(found.parts[0].version_layouts().len(), 3);
}

#[test]
fn plates_are_kept_for_a_reprint() {
    let job = versions(&[5_000, 100], &["black"]);
    let found = estimate(&job, &free_stops(), &front_four(), 5_100).unwrap();
    let plates = line(&found, Stage::Plates, "plates").amount;
    assert!(
        found.parts[0].version_layouts().len() == 2,
        "{:?}",
        found.parts[0].layout_totals
    );
    // Mark-up of 20 % and rounding to a whole euro apart.
    assert!(found.total - found.reprint <= plates + plates + money("2"));
    assert!(found.reprint <= found.total);
}

#[test]
fn an_ink_set_without_the_version_ink_changes_all() {
    let job = versions(&[500, 500], &["orange"]);
    let mut card = free_stops();
    card.stocks[0].sheets = vec![given(size(320.0, 450.0))];
    let without = plan(inks(&[]), vec![all_pages(2, &FOUR)]);
    let pricer = Pricer::new(&job, &card).unwrap();
    let found = pricer.estimate(&without, 1_000).unwrap();
    let changes: Vec<u32> = found.parts[0].sections[0]
        .runs
        .iter()
        .map(|run| run.changes)
        .collect();
    assert_eq!(changes.iter().max(), Some(&4));
    assert!(
        found.parts[0].sections[0]
            .runs
            .iter()
            .all(|run| run.stops <= 1)
    );
    let with = plan(
        inks(&[("orange", InkKind::Solid)]),
        vec![all_pages(2, &[(0, 0.2), (1, 0.2), (2, 0.2), (4, 0.1)])],
    );
    let found = pricer.estimate(&with, 1_000).unwrap();
    let changes = found.parts[0].sections[0]
        .runs
        .iter()
        .map(|run| run.changes);
    assert_eq!(changes.max(), Some(1));
}

#[test]
fn digital_presses_change_no_plates() {
    let mut card = card();
    card.presses = vec![digital_press("digital")];
    card.stocks[0].sheets = vec![given(size(320.0, 450.0))];
    let job = versions(&[60, 30, 10], &["black"]);
    let found = estimate(&job, &card, &front_four(), 100).unwrap();
    assert_eq!(found.parts[0].plates, 0);
    assert!(
        found
            .lines
            .iter()
            .all(|line| line.formula != "plate-change")
    );
    // As few sheets as any division takes: nothing is lost by printing the versions one after the other.
    let fewest: u64 = found.parts[0]
        .version_layouts()
        .iter()
        .map(|l| l.sheets)
        .sum();
    assert!(fewest <= 100_u64.div_ceil(4) + 10, "{fewest}");
}

#[test]
fn every_layout_has_its_proof() {
    let mut job = versions(&[500, 300, 200], &["black"]);
    job.proofs.forms = given(1);
    let mut card = card();
    card.proof.form = Some(given(money("30.00")));
    card.presses[0].plate_change_minutes = given(0.0);
    let found = estimate(&job, &card, &front_four(), 1_000).unwrap();
    let layouts = found.parts[0].version_layouts().len() as u64;
    let forms = found.parts[0].sections[0]
        .runs
        .iter()
        .filter(|run| run.makes_ready);
    let forms: u64 = forms
        .map(|run| if run.changes > 0 { layouts } else { 1 })
        .sum();
    let proofs = line(&found, Stage::Proofs, "contract proofs");
    assert_eq!(proofs.quantity, Decimal::from(forms));
}

#[derive(Debug, Clone)]
struct Case {
    copies: Vec<u64>,
    inks: usize,
    quantity: u64,
    perfecting: bool,
    change: (u64, u64),
}

fn cases() -> impl Strategy<Value = Case> {
    (
        prop::collection::vec(1u64..2_000, 2..12),
        1usize..4,
        1u64..20_000,
        any::<bool>(),
        (0u64..10, 0u64..40),
    )
        .prop_map(|(copies, inks, quantity, perfecting, change)| Case {
            copies,
            inks,
            quantity,
            perfecting,
            change,
        })
}

fn set_up(case: &Case) -> (Job, RateCard) {
    let inks = ["black", "cyan", "magenta"];
    let job = versions(&case.copies, &inks[..case.inks]);
    let mut card = card();
    if case.perfecting {
        card.presses[0].units = given(8);
        card.presses[0].perfecting = given(true);
    }
    card.presses[0].plate_change_minutes = given(case.change.0 as f64);
    card.presses[0].plate_change_sheets = given(case.change.1);
    (job, card)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    /// Plates are those of one layout, and at each stop the plates that change, of every form that is made ready.
    #[test]
    fn plates_follow_the_stops(case in cases()) {
        let (job, card) = set_up(&case);
        let found = estimate(&job, &card, &front_four(), case.quantity).unwrap();
        let part = &found.parts[0];
        let stops = part.version_layouts().len() as u32 - 1;
        let runs = part.sections.iter().flat_map(|s| &s.runs).filter(|run| run.makes_ready);
        let expected: u32 = runs.map(|run| run.inks.len() as u32 + stops * run.changes).sum();
        prop_assert_eq!(part.plates, expected);
        prop_assert_eq!(line(&found, Stage::Plates, "plates").quantity, Decimal::from(expected));
    }

    /// Every version lies on one layout, and gets at least its copies.
    #[test]
    fn every_version_gets_its_copies(case in cases()) {
        let (job, card) = set_up(&case);
        let found = estimate(&job, &card, &front_four(), case.quantity).unwrap();
        let ordered = inkset_spec::copies_of_versions(&job.versions, case.quantity);
        let mut seen = vec![0; ordered.len()];
        for layout in found.parts[0].version_layouts() {
            let up: u32 = layout.versions.iter().map(|own| own.up).sum();
            prop_assert_eq!(up, found.parts[0].sections[0].up);
            for own in &layout.versions {
                seen[own.version] += 1;
                prop_assert!(u64::from(own.up) * layout.sheets >= own.pieces);
                prop_assert!(own.pieces >= ordered[own.version]);
            }
        }
        prop_assert!(seen.iter().all(|times| *times == 1), "{:?}", seen);
        prop_assert!(found.delivered >= case.quantity);
    }

    /// Versions cost no less than the same copies all alike, and more copies no less than fewer.
    #[test]
    fn versions_and_copies_never_make_it_cheaper(case in cases(), more in 1u64..3_000) {
        let (job, card) = set_up(&case);
        let plan = front_four();
        let pricer = Pricer::new(&job, &card).unwrap();
        let prepared = pricer.prepare(&plan).unwrap();
        let total = prepared.total(case.quantity).unwrap();
        prop_assert!(total <= prepared.total(case.quantity + more).unwrap());
        let mut alike = job.clone();
        alike.versions.clear();
        prop_assert!(estimate(&alike, &card, &plan, case.quantity).unwrap().total <= total);
        // What is told of other numbers of layouts is true: none of them is cheaper.
        let found = prepared.estimate(case.quantity).unwrap();
        prop_assert_eq!(found.total, total);
        let totals = &found.parts[0].layout_totals;
        prop_assert_eq!(totals.iter().map(|(_, total)| *total).min(), Some(total));
    }
}
