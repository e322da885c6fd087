//! Random small jobs, cards and plans.

use inkset_costing::{InkKind, PartInks, PrintPlan};
use inkset_spec::{
    Click, Digital, Effect, FoldScheme, GrainWish, Job, OfferedInk, PaperPrice, Part, Press,
    ProductKind, Profit, Queue, RateCard, Reel, Role, RunRate, SheetGrain, Sheeter, SpoilageStep,
};
use inkset_units::{Millimetres, Money, Percent, Size};
use rust_decimal::Decimal;

use crate::support::{
    card, flyer, given, inks, job, money, operation, page, part, percent, plan, press, size, speed,
};

/// Random whole numbers that repeat on every run.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit
    }

    pub(crate) fn between(&mut self, low: u64, high: u64) -> u64 {
        low + self.below(high - low + 1)
    }

    fn cents(&mut self, low: u64, high: u64) -> Money {
        Money::new(Decimal::new(self.between(low, high).cast_signed(), 2))
    }

    pub(crate) fn one_in(&mut self, chances: u64) -> bool {
        self.below(chances) == 0
    }

    fn of<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(all.len() as u64) as usize]
    }
}

fn random_press(dice: &mut Dice, name: &str) -> Press {
    let mut press = press(name, dice.between(1, 10) as u32);
    press.perfecting = given(dice.one_in(2));
    let (long, short) = dice.of(&[(740.0, 520.0), (1020.0, 720.0), (530.0, 370.0)]);
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

/// A press that charges by the click.
fn random_digital(dice: &mut Dice) -> Press {
    let mut press = random_press(dice, "digital");
    press.perfecting = given(false);
    press.make_ready_minutes_per_ink = given(0.0);
    press.make_ready_sheets_per_ink = given(0);
    press.wash_up_minutes = given(0.0);
    press.wash_up_minutes_effect = given(0.0);
    press.plate_price = given(Money::ZERO);
    let mut clicks = Vec::new();
    let (mut inks, mut cents) = (0, 0);
    for _ in 0..dice.between(1, 3) {
        inks += dice.between(1, 4) as u32;
        cents += dice.between(0, 2_000);
        clicks.push(Click {
            inks: given(inks),
            price: given(Money::new(Decimal::new(cents.cast_signed(), 5))),
        });
    }
    press.units = given(inks);
    press.hourly_rate = given(dice.cents(2_000, 9_000));
    let solids = [
        OfferedInk::AnySolid,
        OfferedInk::Effect(Effect::Metallic),
        OfferedInk::Effect(Effect::White),
    ];
    let sheets = [(488.0, 330.0), (700.0, 500.0)];
    press.digital = Some(Digital {
        clicks,
        click_sheet: dice
            .one_in(2)
            .then(|| dice.of(&sheets))
            .map(|(w, h)| given(size(w, h))),
        solids: solids
            .into_iter()
            .filter(|_| dice.one_in(2))
            .map(given)
            .collect(),
        run_spoilage: percent(dice.below(50) as f64 / 10.0),
    });
    press
}

/// Leaves the presses fewer units than many jobs have inks, and each its own margins.
pub(crate) fn few_units(dice: &mut Dice, card: &mut RateCard) {
    let further = random_press(dice, "further");
    card.presses.push(further);
    for press in &mut card.presses {
        if press.digital.is_none() {
            press.units = given(dice.between(1, 4) as u32);
        }
        let mut edge = || given(Millimetres::new(dice.between(0, 24) as f64 / 2.0).unwrap());
        (press.gripper, press.tail, press.side) = (edge(), edge(), edge());
        press.plate_change_minutes = given(dice.between(0, 8) as f64);
        press.plate_change_sheets = given(dice.between(0, 20));
    }
}

pub(crate) fn random_card(dice: &mut Dice) -> RateCard {
    let mut card = card();
    card.presses = (0..dice.between(1, 3))
        .map(|n| random_press(dice, &format!("press {n}")))
        .collect();
    if dice.one_in(2) {
        let at = dice.below(card.presses.len() as u64 + 1) as usize;
        card.presses.insert(at, random_digital(dice));
    }
    random_stock(dice, &mut card);
    if dice.one_in(3) {
        random_reels(dice, &mut card);
    }
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
    random_finishing(dice, &mut card);
    let share = Percent::new(dice.below(60) as f64).unwrap();
    card.profit = given(if dice.one_in(2) {
        Profit::Margin(share)
    } else {
        Profit::MarkUp(share)
    });
    card.round_total_to = given(money(dice.of(&["0", "1", "5", "0.5"])));
    card
}

fn random_stock(dice: &mut Dice, card: &mut RateCard) {
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
        .map(|n| sheets[(first + 2 * n) % 5])
        .map(|(width, height)| given(size(width, height)))
        .collect();
    stock.grain = given(dice.of(&[SheetGrain::Long, SheetGrain::Short]));
    // 135 g/m² at these are 0.108, 0.135 and 0.162 mm a leaf: whole thousandths.
    stock.bulk = Some(given(dice.of(&[0.8, 1.0, 1.2])));
    stock.pack = given(dice.between(1, 500));
    let price = dice.cents(2_000, 150_000);
    stock.price = given(match dice.below(5) {
        0 => PaperPrice::ThousandSheets(price),
        1 => PaperPrice::Ream(price),
        2 => PaperPrice::Supplied { handling: price },
        3 => PaperPrice::Hundredweight(price),
        _ => PaperPrice::Tonne(price),
    });
}

/// Reels of the stock, beside its sheets or in their place, and what cuts them.
fn random_reels(dice: &mut Dice, card: &mut RateCard) {
    for press in &mut card.presses {
        press.sheeter = given(dice.one_in(2));
    }
    if dice.one_in(2) {
        card.sheeter = Some(Sheeter {
            operation: operation("0", "0", dice.below(40), dice.below(20) as f64 / 10.0),
        });
        let operation = &mut card.sheeter.as_mut().unwrap().operation;
        operation.set_up = given(dice.cents(0, 4_000));
        operation.run = Some(RunRate::PerThousand(given(dice.cents(0, 300))));
    }
    let reel = |dice: &mut Dice| Reel {
        width: given(Millimetres::new(dice.between(300, 800) as f64).unwrap()),
        weight_kg: None,
        diameter: None,
        core: given(Millimetres::new(76.0).unwrap()),
        waste: percent(dice.below(60) as f64 / 10.0),
    };
    let stock = &mut card.stocks[0];
    stock.reels = (0..dice.between(1, 2)).map(|_| reel(dice)).collect();
    let price = dice.cents(2_000, 150_000);
    stock.price = given(match dice.below(3) {
        0 => PaperPrice::Supplied { handling: price },
        1 => PaperPrice::Hundredweight(price),
        _ => PaperPrice::Tonne(price),
    });
    if dice.one_in(2) {
        stock.sheets.clear();
    }
}

fn random_finishing(dice: &mut Dice, card: &mut RateCard) {
    let finishing = &mut card.finishing;
    for operation in [
        &mut finishing.cut,
        &mut finishing.fold,
        &mut finishing.stitch,
        &mut finishing.gather,
        &mut finishing.sew,
        &mut finishing.bind,
        &mut finishing.insert,
        &mut finishing.collate,
        &mut finishing.pad,
        &mut finishing.pack,
    ] {
        let operation = operation.as_mut().unwrap();
        operation.set_up = given(dice.cents(0, 4_000));
        operation.run = Some(RunRate::PerThousand(given(dice.cents(0, 2_000))));
        operation.set_up_spoilage = given(dice.below(60));
        operation.run_spoilage = percent(dice.below(40) as f64 / 10.0);
    }
    if dice.one_in(3) {
        card.finishing.pack = None;
    }
}

pub(crate) fn random_job(dice: &mut Dice) -> Job {
    let mut job = match dice.below(9) {
        0 => flyer(),
        1 => random_leaflet(dice),
        2 => job(
            ProductKind::Flat,
            size(148.0, 100.0 + dice.below(80) as f64),
            vec![part("card", 1 + dice.below(2) as u32)],
        ),
        3 | 4 => random_bound(dice, ProductKind::SaddleStitched),
        5 => random_leaves(dice, ProductKind::Pad),
        6 => random_leaves(dice, ProductKind::Set),
        7 => random_bound(dice, ProductKind::PerfectBound),
        _ => random_bound(dice, ProductKind::SectionSewn),
    };
    job.overs = percent(dice.below(6) as f64);
    let has_gap = matches!(
        job.product.kind.value,
        ProductKind::Flat | ProductKind::Folded
    );
    if has_gap && dice.one_in(2) {
        let gap = dice.between(1, 40) as f64 / 2.0;
        job.product.allowances.gap = given(Millimetres::new(gap).unwrap());
    }
    if dice.one_in(3) {
        job.queue = vec![random_queue(dice)];
    }
    if dice.one_in(4) {
        let wishes = [GrainWish::Spine, GrainWish::Along, GrainWish::Across];
        job.product.grain = given(dice.of(&wishes));
    }
    job
}

/// A queue of one press; every press of a random card has at least the units for it.
fn random_queue(dice: &mut Dice) -> Queue {
    let before = dice.of(&["cyan", "black", "orange", "silver", "mint"]);
    let after = dice.of(&["orange", "silver", "mint", "cyan"]);
    let list = |dice: &mut Dice, name: &str| {
        let names = [name.to_owned()].into_iter().map(given);
        names.filter(|_| !dice.one_in(4)).collect()
    };
    Queue {
        press: given(format!("press {}", dice.below(2))),
        before: list(dice, before),
        after: list(dice, after),
    }
}

fn random_leaflet(dice: &mut Dice) -> Job {
    let right_angle = dice.one_in(2);
    let pages = dice.of(if right_angle { &[8, 12] } else { &[4, 6] });
    let parts = vec![part("leaflet", pages)];
    let mut job = job(ProductKind::Folded, size(99.0, 210.0), parts);
    if right_angle {
        job.product.fold = given(FoldScheme::RightAngle);
    }
    job
}

pub(crate) fn random_leaves(dice: &mut Dice, kind: ProductKind) -> Job {
    let parts = if kind == ProductKind::Pad {
        1
    } else {
        dice.between(2, 3)
    };
    let book = kind == ProductKind::Pad || dice.one_in(2);
    let leaf = |n: u64| {
        let mut part = part(&format!("leaf {n}"), 1 + dice.below(2) as u32);
        part.leaves = given(if book { dice.between(2, 50) as u32 } else { 1 });
        part
    };
    let parts = (0..parts).map(leaf).collect();
    job(kind, size(148.0, 105.0), parts)
}

fn with_role(name: &str, role: Role, pages: u32) -> Part {
    let mut part = part(name, pages);
    part.role = given(role);
    part
}

fn random_bound(dice: &mut Dice, kind: ProductKind) -> Job {
    let trims: [Size; 4] = [
        size(148.0, 210.0),
        size(105.0, 148.0),
        size(120.0, 120.0),
        size(210.0, 148.0),
    ];
    let trim = dice.of(&trims);
    let milled = kind == ProductKind::PerfectBound;
    let pages = if milled {
        2 * dice.between(4, 18) as u32
    } else {
        4 * dice.between(1, 9) as u32
    };
    let mut parts = vec![
        with_role("cover", Role::Cover, 4),
        with_role("text", Role::Text, pages),
    ];
    if dice.one_in(4) {
        let pages = if milled { dice.of(&[2, 4]) } else { 4 };
        parts.push(with_role("insert", Role::Insert, pages));
    }
    if dice.one_in(4) {
        let pages = dice.of(&[1, 2, 4]);
        parts.push(with_role("loose", Role::LooseInsert, pages));
    }
    let mut job = job(kind, trim, parts);
    let mm = |mm: u64| given(Millimetres::new(mm as f64).unwrap());
    let taken = &mut job.product.allowances;
    taken.trim = mm(dice.between(2, 5));
    if milled {
        taken.milling = mm(dice.between(0, 4));
    } else if kind == ProductKind::SaddleStitched {
        taken.lap = mm(dice.of(&[0, 0, 7, 10]));
    }
    job
}

pub(crate) fn random_plan(dice: &mut Dice, job: &Job) -> PrintPlan {
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
        PartInks {
            pages: pages.collect(),
        }
    });
    plan(inks(&more), parts.collect())
}
