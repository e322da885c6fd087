//! Paper off reels: the length cut off, metres, reels, weight.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{CannotPrint, Estimate, Pricer, Stage, estimate};
use inkset_spec::{RateCard, Reel, SheetGrain, Sheeter};
use inkset_units::Millimetres;
use support::{
    booklet, card, flyer, four_colour_flyer, given, inks, money, operation, percent, plan, press,
    size,
};

fn mm(value: f64) -> inkset_spec::Given<Millimetres> {
    given(Millimetres::new(value).unwrap())
}

/// A card whose paper comes on reels of 640 mm only, cut to sheets by its one press.
fn on_reels(waste: f64) -> RateCard {
    let mut card = RateCard {
        presses: vec![press("press", 4)],
        ..card()
    };
    card.presses[0].sheeter = given(true);
    card.stocks[0].sheets.clear();
    card.stocks[0].reels = vec![Reel {
        width: mm(640.0),
        weight_kg: Some(given(100.0)),
        diameter: None,
        core: mm(76.0),
        waste: percent(waste),
    }];
    card
}

fn paper(found: &Estimate) -> String {
    let line = found.lines.iter().find(|line| line.stage == Stage::Paper);
    line.unwrap().quantity.to_string()
}

#[test]
fn flyers_off_the_reel_with_a_pencil() {
    // A5 with bleed is 154 × 216 mm. Across 630 mm of 640 lie four of 154 mm, down 216 mm: a cut-off
    // of 216 + 15 = 231 mm is below the press's 250 mm; two rows of 216 mm take 447 mm, 8 up.
    let found = estimate(&flyer(), &on_reels(2.0), &four_colour_flyer(), 10_000).unwrap();
    let part = &found.parts[0];
    let reel = part.reel.clone().unwrap();
    assert_eq!(part.sheet.size, size(640.0, reel.cut_off_mm));
    let metres = part.press_sheets as f64 * reel.cut_off_mm / 1_000.0 / 0.98;
    assert!((reel.metres - metres).abs() < 1e-9);
    // 100 kg of 135 g/m² 0.64 m wide are 1,157.4 m.
    assert_eq!(reel.reels, Some((metres / 1_157.407_407).ceil() as u64));
    let kilograms = metres * 0.64 * 0.135;
    assert!((paper(&found).parse::<f64>().unwrap() - kilograms).abs() < 0.000_501);
    let line = found
        .lines
        .iter()
        .find(|line| line.stage == Stage::Paper)
        .unwrap();
    assert!(
        line.item.contains("m of reels 640 mm wide, "),
        "{}",
        line.item
    );
}

#[test]
fn cut_off_is_truly_the_best() {
    let jobs = [
        (flyer(), four_colour_flyer()),
        (booklet(12), {
            let parts = [4, 12].map(|pages| support::all_pages(pages, &support::FOUR));
            plan(inks(&[]), parts.to_vec())
        }),
    ];
    for (job, plan) in jobs {
        for copies in [300, 4_000] {
            let reel = on_reels(0.0);
            let found = estimate(&job, &reel, &plan, copies).unwrap();
            // The same as parent sheets of every whole millimetre that the press takes.
            let mut sheets = reel.clone();
            sheets.stocks[0].reels.clear();
            sheets.stocks[0].pack = given(1);
            sheets.stocks[0].grain = given(SheetGrain::Short);
            // Halving or quartering a sheet is no cut of a reel.
            sheets.presses[0].smallest_sheet = given(size(350.0, 261.0));
            let mut reel = reel;
            reel.presses[0].smallest_sheet = given(size(350.0, 261.0));
            let found_there = estimate(&job, &reel, &plan, copies).unwrap();
            assert!(found.total <= found_there.total);
            sheets.stocks[0].sheets = (261..=520)
                .map(|length| given(size(640.0, f64::from(length))))
                .collect();
            let best = estimate(&job, &sheets, &plan, copies).unwrap();
            assert!(best.parts.iter().all(|part| part.sheet.per_parent == 1));
            assert_eq!(found_there.total, best.total, "{copies}");
        }
    }
}

#[test]
fn sheeter_is_an_operation() {
    let mut card = on_reels(0.0);
    card.presses[0].sheeter = given(false);
    let why = estimate(&flyer(), &card, &four_colour_flyer(), 1_000).unwrap_err();
    assert!(matches!(why, CannotPrint::NoSheetFitsPress { .. }), "{why}");
    card.sheeter = Some(Sheeter {
        operation: operation("15.00", "5.00", 20, 1.0),
    });
    let job = flyer();
    let pricer = Pricer::new(&job, &card).unwrap();
    let plan = four_colour_flyer();
    let prepared = pricer.prepare(&plan).unwrap();
    let found = prepared.estimate(1_000).unwrap();
    let part = &found.parts[0];
    let cut = (part.press_sheets as f64 / 0.99).ceil() as u64 + 20;
    assert_eq!(part.parent_sheets, cut);
    let sheeting = found
        .lines
        .iter()
        .filter(|line| line.item.starts_with("reels to sheets"));
    let amounts: Vec<_> = sheeting.map(|line| line.amount).collect();
    assert_eq!(amounts[0], money("15"));
    assert_eq!(amounts.len(), 2);
    let steps = &prepared.explain(&found, Stage::Paper)[0].steps;
    assert!(
        steps.iter().any(|s| s.starts_with("into the sheeter: ")),
        "{steps:?}"
    );
    assert!(steps.iter().any(|s| s.starts_with("reels: ")), "{steps:?}");
}

#[test]
fn waste_and_price_never_lower_a_total() {
    let total = |waste, price: &str| {
        let mut card = on_reels(waste);
        card.stocks[0].price = given(inkset_spec::PaperPrice::Tonne(money(price)));
        estimate(&flyer(), &card, &four_colour_flyer(), 7_000)
            .unwrap()
            .total
    };
    assert!(total(0.0, "1000") <= total(2.0, "1000"));
    assert!(total(2.0, "1000") <= total(9.0, "1000"));
    assert!(total(2.0, "1000") <= total(2.0, "1100"));
}
