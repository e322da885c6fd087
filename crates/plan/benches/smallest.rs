//! The smallest set of solids for 40 colours and 12 solids, of which many are needed.
#![allow(
    missing_docs,
    reason = "the macros of criterion write undocumented functions"
)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use inkset_plan::{Needs, smallest_sets};

fn smallest(criterion: &mut Criterion) {
    let needs = |row: u32| vec![1 << (row % 12), 1 << (row * 7 % 12) | 1 << (row * 5 % 12)];
    let rows: Vec<Needs> = (0..40).map(needs).collect();
    criterion.bench_function("smallest set, 40 colours, 12 solids", |bench| {
        bench.iter(|| black_box(smallest_sets(12, black_box(&rows))));
    });
}

criterion_group!(benches, smallest);
criterion_main!(benches);
