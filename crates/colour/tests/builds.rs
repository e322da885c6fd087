//! Builds: the limits they keep, how good they are, and what the trade knows of four inks.

#[path = "common/brute.rs"]
mod brute;
mod common;

use brute::Lattice;
use common::{Stream, reference, summary};
use inkset_colour::{
    Build, BuildLimits, LabD50, PrintingCondition, ProcessSet, best_build, delta_e00, shipped,
    shipped_names,
};
use proptest::prelude::*;
use rayon::prelude::*;

fn condition(name: &str) -> &'static PrintingCondition {
    shipped(name).expect("a shipped condition opens")
}

fn random_target(stream: &mut Stream) -> LabD50 {
    LabD50::new(
        stream.between(5.0, 98.0),
        stream.between(-90.0, 90.0),
        stream.between(-90.0, 100.0),
    )
}

#[test]
fn reach_agrees_with_an_independent_model() {
    let fogra39 = condition("coated-fogra39");
    let limits = BuildLimits::of(fogra39);
    let mut off = Vec::new();
    let mut cost = Vec::new();
    for row in reference("reach_fogra39") {
        let target = LabD50::new(row.number(2), row.number(3), row.number(4));
        let build = best_build(fogra39, target, &limits);
        let above = build.unrounded_delta_e - row.number(5);
        assert!(above <= 0.4, "{}: {build:?}", row.line);
        off.push(above.abs());
        cost.push(build.delta_e - build.unrounded_delta_e);
    }
    let ((off, _, off_max), (cost, _, cost_max)) = (summary(off), summary(cost));
    println!(
        "reach: off by {off:.3} on average, worst {off_max:.3}; whole percents cost {cost:.3}, worst {cost_max:.3}"
    );
    assert!(off <= 0.15 && cost <= 0.25 && cost_max <= 0.6);
}

/// How much better brute force was than the search, per target.
fn missed(condition: &PrintingCondition, targets: &[LabD50]) -> Vec<f64> {
    let lattice = Lattice::new(condition, 5);
    assert!(lattice.len() > 100_000);
    let limits = BuildLimits::of(condition);
    let by = |target: &LabD50| {
        let found = best_build(condition, *target, &limits).unrounded_delta_e;
        found - lattice.best(*target, found).0
    };
    targets.par_iter().map(by).collect()
}

#[test]
fn brute_force_finds_nothing_better() {
    for info in shipped_names() {
        let mut stream = Stream(11);
        let targets: Vec<LabD50> = (0..24).map(|_| random_target(&mut stream)).collect();
        let missed = missed(condition(&info.name), &targets);
        let worst = missed.iter().copied().fold(f64::MIN, f64::max);
        println!("{}: brute force better by {worst:.4} at most", info.name);
        assert!(worst <= 0.02, "{}: {missed:?}", info.name);
    }
}

#[test]
fn hollows_beyond_the_opposite_hue_are_searched() {
    // Each of them once had a nearer build in a hollow of ΔE00 than the search found.
    for (name, [l, a, b]) in [
        ("coated-tr006", [5.7, 86.5, 15.5]),
        ("coated-fogra39", [9.5, 79.6, 12.0]),
        ("coated-fogra39", [92.0, 77.5, 9.4]),
        ("magazine-tr003", [96.4, 50.9, 9.1]),
        ("uncoated-fogra29", [5.7, 86.5, 15.5]),
        ("uncoated-fogra29", [12.7, 73.3, 24.9]),
        ("newsprint-tr002", [66.3, 84.0, 11.4]),
        ("newsprint-tr002", [27.2, 79.4, -9.5]),
    ] {
        let target = LabD50::new(l, a, b);
        let missed = missed(condition(name), &[target]);
        assert!(missed[0] <= 0.02, "{name} {target:?}: {missed:?}");
    }
}

#[test]
fn long_flat_valleys_are_searched() {
    // Each of them once had a nearer build in another bend of the same valley than the search found.
    for (name, [l, a, b]) in [
        ("coated-fogra39", [13.883, 18.123, -50.947]),
        ("newsprint-tr002", [6.0, -88.0, 13.4]),
        ("newsprint-tr002", [12.3868, -74.5344, -19.14]),
        ("newsprint-tr002", [22.9394, -18.119, -43.399]),
        ("newsprint-tr002", [93.4948, -9.7146, 57.989]),
    ] {
        let target = LabD50::new(l, a, b);
        let missed = missed(condition(name), &[target]);
        assert!(missed[0] <= 0.02, "{name} {target:?}: {missed:?}");
    }
}

#[test]
fn more_inks_are_never_worse() {
    let coated = condition("coated-tr006");
    let mut stream = Stream(5);
    for _ in 0..40 {
        let target = random_target(&mut stream);
        let reach: Vec<f64> = ProcessSet::every()
            .map(|inks| {
                best_build(coated, target, &BuildLimits::of(coated).with_inks(inks))
                    .unrounded_delta_e
            })
            .collect();
        for (i, small) in ProcessSet::every().enumerate() {
            for (j, large) in ProcessSet::every()
                .enumerate()
                .filter(|(_, large)| large.contains_all(small))
            {
                assert!(
                    reach[j] <= reach[i] + 0.002,
                    "{target:?}: {large:?} {} but {small:?} {}",
                    reach[j],
                    reach[i]
                );
            }
        }
    }
}

#[test]
fn builds_do_not_depend_on_threads() {
    let coated = condition("coated-fogra39");
    let mut stream = Stream(8);
    let targets: Vec<LabD50> = (0..200).map(|_| random_target(&mut stream)).collect();
    let all = |threads: usize| -> Vec<Build> {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("threads can be had");
        pool.install(|| {
            targets
                .par_iter()
                .map(|t| best_build(coated, *t, &BuildLimits::of(coated)))
                .collect()
        })
    };
    assert_eq!(all(1), all(2));
}

#[test]
fn nothing_to_print_with_leaves_the_paper() {
    let coated = condition("coated-tr006");
    let red = LabD50::new(48.0, 68.0, 46.0);
    let build = best_build(
        coated,
        red,
        &BuildLimits::of(coated).with_inks(ProcessSet::NONE),
    );
    assert_eq!(build.tones, [0; 4]);
    assert!((build.delta_e - delta_e00(red, coated.paper())).abs() < 1e-9);
}

#[test]
fn fewer_inks_are_preferred_where_they_do() {
    let coated = condition("coated-fogra39");
    let pure = best_build(
        coated,
        coated.lab([0.0, 60.0, 0.0, 0.0]),
        &BuildLimits::of(coated),
    );
    assert_eq!(pure.tones, [0, 60, 0, 0]);
    let grey = best_build(
        coated,
        coated.lab([0.0, 0.0, 0.0, 40.0]),
        &BuildLimits::of(coated),
    );
    assert_eq!(grey.tones, [0, 0, 0, 40]);
}

#[test]
fn three_inks_are_not_black() {
    for info in shipped_names() {
        let condition = condition(&info.name);
        let lightness = |tones| condition.lab(tones).l;
        let three = lightness([100.0, 100.0, 100.0, 0.0]);
        let black = lightness([0.0, 0.0, 0.0, 100.0]);
        let four = lightness([100.0; 4]);
        println!(
            "{}: L* of C+M+Y {three:.1}, of K {black:.1}, of all four {four:.1}",
            info.name
        );
        assert!(three > black && three > four + 5.0, "{}", info.name);
    }
}

#[test]
fn vivid_colours_miss_on_coated_with_four_inks() {
    for name in ["coated-tr006", "coated-fogra39"] {
        for (colour, lab) in [
            ("bright orange", LabD50::new(67.0, 64.0, 92.0)),
            ("vivid green", LabD50::new(62.0, -76.0, 38.0)),
            ("violet", LabD50::new(32.0, 52.0, -62.0)),
            ("deep blue", LabD50::new(22.0, 32.0, -74.0)),
        ] {
            let build = best_build(condition(name), lab, &BuildLimits::of(condition(name)));
            println!("{name}: {colour} misses by {:.1}", build.unrounded_delta_e);
            assert!(build.unrounded_delta_e > 3.5, "{name}: {colour} {build:?}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(4), ..ProptestConfig::default() })]

    #[test]
    fn builds_keep_their_limits(
        which in 0..5_usize, l in 0.0..100.0, a in -110.0..110.0, b in -110.0..110.0,
        ink_limit in 40.0..400.0_f64, smallest_dot in 0.0..8.0_f64, bits in 0..16_usize,
    ) {
        let condition = condition(&shipped_names()[which].name);
        let inks = ProcessSet::every().nth(bits).unwrap_or_default();
        let build = best_build(condition, LabD50::new(l, a, b), &BuildLimits { ink_limit, smallest_dot, inks });
        prop_assert!(build.tones_f64().iter().sum::<f64>() <= ink_limit, "{:?}", build);
        prop_assert!(build.tones_f64().iter().all(|t| *t <= 100.0 && (*t <= 0.0 || *t >= smallest_dot)), "{:?}", build);
        prop_assert!(inks.contains_all(build.inks()));
        prop_assert_eq!(build.lab, condition.lab(build.tones_f64()));
        prop_assert!((build.delta_e - delta_e00(LabD50::new(l, a, b), build.lab)).abs() < 1e-9);
        prop_assert!(build.unrounded_delta_e <= build.delta_e + 1e-9);
    }
}
