//! Pricing all ink sets of a job with eight candidate solids on four presses at five quantities, and laying pieces out.
#![allow(clippy::unwrap_used, reason = "a benchmark fails by panicking")]
#![allow(
    missing_docs,
    reason = "the macros of criterion write undocumented functions"
)]

#[path = "../tests/support/mod.rs"]
mod support;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use inkset_costing::{InkKind, Pricer, PrintPlan};
use inkset_layout::guillotine;
use inkset_spec::{Job, RateCard};
use inkset_units::Millimetres;
use support::{all_pages, booklet, card, flyer, given, inks, plan, press, size};

const QUANTITIES: [u64; 5] = [500, 1_000, 5_000, 20_000, 100_000];

/// Four presses, the last perfecting, and two parent sheets.
fn four_presses() -> RateCard {
    let mut card = card();
    card.presses = [("four", 4), ("five", 5), ("eight", 8), ("ten", 10)]
        .map(|(name, units)| press(name, units))
        .to_vec();
    for large in &mut card.presses[2..] {
        large.largest_sheet = given(size(1020.0, 720.0));
        large.perfecting = given(large.units.value == 10);
    }
    card.stocks[0].sheets = vec![given(size(450.0, 640.0)), given(size(640.0, 900.0))];
    card
}

/// All subsets of eight solids beside four process inks, each solid on every page of the last part.
fn ink_sets(job: &Job) -> Vec<PrintPlan> {
    (0u32..256)
        .map(|set| {
            let chosen = (0..8).filter(|solid| set >> solid & 1 == 1).count() as u16;
            let solids = vec![("solid", InkKind::Solid); usize::from(chosen)];
            let mut on_page: Vec<(u16, f64)> = (0..4).map(|ink| (ink, 0.2)).collect();
            on_page.extend((4..4 + chosen).map(|ink| (ink, 0.05)));
            let last = job.parts.len() - 1;
            let part_inks = |(n, part): (usize, &inkset_spec::Part)| {
                let inks = if n == last {
                    &on_page[..]
                } else {
                    &on_page[..4]
                };
                all_pages(part.pages.value, inks)
            };
            let parts = job.parts.iter().enumerate().map(part_inks).collect();
            plan(inks(&solids), parts)
        })
        .collect()
}

fn enumerate(criterion: &mut Criterion) {
    let card = four_presses();
    for (name, job) in [("flyer", flyer()), ("booklet of 16 + 4 pages", booklet(16))] {
        let plans = ink_sets(&job);
        let pricer = Pricer::new(&job, &card).unwrap();
        criterion.bench_function(&format!("{name}: all ways laid out"), |bench| {
            bench.iter(|| black_box(Pricer::new(&job, &card)));
        });
        criterion.bench_function(&format!("{name}: 256 ink sets, 5 quantities"), |bench| {
            bench.iter(|| black_box(pricer.totals(&plans, &QUANTITIES)));
        });
        criterion.bench_function(&format!("{name}: one estimate with its lines"), |bench| {
            bench.iter(|| black_box(pricer.estimate(&plans[3], 5_000)));
        });
    }
}

fn lay_out(criterion: &mut Criterion) {
    for (name, sheet, piece) in [
        ("A4 on SRA1", (890.0, 625.0), (303.0, 216.0)),
        ("cards on B1", (1010.0, 705.0), (91.0, 61.0)),
        ("labels on B1", (1010.0, 705.0), (34.5, 22.5)),
    ] {
        let (sheet, piece) = (size(sheet.0, sheet.1), size(piece.0, piece.1));
        criterion.bench_function(name, |bench| {
            bench.iter(|| black_box(guillotine(sheet, piece, Millimetres::ZERO)));
        });
    }
}

criterion_group!(benches, enumerate, lay_out);
criterion_main!(benches);
