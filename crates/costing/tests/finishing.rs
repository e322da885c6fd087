//! Coatings, finishing, outside work and bundles: facts of the trade (common practice, no source), published figures, laws.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{CannotPrint, CostLine, Estimate, Pricer, Stage, Unit, estimate};
use inkset_layout::WorkStyle;
use inkset_spec::{
    Bundle, FurtherOperation, Job, Material, Operation, OperationKind, Outside, ProductKind,
    RateCard, RunRate,
};
use inkset_units::{Coverage, Millimetres, Money};
use proptest::prelude::*;
use rust_decimal::Decimal;
use support::{
    FOUR, all_pages, booklet, card, euro, finish, flyer, four_colour_flyer, further, given, inks,
    job, money, operation, part, percent, plan, size,
};

const EXAMPLES: &str = include_str!("../../../tests/reference/costing/worked_examples.csv");

fn row(id: &str) -> Vec<String> {
    let rows = EXAMPLES.lines().skip(2).map(support::fields);
    rows.into_iter().find(|row| row[0] == id).unwrap()
}

fn laminate() -> FurtherOperation {
    let mut laminate = further(
        ("laminate", OperationKind::Laminate),
        &operation("40.00", "60.00", 25, 1.0),
    );
    laminate.material = Some(Material::Area(given(money("0.15"))));
    laminate
}

/// A card with these operations, and a flyer that asks for each of them.
fn asked(operations: Vec<FurtherOperation>) -> (RateCard, Job) {
    let (mut card, mut job) = (card(), flyer());
    card.round_total_to = given(money("0"));
    job.finishes = operations.iter().map(|o| finish(&o.name.value)).collect();
    card.finishing.further = operations;
    (card, job)
}

fn priced((card, job): &(RateCard, Job)) -> Estimate {
    estimate(job, card, &four_colour_flyer(), 5_000).unwrap()
}

fn lines(estimate: &Estimate, stage: Stage) -> Vec<&CostLine> {
    let lines = estimate.lines.iter();
    lines.filter(|line| line.stage == stage).collect()
}

fn of_formula<'e>(estimate: &'e Estimate, formula: &str) -> Option<&'e CostLine> {
    estimate.lines.iter().find(|line| line.formula == formula)
}

#[test]
fn coatings_need_more_sheets() {
    let plain = priced(&asked(Vec::new()));
    let coated = priced(&asked(vec![laminate()]));
    let section = &coated.parts[0].sections[0];
    // One side of the sheet cannot be laminated where fronts and backs lie side by side.
    assert_eq!(section.style, WorkStyle::Sheetwise);
    let cut = 5_036_u64.div_ceil(u64::from(section.up));
    let last = section.runs.last().unwrap();
    assert_eq!(last.good_sheets, (cut * 100).div_ceil(99) + 25);
    assert!(coated.total > plain.total);
    let shown: Vec<(Unit, String)> = lines(&coated, Stage::Coating)
        .iter()
        .map(|line| (line.unit, line.quantity.to_string()))
        .collect();
    let area = Decimal::from(last.good_sheets) * Decimal::new(288, 3);
    let expected = [
        (Unit::SetUp, "1".to_owned()),
        (Unit::Thousand, decimal_thousands(last.good_sheets)),
        (Unit::SquareMetre, area.normalize().to_string()),
    ];
    assert_eq!(shown, expected);
}

fn decimal_thousands(sheets: u64) -> String {
    let thousands = Decimal::from(sheets) / Decimal::ONE_THOUSAND;
    thousands.normalize().to_string()
}

#[test]
fn both_sides_are_two_passes() {
    let (card, mut job) = asked(vec![laminate()]);
    job.finishes[0].sides = given([true, true]);
    let estimate = estimate(&job, &card, &four_colour_flyer(), 5_000).unwrap();
    assert_eq!(
        estimate.parts[0].sections[0].style,
        WorkStyle::WorkAndTurn,
        "both sides may be laminated where fronts and backs lie side by side"
    );
    let set_up = of_formula(&estimate, "operation-set-up").unwrap();
    assert_eq!(
        (set_up.stage, set_up.quantity),
        (Stage::Coating, Decimal::TWO)
    );
}

#[test]
fn coaters_lay_down_in_line() {
    let mut coating = further(
        ("aqueous", OperationKind::Aqueous),
        &operation("30.00", "20.00", 50, 2.0),
    );
    coating.inline_set_up = Some(given(money("15.00")));
    coating.material = Some(Material::Weight {
        gsm: given(4.0),
        per_kg: given(money("5.00")),
    });
    let (mut card, mut job) = asked(vec![coating.clone()]);
    job.finishes[0].sides = given([true, true]);
    let apart = estimate(&job, &card, &four_colour_flyer(), 5_000).unwrap();
    card.presses[0].coater = given(true);
    let inline = estimate(&job, &card, &four_colour_flyer(), 5_000).unwrap();
    assert!(inline.total < apart.total);
    let units: Vec<Unit> = lines(&inline, Stage::Coating)
        .iter()
        .map(|l| l.unit)
        .collect();
    assert_eq!(units, [Unit::SetUp, Unit::Kilogram], "no run, no spoilage");
    let kilograms = lines(&inline, Stage::Coating)[1].quantity;
    let sheets = Decimal::from(2 * inline.parts[0].press_sheets);
    let grams = sheets * Decimal::new(288, 3) * Decimal::from(4);
    assert_eq!(
        kilograms,
        (grams / Decimal::ONE_THOUSAND).round_dp(3).normalize()
    );

    // Without a rate for a run of its own, the coater is the only way.
    coating.operation.run = None;
    card.finishing.further = vec![coating];
    assert!(estimate(&job, &card, &four_colour_flyer(), 5_000).is_ok());
    card.presses[0].coater = given(false);
    let refused = estimate(&job, &card, &four_colour_flyer(), 5_000).unwrap_err();
    assert!(matches!(refused, CannotPrint::NoWay { .. }), "{refused}");
}

#[test]
fn published_coating_weight_is_met() {
    // Row I4: 0.80 lb wet for 1,000 square feet, 3.91 g/m2.
    let row = row("I4");
    assert!(
        row[2].starts_with("coating 0.80 lb wet per 1000 ft2"),
        "{row:?}"
    );
    let gsm = row[4].split_once(" g/m2").unwrap().0.parse().unwrap();
    let mut coating = laminate();
    coating.material = Some(Material::Weight {
        gsm: given(gsm),
        per_kg: given(money("5.00")),
    });
    let coated = priced(&asked(vec![coating]));
    let coating = lines(&coated, Stage::Coating);
    let sheets: f64 = coating[1].quantity.to_string().parse::<f64>().unwrap() * 1_000.0;
    let kilograms: f64 = coating[2].quantity.to_string().parse().unwrap();
    let thousand_square_feet = sheets * 0.288 / (0.3048 * 0.3048) / 1_000.0;
    let pounds = kilograms / 0.453_592_37 / thousand_square_feet;
    assert!((pounds - 0.80).abs() < 0.005, "{pounds} lb");
}

#[test]
fn dies_separate_pieces() {
    let mut die = further(
        ("die-cut", OperationKind::DieCut),
        &operation("50.00", "25.00", 30, 1.0),
    );
    die.tool_price = Some(given(money("180.00")));
    let (mut card, job) = asked(vec![die]);
    let cut = priced(&(card.clone(), job.clone()));
    assert_eq!(lines(&cut, Stage::Cutting).len(), 2);
    card.finishing.further[0].separates = true;
    let separated = priced(&(card, job));
    assert_eq!(lines(&separated, Stage::Cutting).len(), 0);
    let tool = of_formula(&separated, "tool").unwrap();
    assert_eq!(tool.amount, money("180.00"));
    // A mark-up of 20 % on four plates at 8.00 and the die, neither paid again.
    let plates = separated.of_stage(Stage::Plates);
    let kept = Decimal::new(12, 1) * (plates.amount() + Decimal::from(180));
    assert_eq!(
        (separated.total - separated.reprint).amount(),
        kept.normalize()
    );
}

#[test]
fn outside_work_has_a_minimum_and_handling() {
    let mut foil = further(
        ("foil", OperationKind::Foil),
        &operation("20.00", "10.00", 0, 0.0),
    );
    foil.outside = Some(Outside {
        handling: percent(12.5),
        minimum: given(money("90.00")),
    });
    let priced = priced(&asked(vec![foil]));
    let work: Money = lines(&priced, Stage::Finishing)
        .iter()
        .filter(|line| line.formula != "outside-handling")
        .map(|line| line.amount)
        .sum();
    assert_eq!(work, money("90.00"));
    let handling = of_formula(&priced, "outside-handling").unwrap();
    assert_eq!(
        (handling.amount, handling.unit),
        (money("11.25"), Unit::Percent)
    );
}

#[test]
fn cartons_hold_copies_or_kilograms() {
    let mut carton = further(
        ("carton", OperationKind::Carton),
        &operation("0", "0", 0, 0.0),
    );
    carton.operation.run = Some(RunRate::Each(given(money("1.20"))));
    let (card, mut job) = asked(vec![carton]);
    let mut cartons = |bundle| {
        job.finishes[0].bundle = bundle;
        let estimate = estimate(&job, &card, &four_colour_flyer(), 5_000).unwrap();
        of_formula(&estimate, "operation-each").unwrap().quantity
    };
    assert_eq!(cartons(Some(Bundle::Copies(given(600)))), Decimal::from(9));
    // A copy of 148 x 210 mm at 135 g/m2 weighs 4.1958 g: 10 kg are 2,383 copies, three cartons.
    assert_eq!(
        cartons(Some(Bundle::Kilograms(given(10.0)))),
        Decimal::from(3)
    );
    assert_eq!(
        cartons(Some(Bundle::Kilograms(given(0.001)))),
        Decimal::from(5_000)
    );
    assert_eq!(cartons(None), Decimal::from(5_000));
}

#[test]
fn difficulty_makes_everything_dearer() {
    let (card, mut job) = asked(vec![laminate()]);
    let plain = priced(&(card.clone(), job.clone()));
    job.difficulty = given(1.5);
    let hard = priced(&(card, job));
    for stage in [
        Stage::MakeReady,
        Stage::Press,
        Stage::Coating,
        Stage::Cutting,
    ] {
        assert!(hard.of_stage(stage) > plain.of_stage(stage), "{stage:?}");
    }
    let rate = |estimate: &Estimate| lines(estimate, Stage::Coating)[0].rate;
    assert_eq!(
        [rate(&plain), rate(&hard)],
        [money("40.00"), money("60.00")]
    );
}

#[test]
fn operations_that_the_card_lacks_are_named() {
    let (mut card, job) = asked(vec![laminate()]);
    card.finishing.further.clear();
    let refused = estimate(&job, &card, &four_colour_flyer(), 5_000).unwrap_err();
    let message = refused.to_string();
    assert!(message.contains("`laminate`"), "{message}");
}

/// A card that spoils nothing in finishing and folds by the hour at one unit of money.
fn folding_card(inches_per_minute: f64) -> RateCard {
    let mut card = card();
    card.finishing.cut = Some(operation("0", "0", 0, 0.0));
    card.finishing.pack = None;
    card.finishing.fold = Some(Operation {
        hourly_rate: Some(given(money("1.00"))),
        run: Some(RunRate::Belt {
            metres_per_minute: given(inches_per_minute * 0.0254),
            gap: percent(10.0),
        }),
        ..operation("0", "0", 0, 0.0)
    });
    card.presses[0].largest_sheet = given(size(1020.0, 720.0));
    card.stocks[0].sheets = vec![given(size(1000.0, 700.0))];
    card
}

#[test]
fn published_folding_speeds_are_met() {
    // Rows F1 and F2: speed of the belt in inches a minute, panels and their width, so that the open sheet has the length.
    for (id, speed, panels, inches) in [("F1", 7_000.0, 2, 11.0), ("F2", 4_000.0, 4, 35.0)] {
        let row = row(id);
        assert!(row[2].contains(&format!("{speed} in/min")), "{row:?}");
        assert!(
            row[2].contains(&format!("{inches} in sheet + 10% gap")),
            "{row:?}"
        );
        let published: f64 = row[3].trim_end_matches("/h").parse().unwrap();
        let (exact, tolerance): (f64, f64) = (
            row[4].parse().unwrap(),
            row[5].split(' ').next().unwrap().parse().unwrap(),
        );
        let mut leaflet = part("leaflet", 2 * panels);
        leaflet.bleed = given(Millimetres::ZERO);
        let width = inches / f64::from(panels) * 25.4;
        let job = job(ProductKind::Folded, size(width, 200.0), vec![leaflet]);
        let plan = plan(inks(&[]), vec![all_pages(2 * panels, &FOUR)]);
        let folded = estimate(&job, &folding_card(speed), &plan, 1_000_000).unwrap();
        let hours: f64 = of_formula(&folded, "operation-hours")
            .unwrap()
            .quantity
            .to_string()
            .parse()
            .unwrap();
        let per_hour = 1_000_000.0 / hours;
        assert!((per_hour - exact).abs() < 1.0, "{id}: {per_hour}");
        assert!(
            (per_hour - published).abs() <= tolerance,
            "{id}: {per_hour}"
        );
    }
}

#[test]
fn published_waste_chain_runs_through_the_estimate() {
    // Row W1: 10,000 copies; stitching 1 %, folding 40 sheets and 1.1 %, make-ready of 700 sheets; press waste of 3 %,
    // between the published ends of 3.7 % and 2.6 %.
    let row = row("W1");
    for constant in [
        "700 complex 4-colour",
        "folder 40",
        "folder 1.1%",
        "stitch-trim 1%",
    ] {
        assert!(row[2].contains(constant), "{row:?}");
    }
    let mut card = card();
    card.finishing.fold = Some(operation("0", "0", 40, 1.1));
    card.finishing.stitch = Some(operation("0", "0", 0, 1.0));
    card.finishing.cut = None;
    card.finishing.pack = None;
    card.run_spoilage.steps.truncate(1);
    card.run_spoilage.steps[0].up_to = None;
    card.run_spoilage.steps[0].percent = percent(3.0);
    let press = &mut card.presses[0];
    (press.units, press.perfecting) = (given(8), given(true));
    (press.make_ready_sheets, press.make_ready_sheets_per_ink) = (given(700), given(0));
    press.largest_sheet = given(size(1020.0, 720.0));
    card.stocks[0].sheets = vec![given(size(700.0, 500.0))];
    let job = job(
        ProductKind::SaddleStitched,
        size(148.0, 210.0),
        vec![part("text", 16)],
    );
    let plan = plan(inks(&[]), vec![all_pages(16, &FOUR)]);
    let estimate = estimate(&job, &card, &plan, 10_000).unwrap();
    let thousands = |stage| lines(&estimate, stage)[0].quantity.to_string();
    assert_eq!(thousands(Stage::Stitching), "10.102");
    assert_eq!(estimate.parts[0].sections[0].runs[0].good_sheets, 10_255);
    assert_eq!(estimate.parts[0].press_sheets, 11_273);
}

/// Rates of a random operation; small numbers so that failures shrink well.
#[derive(Debug, Clone)]
struct Asked {
    kind: usize,
    cents: u32,
    pieces: u64,
    tenths: u32,
    run: u8,
    more: u8,
    difficulty: u32,
}

fn asked_operations() -> impl Strategy<Value = Vec<Asked>> {
    let one = (
        0usize..15,
        1u32..9_000,
        0u64..80,
        0u32..80,
        0u8..4,
        0u8..32,
        5u32..25,
    )
        .prop_map(
            |(kind, cents, pieces, tenths, run, more, difficulty)| Asked {
                kind,
                cents,
                pieces,
                tenths,
                run,
                more,
                difficulty,
            },
        );
    prop::collection::vec(one, 1..5)
}

impl Asked {
    fn price(&self, times: i64) -> Money {
        Money::new(Decimal::new(i64::from(self.cents) * times, 3))
    }

    fn on_card(&self, name: &str) -> FurtherOperation {
        let kind = OperationKind::ALL[self.kind].1;
        let on_sheets = kind.usually_on() == inkset_spec::WorksOn::Sheets;
        let has = |bit: u8| self.more >> bit & 1 == 1;
        let mut own = further(
            (name, kind),
            &Operation {
                set_up: given(self.price(9)),
                set_up_minutes: given(f64::from(self.cents % 30)),
                hourly_rate: Some(given(self.price(11))),
                run: Some(match self.run {
                    0 => RunRate::PerThousand(given(self.price(7))),
                    1 => RunRate::Each(given(Money::new(Decimal::new(self.cents.into(), 5)))),
                    2 => RunRate::PerHour(given(f64::from(self.cents) + 100.0)),
                    _ => RunRate::Belt {
                        metres_per_minute: given(f64::from(self.cents % 200 + 5)),
                        gap: percent(10.0),
                    },
                }),
                set_up_spoilage: given(self.pieces),
                run_spoilage: percent(f64::from(self.tenths) / 10.0),
            },
        );
        own.tool_price = has(0).then(|| given(self.price(20)));
        own.material = (has(1) && on_sheets).then(|| Material::Area(given(self.price(1))));
        own.outside = has(2).then(|| Outside {
            handling: percent(f64::from(self.tenths)),
            minimum: given(self.price(30)),
        });
        own.inline_set_up = (has(3) && on_sheets).then(|| given(self.price(3)));
        own
    }
}

/// A card and a job that ask for all of these; on the first case of a booklet, on the second of a flyer.
fn made(asked: &[Asked], kind: bool) -> (RateCard, Job) {
    let mut card = card();
    card.presses[0].coater = given(asked[0].more.is_multiple_of(2));
    card.presses[0].largest_sheet = given(size(1020.0, 720.0));
    card.stocks[0].sheets = vec![given(size(640.0, 900.0))];
    let mut job = if kind { booklet(20) } else { flyer() };
    for (n, one) in asked.iter().enumerate() {
        let name = format!("operation {n}");
        card.finishing.further.push(one.on_card(&name));
        let mut own = finish(&name);
        own.sides = given([true, one.more >= 16]);
        own.coverage = given(Coverage::from_fraction(f64::from(one.tenths) / 100.0).unwrap());
        own.difficulty = Some(given(f64::from(one.difficulty) / 10.0));
        own.bundle = (one.more < 8).then(|| Bundle::Copies(given(one.pieces + 1)));
        job.finishes.push(own);
    }
    (card, job)
}

fn total((card, job): &(RateCard, Job), quantity: u64) -> Money {
    let parts = job.parts.iter().map(|p| all_pages(p.pages.value, &FOUR));
    let plan = plan(inks(&[]), parts.collect());
    estimate(job, card, &plan, quantity).unwrap().total
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn lines_of_operations_sum_to_the_total(
        asked in asked_operations(), kind in any::<bool>(), quantity in 1u64..30_000
    ) {
        let (card, job) = made(&asked, kind);
        let parts = job.parts.iter().map(|p| all_pages(p.pages.value, &FOUR));
        let plan = plan(inks(&[]), parts.collect());
        let pricer = Pricer::new(&job, &card).unwrap();
        let prepared = pricer.prepare(&plan).unwrap();
        let estimate = prepared.estimate(quantity).unwrap();
        let sum: Money = estimate.lines.iter().map(|line| line.amount).sum();
        prop_assert_eq!(sum, estimate.total);
        prop_assert_eq!(prepared.total(quantity).unwrap(), estimate.total);
        for line in &estimate.lines {
            let product = line.rate.times(line.quantity).unwrap().rounded(euro());
            prop_assert_eq!(product, line.amount, "{:?}", line);
        }
        let explained: usize = Stage::ALL
            .into_iter()
            .map(|stage| prepared.explain(&estimate, stage).len())
            .sum();
        prop_assert_eq!(explained, estimate.lines.len());
    }

    #[test]
    fn more_work_never_costs_less(
        asked in asked_operations(), kind in any::<bool>(), quantity in 1u64..30_000, more in 1u32..200
    ) {
        let plain = made(&asked, kind);
        let before = total(&plain, quantity);
        // One operation fewer, a dearer rate, more spoilage, more copies.
        let mut fewer = plain.clone();
        fewer.1.finishes.pop();
        prop_assert!(total(&fewer, quantity) <= before);
        let mut dearer = plain.clone();
        let own = &mut dearer.0.finishing.further[0].operation;
        let price = Money::new(own.set_up.value.amount() + Decimal::new(more.into(), 2));
        own.set_up = given(price);
        own.hourly_rate = own.hourly_rate.map(|r| given(r.value + price));
        prop_assert!(total(&dearer, quantity) >= before);
        let mut spoilt = plain.clone();
        let own = &mut spoilt.0.finishing.further[0].operation;
        own.set_up_spoilage = given(own.set_up_spoilage.value + u64::from(more));
        own.run_spoilage = percent(own.run_spoilage.value.percent() + f64::from(more % 9) / 2.0);
        prop_assert!(total(&spoilt, quantity) >= before);
        prop_assert!(total(&plain, quantity + u64::from(more)) >= before);
    }
}
