//! The best plan is truly the best: against every way to print, tried one by one.
//!
//! This file reckons with nothing but `docs/costing.md`: its own pieces on a sheet, its own forms and runs, its own decimal
//! lines. Of the crate under test it takes the totals only.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use std::collections::{BTreeMap, BTreeSet};

use inkset_costing::{InkKind, PrintPlan, estimate};
use inkset_spec::{
    Effect, InkRate, Job, Operation, PaperKind, PaperPrice, Part, Press, ProductKind, Profit,
    RateCard, SpoilageStep, Stock,
};
use inkset_units::{Money, Percent};
use rust_decimal::{Decimal, RoundingStrategy};
use support::{
    booklet, card, flyer, given, inks, job, money, page, part, percent, plan, press, size, speed,
};

/// Random whole numbers that repeat on every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit
    }

    fn between(&mut self, low: u64, high: u64) -> u64 {
        low + self.below(high - low + 1)
    }

    fn cents(&mut self, low: u64, high: u64) -> Money {
        Money::new(Decimal::new(self.between(low, high).cast_signed(), 2))
    }

    fn one_in(&mut self, chances: u64) -> bool {
        self.below(chances) == 0
    }
}

// --- Random small jobs ---------------------------------------------------------------------------------------------

fn random_press(dice: &mut Dice, name: &str) -> Press {
    let mut press = press(name, dice.between(1, 10) as u32);
    press.perfecting = given(dice.one_in(2));
    let sizes = [(740.0, 520.0), (1020.0, 720.0), (530.0, 370.0)];
    let (long, short) = sizes[dice.below(3) as usize];
    press.largest_sheet = given(size(long, short));
    press.smallest_sheet = given(size(300.0, 200.0));
    press.hourly_rate = given(dice.cents(5_000, 40_000));
    press.make_ready_minutes = given(dice.between(0, 30) as f64 / 2.0);
    press.make_ready_minutes_per_ink = given(dice.between(0, 12) as f64 / 2.0);
    press.make_ready_sheets = given(dice.between(0, 120));
    press.make_ready_sheets_per_ink = given(dice.between(0, 30));
    press.wash_up_minutes = given(dice.between(0, 20) as f64);
    press.wash_up_minutes_effect = given(dice.between(0, 40) as f64);
    press.plate_price = given(dice.cents(0, 2_500));
    let step = dice.between(300, 3_000);
    let speeds = [dice.between(20, 120), dice.between(20, 120)].map(|s| s as f64 * 100.0);
    press.speeds = vec![speed(Some(step), speeds[0]), speed(None, speeds[1])];
    press
}

fn random_card(dice: &mut Dice) -> RateCard {
    let mut card = card();
    card.presses = (0..dice.between(1, 3))
        .map(|n| random_press(dice, &format!("press {n}")))
        .collect();
    let stock = &mut card.stocks[0];
    let sheets = [
        (450.0, 640.0),
        (500.0, 700.0),
        (640.0, 900.0),
        (720.0, 1020.0),
        (305.0, 430.0),
    ];
    let first = dice.below(5) as usize;
    stock.sheets = (0..dice.between(1, 2) as usize)
        .map(|n| {
            given(size(
                sheets[(first + 2 * n) % 5].0,
                sheets[(first + 2 * n) % 5].1,
            ))
        })
        .collect();
    stock.pack = given(dice.between(1, 500));
    let price = dice.cents(2_000, 150_000);
    stock.price = given(match dice.below(5) {
        0 => PaperPrice::ThousandSheets(price),
        1 => PaperPrice::Ream(price),
        2 => PaperPrice::Supplied { handling: price },
        3 => PaperPrice::Hundredweight(price),
        _ => PaperPrice::Tonne(price),
    });
    let step = |up_to, tenths: u64| SpoilageStep {
        up_to,
        percent: percent(tenths as f64 / 10.0),
    };
    card.run_spoilage.steps = vec![
        step(Some(dice.between(200, 3_000)), dice.below(80)),
        step(None, dice.below(80)),
    ];
    for ink in [
        &mut card.inks.process,
        &mut card.inks.solid,
        &mut card.inks.effects[0].1,
    ] {
        ink.price_per_kg = given(dice.cents(400, 6_000));
        ink.fixed_loss_kg = given(dice.below(50) as f64 / 100.0);
    }
    card.inks.solid.smallest_order_kg = given(dice.below(300) as f64 / 100.0);
    let finishing = &mut card.finishing;
    for operation in [
        &mut finishing.cut,
        &mut finishing.fold,
        &mut finishing.stitch,
        &mut finishing.pack,
    ] {
        let operation = operation.as_mut().unwrap();
        operation.set_up = given(dice.cents(0, 4_000));
        operation.per_thousand = given(dice.cents(0, 2_000));
        operation.set_up_spoilage = given(dice.below(60));
        operation.run_spoilage = percent(dice.below(40) as f64 / 10.0);
    }
    if dice.one_in(3) {
        card.finishing.pack = None;
    }
    let share = Percent::new(dice.below(60) as f64).unwrap();
    card.profit = given(if dice.one_in(2) {
        Profit::Margin(share)
    } else {
        Profit::MarkUp(share)
    });
    card.round_total_to = given(money(["0", "1", "5", "0.5"][dice.below(4) as usize]));
    card
}

fn random_job(dice: &mut Dice) -> Job {
    let mut job = match dice.below(4) {
        0 => flyer(),
        1 => job(
            ProductKind::Folded,
            size(99.0, 210.0),
            vec![part("leaflet", 4 + 2 * dice.below(2) as u32)],
        ),
        2 => job(
            ProductKind::Flat,
            size(148.0, 100.0 + dice.below(80) as f64),
            vec![part("card", 1 + dice.below(2) as u32)],
        ),
        _ => booklet(4 * dice.between(1, 7) as u32),
    };
    job.overs = percent(dice.below(6) as f64);
    job
}

fn random_plan(dice: &mut Dice, job: &Job) -> PrintPlan {
    let more = [
        ("orange", InkKind::Solid),
        ("silver", InkKind::Effect(Effect::Metallic)),
    ];
    let parts = job.parts.iter().map(|part| {
        let mut sides: [Vec<(u16, f64)>; 2] = Default::default();
        for side in &mut sides {
            for ink in 0..6 {
                let chances = if ink < 4 { 3 } else { 2 };
                if !dice.one_in(chances) {
                    side.push((ink, dice.between(1, 60) as f64 / 100.0));
                }
            }
        }
        if dice.one_in(4) {
            sides[1].clear();
        }
        if sides[0].is_empty() {
            sides[0].push((3, 0.1));
        }
        let pages = (1..=part.pages.value).map(|n| page(n, &sides[usize::from(n % 4 >= 2)]));
        inkset_costing::PartInks {
            pages: pages.collect(),
        }
    });
    plan(inks(&more), parts.collect())
}

// --- What docs/costing.md says -------------------------------------------------------------------------------------

/// Whole hundredths of a millimetre, in which every size of these jobs is whole.
type Length = i64;

fn length(mm: f64) -> Length {
    (mm * 100.0).round() as Length
}

/// Most pieces `a` × `b`, turned or not, that straight through cuts get out of `w` × `h`: every first cut is tried.
fn pieces(
    w: Length,
    h: Length,
    (a, b): (Length, Length),
    known: &mut BTreeMap<(Length, Length), u32>,
) -> u32 {
    if w < a.min(b) || h < a.min(b) {
        return 0;
    }
    if let Some(count) = known.get(&(w, h)) {
        return *count;
    }
    let fits = (w >= a && h >= b) || (w >= b && h >= a);
    let mut best = u32::from(fits);
    // Pieces can be pushed together until every cut is at a sum of whole edges.
    for cut in edges(w / 2, (a, b)) {
        best = best.max(pieces(cut, h, (a, b), known) + pieces(w - cut, h, (a, b), known));
    }
    for cut in edges(h / 2, (a, b)) {
        best = best.max(pieces(w, cut, (a, b), known) + pieces(w, h - cut, (a, b), known));
    }
    known.insert((w, h), best);
    best
}

fn edges(most: Length, (a, b): (Length, Length)) -> BTreeSet<Length> {
    let along = (0..=most / a).flat_map(|n| (0..=(most - n * a) / b).map(move |m| n * a + m * b));
    along.filter(|cut| *cut > 0).collect()
}

fn count(area: (Length, Length), shapes: &[(Length, Length)]) -> u32 {
    let most = |piece: &(Length, Length)| {
        // The larger half comes after the cut as well, so that half of the cuts do.
        pieces(area.0, area.1, *piece, &mut BTreeMap::new())
    };
    shapes.iter().map(most).max().unwrap_or(0)
}

/// A division of a part: for each size of section its shapes, and the pages outside and inside of every section.
struct Class {
    shapes: Vec<(Length, Length)>,
    sections: Vec<[Vec<u32>; 2]>,
}

fn divisions(job: &Job, part: &Part) -> Vec<Vec<Class>> {
    let (w, h) = (job.product.trim.width.mm(), job.product.trim.height.mm());
    let bleed = part.bleed.mm();
    let pages = part.pages.value;
    let grown = |w: f64, h: f64, by: f64| (length(w + 2.0 * by), length(h + 2.0 * by));
    match job.product.kind.value {
        ProductKind::Flat | ProductKind::Folded => {
            let panels = if job.product.kind.value == ProductKind::Flat {
                1
            } else {
                pages.div_ceil(2)
            };
            // Page 1 is the front of a flat sheet; a folded one has the pages 4n and 4n + 1 outside.
            let outside = |page: &u32| {
                if pages <= 2 {
                    *page == 1
                } else {
                    *page % 4 <= 1
                }
            };
            let (front, back) = (1..=pages).partition(outside);
            vec![vec![Class {
                shapes: vec![grown(w * f64::from(panels), h, bleed)],
                sections: vec![[front, back]],
            }]]
        }
        ProductKind::SaddleStitched => {
            let largest = [32, 16, 8, 4].into_iter().filter(|s| *s <= pages);
            largest
                .map(|largest| signatures((w, h, bleed.max(3.0)), pages, largest))
                .collect()
        }
    }
}

fn signatures((w, h, trim): (f64, f64, f64), pages: u32, largest: u32) -> Vec<Class> {
    let mut classes: Vec<(u32, Class)> = Vec::new();
    let mut before = 0;
    while 2 * before < pages {
        let left = pages - 2 * before;
        let size = [32, 16, 8, 4]
            .into_iter()
            .find(|s| *s <= largest && *s <= left)
            .unwrap();
        let half = size / 2;
        let own: Vec<u32> = (before + 1..=before + half)
            .chain(pages - before - half + 1..=pages - before)
            .collect();
        let outside = |n: usize| (n + 1) % 4 <= 1;
        let side = |outer: bool| {
            (0..own.len())
                .filter(|n| outside(*n) == outer)
                .map(|n| own[n])
                .collect()
        };
        let section = [side(true), side(false)];
        if classes.last().is_none_or(|(s, _)| *s != size) {
            let spread = (2.0 * w + 2.0 * trim, h + 2.0 * trim);
            let grids: &[(f64, f64)] = match size {
                32 => &[(2.0, 4.0), (4.0, 2.0)],
                16 => &[(2.0, 2.0)],
                8 => &[(1.0, 2.0), (2.0, 1.0)],
                _ => &[(1.0, 1.0)],
            };
            let shapes = grids
                .iter()
                .map(|(x, y)| (length(spread.0 * x), length(spread.1 * y)))
                .collect();
            classes.push((
                size,
                Class {
                    shapes,
                    sections: Vec::new(),
                },
            ));
        }
        classes.last_mut().unwrap().1.sections.push(section);
        before += half;
    }
    classes.into_iter().map(|(_, class)| class).collect()
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Style {
    Sheetwise,
    Turn,
    Tumble,
    Perfecting,
}

const STYLES: [Style; 4] = [
    Style::Sheetwise,
    Style::Turn,
    Style::Tumble,
    Style::Perfecting,
];

/// Number up on a sheet whose long edge lies in the grippers.
fn number_up(style: Style, sheet: (f64, f64), press: &Press, shapes: &[(Length, Length)]) -> u32 {
    let long = sheet.0 - 2.0 * press.side.mm();
    let short = sheet.1 - press.gripper.mm() - press.tail.mm();
    let gripped_twice = sheet.1 - 2.0 * press.gripper.mm().max(press.tail.mm());
    let up = |w: f64, h: f64| count((length(w), length(h)), shapes);
    match style {
        Style::Sheetwise => up(long, short),
        Style::Turn => 2 * up(long / 2.0, short),
        Style::Tumble => 2 * up(long, gripped_twice / 2.0),
        Style::Perfecting => up(long, gripped_twice),
    }
}

/// A run: its number of inks, and whether it is made ready.
type Run = (u64, bool);

/// Forms (inks each) and runs of a section; `None` where the style cannot print it.
fn forms_and_runs(
    style: Style,
    [front, back]: [&BTreeSet<u16>; 2],
    units: u64,
) -> Option<(Vec<u64>, Vec<Run>)> {
    let inks = |set: &BTreeSet<u16>| set.len() as u64;
    let passes = |inks: u64| (0..inks.div_ceil(units)).map(move |n| (inks - n * units).min(units));
    let both = !front.is_empty() && !back.is_empty();
    match style {
        Style::Sheetwise => {
            let forms: Vec<u64> = [inks(front), inks(back)]
                .into_iter()
                .filter(|n| *n > 0)
                .collect();
            let runs = forms
                .iter()
                .flat_map(|n| passes(*n))
                .map(|n| (n, true))
                .collect();
            Some((forms, runs))
        }
        Style::Turn | Style::Tumble => both.then(|| {
            let form = front.union(back).count() as u64;
            (
                vec![form],
                passes(form).flat_map(|n| [(n, true), (n, false)]).collect(),
            )
        }),
        Style::Perfecting => {
            let all = inks(front) + inks(back);
            (both && all <= units).then(|| (vec![inks(front), inks(back)], vec![(all, true)]))
        }
    }
}

fn input(good: u64, percent: f64) -> u64 {
    let kept = Decimal::ONE_HUNDRED - Decimal::try_from(percent).unwrap();
    whole(Decimal::from(good) * Decimal::ONE_HUNDRED, kept)
}

fn whole(value: Decimal, by: Decimal) -> u64 {
    // A quotient of 28 digits may fall just short of the whole number that it is.
    let down = (value / by).floor();
    let exact = if down * by >= value {
        down
    } else {
        down + Decimal::ONE
    };
    exact.try_into().unwrap()
}

fn through(operation: Option<&Operation>, good: u64) -> u64 {
    operation.map_or(good, |o| {
        input(good, o.run_spoilage.percent()) + o.set_up_spoilage.value
    })
}

fn at_speed(card: &RateCard, good: u64) -> u64 {
    let steps = &card.run_spoilage.steps;
    let first = &steps[0];
    if good <= first.up_to.unwrap() {
        return input(good, first.percent.percent());
    }
    let end = first.up_to.unwrap();
    let least = input(end, first.percent.percent()) - end;
    input(good, steps[1].percent.percent()).max(good + least)
}

fn hours_running(press: &Press, sheets: u64) -> f64 {
    let end = press.speeds[0].up_to.unwrap();
    let speed = |n: usize| press.speeds[n].sheets_per_hour.value;
    if sheets <= end {
        return sheets as f64 / speed(0);
    }
    (sheets as f64 / speed(1)).max(end as f64 / speed(0))
}

/// A physical quantity as it is charged: three decimals, half to even, without the dust of binary fractions.
fn shown(value: f64) -> Decimal {
    let exact = Decimal::try_from((value * 1e9).round() / 1e9).unwrap();
    exact.round_dp_with_strategy(3, RoundingStrategy::MidpointNearestEven)
}

fn cents(exact: Decimal) -> Decimal {
    exact.round_dp_with_strategy(2, RoundingStrategy::MidpointNearestEven)
}

/// Cost of one way to print a part, and the kilograms used of every ink.
struct Way {
    cost: Decimal,
    kilograms: Vec<Decimal>,
}

struct Shop<'a> {
    job: &'a Job,
    card: &'a RateCard,
    plan: &'a PrintPlan,
    quantity: u64,
}

impl Shop<'_> {
    fn rate(&self, ink: usize) -> &InkRate {
        match self.plan.inks[ink].kind {
            InkKind::Process(_) => &self.card.inks.process,
            InkKind::Solid => &self.card.inks.solid,
            InkKind::Effect(_) => &self.card.inks.effects[0].1,
            InkKind::Extended(_) => unreachable!("no random job has one"),
        }
    }

    fn needs(&self, kind: ProductKind) -> bool {
        self.job.product.kind.value == kind
    }

    /// Copies into cutting, folding, stitching, packing.
    fn copies(&self) -> [u64; 4] {
        let finishing = &self.card.finishing;
        let overs = Decimal::ONE_HUNDRED + Decimal::try_from(self.job.overs.percent()).unwrap();
        let delivered = whole(Decimal::from(self.quantity) * overs, Decimal::ONE_HUNDRED);
        let packed = through(finishing.pack.as_ref(), delivered);
        let stitched = if self.needs(ProductKind::SaddleStitched) {
            through(finishing.stitch.as_ref(), packed)
        } else {
            packed
        };
        let folded = if self.needs(ProductKind::Flat) {
            stitched
        } else {
            through(finishing.fold.as_ref(), stitched)
        };
        [
            through(finishing.cut.as_ref(), folded),
            folded,
            stitched,
            packed,
        ]
    }

    /// Every way to print a part.
    fn ways(&self, part: usize) -> Vec<Way> {
        let (job_part, stock) = (&self.job.parts[part], &self.card.stocks[0]);
        let mut all = Vec::new();
        for press in &self.card.presses {
            if stock.gsm.value < press.lightest.value || stock.gsm.value > press.heaviest.value {
                continue;
            }
            for parent in &stock.sheets {
                let (w, h) = (parent.width.mm(), parent.height.mm());
                let (long, short) = (w.max(h), w.min(h));
                for (per_parent, w, h) in [
                    (1, long, short),
                    (2, long / 2.0, short),
                    (4, long / 2.0, short / 2.0),
                ] {
                    let sheet = (w.max(h), w.min(h));
                    if !goes_through(press, sheet) {
                        continue;
                    }
                    for division in divisions(self.job, job_part) {
                        self.extend(
                            &mut all,
                            (part, press, sheet, per_parent),
                            &division,
                            &mut Vec::new(),
                        );
                    }
                }
            }
        }
        all
    }

    /// Tries every style of every class in turn.
    fn extend(
        &self,
        all: &mut Vec<Way>,
        (part, press, sheet, per_parent): (usize, &Press, (f64, f64), u64),
        division: &[Class],
        chosen: &mut Vec<(Style, u32)>,
    ) {
        let Some(class) = division.get(chosen.len()) else {
            let parent_m2 = sheet.0 * sheet.1 * per_parent as f64 / 1e6;
            all.extend(self.way((part, press, parent_m2, per_parent), division, chosen));
            return;
        };
        for style in STYLES {
            if style == Style::Perfecting && !press.perfecting.value {
                continue;
            }
            let up = number_up(style, sheet, press, &class.shapes);
            if up > 0 {
                chosen.push((style, up));
                self.extend(all, (part, press, sheet, per_parent), division, chosen);
                chosen.pop();
            }
        }
    }

    /// The lines of one way.
    fn way(
        &self,
        (part, press, parent_m2, per_parent): (usize, &Press, f64, u64),
        division: &[Class],
        chosen: &[(Style, u32)],
    ) -> Option<Way> {
        let [cut, folded, ..] = self.copies();
        let stitched = self.needs(ProductKind::SaddleStitched);
        let page_m2 = self.job.product.trim.width.mm() * self.job.product.trim.height.mm() / 1e6;
        let units = u64::from(press.units.value);
        let (mut press_sheets, mut plates, mut taken_over) = (0, 0, 0);
        let (mut make_ready, mut running) = (0.0, 0.0);
        let (mut cut_pieces, mut cut_set_ups, mut sections) = (0, 0, 0_u64);
        let mut kilograms = vec![0.0; self.plan.inks.len()];
        for (class, (style, up)) in division.iter().zip(chosen) {
            for pages in &class.sections {
                let sides = [0, 1].map(|side| self.inks_on(part, &pages[side]));
                let (forms, runs) = forms_and_runs(*style, [&sides[0], &sides[1]], units)?;
                sections += 1;
                plates += forms.iter().sum::<u64>();
                // Perfecting takes no unit over: all inks of both forms have one.
                taken_over += forms
                    .iter()
                    .map(|inks| inks.saturating_sub(units))
                    .sum::<u64>();
                let separate = *up > 1 || !stitched;
                let copies = if separate { cut } else { folded };
                if separate {
                    cut_pieces += copies;
                    cut_set_ups += 1;
                }
                let mut sheets = copies.div_ceil(u64::from(*up));
                for (inks, made_ready) in runs.iter().rev() {
                    let at_speed = at_speed(self.card, sheets);
                    running += hours_running(press, at_speed);
                    sheets = at_speed;
                    if *made_ready {
                        make_ready += press.make_ready_minutes.value
                            + press.make_ready_minutes_per_ink.value * *inks as f64;
                        sheets += press.make_ready_sheets.value
                            + press.make_ready_sheets_per_ink.value * inks;
                    }
                }
                press_sheets += sheets;
                for (ink, kg) in self.ink(part, pages, page_m2 * f64::from(*up) * sheets as f64) {
                    kilograms[ink] += kg;
                }
                for ink in hung(*style, &sides) {
                    kilograms[usize::from(ink)] += self.rate(usize::from(ink)).fixed_loss_kg.value;
                }
            }
        }
        let mut lines = Vec::new();
        let mut line = |quantity: Decimal, rate: Money| lines.push(cents(quantity * rate.amount()));
        let stock = &self.card.stocks[0];
        let (quantity, rate) = paper(stock, press_sheets.div_ceil(per_parent), parent_m2);
        line(quantity, rate);
        line(Decimal::from(plates), press.plate_price.value);
        line(shown(make_ready / 60.0), press.hourly_rate.value);
        let [solids, effects] = self.washed(part);
        let washing = press.wash_up_minutes.value * (solids + taken_over) as f64
            + press.wash_up_minutes_effect.value * effects as f64;
        line(shown(washing / 60.0), press.hourly_rate.value);
        line(shown(running), press.hourly_rate.value);
        let kilograms: Vec<Decimal> = kilograms.into_iter().map(shown).collect();
        for (ink, kg) in kilograms.iter().enumerate() {
            if self.rate(ink).smallest_order_kg.value == 0.0 {
                line(*kg, self.rate(ink).price_per_kg.value);
            }
        }
        let mut operation = |operation: Option<&Operation>, set_ups: u64, pieces: u64| {
            let operation = operation.unwrap();
            line(Decimal::from(set_ups), operation.set_up.value);
            line(
                Decimal::from(pieces) / Decimal::ONE_THOUSAND,
                operation.per_thousand.value,
            );
        };
        if per_parent > 1 {
            operation(self.card.finishing.cut.as_ref(), 1, press_sheets);
        }
        operation(self.card.finishing.cut.as_ref(), cut_set_ups, cut_pieces);
        if !self.needs(ProductKind::Flat) {
            operation(
                self.card.finishing.fold.as_ref(),
                sections,
                folded * sections,
            );
        }
        Some(Way {
            cost: lines.iter().sum(),
            kilograms,
        })
    }

    fn inks_on(&self, part: usize, pages: &[u32]) -> BTreeSet<u16> {
        let all = self.plan.parts[part]
            .pages
            .iter()
            .filter(|page| pages.contains(&page.page));
        all.flat_map(|page| page.inks.iter().map(|(ink, _)| ink.0))
            .collect()
    }

    fn ink(&self, part: usize, pages: &[Vec<u32>; 2], m2: f64) -> Vec<(usize, f64)> {
        let on = self.plan.parts[part]
            .pages
            .iter()
            .filter(|page| pages.iter().flatten().any(|p| *p == page.page));
        let used = on.flat_map(|page| {
            page.inks
                .iter()
                .map(|(ink, share)| (usize::from(ink.0), *share))
        });
        used.map(|(ink, share)| (ink, share * m2 * self.film(ink) / 1_000.0))
            .collect()
    }

    fn film(&self, ink: usize) -> f64 {
        let rate = self.rate(ink);
        match self.card.stocks[0].kind.value {
            PaperKind::Coated => rate.film_coated.value,
            PaperKind::Uncoated => rate.film_uncoated.value,
            PaperKind::Newsprint => rate.film_newsprint.value,
        }
    }

    fn washed(&self, part: usize) -> [u64; 2] {
        let all: Vec<u32> = (1..=self.job.parts[part].pages.value).collect();
        let printed = self.inks_on(part, &all);
        let count = |wanted: fn(&InkKind) -> bool| {
            printed
                .iter()
                .filter(|ink| wanted(&self.plan.inks[usize::from(**ink)].kind))
                .count() as u64
        };
        [
            count(|k| matches!(k, InkKind::Solid)),
            count(|k| matches!(k, InkKind::Effect(_))),
        ]
    }

    /// The cheapest of all combinations of ways.
    fn total(&self) -> Decimal {
        let ways: Vec<Vec<Way>> = (0..self.job.parts.len())
            .map(|part| self.ways(part))
            .collect();
        let prices = ways[0].iter().flat_map(|one| match ways.get(1) {
            None => vec![self.price(&[one])],
            Some(others) => others
                .iter()
                .map(|other| self.price(&[one, other]))
                .collect(),
        });
        prices.min().unwrap()
    }

    fn price(&self, ways: &[&Way]) -> Decimal {
        let mut cost: Decimal = ways.iter().map(|way| way.cost).sum();
        for ink in 0..self.plan.inks.len() {
            let (rate, used) = (
                self.rate(ink),
                ways.iter().map(|way| way.kilograms[ink]).sum::<Decimal>(),
            );
            if rate.smallest_order_kg.value > 0.0 && self.is_printed(ink) {
                cost += cents(
                    used.max(shown(rate.smallest_order_kg.value))
                        * rate.price_per_kg.value.amount(),
                );
            }
        }
        let [_, _, stitched, packed] = self.copies();
        let mut operation = |operation: Option<&Operation>, pieces: u64| {
            if let Some(operation) = operation {
                cost += cents(operation.set_up.value.amount());
                cost += cents(
                    Decimal::from(pieces) / Decimal::ONE_THOUSAND
                        * operation.per_thousand.value.amount(),
                );
            }
        };
        if self.needs(ProductKind::SaddleStitched) {
            operation(self.card.finishing.stitch.as_ref(), stitched);
        }
        operation(self.card.finishing.pack.as_ref(), packed);
        self.closed(cost)
    }

    fn is_printed(&self, ink: usize) -> bool {
        let pages = self.plan.parts.iter().flat_map(|part| &part.pages);
        pages
            .flat_map(|page| &page.inks)
            .any(|(id, _)| usize::from(id.0) == ink)
    }

    fn closed(&self, cost: Decimal) -> Decimal {
        let percent = |p: Percent| Decimal::try_from(p.percent()).unwrap();
        let profit = match self.card.profit.value {
            Profit::MarkUp(p) => cost * percent(p) / Decimal::ONE_HUNDRED,
            Profit::Margin(p) => cost * percent(p) / (Decimal::ONE_HUNDRED - percent(p)),
        };
        let price = cost + cents(profit);
        let step = self.card.round_total_to.value.amount();
        if step.is_zero() {
            return price;
        }
        (price / step).ceil() * step
    }
}

/// Inks by the times that they are hung with a plate.
fn hung(style: Style, sides: &[BTreeSet<u16>; 2]) -> Vec<u16> {
    match style {
        Style::Turn | Style::Tumble => sides[0].union(&sides[1]).copied().collect(),
        _ => sides.iter().flatten().copied().collect(),
    }
}

fn goes_through(press: &Press, sheet: (f64, f64)) -> bool {
    let edges = |size: inkset_units::Size| {
        let (w, h) = (size.width.mm(), size.height.mm());
        (w.max(h), w.min(h))
    };
    let (largest, smallest) = (
        edges(press.largest_sheet.value),
        edges(press.smallest_sheet.value),
    );
    sheet.0 <= largest.0 && sheet.1 <= largest.1 && sheet.0 >= smallest.0 && sheet.1 >= smallest.1
}

/// Quantity and rate of the paper line.
fn paper(stock: &Stock, needed: u64, parent_m2: f64) -> (Decimal, Money) {
    let bought = needed.div_ceil(stock.pack.value) * stock.pack.value;
    let kilograms = bought as f64 * parent_m2 * stock.gsm.value.value() / 1_000.0;
    match stock.price.value {
        PaperPrice::Tonne(price) => (
            shown(kilograms),
            Money::new(price.amount() / Decimal::ONE_THOUSAND),
        ),
        PaperPrice::Hundredweight(price) => (shown(kilograms / 45.359_237), price),
        PaperPrice::Ream(price) => (Decimal::from(bought) / Decimal::from(500), price),
        PaperPrice::ThousandSheets(price) | PaperPrice::Supplied { handling: price } => {
            (Decimal::from(bought) / Decimal::ONE_THOUSAND, price)
        }
    }
}

#[test]
fn no_way_is_cheaper_than_the_best() {
    let mut dice = Dice(2_026);
    let (mut compared, mut booklets) = (0, 0);
    while compared < 300 {
        let (card, job) = (random_card(&mut dice), random_job(&mut dice));
        let plan = random_plan(&mut dice, &job);
        let quantity = dice.between(1, 20_000);
        let shop = Shop {
            job: &job,
            card: &card,
            plan: &plan,
            quantity,
        };
        let Ok(found) = estimate(&job, &card, &plan, quantity) else {
            assert!(
                (0..job.parts.len()).any(|part| shop.ways(part).is_empty()),
                "{job:?} {card:?}"
            );
            continue;
        };
        assert_eq!(
            found.total.amount(),
            shop.total(),
            "case {compared}: {job:?}\n{card:?}\n{plan:?}\n{found:?}"
        );
        compared += 1;
        booklets += u32::from(job.parts.len() > 1);
    }
    assert!(booklets > 20, "{booklets}");
}
