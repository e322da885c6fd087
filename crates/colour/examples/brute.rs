//! A slow study: does brute force ever find a better build than the search?
//!
//! `cargo run --release -p inkset-colour --example brute -- [TARGETS] [STEP] [SEED] [CONDITION]`
//!
//! For every shipped condition, so many seeded random targets (L* 5 to 98, a* -90 to 90, b* -90 to 100: most lie far
//! outside what inks reach) are compared with every allowed build whose tones are multiples of STEP percent; see
//! `tests/common/brute.rs` for how the best of them are walked downhill. Prints every target for which that beats the
//! search before rounding by more than 0.02 ΔE00.

#![allow(clippy::print_stdout, reason = "the study's result is what it prints")]

#[path = "../tests/common/brute.rs"]
mod brute;
#[path = "../tests/common/mod.rs"]
mod common;

use std::time::Instant;

use brute::Lattice;
use common::Stream;
use inkset_colour::{
    BuildLimits, ConditionInfo, LabD50, PrintingCondition, best_build, shipped, shipped_names,
};
use rayon::prelude::*;

/// What brute force may be better by, ΔE00.
const TOLERANCE: f64 = 0.02;

fn main() {
    let number = |place: usize, usual: u64| {
        let word = std::env::args().nth(place);
        word.and_then(|word| word.parse().ok()).unwrap_or(usual)
    };
    let (targets, step, seed) = (number(1, 200), number(2, 2), number(3, 1));
    let only = std::env::args().nth(4);
    let asked = |info: &&ConditionInfo| only.as_ref().is_none_or(|name| *name == info.name);
    for info in shipped_names().iter().filter(asked) {
        let condition = shipped(&info.name).expect("a shipped condition opens");
        let lattice = Lattice::new(condition, step as u8);
        println!("{}: {} builds of {step} %", info.name, lattice.len());
        study(condition, &lattice, &random_targets(targets, seed));
    }
}

fn random_targets(count: u64, seed: u64) -> Vec<LabD50> {
    let mut stream = Stream(seed);
    let mut target = || {
        LabD50::new(
            stream.between(5.0, 98.0),
            stream.between(-90.0, 90.0),
            stream.between(-90.0, 100.0),
        )
    };
    (0..count).map(|_| target()).collect()
}

fn study(condition: &PrintingCondition, lattice: &Lattice<'_>, targets: &[LabD50]) {
    let limits = BuildLimits::of(condition);
    let start = Instant::now();
    let searched: Vec<f64> = targets
        .iter()
        .map(|t| best_build(condition, *t, &limits).unrounded_delta_e)
        .collect();
    let per_target = start.elapsed().as_secs_f64() * 1000.0 / targets.len() as f64;
    let start = Instant::now();
    let found: Vec<(f64, [f64; 4])> = targets
        .par_iter()
        .zip(&searched)
        .map(|(target, bar)| lattice.best(*target, *bar))
        .collect();
    let brute_per_target = start.elapsed().as_secs_f64() * 1000.0 / targets.len() as f64;
    let mut worst = f64::NEG_INFINITY;
    let mut missed = 0;
    for ((target, bar), (delta_e, tones)) in targets.iter().zip(&searched).zip(&found) {
        worst = f64::max(worst, bar - delta_e);
        if bar - delta_e > TOLERANCE {
            missed += 1;
            let lab = [target.l, target.a, target.b].map(|v| (v * 10.0).round() / 10.0);
            println!("  {lab:?}: search {bar:.3}, brute force {delta_e:.3} at {tones:.2?}");
        }
    }
    println!(
        "  better by more than {TOLERANCE} for {missed} of {}; worst {worst:.4}; search {per_target:.2} ms, brute force \
         {brute_per_target:.0} ms a target",
        targets.len()
    );
}
