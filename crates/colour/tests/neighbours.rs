//! Neighbours of colours that are missed, against a fine sweep over all builds.

use inkset_colour::{
    BuildLimits, Direction, KEPT_HUE, KEPT_LIGHTNESS, LabD50, PREFERENCE_SLACK, PrintingCondition,
    delta_e00, hue_difference, neighbours, shipped,
};

const MISSED: [LabD50; 5] = [
    LabD50::new(66.0, 60.0, 80.0),
    LabD50::new(60.0, -75.0, 45.0),
    LabD50::new(28.0, 50.0, -65.0),
    LabD50::new(22.0, 30.0, -70.0),
    LabD50::new(50.0, 85.0, 20.0),
];

/// The smallest ΔE00 among builds in steps of 4 % that keep the quality strictly within a quarter of its limit.
fn swept(condition: &PrintingCondition, target: LabD50, direction: Direction) -> f64 {
    let mut best = f64::INFINITY;
    for code in 0..26_usize.pow(4) {
        let tone = |ink: u32| (code / 26_usize.pow(ink) % 26) as f64 * 4.0;
        let tones = [tone(0), tone(1), tone(2), tone(3)];
        if tones.iter().sum::<f64>() > condition.ink_limit() {
            continue;
        }
        let lab = condition.lab(tones);
        let kept = match direction {
            Direction::Nearest => true,
            Direction::SameHue => hue_difference(target, lab) < 0.25 * KEPT_HUE,
            Direction::SameLightness => (target.l - lab.l).abs() < 0.25 * KEPT_LIGHTNESS,
        };
        if kept {
            best = best.min(delta_e00(target, lab));
        }
    }
    best
}

#[test]
fn neighbours_keep_what_they_promise_and_no_sweep_beats_them() {
    for name in ["coated-fogra39", "uncoated-fogra29"] {
        let condition = shipped(name).unwrap();
        let limits = BuildLimits::of(condition);
        for target in MISSED {
            let found = neighbours(condition, target, &limits);
            for neighbour in &found {
                let (lab, delta_e) = (neighbour.build.lab, neighbour.build.delta_e);
                assert!((delta_e00(target, lab) - delta_e).abs() < 1e-9);
                assert!(
                    delta_e + PREFERENCE_SLACK >= found[0].build.delta_e,
                    "{name} {target:?}: {found:?}"
                );
                match neighbour.direction {
                    Direction::Nearest => {}
                    Direction::SameHue => assert!(hue_difference(target, lab) <= KEPT_HUE),
                    Direction::SameLightness => assert!((target.l - lab.l).abs() <= KEPT_LIGHTNESS),
                }
                let swept = swept(condition, target, neighbour.direction);
                assert!(
                    delta_e < swept + 0.25,
                    "{name} {target:?} {neighbour:?}: a sweep finds {swept}"
                );
            }
            assert!(found.len() >= 2, "{name} {target:?}: {found:?}");
        }
    }
}

#[test]
fn a_lightness_that_no_ink_reaches_has_no_neighbour() {
    let condition = shipped("newsprint-tr002").unwrap();
    let black = LabD50::new(5.0, 0.0, 0.0);
    let found = neighbours(condition, black, &BuildLimits::of(condition));
    let told: Vec<Direction> = found.iter().map(|n| n.direction).collect();
    assert_eq!(told, [Direction::Nearest, Direction::SameHue]);
}
