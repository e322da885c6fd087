//! Laws of prices whose rates are ranges.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{InkKind, PriceRange, Pricer, PrintPlan, price_ranges};
use inkset_spec::{CardRanges, HandFigure, Override, RateCard, read_card_ranges, read_rate_card};
use inkset_units::Money;
use proptest::prelude::*;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use support::{FOUR, NOWHERE, all_pages, booklet, flyer, given, inks, orange_flyer, plan};

const DEMO: &str = include_str!("../../../rates/metric.toml");

/// Rates of the demo card that can be ranges: what is written, key and typical value.
const RATES: [(&str, &str, f64); 7] = [
    ("hourly_rate = 150.00", "hourly_rate", 150.0),
    ("make_ready_minutes = 9", "make_ready_minutes", 9.0),
    ("make_ready_sheets = 70", "make_ready_sheets", 70.0),
    ("plate_price = 9.00", "plate_price", 9.0),
    ("sheets_per_hour = 7000", "sheets_per_hour", 7_000.0),
    ("percent = 3.5", "percent", 3.5),
    ("fixed_loss_kg = 0.2", "fixed_loss_kg", 0.2),
];

/// Shares, in percent, by which the ends of each range lie below and above its typical value.
type Widths = [(u8, u8); 7];

fn widths() -> impl Strategy<Value = Widths> {
    let width = || (0u8..60, 0u8..60);
    [
        width(),
        width(),
        width(),
        width(),
        width(),
        width(),
        width(),
    ]
}

fn end(key: &str, value: f64, percent: f64) -> f64 {
    let exact = value * (1.0 + percent / 100.0);
    if key == "make_ready_sheets" {
        exact.round()
    } else {
        (exact * 100.0).round() / 100.0
    }
}

fn card_text(widths: &Widths, at: impl Fn(&str, f64, (f64, f64)) -> String) -> String {
    RATES.iter().zip(widths).fold(
        DEMO.to_owned(),
        |text, ((written, key, value), (less, more))| {
            assert!(text.contains(written), "{written}");
            let ends = (
                end(key, *value, -f64::from(*less)),
                end(key, *value, f64::from(*more)),
            );
            text.replacen(written, &format!("{key} = {}", at(key, *value, ends)), 1)
        },
    )
}

fn ranged(widths: &Widths) -> (RateCard, CardRanges) {
    let text = card_text(widths, |_, value, (low, high)| {
        format!("{{ low = {low}, typical = {value}, high = {high} }}")
    });
    let card = read_rate_card(&text);
    let ranges = read_card_ranges(text.as_bytes()).unwrap();
    (
        card.value.unwrap_or_else(|| panic!("{:?}", card.notices)),
        ranges,
    )
}

fn job() -> inkset_spec::Job {
    let mut job = flyer();
    "matt-135".clone_into(&mut job.parts[0].stock.value);
    job
}

/// A stitched booklet of a cover and text, whose parts may lie on different presses.
fn two_parts() -> inkset_spec::Job {
    let mut job = booklet(20);
    for (part, stock) in job.parts.iter_mut().zip(["matt-300", "matt-135"]) {
        stock.clone_into(&mut part.stock.value);
    }
    job
}

fn plan_of_two_parts() -> PrintPlan {
    let cover = [(0, 0.2), (1, 0.2), (2, 0.2), (3, 0.1), (4, 0.3)];
    plan(
        inks(&[("orange", InkKind::Solid)]),
        vec![all_pages(4, &cover), all_pages(20, &FOUR)],
    )
}

/// An override of a stage, by what its number says: of one part or the only line, an amount or a rate.
fn overrides(stage: usize, part: Option<usize>, cents: i64) -> Override {
    let stages = ["plates", "make-ready", "press", "cutting", "total"];
    let stage = stages[stage % stages.len()];
    Override {
        place: NOWHERE,
        line: given(stage.to_owned()),
        part: part.filter(|_| stage != "total"),
        item: (stage == "cutting").then(|| given("printed sheets to pieces, set-up".to_owned())),
        option: None,
        copies: None,
        figure: HandFigure::Amount(Money::new(Decimal::new(cents, 2))),
        why: None,
    }
}

fn range_of(job: &inkset_spec::Job, widths: &Widths, quantity: u64) -> PriceRange {
    let (card, ranges) = ranged(widths);
    let (name, plan) = ("CMYK + orange", plan_of_two_parts());
    let all = price_ranges((job, &card, &ranges), &[(name, &plan)], &[quantity]);
    all.unwrap()[0][0].clone()
}

/// What holds of every range: its five prices ascend, no single rate goes beyond the corners, and the likely range is
/// the root of the squared swings, within the corners.
fn holds_together(found: &PriceRange) {
    let ascending = [
        found.lowest,
        found.likely_low,
        found.typical,
        found.likely_high,
        found.highest,
    ];
    assert!(ascending.is_sorted(), "{found:?}");
    let cents = |money: Money| (money.amount() * Decimal::ONE_HUNDRED).to_f64().unwrap();
    let [mut below, mut above] = [0.0_f64; 2];
    for swing in &found.swings {
        let ends = [swing.at_low, swing.at_high].map(|end| found.typical + end);
        let inside = |end: &Money| found.lowest <= *end && *end <= found.highest;
        assert!(ends.iter().all(inside), "{swing:?} {found:?}");
        let down = swing.at_low.min(swing.at_high).min(Money::ZERO);
        let up = swing.at_low.max(swing.at_high).max(Money::ZERO);
        assert_eq!(swing.width(), up - down);
        below += cents(down).powi(2);
        above += cents(up).powi(2);
    }
    assert!(
        found
            .swings
            .is_sorted_by(|one, other| one.width() >= other.width())
    );
    let [low, high] = [below, above]
        .map(|sum| Money::new(Decimal::from(sum.sqrt().round() as i64) / Decimal::ONE_HUNDRED));
    assert_eq!(found.likely_low, (found.typical - low).max(found.lowest));
    assert_eq!(found.likely_high, (found.typical + high).min(found.highest));
}

fn range(widths: &Widths, quantity: u64) -> PriceRange {
    let (card, ranges) = ranged(widths);
    let all = price_ranges(
        (&job(), &card, &ranges),
        &[("CMYK + orange", &orange_flyer())],
        &[quantity],
    )
    .unwrap();
    all[0][0].clone()
}

fn total(card: &RateCard, quantity: u64) -> Money {
    let job = job();
    let plan = orange_flyer();
    Pricer::new(&job, card)
        .unwrap()
        .estimate(&plan, quantity)
        .unwrap()
        .total
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn ranges_contain_the_typical_price(widths in widths(), quantity in 1u64..30_000) {
        let found = range(&widths, quantity);
        let (card, _) = ranged(&widths);
        prop_assert_eq!(found.typical, total(&card, quantity));
        let ascending = [found.lowest, found.likely_low, found.typical, found.likely_high, found.highest];
        prop_assert!(ascending.is_sorted(), "{:?}", found);
    }

    #[test]
    fn wider_ranges_never_narrow_the_price(
        widths in widths(),
        which in 0usize..7,
        more in (0u8..30, 0u8..30),
        quantity in 1u64..30_000,
    ) {
        let mut wider = widths;
        wider[which].0 += more.0;
        wider[which].1 += more.1;
        let (narrow, wide) = (range(&widths, quantity), range(&wider, quantity));
        prop_assert!(wide.lowest <= narrow.lowest && wide.highest >= narrow.highest);
        prop_assert!(wide.likely_low <= narrow.likely_low && wide.likely_high >= narrow.likely_high);
    }

    #[test]
    fn nothing_inside_goes_beyond_the_corners(
        widths in widths(),
        shares in [0.0f64..1.0, 0.0..1.0, 0.0..1.0, 0.0..1.0, 0.0..1.0, 0.0..1.0, 0.0..1.0],
        quantity in 1u64..30_000,
    ) {
        let found = range(&widths, quantity);
        let mut shares = shares.iter();
        let shares = std::cell::RefCell::new(&mut shares);
        let text = card_text(&widths, |key, _, (low, high)| {
            let share = shares.borrow_mut().next().unwrap();
            let value = low + share * (high - low);
            if key == "make_ready_sheets" { value.round().to_string() } else { format!("{value:.4}") }
        });
        let inside = total(&read_rate_card(&text).value.unwrap(), quantity);
        prop_assert!(found.lowest <= inside && inside <= found.highest, "{inside:?} {found:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn ranges_of_several_parts_hold_together(widths in widths(), quantity in 1u64..30_000) {
        let job = two_parts();
        let found = range_of(&job, &widths, quantity);
        holds_together(&found);
        let (card, _) = ranged(&widths);
        let plan = plan_of_two_parts();
        let typical = Pricer::new(&job, &card).unwrap().estimate(&plan, quantity).unwrap();
        prop_assert_eq!(found.typical, typical.total);
    }

    #[test]
    fn ranges_with_figures_set_by_hand_hold_together(
        widths in widths(),
        quantity in 1u64..30_000,
        (stage, part, cents) in (0usize..5, 0usize..2, 0i64..200_000),
    ) {
        let mut job = two_parts();
        job.overrides.push(overrides(stage, Some(part), cents));
        let found = range_of(&job, &widths, quantity);
        holds_together(&found);
        let (card, _) = ranged(&widths);
        let plan = plan_of_two_parts();
        let pricer = Pricer::new(&job, &card).unwrap();
        let typical = pricer.prepare(&plan).unwrap().called("CMYK + orange");
        let typical = typical.estimate(quantity).unwrap();
        prop_assert_eq!(found.typical, typical.total);
        if stage == 4 {
            // A total set by hand is what it is, whatever the rates.
            prop_assert_eq!([found.lowest, found.highest], [found.typical; 2]);
            prop_assert!(found.swings.is_empty());
        }
    }
}

#[test]
fn figures_set_by_hand_may_turn_the_corners() {
    // With all ends dear the text goes to a press for which its make-ready is not set to nothing.
    let widths = [(0, 1), (0, 2), (0, 1), (0, 39), (38, 0), (0, 0), (0, 13)];
    let mut job = two_parts();
    job.overrides.push(overrides(1, Some(1), 0));
    let found = range_of(&job, &widths, 6_356);
    holds_together(&found);
    assert!(!found.swings.is_empty());
}

#[test]
fn ranges_of_no_width_change_nothing() {
    let found = range(&[(0, 0); 7], 5_000);
    assert_eq!([found.lowest, found.highest], [found.typical; 2]);
    assert!(found.swings.is_empty());
}

#[test]
fn swings_are_prices_at_the_ends() {
    let widths = [(20, 30); 7];
    let (card, ranges) = ranged(&widths);
    let found = range(&widths, 5_000);
    assert!(found.swings.len() >= 3, "{found:?}");
    for swing in &found.swings {
        let ends = &ranges.rates[swing.rate];
        assert_eq!(found.typical + swing.at_low, total(&ends.low, 5_000));
        assert_eq!(found.typical + swing.at_high, total(&ends.high, 5_000));
    }
    assert_eq!(found.typical, total(&card, 5_000));
}
