//! Facts of the trade (common practice, no source) that every estimate has to show.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{
    BreakEven, CannotPrint, InkKind, PartInks, Pricer, PrintPlan, Stage, estimate,
};
use inkset_layout::{FormSide, WorkStyle};
use inkset_spec::{Effect, Given, Job, PaperPrice, ProductKind, Profit, RateCard};
use inkset_units::{Currency, Gsm, Percent};
use support::{
    FOUR, all_pages, booklet, card, euro, flyer, four_colour_flyer, given, inks, job, money,
    orange_flyer, page, part, percent, plan, press, size, stock,
};

fn one_press(units: u32) -> RateCard {
    RateCard {
        presses: vec![press("press", units)],
        ..card()
    }
}

fn one_sided(plan: &PrintPlan) -> PrintPlan {
    let front = plan.parts[0].pages[..1].to_vec();
    PrintPlan {
        parts: vec![PartInks { pages: front }],
        inks: plan.inks.clone(),
    }
}

fn passes_and_plates(card: &RateCard, plan: &PrintPlan) -> (u32, u32, usize) {
    let estimate = estimate(&flyer(), card, plan, 5_000).unwrap();
    let part = &estimate.parts[0];
    (estimate.passes(), part.plates, part.sections[0].runs.len())
}

#[test]
fn fifth_ink_costs_a_second_pass() {
    let front = one_sided(&orange_flyer());
    assert_eq!(passes_and_plates(&one_press(4), &front), (2, 5, 2));
    assert_eq!(passes_and_plates(&one_press(5), &front), (1, 5, 1));
    let four = one_sided(&four_colour_flyer());
    assert_eq!(passes_and_plates(&one_press(4), &four), (1, 4, 1));
}

#[test]
fn further_pass_is_dearer_than_a_fifth_unit() {
    let total = |units| {
        estimate(&flyer(), &one_press(units), &orange_flyer(), 5_000)
            .unwrap()
            .total
    };
    assert!(total(5) < total(4));
}

#[test]
fn coater_prints_no_ink() {
    let mut with_coater = one_press(4);
    with_coater.presses[0].coater = given(true);
    let front = one_sided(&orange_flyer());
    assert_eq!(passes_and_plates(&with_coater, &front), (2, 5, 2));
}

#[test]
fn work_and_turn_shares_its_plates() {
    let estimate = estimate(&flyer(), &one_press(4), &four_colour_flyer(), 5_000).unwrap();
    let chosen = &estimate.parts[0].sections[0];
    assert_eq!(chosen.style, WorkStyle::WorkAndTurn);
    assert_eq!(estimate.parts[0].plates, 4);
    let other = estimate.runner_up.unwrap();
    // Tumbling shares them too, but holds fewer here.
    assert_eq!(other.choice.sections[0].style, WorkStyle::WorkAndTumble);
    assert!(other.choice.sections[0].up < chosen.up);
    assert_eq!(other.choice.plates, 4);
    assert!(other.total >= estimate.total);
}

#[test]
fn perfecting_prints_both_sides_at_once() {
    let mut card = one_press(8);
    card.presses[0].perfecting = given(true);
    // Both long edges are gripped, so eight up need a deeper sheet; plates so cheap that one pass pays.
    card.stocks[0].sheets = vec![given(size(640.0, 460.0))];
    card.presses[0].plate_price = given(money("0.10"));
    let estimate = estimate(&flyer(), &card, &four_colour_flyer(), 400_000).unwrap();
    let section = &estimate.parts[0].sections[0];
    assert_eq!(section.style, WorkStyle::Perfecting);
    assert_eq!(section.runs.len(), 1);
    assert_eq!(section.runs[0].side, FormSide::Both);
    assert_eq!(section.runs[0].inks.len(), 8);
}

#[test]
fn solid_on_the_cover_costs_a_unit_there_only() {
    let solid = ("orange", InkKind::Solid);
    let mut cover = all_pages(4, &FOUR);
    cover.pages[0] = page(1, &[(0, 0.2), (1, 0.2), (2, 0.2), (3, 0.1), (4, 0.3)]);
    let with_solid = plan(inks(&[solid]), vec![cover, all_pages(16, &FOUR)]);
    let without = plan(inks(&[]), vec![all_pages(4, &FOUR), all_pages(16, &FOUR)]);
    let card = one_press(5);
    let job = booklet(16);
    let pricer = Pricer::new(&job, &card).unwrap();
    let (with_solid, without) = (
        pricer.estimate(&with_solid, 3_000).unwrap(),
        pricer.estimate(&without, 3_000).unwrap(),
    );
    assert_eq!(with_solid.parts[0].units_needed, 5);
    assert_eq!(with_solid.parts[1].units_needed, 4);
    assert_eq!(with_solid.parts[1], without.parts[1]);
    assert!(with_solid.total > without.total);
}

#[test]
fn solid_may_replace_process_inks() {
    let two = plan(
        inks(&[("green", InkKind::Solid)]),
        vec![all_pages(2, &[(3, 0.05), (4, 0.10)])],
    );
    let estimate = estimate(&flyer(), &one_press(2), &two, 2_000).unwrap();
    assert_eq!((estimate.units_needed(), estimate.passes()), (2, 1));
    let named: Vec<&str> = estimate
        .lines
        .iter()
        .filter(|line| line.stage == Stage::Ink)
        .map(|line| line.item.split(':').next().unwrap())
        .collect();
    assert_eq!(named, ["black", "green"], "inks not printed are not paid");
}

#[test]
fn one_tin_serves_all_parts() {
    let solid = [(4, 0.02)];
    let both = plan(
        inks(&[("orange", InkKind::Solid)]),
        vec![all_pages(4, &solid), all_pages(16, &solid)],
    );
    let estimate = estimate(&booklet(16), &one_press(4), &both, 500).unwrap();
    let bought: Vec<String> = estimate
        .lines
        .iter()
        .filter(|line| line.stage == Stage::Ink)
        .map(|line| line.quantity.to_string())
        .collect();
    assert_eq!(bought.len(), 1, "{bought:?}");
}

#[test]
fn effect_inks_are_dearer_to_wash() {
    let wash = |kind| {
        let plan = plan(
            inks(&[("gold", kind)]),
            vec![PartInks {
                pages: vec![page(1, &[(4, 0.2)])],
            }],
        );
        estimate(&flyer(), &one_press(4), &plan, 1_000)
            .unwrap()
            .of_stage(Stage::WashUp)
    };
    assert_eq!(wash(InkKind::Solid), money("30.00"));
    assert_eq!(wash(InkKind::Effect(Effect::Metallic)), money("60.00"));
}

#[test]
fn process_inks_are_not_washed_out() {
    let estimate = estimate(&flyer(), &one_press(4), &four_colour_flyer(), 1_000).unwrap();
    assert!(
        estimate
            .lines
            .iter()
            .all(|line| line.stage != Stage::WashUp)
    );
}

#[test]
fn paper_is_paid_as_the_card_says() {
    // 1,000 sheets of 450 x 640 mm at 135 g/m2 are 38.88 kg, 0.857 hundredweights, 2 reams.
    for (price, quantity, amount) in [
        (PaperPrice::Tonne(money("1000")), "38.88", "38.88"),
        (PaperPrice::ThousandSheets(money("40.10")), "1", "40.10"),
        (PaperPrice::Hundredweight(money("100")), "0.857", "85.70"),
        (PaperPrice::Ream(money("21.05")), "2", "42.10"),
        (
            PaperPrice::Supplied {
                handling: money("5"),
            },
            "1",
            "5.00",
        ),
    ] {
        let mut card = one_press(4);
        card.stocks[0].price = given(price);
        let estimate = estimate(&flyer(), &card, &orange_flyer(), 5_000).unwrap();
        let line = &estimate.lines[0];
        assert_eq!(line.quantity.to_string(), quantity, "{price:?}");
        assert_eq!(line.amount.to_text(euro()), amount, "{price:?}");
    }
}

#[test]
fn published_paper_price_is_met() {
    // Row P17: SRA2 at 150 g/m2 and 1,000 per tonne costs 43.20 per 1,000 sheets.
    let mut card = one_press(4);
    card.stocks[0].gsm = given(Gsm::new(150.0).unwrap());
    card.stocks[0].pack = given(1_000);
    let estimate = estimate(&flyer(), &card, &orange_flyer(), 5_000).unwrap();
    assert_eq!(estimate.of_stage(Stage::Paper), money("43.20"));
}

#[test]
fn margin_is_a_share_of_the_price() {
    let mut card = one_press(4);
    card.profit = given(Profit::Margin(Percent::new(25.0).unwrap()));
    card.round_total_to = given(money("0"));
    let estimate = estimate(&flyer(), &card, &four_colour_flyer(), 5_000).unwrap();
    let profit = estimate.of_stage(Stage::Profit).amount();
    let quarter = estimate.total.amount() / rust_decimal::Decimal::from(4);
    assert!((profit - quarter).abs() <= rust_decimal::Decimal::new(1, 2));
}

#[test]
fn reprint_saves_the_plates_and_the_profit_on_them() {
    let mut card = one_press(4);
    card.round_total_to = given(money("0"));
    let estimate = estimate(&flyer(), &card, &four_colour_flyer(), 5_000).unwrap();
    // Four plates at 8.00 and a mark-up of 20 %.
    assert_eq!(estimate.of_stage(Stage::Plates), money("32.00"));
    assert_eq!(estimate.total - estimate.reprint, money("38.40"));
}

#[test]
fn run_on_is_the_price_of_a_thousand_more() {
    let pencil = |quantity| estimate(&flyer(), &card(), &orange_flyer(), quantity).unwrap();
    let (less, more) = (pencil(5_000), pencil(6_000));
    assert_eq!(less.run_on, more.total - less.total);
}

#[test]
fn published_leeway_is_met() {
    // Row C2 of tests/reference/costing/worked_examples.csv: 500 ordered at 5 %, 475 to 525 may be delivered.
    let estimate = estimate(&flyer(), &card(), &orange_flyer(), 500).unwrap();
    assert_eq!(
        [500 - estimate.leeway.copies, 500 + estimate.leeway.copies],
        [475, 525]
    );
    let each = estimate.run_on.amount() / rust_decimal::Decimal::ONE_THOUSAND;
    let amount = inkset_units::Money::new(each * rust_decimal::Decimal::from(25));
    assert_eq!(estimate.leeway.amount, amount.rounded(euro()));
}

#[test]
fn break_even_is_where_the_totals_change_places() {
    // One dear ink against four: one plate and less make-ready, but more ink for each sheet.
    let solid = one_sided(&plan(
        inks(&[("orange", InkKind::Solid)]),
        vec![all_pages(2, &[(4, 0.9)])],
    ));
    let four = one_sided(&four_colour_flyer());
    let mut card = one_press(4);
    card.inks.solid.price_per_kg = given(money("60.00"));
    card.inks.solid.smallest_order_kg = given(0.1);
    card.presses[0].wash_up_minutes = given(0.0);
    let job = flyer();
    let pricer = Pricer::new(&job, &card).unwrap();
    let pairs = pricer.break_evens(&[&solid, &four]).unwrap();
    let BreakEven::At(crossings) = &pairs[0].break_even else {
        panic!("{pairs:?}");
    };
    let (solid, four) = (
        pricer.prepare(&solid).unwrap(),
        pricer.prepare(&four).unwrap(),
    );
    let lower = |quantity| four.total(quantity).unwrap() < solid.total(quantity).unwrap();
    for crossing in crossings {
        assert_eq!(
            lower(crossing.first),
            crossing.second_is_lower,
            "{crossing:?}"
        );
        assert_ne!(
            lower(crossing.first - 1),
            crossing.second_is_lower,
            "{crossing:?}"
        );
        assert_eq!(
            lower(crossing.settled),
            crossing.second_is_lower,
            "{crossing:?}"
        );
    }
}

#[test]
fn overs_are_printed_too() {
    let mut job = flyer();
    job.overs = percent(10.0);
    let estimate = estimate(&job, &one_press(4), &four_colour_flyer(), 5_000).unwrap();
    assert_eq!((estimate.quantity, estimate.delivered), (5_000, 5_500));
    let packed = estimate
        .lines
        .iter()
        .rfind(|l| l.item == "packing")
        .unwrap();
    assert_eq!(packed.quantity.to_string(), "5.5");
}

#[test]
fn large_sheets_are_cut_for_small_presses() {
    let mut card = one_press(4);
    card.stocks[0].sheets = vec![given(size(640.0, 900.0))];
    let estimate = estimate(&flyer(), &card, &four_colour_flyer(), 5_000).unwrap();
    let part = &estimate.parts[0];
    assert_eq!(
        (part.sheet.size, part.sheet.per_parent),
        (size(640.0, 450.0), 2)
    );
    assert_eq!(part.parent_sheets, part.press_sheets.div_ceil(2));
    let cuts = estimate.lines.iter().filter(|l| l.stage == Stage::Cutting);
    assert_eq!(cuts.count(), 4, "two operations, each with its set-up");
}

fn refused(job: &Job, card: &RateCard, plan: &PrintPlan) -> CannotPrint {
    estimate(job, card, plan, 1_000).unwrap_err()
}

#[test]
fn posters_too_big_say_by_how_much() {
    // Usable 630 x 435; the poster with bleed needs 606 x 447.
    let poster = job(
        ProductKind::Flat,
        size(600.0, 441.0),
        vec![part("poster", 1)],
    );
    let plan = one_sided(&four_colour_flyer());
    match refused(&poster, &one_press(4), &plan) {
        CannotPrint::TooBig {
            shortfall_mm,
            press,
            ..
        } => {
            assert!((shortfall_mm - 12.0).abs() < 1e-9, "{shortfall_mm}");
            assert_eq!(press, "press");
        }
        other => panic!("{other}"),
    }
}

#[test]
fn impossible_jobs_say_why() {
    let (job, plan) = (flyer(), orange_flyer());
    let mut no_cut = one_press(4);
    no_cut.finishing.cut = None;
    let refusal = refused(&job, &no_cut, &plan);
    assert_eq!(refusal, CannotPrint::NoOperation { operation: "cut" });

    let mut heavy = one_press(4);
    heavy.stocks[0].gsm = given(Gsm::new(500.0).unwrap());
    assert!(matches!(
        refused(&job, &heavy, &plan),
        CannotPrint::PaperWeight { .. }
    ));

    let mut tiny = one_press(4);
    tiny.stocks[0].sheets = vec![given(size(200.0, 200.0))];
    assert!(matches!(
        refused(&job, &tiny, &plan),
        CannotPrint::NoSheetFitsPress { .. }
    ));

    let mut dollars = one_press(4);
    dollars.currency = given(Currency::from_code("USD").unwrap());
    let refusal = refused(&job, &dollars, &plan);
    assert_eq!(
        refusal,
        CannotPrint::Currency {
            job: "EUR",
            card: "USD"
        }
    );

    let mut other = one_press(4);
    other.stocks = vec![stock("matt-150")];
    assert!(matches!(
        refused(&job, &other, &plan),
        CannotPrint::UnknownStock { .. }
    ));
}

#[test]
fn inks_without_a_rate_are_not_priced() {
    let fluorescent = plan(
        inks(&[("glow", InkKind::Effect(Effect::Fluorescent))]),
        vec![all_pages(2, &[(4, 0.1)])],
    );
    let refusal = refused(&flyer(), &one_press(4), &fluorescent);
    assert_eq!(
        refusal.to_string(),
        "the rate card has no rate for ink `glow`"
    );
    let mut named = orange_flyer();
    named.inks[4].named_rate = Some("warm orange".to_owned());
    assert!(
        refused(&flyer(), &one_press(4), &named)
            .to_string()
            .contains("`warm orange`")
    );
    let mut card = one_press(4);
    let rate = card.inks.solid.clone();
    card.inks.named = vec![(Given::assumed("warm orange".to_owned()), rate)];
    assert!(estimate(&flyer(), &card, &named, 1_000).is_ok());
}

#[test]
fn absurd_quantities_are_refused() {
    for quantity in [0, u64::MAX] {
        let answer = estimate(&flyer(), &card(), &orange_flyer(), quantity);
        assert!(matches!(answer, Err(CannotPrint::Quantity { .. })));
    }
}

#[test]
fn booklets_split_into_signatures() {
    let mut card = one_press(4);
    card.presses[0].largest_sheet = given(size(1020.0, 720.0));
    card.stocks[0].sheets = vec![given(size(640.0, 900.0))];
    let plan = plan(inks(&[]), vec![all_pages(4, &FOUR), all_pages(28, &FOUR)]);
    let estimate = estimate(&booklet(28), &card, &plan, 3_000).unwrap();
    let text = &estimate.parts[1];
    let pages: u32 = text.sections.iter().map(|s| s.pages * s.count).sum();
    assert_eq!(pages, 28);
    let stitched = estimate
        .lines
        .iter()
        .filter(|l| l.stage == Stage::Stitching);
    assert_eq!(stitched.count(), 2);
}
