//! Digital presses: clicks, no plates, and where offset takes over.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{
    BreakEven, CannotPrint, Estimate, InkKind, Pricer, PrintPlan, Stage, estimate,
};
use inkset_spec::{Click, Effect, OfferedInk, RateCard};
use inkset_units::Money;
use support::{
    FOUR, all_pages, booklet, card, digital_press, flyer, four_colour_flyer, given, inks, money,
    orange_flyer, page, percent, plan, press, size,
};

/// The example card with a digital press alone.
fn only_digital() -> RateCard {
    RateCard {
        presses: vec![digital_press("digital")],
        ..card()
    }
}

/// The example card with a digital press beside the four-unit one.
fn both() -> RateCard {
    RateCard {
        presses: vec![press("four-unit", 4), digital_press("digital")],
        ..card()
    }
}

fn priced(card: &RateCard, plan: &PrintPlan, copies: u64) -> Estimate {
    estimate(&flyer(), card, plan, copies).unwrap()
}

fn amount(estimate: &Estimate, stage: Stage) -> String {
    estimate.of_stage(stage).amount().normalize().to_string()
}

/// Quantities of the lines of clicks.
fn clicks(estimate: &Estimate) -> Vec<String> {
    let lines = estimate.lines.iter();
    let clicks = lines.filter(|line| line.stage == Stage::Clicks);
    clicks.map(|line| line.quantity.to_string()).collect()
}

#[test]
fn hundred_flyers_with_a_pencil() {
    // docs/costing.md, "Digital presses".
    let found = priced(&only_digital(), &four_colour_flyer(), 100);
    let part = &found.parts[0];
    assert_eq!((part.sections[0].up, part.press_sheets), (4, 33));
    assert_eq!((part.parent_sheets, part.bought_sheets), (17, 250));
    assert_eq!(clicks(&found), ["66"]);
    let stages = [
        (Stage::Paper, "9.72"),
        (Stage::Plates, "0"),
        (Stage::MakeReady, "6"),
        (Stage::WashUp, "0"),
        (Stage::Clicks, "3.3"),
        (Stage::Press, "1.74"),
        (Stage::Ink, "0"),
        (Stage::Cutting, "12.12"),
        (Stage::Packing, "3.25"),
        (Stage::Profit, "7.23"),
    ];
    for (stage, expected) in stages {
        assert_eq!(amount(&found, stage), expected, "{}", stage.name());
    }
    assert_eq!(found.total, money("44"));
    assert_eq!(found.reprint, found.total, "there is no plate to keep");
}

#[test]
fn sides_are_charged_by_their_inks() {
    let sides = |front: &[(u16, f64)], back: &[(u16, f64)]| {
        let pages = vec![page(1, front), page(2, back)];
        let plan = plan(inks(&[]), vec![inkset_costing::PartInks { pages }]);
        clicks(&priced(&only_digital(), &plan, 100))
    };
    assert_eq!(sides(&FOUR, &[(3, 0.1)]), ["33", "33"]);
    assert_eq!(sides(&FOUR, &[]), ["33"]);
    assert_eq!(sides(&[(3, 0.1)], &[(3, 0.1)]), ["66"]);
    assert_eq!(sides(&[(0, 0.1), (3, 0.1)], &[]), ["33"]);
}

#[test]
fn large_sheets_are_several_clicks() {
    let mut card = only_digital();
    let press = &mut card.presses[0];
    press.digital.as_mut().unwrap().click_sheet = Some(given(size(225.0, 320.0)));
    // 320 × 450 mm are exactly two.
    assert_eq!(clicks(&priced(&card, &four_colour_flyer(), 100)), ["132"]);
    let press = &mut card.presses[0];
    press.digital.as_mut().unwrap().click_sheet = Some(given(size(225.0, 319.0)));
    assert_eq!(clicks(&priced(&card, &four_colour_flyer(), 100)), ["198"]);
}

#[test]
fn solid_that_is_not_offered_cannot_be_printed() {
    let why = estimate(&flyer(), &only_digital(), &orange_flyer(), 100).unwrap_err();
    assert!(
        matches!(&why, CannotPrint::NotOffered { press, ink } if press == "digital" && ink == "orange"),
        "{why}"
    );
    // A press with plates prints it, and says why the digital one was passed over.
    let card = both();
    let job = flyer();
    let pricer = Pricer::new(&job, &card).unwrap();
    let orange = orange_flyer();
    let prepared = pricer.prepare(&orange).unwrap();
    let found = prepared.estimate(50).unwrap();
    assert_eq!(found.parts[0].press, "four-unit");
    let explained = prepared.explain(&found, Stage::Press);
    let told = explained[0].steps.iter();
    let told: Vec<&String> = told
        .filter(|step| step.starts_with("passed over"))
        .collect();
    assert_eq!(told.len(), 1);
    assert!(told[0].contains("does not offer ink `orange`"), "{told:?}");
    let four = four_colour_flyer();
    let prepared = pricer.prepare(&four).unwrap();
    let found = prepared.estimate(10_000).unwrap();
    let explained = prepared.explain(&found, Stage::Press);
    assert!(!explained[0].steps.iter().any(|s| s.starts_with("passed")));
}

#[test]
fn side_with_too_many_inks_cannot_be_printed() {
    let mut card = only_digital();
    let digital = card.presses[0].digital.as_mut().unwrap();
    digital.clicks.pop();
    let why = estimate(&flyer(), &card, &four_colour_flyer(), 100).unwrap_err();
    assert!(
        matches!(why, CannotPrint::TooManyForClick { most: 1, .. }),
        "{why}"
    );
}

#[test]
fn offered_solid_needs_no_tin() {
    let mut card = both();
    let digital = card.presses[1].digital.as_mut().unwrap();
    digital.solids = vec![given(OfferedInk::AnySolid)];
    digital.clicks.push(Click {
        inks: given(5),
        price: given(money("0.08")),
    });
    let found = priced(&card, &orange_flyer(), 100);
    assert_eq!(found.parts[0].press, "digital");
    for stage in [Stage::Ink, Stage::Plates, Stage::WashUp] {
        assert_eq!(found.of_stage(stage), Money::ZERO, "{}", stage.name());
    }
    assert_eq!(clicks(&found), ["33", "33"], "five inks and four");
    // An effect is not any solid.
    let silver = [("silver", InkKind::Effect(Effect::Metallic))];
    let silver = plan(inks(&silver), vec![all_pages(2, &[(3, 0.1), (4, 0.1)])]);
    assert_eq!(priced(&card, &silver, 100).parts[0].press, "four-unit");
    let digital = card.presses[1].digital.as_mut().unwrap();
    digital
        .solids
        .push(given(OfferedInk::Effect(Effect::Metallic)));
    assert_eq!(priced(&card, &silver, 100).parts[0].press, "digital");
}

#[test]
fn booklet_is_made_ready_once_for_each_part() {
    let job = booklet(16);
    let all = [4, 16].map(|pages| all_pages(pages, &FOUR)).to_vec();
    let found = estimate(&job, &only_digital(), &plan(inks(&[]), all), 20).unwrap();
    let make_ready = found
        .lines
        .iter()
        .filter(|line| line.stage == Stage::MakeReady);
    let hours: Vec<String> = make_ready.map(|line| line.quantity.to_string()).collect();
    assert_eq!(hours, ["0.1", "0.1"]);
    let text = &found.parts[1];
    assert!(text.sections[0].count >= 2);
    let runs: Vec<u64> = text.sections[0]
        .runs
        .iter()
        .map(|r| r.make_ready_sheets)
        .collect();
    assert_eq!(runs.iter().sum::<u64>(), 4);
}

#[test]
fn offset_takes_over_where_the_prices_cross() {
    let (job, card, plan) = (flyer(), both(), four_colour_flyer());
    let pricer = Pricer::new(&job, &card).unwrap();
    let Some(BreakEven::At(crossings)) = pricer.digital_break_even(&plan).unwrap() else {
        panic!("digital is cheaper at first, offset in the end");
    };
    let last = crossings.last().unwrap();
    assert!(!last.second_is_lower, "plates win in the end");
    let alone = |press: usize, copies| {
        let card = RateCard {
            presses: vec![card.presses[press].clone()],
            ..card.clone()
        };
        priced(&card, &plan, copies).total
    };
    let first = crossings[0].first;
    assert!(alone(0, first) < alone(1, first));
    assert!(
        (1..first)
            .rev()
            .take(200)
            .all(|q| alone(1, q) <= alone(0, q))
    );
    for (copies, press) in [(first / 4, "digital"), (4 * last.settled, "four-unit")] {
        assert_eq!(
            priced(&card, &plan, copies).parts[0].press,
            press,
            "{copies}"
        );
    }
    assert_eq!(
        Pricer::new(&job, &only_digital())
            .unwrap()
            .digital_break_even(&plan)
            .unwrap(),
        None
    );
}

#[test]
fn dearer_clicks_never_lower_a_price() {
    let copies = [1, 20, 77, 200, 640, 2_500];
    let totals = |cents: i64, spoilage: f64| -> Vec<Money> {
        let mut card = both();
        let digital = card.presses[1].digital.as_mut().unwrap();
        digital.clicks[1].price = given(Money::new(rust_decimal::Decimal::new(cents, 3)));
        digital.run_spoilage = percent(spoilage);
        copies
            .map(|q| priced(&card, &four_colour_flyer(), q).total)
            .to_vec()
    };
    let mut last = totals(0, 0.0);
    for (cents, spoilage) in [(10, 0.0), (20, 0.5), (45, 1.0), (46, 3.0), (300, 3.0)] {
        let next = totals(cents, spoilage);
        assert!(
            last.is_sorted() && next.is_sorted(),
            "more copies cost no less"
        );
        assert!(last.iter().zip(&next).all(|(a, b)| a <= b), "{cents}");
        last = next;
    }
}
