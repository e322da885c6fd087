//! Whole commands, each a cold process: `price` of the demos, `reach` of 1,000 colours on one core, all ink sets of eight solids.
#![allow(
    missing_docs,
    reason = "criterion's macros write undocumented functions"
)]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use criterion::{Criterion, criterion_group, criterion_main};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Runs the binary to its end; its output is thrown away.
fn run(arguments: &[&str]) {
    let status = Command::new(env!("CARGO_BIN_EXE_inkset"))
        .args(arguments)
        .current_dir(root())
        .env("RAYON_NUM_THREADS", "1")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("the binary runs");
    assert!(status.success(), "{arguments:?}");
}

/// A palette spread evenly over CIELAB by an additive recurrence; many of its colours are out of reach.
fn palette(colours: u32) -> String {
    let share = |at: u32, step: f64| (f64::from(at) * step).fract();
    let mut text = "name,L,a,b\n".to_owned();
    for at in 1..=colours {
        let (l, a, b) = (
            10.0 + 85.0 * share(at, 0.819_172),
            -80.0 + 160.0 * share(at, 0.671_044),
            -80.0 + 170.0 * share(at, 0.549_700),
        );
        let _ = writeln!(text, "c{at},{l:.2},{a:.2},{b:.2}");
    }
    text
}

fn commands(criterion: &mut Criterion) {
    let file = std::env::temp_dir().join(format!("inkset-bench-{}.csv", std::process::id()));
    std::fs::write(&file, palette(1000)).expect("the temporary folder can be written");
    let palette = file
        .to_str()
        .expect("the temporary folder has a plain name");
    let mut group = criterion.benchmark_group("cold process");
    group.sample_size(20);
    group.bench_function("help", |bencher| bencher.iter(|| run(&["--help"])));
    group.bench_function("price booklet", |bencher| {
        bencher.iter(|| run(&["price", "jobs/booklet.toml"]));
    });
    group.bench_function("price flyer", |bencher| {
        bencher.iter(|| run(&["price", "jobs/flyer-orange.toml"]));
    });
    group.bench_function("reach 1,000 colours, one core", |bencher| {
        bencher.iter(|| {
            run(&[
                "reach",
                palette,
                "--condition",
                "coated-fogra39",
                "--format",
                "csv",
            ]);
        });
    });
    group.finish();
    let _ = std::fs::remove_file(&file);
}

criterion_group!(benches, commands);
criterion_main!(benches);
