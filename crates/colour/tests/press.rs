//! Press variation and solids.

mod common;

use inkset_colour::{
    BuildLimits, Deviation, LabD50, SolidInk, Variation, best_build, build_on_press, delta_e00,
    drift_by_ink, shipped, solid_on_press,
};

#[test]
fn a_grey_of_three_inks_drifts_more_than_black_alone() {
    let coated = shipped("coated-fogra39").expect("a shipped condition opens");
    let spread = |tones| build_on_press(coated, tones, coated.lab(tones), &Variation::CONTROLLED);
    let (three, black) = (
        spread([50.0, 40.0, 40.0, 0.0]),
        spread([0.0, 0.0, 0.0, 50.0]),
    );
    println!("grey of three inks {three:?}, of black {black:?}");
    assert!(three.p95 > 1.5 * black.p95);
}

#[test]
fn the_limit_is_wider_than_control() {
    let coated = shipped("coated-tr006").expect("a shipped condition opens");
    let tones = [60.0, 20.0, 0.0, 10.0];
    let spread = |variation| build_on_press(coated, tones, coated.lab(tones), &variation);
    let (controlled, limit) = (spread(Variation::CONTROLLED), spread(Variation::LIMIT));
    assert!(limit.p95 > 1.5 * controlled.p95 && controlled.p95 > controlled.median);
}

#[test]
fn no_variation_leaves_the_aim() {
    let coated = shipped("coated-tr006").expect("a shipped condition opens");
    let still = Variation::own("still", 0.0, 0.0).expect("zero is allowed");
    let target = LabD50::new(50.0, 20.0, 10.0);
    let build = best_build(coated, target, &BuildLimits::of(coated));
    let spread = build_on_press(coated, build.tones_f64(), target, &still);
    assert!(
        (spread.p95 - build.delta_e).abs() < 1e-9 && (spread.median - build.delta_e).abs() < 1e-9
    );
}

#[test]
fn variations_have_names_and_sane_figures() {
    assert_eq!(Variation::named("Controlled"), Some(Variation::CONTROLLED));
    assert_eq!(Variation::named("limit"), Some(Variation::LIMIT));
    assert_eq!(Variation::named("average"), None);
    assert_eq!(Variation::own("mine", -0.1, 2.0), None);
    assert_eq!(Variation::own("mine", f64::NAN, 2.0), None);
}

#[test]
fn the_ink_that_causes_most_is_the_one_that_varies_most() {
    let coated = shipped("coated-fogra39").expect("a shipped condition opens");
    let tones = [50.0, 40.0, 40.0, 0.0];
    let mut uneven = Variation::CONTROLLED;
    uneven.inks[1] = Deviation::new(0.15, 6.0, 0.5).expect("sound");
    let drift = drift_by_ink(coated, tones, &uneven);
    assert!(drift[1] > 2.0 * drift[0].max(drift[2]), "{drift:?}");
    assert!(drift[3].abs() < f64::EPSILON);
    let together = build_on_press(coated, tones, coated.lab(tones), &uneven).p95;
    assert!(together >= drift[1] - 0.1, "{together} {drift:?}");
}

#[test]
fn correlation_within_a_unit_widens_a_single_ink() {
    let coated = shipped("coated-fogra39").expect("a shipped condition opens");
    let tones = [0.0, 0.0, 0.0, 50.0];
    let at = |correlation| {
        let mut variation = Variation::CONTROLLED;
        variation.inks[3] = Deviation::new(0.05, 2.0, correlation).expect("sound");
        build_on_press(coated, tones, coated.lab(tones), &variation).p95
    };
    assert!(at(1.0) > at(0.0) && at(0.0) > at(-1.0));
    assert_eq!(Deviation::new(0.05, 2.0, 1.1), None);
}

#[test]
fn a_solid_holds_a_brand_tolerance_when_controlled() {
    let paper = LabD50::new(95.0, 0.0, -2.0);
    let orange = SolidInk::new(LabD50::new(67.0, 64.0, 92.0));
    let spread = solid_on_press(&orange, paper, 100.0, orange.lab, &Variation::CONTROLLED);
    println!("solid orange {spread:?}");
    assert!(spread.median > 0.5 && spread.p95 < 2.0);
}

#[test]
fn tints_run_from_paper_to_solid() {
    let paper = LabD50::new(95.0, 0.0, -2.0);
    let blue = SolidInk::new(LabD50::new(25.0, 25.0, -60.0));
    assert_eq!(blue.tint(paper, 0.0), paper);
    assert_eq!(blue.tint(paper, 100.0), blue.lab);
    assert_eq!(blue.tint(paper, 250.0), blue.lab);
    let (tone, delta_e) = blue.best_tint(paper, blue.tint(paper, 37.0), 3.0);
    assert_eq!(tone, 37);
    assert!(delta_e < 1e-9);
    let (faint, _) = blue.best_tint(paper, blue.tint(paper, 2.0), 3.0);
    assert!(faint == 0 || faint >= 3);
    assert!(delta_e00(blue.tint(paper, 100.0), blue.lab) < 1e-12);
}
