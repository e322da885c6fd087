//! Sets whose parts carry one image: plates that stay on the press while the paper changes.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::{
    CostLine, Estimate, InkKind, OwnPlates, PartInks, Pricer, PrintPlan, Stage, estimate,
};
use inkset_spec::{Job, Printing, ProductKind, RateCard};
use proptest::prelude::*;
use rust_decimal::Decimal;
use support::*;

/// A5 leaves on one side; all but the first from its plates, with plates of their own for some inks.
fn set(parts: usize, changed: &[&str]) -> Job {
    let leaf = |n: usize| {
        let mut part = part(["top", "middle", "bottom"][n], 1);
        if n > 0 {
            part.plates_of = Some(given("top".to_owned()));
            part.changed_inks = changed.iter().map(|ink| given((*ink).to_owned())).collect();
            part.changed_pages = vec![1];
        }
        part
    };
    job(
        ProductKind::Set,
        size(148.0, 210.0),
        (0..parts).map(leaf).collect(),
    )
}

/// Black and a green on every front.
fn green(parts: usize) -> PrintPlan {
    let front = all_pages(1, &[(BLACK, 0.05), (4, 0.1)]);
    plan(inks(&[("green", InkKind::Solid)]), vec![front; parts])
}

fn quick_paper() -> RateCard {
    let mut card = card();
    card.presses[0].paper_change_minutes = Some(given(5.0));
    card.presses[0].paper_change_sheets = Some(given(15));
    card
}

fn lines(estimate: &Estimate, stage: Stage, part: usize) -> Vec<&CostLine> {
    let own = |line: &&CostLine| line.stage == stage && line.part == Some(part);
    estimate.lines.iter().filter(own).collect()
}

fn hours(estimate: &Estimate, part: usize) -> Vec<String> {
    let lines = lines(estimate, Stage::MakeReady, part).into_iter();
    lines
        .map(|line| line.quantity.normalize().to_string())
        .collect()
}

#[test]
fn plates_are_made_once() {
    let found = estimate(&set(3, &[]), &quick_paper(), &green(3), 1_000).unwrap();
    let plates: Vec<u32> = found.parts.iter().map(|part| part.plates).collect();
    assert_eq!(plates, [2, 0, 0]);
    // Ready for two inks 10 + 2 × 2 = 14 minutes, then twice 5 for the paper.
    assert_eq!(hours(&found, 0), ["0.233"]);
    assert_eq!(hours(&found, 1), ["0.083"]);
    assert_eq!(hours(&found, 2), ["0.083"]);
    let told = lines(&found, Stage::Plates, 1);
    assert_eq!(told[0].item, "plates, those of top stay on");
    assert_eq!(
        (told[0].quantity, told[0].amount),
        (Decimal::ZERO, money("0"))
    );
    let told = found.parts[1].to_string();
    assert!(
        told.ends_with("plates of top stay on; paper changed, 5 min"),
        "{told}"
    );
    // The green is lost in its unit once: 0.2 kg.
    let plan = green(3);
    let (job, card) = (set(3, &[]), quick_paper());
    let pricer = Pricer::new(&job, &card).unwrap();
    let used = pricer.prepare(&plan).unwrap().ink_used(&found);
    let lost: f64 = used
        .iter()
        .filter(|ink| ink.ink.0 == 4)
        .map(|ink| ink.lost)
        .sum();
    assert!((lost - 0.2).abs() < 1e-12, "{lost}");
}

#[test]
fn changed_inks_have_plates_of_their_own() {
    let mut job = set(3, &["Black"]);
    job.proofs.forms = given(1);
    let mut card = quick_paper();
    card.proof.form = Some(given(money("30.00")));
    let found = estimate(&job, &card, &green(3), 1_000).unwrap();
    let plates: Vec<u32> = found.parts.iter().map(|part| part.plates).collect();
    assert_eq!(plates, [2, 1, 1]);
    // 5 for the paper and 4 for the plate; 15 sheets and 12.
    assert_eq!(hours(&found, 1), ["0.15"]);
    assert_eq!(found.parts[1].sections[0].runs[0].make_ready_sheets, 27);
    let item = &lines(&found, Stage::Plates, 1)[0].item;
    assert_eq!(item, "plates, 1 form × 1 ink; the others of top stay on");
    assert_eq!(lines(&found, Stage::Proofs, 2)[0].quantity, Decimal::ONE);
    job.parts[2].changed_inks.clear();
    let found = estimate(&job, &card, &green(3), 1_000).unwrap();
    assert!(
        lines(&found, Stage::Proofs, 2).is_empty(),
        "the same form is proofed once"
    );
}

#[test]
fn another_image_has_another_plate() {
    // Nothing is said of black, but the middle has more of it: it cannot be the same plate.
    let mut plan = green(2);
    plan.parts[1] = all_pages(1, &[(BLACK, 0.06), (4, 0.1)]);
    let found = estimate(&set(2, &[]), &quick_paper(), &plan, 1_000).unwrap();
    assert_eq!(found.parts[1].plates, 1);
    assert_eq!(found.parts[1].kept.as_ref().unwrap().unasked, ["black"]);
    // An ink less needs no plate, an ink more all of them.
    plan.parts[1] = all_pages(1, &[(BLACK, 0.05)]);
    let found = estimate(&set(2, &[]), &quick_paper(), &plan, 1_000).unwrap();
    assert_eq!(found.parts[1].plates, 0);
    plan.parts[1] = all_pages(1, &[(0, 0.05), (BLACK, 0.05), (4, 0.1)]);
    let found = estimate(&set(2, &[]), &quick_paper(), &plan, 1_000).unwrap();
    assert_eq!((found.parts[1].plates, &found.parts[1].kept), (3, &None));
    assert_eq!(found.parts[1].own_plates, Some(OwnPlates::NoneFits));
}

#[test]
fn terms_on_one_back_leave_the_fronts_alike() {
    let mut job = set(2, &[]);
    job.parts[0].pages = given(2);
    let back = page(2, &[(BLACK, 0.3)]);
    let mut plan = green(2);
    plan.parts[0].pages.push(back);
    let mut card = quick_paper();
    // Turned sheets have both sides on one form.
    job.printing = vec![sheetwise()];
    card.presses[0].plate_price = given(money("20.00"));
    let found = estimate(&job, &card, &plan, 1_000).unwrap();
    let plates: Vec<u32> = found.parts.iter().map(|part| part.plates).collect();
    assert_eq!(plates, [3, 0]);
}

fn sheetwise() -> Printing {
    Printing {
        place: NOWHERE,
        part: 0,
        press: None,
        further_press: None,
        sheet: None,
        style: Some(given("sheetwise")),
        up: None,
        make_ready_sheets: None,
        why: None,
    }
}

#[test]
fn a_card_that_says_nothing_makes_ready_in_full() {
    let found = estimate(&set(2, &[]), &card(), &green(2), 1_000).unwrap();
    assert_eq!(found.parts[1].plates, 0);
    assert_eq!(found.parts[1].own_plates, None);
    assert_eq!(hours(&found, 1), hours(&found, 0));
    let ready = |part: usize| found.parts[part].sections[0].runs[0].make_ready_sheets;
    assert_eq!((ready(0), ready(1)), (70, 70));
    let told = found.parts[1].to_string();
    assert!(
        told.ends_with("plates of top stay on; made ready for its paper"),
        "{told}"
    );
}

#[test]
fn a_part_printed_otherwise_pays_its_own_plates() {
    let mut job = set(2, &[]);
    job.printing = vec![Printing {
        part: 1,
        style: None,
        up: Some(given(1)),
        ..sheetwise()
    }];
    let found = estimate(&job, &quick_paper(), &green(2), 1_000).unwrap();
    assert!(found.parts[0].sections[0].up > 1);
    assert_eq!((found.parts[1].plates, &found.parts[1].kept), (2, &None));
}

#[test]
fn plates_that_stay_on_are_left_where_that_is_cheaper() {
    let mut card = quick_paper();
    card.presses[0].paper_change_minutes = Some(given(90.0));
    let found = estimate(&set(2, &[]), &card, &green(2), 1_000).unwrap();
    assert_eq!(found.parts[1].plates, 2);
    assert_eq!(found.parts[1].own_plates, Some(OwnPlates::NotCheaper));
}

#[test]
fn the_pair_is_chosen_together() {
    // Alone, the few sheets of each part are cheaper on the small press; its plates are dear, and together one set serves
    // on the large one, which the parts alone would not choose.
    let mut card = quick_paper();
    let mut large = press("large", 4);
    large.largest_sheet = given(size(1_000.0, 720.0));
    large.hourly_rate = given(money("121.00"));
    large.paper_change_minutes = Some(given(0.0));
    large.paper_change_sheets = Some(given(0));
    card.presses[0].paper_change_minutes = Some(given(60.0));
    card.presses.push(large);
    let job = set(3, &[]);
    let found = estimate(&job, &card, &green(3), 1_000).unwrap();
    let mut alone = job.clone();
    for part in &mut alone.parts {
        part.plates_of = None;
        part.changed_inks.clear();
        part.changed_pages.clear();
    }
    let apart = estimate(&alone, &card, &green(3), 1_000).unwrap();
    assert_eq!(apart.presses(), ["four-unit"]);
    assert_eq!(found.presses(), ["large"]);
    assert!(found.total < apart.total);
}

#[derive(Debug, Clone)]
struct Case {
    units: u32,
    perfecting: bool,
    paper: (Option<u64>, Option<u64>),
    /// By part, side and ink, whether it is printed.
    inks: [[u8; 2]; 3],
    alike: [bool; 2],
    changed: [u8; 2],
    quantity: u64,
    plate: u64,
}

fn cases() -> impl Strategy<Value = Case> {
    let paper = (prop::option::of(0u64..30), prop::option::of(0u64..60));
    let inks = prop::array::uniform3([0u8..32, 0..32]);
    let press = (1u32..7, any::<bool>(), paper, 0u64..40);
    let parts = (inks, any::<[bool; 2]>(), [0u8..32, 0..32]);
    (press, parts, 1u64..5_000).prop_map(
        |((units, perfecting, paper, plate), (inks, alike, changed), quantity)| Case {
            units,
            perfecting,
            paper,
            inks,
            alike,
            changed,
            quantity,
            plate,
        },
    )
}

const NAMES: [&str; 5] = ["cyan", "magenta", "yellow", "black", "green"];

impl Case {
    fn job(&self) -> Job {
        let mut job = set(3, &[]);
        for (n, part) in job.parts.iter_mut().enumerate() {
            part.pages = given(2);
            if n > 0 {
                let bits = self.changed[n - 1];
                let named = NAMES
                    .iter()
                    .enumerate()
                    .filter(|(at, _)| bits >> at & 1 == 1);
                part.changed_inks = named.map(|(_, name)| given((*name).to_owned())).collect();
                part.changed_pages = vec![1];
            }
        }
        job
    }

    fn plan(&self) -> PrintPlan {
        let parts = (0..3).map(|n| {
            let own = if n > 0 && self.alike[n - 1] { 0 } else { n };
            let side = |side: usize| -> Vec<(u16, f64)> {
                let bits = self.inks[own][side] | u8::from(side == 0);
                let printed = (0..5).filter(|ink| bits >> ink & 1 == 1);
                printed.map(|ink| (ink, 0.1)).collect()
            };
            PartInks {
                pages: vec![page(1, &side(0)), page(2, &side(1))],
            }
        });
        plan(inks(&[("green", InkKind::Solid)]), parts.collect())
    }

    fn card(&self) -> RateCard {
        let mut card = card();
        let press = &mut card.presses[0];
        press.units = given(self.units);
        press.perfecting = given(self.perfecting);
        press.plate_price = given(money(&self.plate.to_string()));
        press.paper_change_minutes = self.paper.0.map(|minutes| given(minutes as f64));
        press.paper_change_sheets = self.paper.1.map(given);
        card
    }

    fn total(&self, card: &RateCard, quantity: u64) -> inkset_units::Money {
        let (job, plan) = (self.job(), self.plan());
        let pricer = Pricer::new(&job, card).unwrap();
        pricer.prepare(&plan).unwrap().total(quantity).unwrap()
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    /// Plates that may stay on never make a set dearer, nor do copies, units, presses and paper break their laws.
    #[test]
    fn laws_hold_for_plates_that_stay_on(case in cases(), more in 0u64..500) {
        let card = case.card();
        let total = case.total(&card, case.quantity);
        prop_assert!(case.total(&card, case.quantity + more) >= total);
        let mut alone = case.job();
        for part in &mut alone.parts {
            part.plates_of = None;
            part.changed_inks.clear();
            part.changed_pages.clear();
        }
        prop_assert!(estimate(&alone, &card, &case.plan(), case.quantity).unwrap().total >= total);
        let mut units = card.clone();
        units.presses[0].units = given(case.units + 1);
        prop_assert!(case.total(&units, case.quantity) <= total);
        let mut presses = card.clone();
        presses.presses.push(press("another", 4));
        prop_assert!(case.total(&presses, case.quantity) <= total);
        let mut slower = card.clone();
        let minutes = &mut slower.presses[0].paper_change_minutes;
        *minutes = minutes.map(|minutes| given(minutes.value + 3.0));
        slower.stocks[0].price = given(inkset_spec::PaperPrice::Tonne(money("1200.00")));
        prop_assert!(case.total(&slower, case.quantity) >= total);
    }

    /// Lines are quantity times rate and sum to the total; plates are those of the runs; explanations lead to the hours.
    #[test]
    fn lines_and_explanations_agree(case in cases()) {
        let (job, card, plan) = (case.job(), case.card(), case.plan());
        let pricer = Pricer::new(&job, &card).unwrap();
        let prepared = pricer.prepare(&plan).unwrap();
        let found = prepared.estimate(case.quantity).unwrap();
        prop_assert_eq!(found.total, case.total(&card, case.quantity));
        prop_assert_eq!(found.lines.iter().map(|line| line.amount).sum::<inkset_units::Money>(), found.total);
        for part in &found.parts {
            let ready = part.sections[0].runs.iter().filter(|run| run.makes_ready);
            let plates: u32 = ready.map(|run| if run.kept { run.changes } else { run.inks.len() as u32 }).sum();
            prop_assert_eq!(part.plates, plates);
            let line = lines(&found, Stage::Plates, part.part);
            prop_assert_eq!(line[0].quantity, Decimal::from(plates));
        }
        for explained in prepared.explain(&found, Stage::MakeReady) {
            let step = &explained.steps[explained.steps.len() - 2];
            let hours: f64 = step.rsplit("= ").next().unwrap().trim_end_matches(" h").parse().unwrap();
            let line: f64 = explained.line.quantity.to_string().parse().unwrap();
            prop_assert!((hours - line).abs() < 0.000_502, "{:?}", explained);
        }
    }
}
