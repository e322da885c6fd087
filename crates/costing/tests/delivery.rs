//! Carriage by weight and zone, proofs of forms and drawdowns: facts of the trade (common practice, no source) and laws.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{CannotPrint, CostLine, InkKind, Pricer, PrintPlan, Stage, estimate};
use inkset_layout::WorkStyle;
use inkset_spec::{CarriageZone, Delivery, Job, Portion, RateCard};
use inkset_units::{Coverage, Money};
use proptest::prelude::*;
use support::{
    FOUR, all_pages, booklet, card, euro, flyer, four_colour_flyer, given, inks, money,
    orange_flyer, page, plan, stock,
};

fn zone(name: &str, base: &str, per_kg: &str) -> CarriageZone {
    CarriageZone {
        zone: given(name.to_owned()),
        base: given(money(base)),
        per_kg: given(money(per_kg)),
    }
}

fn delivery(zone: &str, portion: Portion) -> Delivery {
    Delivery {
        zone: given(zone.to_owned()),
        portion,
    }
}

fn share(fraction: f64) -> Portion {
    Portion::Share(given(Coverage::from_fraction(fraction).unwrap()))
}

fn sent(portions: &[(&str, Portion)]) -> (RateCard, Job) {
    let (mut card, mut job) = (card(), flyer());
    card.carriage = vec![
        zone("home", "14.00", "0.20"),
        zone("abroad", "30.00", "1.00"),
    ];
    job.deliveries = portions
        .iter()
        .map(|(to, portion)| delivery(to, *portion))
        .collect();
    (card, job)
}

fn lines(job: &Job, card: &RateCard, plan: &PrintPlan, stage: Stage) -> Vec<CostLine> {
    let estimate = estimate(job, card, plan, 5_000).unwrap();
    let lines = estimate.lines.into_iter();
    lines.filter(|line| line.stage == stage).collect()
}

fn carriage(portions: &[(&str, Portion)]) -> Vec<(String, String)> {
    let (card, job) = sent(portions);
    lines(&job, &card, &four_colour_flyer(), Stage::Carriage)
        .iter()
        .map(|line| (line.quantity.to_string(), line.amount.to_text(euro())))
        .collect()
}

fn expected(lines: &[(&str, &str)]) -> Vec<(String, String)> {
    let owned = lines
        .iter()
        .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()));
    owned.collect()
}

#[test]
fn consignments_are_weighed_by_their_paper() {
    // 5,000 copies of 148 x 210 mm at 135 g/m2 are 20.979 kg.
    let one = carriage(&[("home", Portion::Rest)]);
    assert_eq!(one, expected(&[("1", "14.00"), ("20.979", "4.20")]));
    let two = carriage(&[
        ("Abroad", Portion::Copies(given(1_000))),
        ("home", share(0.75)),
        ("abroad", Portion::Rest),
    ]);
    let wanted = [
        ("1", "30.00"),
        ("4.196", "4.20"),
        ("1", "14.00"),
        ("12.587", "2.52"),
        ("1", "30.00"),
        ("4.196", "4.20"),
    ];
    assert_eq!(two, expected(&wanted));
    assert!(carriage(&[]).is_empty());
}

#[test]
fn unknown_zones_are_not_priced() {
    let (card, job) = sent(&[("moon", Portion::Rest)]);
    let refused = estimate(&job, &card, &four_colour_flyer(), 5_000).unwrap_err();
    assert!(matches!(refused, CannotPrint::NoRate { .. }), "{refused}");
}

#[test]
fn each_form_has_its_proof() {
    let (mut card, mut job) = sent(&[]);
    card.proof.form = Some(given(money("38.00")));
    job.proofs.forms = given(1);
    let priced = estimate(&job, &card, &orange_flyer(), 5_000).unwrap();
    let forms = match priced.parts[0].sections[0].style {
        WorkStyle::Sheetwise => 2,
        _ => 1,
    };
    let proofs = lines(&job, &card, &orange_flyer(), Stage::Proofs);
    assert_eq!(proofs.len(), 1);
    assert_eq!(proofs[0].quantity, rust_decimal::Decimal::from(forms));
    // Printing again from kept plates needs no new proof.
    job.proofs.forms = given(0);
    let without = estimate(&job, &card, &orange_flyer(), 5_000).unwrap();
    if without.parts == priced.parts {
        assert_eq!(without.reprint, priced.reprint);
    }
    card.proof.form = None;
    job.proofs.forms = given(1);
    let refused = estimate(&job, &card, &orange_flyer(), 5_000).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "the rate card has no rate for contract proofs"
    );
}

#[test]
fn each_solid_is_drawn_down_on_each_paper() {
    let (mut card, mut job) = (card(), booklet(16));
    card.proof.drawdown = Some(given(money("45.00")));
    job.proofs.drawdowns = given(1);
    let solid = [("orange", InkKind::Solid)];
    let mut cover = all_pages(4, &FOUR);
    cover.pages[0] = page(1, &[(3, 0.1), (4, 0.3)]);
    let drawn = |job: &Job, card: &RateCard, text: &[(u16, f64)]| {
        let plan = plan(inks(&solid), vec![cover.clone(), all_pages(16, text)]);
        let proofs = lines(job, card, &plan, Stage::Proofs);
        proofs[0].quantity.to_string()
    };
    assert_eq!(drawn(&job, &card, &FOUR), "1");
    assert_eq!(drawn(&job, &card, &[(4, 0.2)]), "1", "the same paper");
    card.stocks.push(stock("matt-135"));
    job.parts[0].stock = given("matt-135".to_owned());
    assert_eq!(drawn(&job, &card, &[(4, 0.2)]), "2", "two papers");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn carriage_and_proofs_never_lower_a_total(
        copies in 1u64..3_000, shared in 0u32..100, more in 1u64..4_000, sets in 0u64..3
    ) {
        let portions = [
            ("home", Portion::Copies(given(copies))),
            ("abroad", share(f64::from(shared) / 100.0)),
            ("home", Portion::Rest),
        ];
        let (mut card, mut job) = sent(&portions);
        card.proof.form = Some(given(money("38.00")));
        card.proof.drawdown = Some(given(money("45.00")));
        let total = |card: &RateCard, job: &Job, quantity| {
            let estimate = estimate(job, card, &orange_flyer(), quantity).unwrap();
            let sum: Money = estimate.lines.iter().map(|line| line.amount).sum();
            assert_eq!(sum, estimate.total);
            estimate.total
        };
        let before = total(&card, &job, copies);
        prop_assert!(total(&card, &job, copies + more) >= before);
        job.proofs.forms = given(sets);
        job.proofs.drawdowns = given(sets);
        let proved = total(&card, &job, copies);
        prop_assert!(proved >= before);
        card.carriage[0].per_kg = given(money("0.90"));
        prop_assert!(total(&card, &job, copies) >= proved);
        job.deliveries.clear();
        prop_assert!(total(&card, &job, copies) <= proved);
    }
}

#[test]
fn the_weight_of_a_copy_is_explained() {
    let (card, job) = sent(&[("home", Portion::Rest)]);
    let pricer = Pricer::new(&job, &card).unwrap();
    let plan = four_colour_flyer();
    let prepared = pricer.prepare(&plan).unwrap();
    let found = prepared.estimate(5_000).unwrap();
    let explained = prepared.explain(&found, Stage::Carriage);
    let by_weight = &explained[1];
    // 0.148 m x 0.21 m x 135 g/m2 ÷ 1,000.
    let weight = &by_weight.steps[0];
    assert!(
        weight.contains("1 leaf × 148 × 210 mm × 135 g/m²"),
        "{weight}"
    );
    assert!(weight.ends_with("= 0.004196 kg"), "{weight}");
    let labels: Vec<&str> = by_weight.inputs.iter().map(|input| &*input.label).collect();
    assert_eq!(labels, ["size", "pages", "weight"]);
}
