//! Die-cut blanks: how far apart they lie, what the die costs, what is done piece by piece.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{Estimate, PrintPlan, Stage, estimate};
use inkset_layout::{Imposition, Parting, PlacedPiece, Turning, count_pieces};
use inkset_spec::{
    GrainWish, Job, OperationKind, Printing, ProductKind, RateCard, Reel, SheetGrain, WorksOn,
};
use inkset_units::{Millimetres, Money};
use rust_decimal::Decimal;
use support::{
    FOUR, NOWHERE, all_pages, card, digital_press, finish, further, given, inks, job, money,
    operation, part, percent, plan, press, size,
};

fn mm(value: f64) -> inkset_spec::Given<Millimetres> {
    given(Millimetres::new(value).unwrap())
}

/// Blanks of 154 × 106 mm with bleed that lie so far apart, struck out, stripped and glued.
fn cartons(gap: f64, sides: u32) -> (RateCard, Job) {
    let mut card = card();
    card.round_total_to = given(money("0"));
    let die = (
        ("die-cut", OperationKind::DieCut),
        operation("40.00", "30.00", 10, 1.0),
    );
    let mut die = further(die.0, &die.1);
    die.separates = true;
    die.tool_price = Some(given(money("90.00")));
    let mut strip = further(
        ("strip", OperationKind::Other),
        &operation("0", "9.00", 0, 0.5),
    );
    strip.on = given(WorksOn::Pieces);
    let glue = further(
        ("glue", OperationKind::Other),
        &operation("25.00", "15.00", 20, 1.0),
    );
    card.finishing.further = vec![die, strip, glue];
    let mut job = job(
        ProductKind::Flat,
        size(148.0, 100.0),
        vec![part("blank", sides)],
    );
    job.product.allowances.gap = mm(gap);
    job.finishes = ["die-cut", "strip", "glue"].map(finish).to_vec();
    (card, job)
}

fn all_inks(sides: u32) -> PrintPlan {
    plan(inks(&[]), vec![all_pages(sides, &FOUR)])
}

fn priced((card, job): &(RateCard, Job), copies: u64) -> Estimate {
    estimate(job, card, &all_inks(job.parts[0].pages.value), copies).unwrap()
}

fn drawn((card, job): &(RateCard, Job), found: &Estimate) -> Imposition {
    let class = &found.parts[0].sections[0];
    let imposed = found.parts[0].impose((job, card), (class, &class.sections[0]));
    imposed.unwrap()
}

/// How far two pieces lie apart; below 0 where they overlap.
fn apart(a: &PlacedPiece, b: &PlacedPiece) -> f64 {
    let across = (a.x - b.x - b.width).max(b.x - a.x - a.width);
    let down = (a.y - b.y - b.height).max(b.y - a.y - a.height);
    across.max(down)
}

fn by_hand(style: &'static str) -> Printing {
    Printing {
        place: NOWHERE,
        part: 0,
        press: None,
        further_press: None,
        sheet: None,
        style: Some(given(style)),
        up: None,
        make_ready_sheets: None,
        why: None,
    }
}

#[test]
fn every_work_style_keeps_the_gap() {
    let styles = [
        "sheetwise",
        "work-and-turn",
        "work-and-tumble",
        "perfecting",
    ];
    let mut tried = 0;
    for gap in [0.0, 3.0, 8.5, 23.0] {
        for style in styles {
            let (mut card, mut job) = cartons(gap, 2);
            let mut perfector = press("perfector", 8);
            perfector.perfecting = given(true);
            card.presses = vec![press("straight", 4), perfector];
            job.printing = vec![by_hand(style)];
            // Where tumbling lays no more on the sheet than turning, it is no way of its own.
            let plan = all_inks(2);
            let Ok(found) = estimate(&job, &card, &plan, 3_000) else {
                assert_eq!(style, "work-and-tumble");
                continue;
            };
            let drawn = drawn(&(card, job), &found);
            assert_eq!(drawn.pieces.len(), found.parts[0].sections[0].up as usize);
            for (n, one) in drawn.pieces.iter().enumerate() {
                let nearest = drawn.pieces[..n].iter().map(|other| apart(one, other));
                assert!(
                    nearest
                        .min_by(f64::total_cmp)
                        .is_none_or(|mm| mm > gap - 1e-6)
                );
            }
            tried += 1;
        }
    }
    assert!(tried >= 12, "{tried}");
}

#[test]
fn wider_gaps_lay_fewer_on_a_sheet() {
    // The sheet has long grain, so blanks with grain across their longer edge stand: columns of 106 mm, rows of 154 mm.
    let mut sheets = 0;
    let mut total = Money::ZERO;
    for gap in 0..=20 {
        let (mut card, mut job) = cartons(f64::from(gap), 1);
        card.presses = vec![press("press", 4)];
        card.stocks[0].sheets = vec![given(size(640.0, 450.0))];
        card.presses[0].smallest_sheet = given(size(600.0, 400.0));
        job.product.grain = given(GrainWish::Across);
        let found = priced(&(card, job), 20_000);
        let up = found.parts[0].sections[0].up;
        let fit = |edge: u32, piece: u32| (edge + gap) / (piece + gap);
        assert_eq!(up, fit(630, 106) * fit(435, 154), "{gap} mm");
        assert!(found.parts[0].press_sheets >= sheets && found.total >= total);
        (sheets, total) = (found.parts[0].press_sheets, found.total);
    }
}

#[test]
fn struck_out_blanks_need_no_guillotine() {
    let (mut card, job) = cartons(4.0, 1);
    card.stocks[0].sheets = vec![given(size(640.0, 450.0))];
    let with_guillotine = priced(&(card.clone(), job.clone()), 5_000);
    card.finishing.cut = None;
    let found = priced(&(card.clone(), job.clone()), 5_000);
    assert_eq!(found.total, with_guillotine.total);
    assert!(found.lines.iter().all(|line| line.stage != Stage::Cutting));
    let sheet = drawn(&(card.clone(), job.clone()), &found);
    assert_eq!((sheet.parting, sheet.cuts.len()), (Parting::Die, 0));
    // A die that leaves the pieces in the sheet needs the guillotine.
    card.finishing.further[0].separates = false;
    assert!(estimate(&job, &card, &all_inks(1), 5_000).is_err());
}

#[test]
fn gluing_and_stripping_are_by_the_piece() {
    // Into gluing 5,000 ÷ 0.99 = 5,051 and 20; into stripping 5,071 ÷ 0.995 = 5,096.5, so 5,097; packing spoils nothing.
    let found = priced(&cartons(4.0, 1), 5_000);
    let run = |name: &str| {
        let mut lines = found.lines.iter();
        let line = lines.find(|line| line.item == name).unwrap();
        (line.quantity * Decimal::ONE_THOUSAND)
            .normalize()
            .to_string()
    };
    assert_eq!([run("glue"), run("strip")], ["5071", "5097"]);
    let up = u64::from(found.parts[0].sections[0].up);
    let through = (5_097_u64.div_ceil(up) * 100).div_ceil(99) + 10;
    assert_eq!(run("die-cut"), through.to_string());
}

#[test]
fn dies_cost_by_the_blank_on_them() {
    let found = |each: &str, copies| {
        let (mut card, job) = cartons(4.0, 1);
        card.finishing.further[0].tool_per_up = Some(given(money(each)));
        priced(&(card, job), copies)
    };
    for copies in [100, 1_000, 50_000] {
        let mut before = u32::MAX;
        for each in ["0", "1", "4", "15", "60"] {
            let found = found(each, copies);
            let up = found.parts[0].sections[0].up;
            assert!(
                up <= before,
                "{copies} copies: {up} up, {before} at a cheaper die"
            );
            before = up;
            let rules = found.lines.iter().find(|l| l.formula == "tool-per-up");
            let paid = rules.map_or(Money::ZERO, |line| line.amount);
            let by_the_blank = money(each).amount() * Decimal::from(up);
            assert_eq!(paid.amount(), by_the_blank);
            // A mark-up of 20 % on four plates and the die, neither paid again.
            let kept = found.of_stage(Stage::Plates) + money("90.00") + paid;
            let saved = found.total - found.reprint;
            assert!(
                (saved.amount() - kept.amount() * Decimal::new(12, 1)).abs() <= Decimal::new(1, 2)
            );
        }
        assert!(
            copies > 1_000 || before == 1,
            "{copies} copies: {before} up"
        );
    }
}

#[test]
fn fewest_blanks_that_pay_are_truly_the_best() {
    // Every number up set by hand, the die by the blank: none is cheaper than what is found.
    for copies in [150, 900, 4_000] {
        let (mut card, mut job) = cartons(4.0, 1);
        card.finishing.further[0].tool_per_up = Some(given(money("6.00")));
        let found = priced(&(card.clone(), job.clone()), copies);
        let mut tried = Vec::new();
        for up in 1..=16 {
            let mut printing = by_hand("sheetwise");
            printing.style = None;
            printing.up = Some(given(up));
            job.printing = vec![printing];
            let Ok(by_hand) = estimate(&job, &card, &all_inks(1), copies) else {
                continue;
            };
            assert_eq!(by_hand.parts[0].sections[0].up, up);
            tried.push(by_hand.total);
        }
        assert_eq!(tried.iter().min(), Some(&found.total), "{copies} copies");
    }
}

#[test]
fn digital_presses_and_reels_keep_the_gap() {
    let (mut card, job) = cartons(12.0, 1);
    card.presses = vec![digital_press("digital")];
    let found = priced(&(card.clone(), job.clone()), 300);
    // On 440 × 310 mm of half a sheet, a pencil: four lying, 154 + 12 + 154 by 106 + 12 + 106, and one standing beside
    // them, 320 + 12 + 106 = 438; two above each other would take 154 + 12 + 154 = 320.
    let sheet = drawn(&(card.clone(), job.clone()), &found);
    assert_eq!((sheet.sheet, sheet.pieces.len()), (size(450.0, 320.0), 5));
    for (n, one) in sheet.pieces.iter().enumerate() {
        assert!(
            sheet.pieces[..n]
                .iter()
                .all(|other| apart(one, other) > 12.0 - 1e-6)
        );
    }

    card.presses = vec![press("press", 4)];
    card.presses[0].sheeter = given(true);
    card.stocks[0].sheets.clear();
    card.stocks[0].grain = given(SheetGrain::Long);
    card.stocks[0].reels = vec![Reel {
        width: mm(500.0),
        weight_kg: None,
        diameter: None,
        core: mm(76.0),
        waste: percent(0.0),
    }];
    let found = priced(&(card, job), 30_000);
    let up = found.parts[0].sections[0].up;
    let reel = found.parts[0].reel.clone().unwrap();
    // Cut off a millimetre shorter, the sheet holds fewer: the gaps are in, and nothing else.
    let on = |length: f64| {
        let (long, short) = (length.max(500.0) - 10.0, length.min(500.0) - 15.0);
        let area = size(long, short);
        let gap = Millimetres::new(12.0).unwrap();
        count_pieces(area, size(154.0, 106.0), gap, Turning::Free).unwrap()
    };
    assert_eq!(on(reel.cut_off_mm), up);
    assert!(on(reel.cut_off_mm - 1.0) < up);
}
