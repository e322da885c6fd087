//! Speed of evaluating an ICC profile, side by side with lcms2's float path; both on one core.
//!
//! Reads a real profile that `cargo xtask test-data` fetches; `cargo xtask bench` does so first.
#![expect(clippy::print_stdout, reason = "a benchmark prints its ratio")]

use std::hint::black_box;
use std::path::Path;
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group, criterion_main};
use inkset_colour::{D50_WHITE, LabD50, OutputProfile, delta_e00, read_output_profile};
use lcms2::{CIExyY, GlobalContext, Intent, PixelFormat, Profile, Transform};

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
}

fn profile_bytes() -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../target/test-data/ISOcoated_v2_300_bas.icc");
    std::fs::read(&path).expect("`cargo xtask test-data` fetches the profile")
}

fn reference(bytes: &[u8]) -> Transform<[f64; 4], [f64; 3]> {
    let context = GlobalContext::new();
    let input = Profile::new_icc_context(&context, bytes).expect("lcms2 reads the profile");
    let sum = D50_WHITE.x + D50_WHITE.y + D50_WHITE.z;
    let white = CIExyY {
        x: D50_WHITE.x / sum,
        y: D50_WHITE.y / sum,
        Y: 1.0,
    };
    let lab = Profile::new_lab4_context(&context, &white).expect("lcms2 makes a Lab profile");
    Transform::new_context(
        &context,
        &input,
        PixelFormat::CMYK_DBL,
        &lab,
        PixelFormat::Lab_DBL,
        Intent::AbsoluteColorimetric,
    )
    .expect("lcms2 makes the transform")
}

fn evaluate(profile: &OutputProfile, tones: &[[f64; 4]], out: &mut [[f64; 3]]) {
    for (out, tones) in out.iter_mut().zip(tones) {
        let lab = profile.lab(*tones);
        *out = [lab.l, lab.a, lab.b];
    }
}

fn timed(run: impl FnOnce()) -> Duration {
    let started = Instant::now();
    run();
    started.elapsed()
}

fn forward(c: &mut Criterion) {
    let bytes = profile_bytes();
    let ours = read_output_profile("bench.icc", &bytes).expect("a sound profile");
    let theirs = reference(&bytes);
    let mut stream = Stream(3);
    let tones: Vec<[f64; 4]> = (0..1_000_000)
        .map(|_| [(); 4].map(|()| 100.0 * stream.unit()))
        .collect();
    let (mut a, mut b) = (vec![[0.0; 3]; tones.len()], vec![[0.0; 3]; tones.len()]);
    let mut group = c.benchmark_group("profile");
    group.sample_size(10);
    group.bench_function("1,000,000 tones", |bench| {
        bench.iter(|| evaluate(&ours, black_box(&tones), &mut a));
    });
    group.bench_function("1,000,000 tones, lcms2", |bench| {
        bench.iter(|| theirs.transform_pixels(black_box(&tones), &mut b));
    });
    group.finish();
    // In turns, so that whatever else the machine does slows both; the shortest of each is the least disturbed.
    let (mut quick, mut slow) = (Duration::MAX, Duration::MAX);
    for _ in 0..15 {
        quick = quick.min(timed(|| evaluate(&ours, black_box(&tones), &mut a)));
        slow = slow.min(timed(|| theirs.transform_pixels(black_box(&tones), &mut b)));
    }
    let lab = |v: &[f64; 3]| LabD50::new(v[0], v[1], v[2]);
    let worst = a.iter().zip(&b).map(|(a, b)| delta_e00(lab(a), lab(b)));
    println!(
        "profile: lcms2 takes {:.1} times as long ({slow:?} to {quick:?}); largest difference ΔE00 {:.4}",
        slow.as_secs_f64() / quick.as_secs_f64(),
        worst.fold(0.0, f64::max)
    );
}

criterion_group!(benches, forward);
criterion_main!(benches);
