//! An estimator's week: one large book, and ten thousand different flyers, each beside what it may take.
//!
//! A book of 160 pages on four stocks, six presses, twelve ink sets, ten quantities, in 150 ms; ten thousand flyers that
//! differ in size, quantity, inks and bleed, in 10 s on one core. Laying out and pricing are told apart. Each is repeated
//! and the fastest run counts: other work on the machine only ever slows a run down.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark prints its figures, and a failure has to be loud"
)]

#[path = "../tests/support/mod.rs"]
mod support;

use std::hint::black_box;
use std::time::Instant;

use inkset_costing::{InkKind, Pricer, PrintPlan};
use inkset_spec::{Job, Press, ProductKind, RateCard, Role};
use inkset_units::{Gsm, Millimetres};
use support::{all_pages, card, given, inks, job, part, plan, press, size, stock};

const TURNS: usize = 20;
const BOOK_SECONDS: f64 = 0.150;
const FLYERS: u64 = 10_000;
const FLYERS_SECONDS: f64 = 10.0;
const QUANTITIES: [u64; 10] = [
    500, 1_000, 1_500, 2_000, 3_000, 5_000, 8_000, 12_000, 20_000, 50_000,
];

fn main() {
    book();
    flyers();
}

/// What a run took, in seconds.
struct Spent {
    /// The fastest run by the clock.
    clock: f64,
    /// The mean run by the processors, both cores together; unlike the clock, no other work on the machine adds to it.
    processor: f64,
}

/// User time of this process in seconds; Linux only, else nothing. The clock ticks a hundred times a second.
fn user_seconds() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after = stat.rsplit(')').next().unwrap_or_default();
    let ticks = after.split_whitespace().nth(11);
    ticks.and_then(|t| t.parse::<f64>().ok()).unwrap_or(0.0) / 100.0
}

fn timed(turns: usize, mut run: impl FnMut()) -> Spent {
    let mut clock = f64::INFINITY;
    let before = user_seconds();
    for _ in 0..turns {
        let start = Instant::now();
        run();
        clock = clock.min(start.elapsed().as_secs_f64());
    }
    let processor = (user_seconds() - before) / turns as f64;
    Spent { clock, processor }
}

fn told(what: &str, spent: &Spent, allowed: f64) {
    println!(
        "{what}: {:.1} ms by the clock, {:.1} ms of processors; {:.3} of the {:.0} ms that it may take",
        spent.clock * 1e3,
        spent.processor * 1e3,
        spent.clock / allowed,
        allowed * 1e3
    );
}

fn large(mut press: Press, perfecting: bool) -> Press {
    press.largest_sheet = given(size(1040.0, 720.0));
    press.smallest_sheet = given(size(520.0, 360.0));
    press.perfecting = given(perfecting);
    press
}

/// Six presses of four to twelve units, two of them perfecting, and four stocks on two parent sheets each.
fn week_card() -> RateCard {
    let mut card = card();
    card.presses = vec![
        press("four, small", 4),
        press("five, small", 5),
        large(press("four, large", 4), false),
        large(press("six, large", 6), false),
        large(press("eight, perfecting", 8), true),
        large(press("twelve, perfecting", 12), true),
    ];
    card.stocks = [
        ("cover", 250.0),
        ("text", 90.0),
        ("plates", 135.0),
        ("map", 115.0),
    ]
    .into_iter()
    .map(|(name, gsm)| {
        let mut stock = stock(name);
        stock.gsm = given(Gsm::new(gsm).unwrap());
        stock.sheets = vec![given(size(640.0, 900.0)), given(size(700.0, 1000.0))];
        stock
    })
    .collect();
    card
}

/// 160 pages: a cover, the text, a section of plates and a section of maps.
fn week_book() -> Job {
    let parts = [
        ("cover", 4, Role::Cover),
        ("text", 124, Role::Text),
        ("plates", 16, Role::Insert),
        ("map", 16, Role::Insert),
    ];
    let parts = parts.into_iter().map(|(name, pages, role)| {
        let mut part = part(name, pages);
        part.role = given(role);
        part.stock = given(name.to_owned());
        part
    });
    job(
        ProductKind::PerfectBound,
        size(148.0, 210.0),
        parts.collect(),
    )
}

/// Four process inks with every choice of up to four solids, the first twelve of them; each solid on another part.
fn ink_sets(job: &Job) -> Vec<PrintPlan> {
    (0u32..12)
        .map(|set| {
            let chosen: Vec<u32> = (0..4).filter(|solid| set >> solid & 1 == 1).collect();
            let solids = vec![("solid", InkKind::Solid); chosen.len()];
            let parts = job.parts.iter().enumerate().map(|(n, part)| {
                let mut on_page: Vec<(u16, f64)> = (0..4).map(|ink| (ink, 0.2)).collect();
                let here = chosen.iter().zip(4..).filter(|(s, _)| **s as usize == n);
                on_page.extend(here.map(|(_, ink)| (ink, 0.05)));
                all_pages(part.pages.value, &on_page)
            });
            plan(inks(&solids), parts.collect())
        })
        .collect()
}

fn book() {
    let (card, job) = (week_card(), week_book());
    let plans = ink_sets(&job);
    let lay_out = timed(TURNS, || {
        black_box(Pricer::new(&job, &card).unwrap());
    });
    let totals = timed(TURNS, || {
        let pricer = Pricer::new(&job, &card).unwrap();
        for totals in black_box(pricer.totals(&plans, &QUANTITIES)) {
            totals.unwrap();
        }
    });
    let lines = timed(TURNS, || {
        let pricer = Pricer::new(&job, &card).unwrap();
        for plan in &plans {
            let prepared = pricer.prepare(plan).unwrap();
            for quantity in QUANTITIES {
                black_box(prepared.estimate(quantity).unwrap());
            }
        }
    });
    told("book, laid out", &lay_out, BOOK_SECONDS);
    told("book, laid out and every total", &totals, BOOK_SECONDS);
    told(
        "book, laid out and every estimate with its lines, one core",
        &lines,
        BOOK_SECONDS,
    );
}

/// Flyers of one to ten decimetres by as much, in one to six inks, on one or both sides.
fn flyer(number: u64) -> (Job, PrintPlan, u64) {
    // Steps that have no divisor in common with the range of each: all combinations come up.
    let pick = |step: u64, range: u64| (number * step) % range;
    let (width, height) = (90.0 + pick(7, 211) as f64, 100.0 + pick(11, 223) as f64);
    let mut flyer = part("flyer", 1 + pick(1, 2) as u32);
    flyer.bleed = given(Millimetres::new(pick(3, 5) as f64).unwrap());
    let pages = flyer.pages.value;
    let n_inks = 1 + pick(5, 6) as u16;
    let solids = vec![("solid", InkKind::Solid); usize::from(n_inks.saturating_sub(4))];
    let on_page: Vec<(u16, f64)> = (0..n_inks).map(|ink| (ink, 0.15)).collect();
    let plan = plan(inks(&solids), vec![all_pages(pages, &on_page)]);
    let quantity = 200 + pick(313, 49_801);
    (
        job(ProductKind::Flat, size(width, height), vec![flyer]),
        plan,
        quantity,
    )
}

fn flyers() {
    let mut card = week_card();
    card.stocks[0].name = given("gloss-135".to_owned());
    card.stocks[0].gsm = given(Gsm::new(135.0).unwrap());
    let jobs: Vec<_> = (0..FLYERS).map(flyer).collect();
    let lay_out = timed(2, || {
        for (job, _, _) in &jobs {
            black_box(Pricer::new(job, &card).unwrap());
        }
    });
    let all = timed(2, || {
        for (job, plan, quantity) in &jobs {
            let pricer = Pricer::new(job, &card).unwrap();
            black_box(pricer.estimate(plan, *quantity).unwrap());
        }
    });
    told(
        "10,000 flyers, laid out, one core",
        &lay_out,
        FLYERS_SECONDS,
    );
    told(
        "10,000 flyers, laid out and estimated, one core",
        &all,
        FLYERS_SECONDS,
    );
}
