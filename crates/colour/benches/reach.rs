//! Speed of the questions that every job asks many times. Timings are for one core.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use inkset_colour::{
    BuildLimits, LabD50, PrintingCondition, Variation, best_build, build_on_press, shipped,
};

/// A seeded stream of numbers from 0 to 1.
struct Stream(u64);

impl Stream {
    fn unit(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / (1_u64 << 31) as f64
    }

    /// Targets spread over the colours that surfaces can have: most lie outside what four inks reach.
    fn target(&mut self) -> LabD50 {
        LabD50::new(
            15.0 + 80.0 * self.unit(),
            120.0 * self.unit() - 60.0,
            130.0 * self.unit() - 60.0,
        )
    }
}

fn coated() -> &'static PrintingCondition {
    shipped("coated-fogra39").expect("a shipped condition opens")
}

fn reach(c: &mut Criterion) {
    let mut stream = Stream(1);
    let targets: Vec<LabD50> = (0..1000).map(|_| stream.target()).collect();
    let condition = coated();
    let limits = BuildLimits::of(condition);
    let inside: Vec<LabD50> = targets
        .iter()
        .map(|t| best_build(condition, *t, &limits).lab)
        .collect();
    let mut group = c.benchmark_group("reach");
    group.sample_size(10);
    let all = |targets: &[LabD50]| -> f64 {
        targets
            .iter()
            .map(|t| best_build(condition, *t, &limits).delta_e)
            .sum()
    };
    group.bench_function("1,000 colours", |b| b.iter(|| all(black_box(&targets))));
    group.bench_function("1,000 colours inside", |b| {
        b.iter(|| all(black_box(&inside)));
    });
    group.finish();
}

fn press(c: &mut Criterion) {
    let mut stream = Stream(2);
    let tones: Vec<[f64; 4]> = (0..1000)
        .map(|_| [(); 4].map(|()| 75.0 * stream.unit()))
        .collect();
    let condition = coated();
    let spread =
        |t: &[f64; 4]| build_on_press(condition, *t, condition.lab(*t), &Variation::CONTROLLED).p95;
    let mut group = c.benchmark_group("press");
    group.sample_size(20);
    group.bench_function("1,000 builds", |b| {
        b.iter(|| tones.iter().map(spread).sum::<f64>());
    });
    group.finish();
}

fn forward(c: &mut Criterion) {
    let mut stream = Stream(3);
    let tones: Vec<[f64; 4]> = (0..1_000_000)
        .map(|_| [(); 4].map(|()| 100.0 * stream.unit()))
        .collect();
    let condition = coated();
    let mut group = c.benchmark_group("lab");
    group.sample_size(10);
    group.bench_function("1,000,000 tones", |b| {
        b.iter(|| tones.iter().map(|t| condition.lab(*t).l).sum::<f64>());
    });
    group.finish();
}

criterion_group!(benches, reach, press, forward);
criterion_main!(benches);
