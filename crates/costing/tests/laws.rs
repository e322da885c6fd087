//! Laws that hold for every card, job and ink set.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{CannotPrint, CostLine, InkKind, Pricer, PrintPlan, Stage, Unit, estimate};
use inkset_spec::{
    Effect, FileRole, HandFigure, Job, Override, PaperPrice, Place, Printing, ProductKind, Profit,
    RateCard, SpoilageStep,
};
use inkset_units::{Money, Percent};
use proptest::prelude::*;
use rust_decimal::Decimal;
use support::{
    all_pages, booklet, card, euro, flyer, given, inks, job, page, part, percent, plan, press,
    size, speed,
};

/// What a random case is made of; every choice is a small number so that failures shrink well.
#[derive(Debug, Clone)]
struct Case {
    units: u32,
    perfecting: u8,
    steps: [u32; 3],
    speeds: [u32; 3],
    pack: u64,
    profit: u32,
    kind: u8,
    inks: [u8; 6],
    quantity: u64,
    cents: u32,
}

fn cases() -> impl Strategy<Value = Case> {
    let press = (
        1u32..9,
        0u8..2,
        [0u32..90, 0..90, 0..90],
        [2u32..20, 2..20, 2..20],
    );
    let job = (
        0u8..4,
        [0u8..16, 0..16, 0..16, 0..16, 0..16, 0..16],
        1u64..40_000,
    );
    (press, job, 1u64..600, 0u32..60, 1u32..2_000).prop_map(
        |((units, perfecting, steps, speeds), (kind, inks, quantity), pack, profit, cents)| Case {
            units,
            perfecting,
            steps,
            speeds,
            pack,
            profit,
            kind,
            inks,
            quantity,
            cents,
        },
    )
}

impl Case {
    fn card(&self) -> RateCard {
        let mut card = card();
        let press = &mut card.presses[0];
        press.units = given(self.units);
        press.perfecting = given(self.perfecting == 1);
        press.hourly_rate = given(self.cents_as_money(7_919));
        let [a, b, c] = self.speeds.map(|s| f64::from(s) * 750.0);
        press.speeds = vec![speed(Some(700), a), speed(Some(4_000), b), speed(None, c)];
        press.largest_sheet = given(size(1020.0, 720.0));
        let [a, b, c] = self.steps.map(|s| percent(f64::from(s) / 10.0));
        card.run_spoilage.steps = [(Some(300), a), (Some(2_000), b), (None, c)]
            .map(|(up_to, percent)| SpoilageStep { up_to, percent })
            .to_vec();
        card.stocks[0].pack = given(self.pack);
        card.stocks[0].sheets = vec![given(size(640.0, 900.0))];
        card.inks.solid.price_per_kg = given(self.cents_as_money(1_009));
        let profit = Percent::new(f64::from(self.profit)).unwrap();
        card.profit = given(if self.cents.is_multiple_of(2) {
            Profit::MarkUp(profit)
        } else {
            Profit::Margin(profit)
        });
        card
    }

    /// Some amount in euro with three decimals, so that rounding has something to do.
    fn cents_as_money(&self, base: u32) -> Money {
        Money::new(Decimal::new(i64::from(base + self.cents * 13), 3))
    }

    fn job(&self) -> Job {
        match self.kind {
            0 => flyer(),
            1 => job(
                ProductKind::Folded,
                size(99.0, 210.0),
                vec![part("leaflet", 6)],
            ),
            2 => booklet(12),
            _ => booklet(28),
        }
    }

    /// Six inks, four process, a solid and a metallic, each on the sides that its number says.
    fn plan(&self) -> PrintPlan {
        let more = [
            ("orange", InkKind::Solid),
            ("silver", InkKind::Effect(Effect::Metallic)),
        ];
        let job = self.job();
        let part_inks = |(n, part): (usize, &inkset_spec::Part)| {
            let wanted = |side: usize| {
                let on = move |ink: &usize| self.inks[*ink] >> (side + 2 * n.min(1)) & 1 == 1;
                let share = |ink: usize| (ink as u16, 0.05 + 0.1 * ink as f64);
                (0..6).filter(on).map(share).collect::<Vec<_>>()
            };
            let pages = part.pages.value;
            let mut all = all_pages(pages, &wanted(0));
            for back in (1..=pages).filter(|p| p % 4 >= 2) {
                all.pages[back as usize - 1] = page(back, &wanted(1));
            }
            all
        };
        let parts = job.parts.iter().enumerate().map(part_inks).collect();
        plan(inks(&more), parts)
    }

    fn total(&self, card: &RateCard, quantity: u64) -> Money {
        estimate(&self.job(), card, &self.plan(), quantity)
            .unwrap()
            .total
    }
}

/// An override of exactly this line.
fn by_hand(line: &CostLine, figure: HandFigure) -> Override {
    Override {
        place: NOWHERE,
        line: given(line.stage.name().to_owned()),
        part: line.part,
        item: Some(given(line.item.clone())),
        option: None,
        copies: None,
        figure,
        why: None,
    }
}

/// Where nothing was written.
const NOWHERE: Place = Place {
    file: FileRole::Job,
    start: 0,
    end: 1,
    line: 1,
    column: 1,
};

/// Nothing set yet for a part.
fn printing(part: usize) -> Printing {
    Printing {
        place: NOWHERE,
        part,
        press: None,
        sheet: None,
        style: None,
        up: None,
        make_ready_sheets: None,
        why: None,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_computed_way_set_by_hand_changes_nothing(case in cases()) {
        let (mut job, card, plan) = (case.job(), case.card(), case.plan());
        let computed = estimate(&job, &card, &plan, case.quantity).unwrap();
        for part in &computed.parts {
            let same_up = part.sections.iter().map(|s| s.up).max();
            job.printing.push(Printing {
                press: Some(given(part.press.clone())),
                sheet: Some(given(part.sheet.size)),
                up: same_up.map(given),
                ..printing(part.part)
            });
        }
        let set = estimate(&job, &card, &plan, case.quantity).unwrap();
        prop_assert_eq!(set.total, computed.total);
    }

    #[test]
    fn ways_set_by_hand_are_kept_and_no_cheaper(case in cases(), up in 0u32..9, style in 0usize..5) {
        let (mut job, card, plan) = (case.job(), case.card(), case.plan());
        let computed = case.total(&card, case.quantity);
        let styles = ["sheetwise", "work-and-turn", "work-and-tumble", "perfecting"];
        job.printing.push(Printing {
            up: (up > 0).then(|| given(up)),
            style: styles.get(style).map(|style| given(*style)),
            ..printing(0)
        });
        match estimate(&job, &card, &plan, case.quantity) {
            Ok(set) => {
                let sections = &set.parts[0].sections;
                // Fewer up than fit are none of the computed ways, and need a little less ink to make ready.
                if up == 0 {
                    prop_assert!(set.total >= computed);
                    return Ok(());
                }
                prop_assert!(sections.iter().all(|s| s.up <= up));
                prop_assert!(sections.iter().any(|s| s.up == up));
            }
            Err(why) => {
                let by_hand = matches!(why, CannotPrint::NotByHand { .. } | CannotPrint::InksNotByHand { .. });
                prop_assert!(by_hand, "{why}");
            }
        }
    }

    #[test]
    fn sheets_of_make_ready_set_by_hand_are_counted(case in cases(), sheets in 0u64..500) {
        let (mut job, card, plan) = (case.job(), case.card(), case.plan());
        job.printing.push(Printing {
            make_ready_sheets: Some(given(sheets)),
            ..printing(0)
        });
        let set = estimate(&job, &card, &plan, case.quantity).unwrap();
        for run in set.parts[0].sections.iter().flat_map(|s| &s.runs) {
            let expected = if run.makes_ready { sheets } else { 0 };
            prop_assert_eq!(run.make_ready_sheets, expected);
        }
    }

    #[test]
    fn lines_sum_to_the_last_cent(case in cases()) {
        let estimate = estimate(&case.job(), &case.card(), &case.plan(), case.quantity).unwrap();
        let sum: Money = estimate.lines.iter().map(|line| line.amount).sum();
        prop_assert_eq!(sum, estimate.total);
        for line in &estimate.lines {
            let product = line.rate.times(line.quantity).unwrap().rounded(euro());
            prop_assert_eq!(product, line.amount, "{:?}", line);
            let share = matches!(line.unit, Unit::TimesCost | Unit::TimesPrice);
            let decimals = if share { 8 } else { 3 };
            prop_assert!(line.quantity.scale() <= decimals, "{:?}", line);
        }
        prop_assert!(estimate.lines.is_sorted_by_key(|line| line.stage));
        if let Some(runner_up) = &estimate.runner_up {
            prop_assert!(runner_up.total >= estimate.total);
        }
    }

    #[test]
    fn computed_figures_set_by_hand_change_nothing(case in cases(), which in 0usize..40, figure in 0u8..3) {
        let (mut job, card, plan) = (case.job(), case.card(), case.plan());
        let computed = estimate(&job, &card, &plan, case.quantity).unwrap();
        let lines = computed.lines.iter().filter(|l| l.stage < Stage::Profit).collect::<Vec<_>>();
        let line = lines[which % lines.len()];
        job.overrides.push(by_hand(line, match figure {
            0 => HandFigure::Quantity(line.quantity),
            1 => HandFigure::Rate(line.rate),
            _ => HandFigure::Amount(line.amount),
        }));
        let set = estimate(&job, &card, &plan, case.quantity).unwrap();
        prop_assert_eq!(set.total, computed.total);
        prop_assert_eq!(set.lines.iter().filter(|l| l.by_hand.is_some()).count(), 1);
        for (one, other) in set.lines.iter().zip(&computed.lines) {
            prop_assert_eq!((one.quantity, one.rate, one.amount), (other.quantity, other.rate, other.amount));
        }
    }

    #[test]
    fn breakdowns_set_by_hand_add_up(case in cases(), which in 0usize..40, cents in 0i64..1_000_000, total in 0u8..2) {
        let (mut job, card, plan) = (case.job(), case.card(), case.plan());
        let computed = estimate(&job, &card, &plan, case.quantity).unwrap();
        let amount = Money::new(Decimal::new(cents, 2));
        let line = &computed.lines[which % computed.lines.len()];
        let mut set = by_hand(line, HandFigure::Amount(amount));
        if total == 1 {
            set.line = given("total".to_owned());
            (set.part, set.item) = (None, None);
        }
        job.overrides.push(set);
        let found = estimate(&job, &card, &plan, case.quantity).unwrap();
        let sum: Money = found.lines.iter().map(|line| line.amount).sum();
        prop_assert_eq!(sum, found.total);
        let hand: Vec<_> = found.lines.iter().filter_map(|l| Some((l, l.by_hand.as_ref()?))).collect();
        prop_assert_eq!(hand.len(), 1, "{:?}", found.lines);
        if total == 1 {
            prop_assert_eq!(found.total, amount);
            prop_assert_eq!(hand[0].1.amount, computed.total);
        } else if line.stage != Stage::Rounding {
            prop_assert_eq!((hand[0].0.amount, hand[0].1.amount), (amount, line.amount));
        }
        let quick = Pricer::new(&job, &card).unwrap();
        let quick = quick.totals(&[plan], &[case.quantity]).remove(0).unwrap();
        prop_assert_eq!(quick, vec![found.total]);
    }

    #[test]
    fn explanations_lead_to_the_lines(case in cases()) {
        let (job, card, plan) = (case.job(), case.card(), case.plan());
        let pricer = Pricer::new(&job, &card).unwrap();
        let prepared = pricer.prepare(&plan).unwrap();
        let estimate = prepared.estimate(case.quantity).unwrap();
        let mut explained = 0;
        for stage in Stage::ALL {
            for explanation in prepared.explain(&estimate, stage) {
                explained += 1;
                let line = &explanation.line;
                let result = |step: &String| -> Option<f64> {
                    let figure = step.replace('\u{a0}', "");
                    let word = figure.rsplit(['=', ':']).next()?.split_whitespace().next()?.to_owned();
                    word.parse().ok()
                };
                let steps = &explanation.steps;
                let wanted: f64 = line.quantity.to_string().parse().unwrap();
                match stage {
                    Stage::MakeReady | Stage::WashUp | Stage::Press => {
                        let hours = result(&steps[steps.len() - 2]).unwrap();
                        prop_assert!((hours - wanted).abs() < 0.000_502, "{:?}", explanation);
                    }
                    Stage::Ink => {
                        let used = steps.iter().find(|step| step.starts_with("used")).unwrap();
                        let used = result(used).unwrap();
                        if line.formula == "ink-from-stock" {
                            prop_assert!((used - wanted).abs() < 1e-9, "{:?}", explanation);
                        }
                        prop_assert!(used < wanted + 1e-9, "{:?}", explanation);
                    }
                    Stage::Paper => {
                        let weight = result(&steps[steps.len() - 2]).unwrap();
                        prop_assert!((weight - wanted).abs() < 0.000_502, "{:?}", explanation);
                    }
                    _ => prop_assert!(!steps.is_empty()),
                }
            }
        }
        prop_assert_eq!(explained, estimate.lines.len());
    }

    #[test]
    fn quick_totals_are_the_estimates(case in cases()) {
        let (job, card, plans) = (case.job(), case.card(), [case.plan()]);
        let quantities = [1, case.quantity, 2 * case.quantity];
        let pricer = Pricer::new(&job, &card).unwrap();
        let quick = pricer.totals(&plans, &quantities).remove(0).unwrap();
        for (quantity, total) in quantities.iter().zip(quick) {
            prop_assert_eq!(pricer.estimate(&plans[0], *quantity).unwrap().total, total);
        }
    }

    #[test]
    fn runs_chain_backwards(case in cases()) {
        let estimate = estimate(&case.job(), &case.card(), &case.plan(), case.quantity).unwrap();
        for part in &estimate.parts {
            let mut sheets = 0;
            for section in &part.sections {
                for n in 0..section.count as usize {
                    let runs: Vec<_> = section.runs.iter().filter(|r| r.section == n).collect();
                    for pair in runs.windows(2) {
                        prop_assert_eq!(pair[0].good_sheets, pair[1].running_sheets + pair[1].make_ready_sheets);
                    }
                    sheets += runs.first().map_or(0, |r| r.running_sheets + r.make_ready_sheets);
                }
            }
            if part.units_needed > 0 && part.sections.iter().all(|s| !s.runs.is_empty()) {
                prop_assert!(sheets <= part.press_sheets);
            }
            prop_assert!(part.bought_sheets >= part.parent_sheets);
        }
    }

    #[test]
    fn dearer_paper_never_lowers_a_total(case in cases(), more in 0u32..5_000) {
        let cheap = case.card();
        let mut dear = cheap.clone();
        let PaperPrice::Tonne(price) = cheap.stocks[0].price.value else {
            return Err(TestCaseError::fail("the card pays paper by the tonne"));
        };
        dear.stocks[0].price = given(PaperPrice::Tonne(price + Money::new(Decimal::new(i64::from(more), 2))));
        prop_assert!(case.total(&dear, case.quantity) >= case.total(&cheap, case.quantity));
    }

    #[test]
    fn more_copies_never_cost_less(case in cases(), more in 0u64..3_000) {
        let card = case.card();
        prop_assert!(case.total(&card, case.quantity + more) >= case.total(&card, case.quantity));
    }

    #[test]
    fn one_more_unit_never_raises_the_price(case in cases()) {
        let card = case.card();
        let mut larger = card.clone();
        larger.presses[0].units = given(case.units + 1);
        prop_assert!(case.total(&larger, case.quantity) <= case.total(&card, case.quantity));
    }

    #[test]
    fn one_more_press_never_raises_the_price(case in cases(), units in 1u32..9) {
        let card = case.card();
        let mut more = card.clone();
        more.presses.push(press("another", units));
        prop_assert!(case.total(&more, case.quantity) <= case.total(&card, case.quantity));
    }

    #[test]
    fn one_more_parent_sheet_never_raises_the_price(case in cases(), long in 650.0f64..1000.0) {
        let card = case.card();
        let mut more = card.clone();
        more.stocks[0].sheets.push(given(size(long, 640.0)));
        prop_assert!(case.total(&more, case.quantity) <= case.total(&card, case.quantity));
    }

    #[test]
    fn one_more_ink_never_lowers_the_price(case in cases(), ink in 0usize..6) {
        let card = case.card();
        let mut more = case.clone();
        more.inks[ink] |= 1;
        prop_assert!(more.total(&card, case.quantity) >= case.total(&card, case.quantity));
    }
}
