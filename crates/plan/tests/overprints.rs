//! Sets with extended process inks, and solids over black and over each other.
#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

mod support;

use inkset_colour::{FurtherInk, LabD50, Overprints, SolidInk};
use inkset_plan::{ExtendedInk, RenderingKind, Verdict};
use support::{Brand, booklet, condition_of, planned, planned_with};

fn brand(lab: [f64; 3], tolerance: f64, solid: &'static str) -> Brand {
    Brand {
        lab,
        tolerance,
        solid,
    }
}

fn orange() -> ExtendedInk {
    let solid = SolidInk {
        lab: LabD50::new(66.0, 58.0, 90.0),
        match_delta_e: 0.0,
        tints: None,
    };
    ExtendedInk {
        name: "orange".to_owned(),
        of_parts: vec![Some(FurtherInk::of(solid)); 2],
    }
}

#[test]
fn extended_ink_builds_what_four_inks_miss() {
    let job = booklet("matt-135", &[brand([65.0, 57.0, 84.0], 3.0, "refused")]);
    let four = planned(&job);
    assert!(four.sets.iter().all(|set| set.count(Verdict::Misses) > 0));
    let plan = planned_with(&job, vec![orange()]);
    let set = plan.sets.iter().find(|set| set.name == "CMYK + orange");
    let set = set.unwrap();
    assert_eq!((set.count(Verdict::Misses), set.inks()), (0, 5));
    let built = set.renderings.iter().find(|r| !r.extended.is_empty());
    let built = built.unwrap();
    assert_eq!(built.kind, RenderingKind::Build);
    let inks = built.process.iter().filter(|tone| **tone > 0).count() + built.extended.len();
    assert!((1..=4).contains(&inks), "{built:?}");
    assert!(built.prediction >= 0.0 && built.delta_e_on_press >= built.delta_e);
    assert_eq!(set.extended, [0]);
    // What the extended ink cannot help stays as it was.
    let before = &four.sets[four.four_ink];
    let black = plan.rows.iter().position(|r| r.name.contains("black"));
    let black = black.unwrap();
    assert_eq!(set.renderings[black], before.renderings[black]);
}

#[test]
fn extended_ink_of_another_hue_adds_no_set() {
    let job = booklet("matt-135", &[brand([35.0, 20.0, -45.0], 3.0, "refused")]);
    let plan = planned_with(&job, vec![orange()]);
    assert!(plan.sets.iter().all(|set| set.extended.is_empty()));
}

#[test]
fn paper_without_figures_gets_no_extended_ink() {
    let job = booklet("matt-135", &[brand([65.0, 57.0, 84.0], 3.0, "refused")]);
    let unknown = ExtendedInk {
        of_parts: vec![None; 2],
        ..orange()
    };
    let plan = planned_with(&job, vec![unknown]);
    assert_eq!(plan.sets.len(), planned(&job).sets.len());
}

#[test]
fn dark_colour_is_built_of_a_solid_and_black() {
    // The second colour is the first, darkened, and purer than four inks can; its tolerance leaves room for what the
    // prediction may be off.
    let brands = [
        brand([64.0, 58.0, 84.0], 2.0, "allowed"),
        brand([51.0, 51.0, 71.0], 4.0, "refused"),
    ];
    let plan = planned(&booklet("matt-135", &brands));
    let with_black = plan.sets.iter().flat_map(|set| {
        let kinds = set.renderings.iter();
        kinds.filter(|r| r.kind == RenderingKind::Overprint)
    });
    let overprints: Vec<_> = with_black.collect();
    assert!(!overprints.is_empty());
    for rendering in overprints {
        assert!(
            rendering.solid.is_some() && rendering.process[3] > 0,
            "{rendering:?}"
        );
        assert_eq!(rendering.process[..3], [0; 3]);
        assert!(rendering.prediction > 0.0, "{rendering:?}");
        assert_eq!(rendering.verdict, Verdict::Holds);
        assert!(rendering.drift_by_further[0] > 0.0 && rendering.drift_by_ink[3] > 0.0);
    }
}

#[test]
fn two_solids_print_a_colour_between_them() {
    let (violet, pink) = ([30.0, 50.0, -64.0], [50.0, 84.0, -20.0]);
    let solid = |[l, a, b]: [f64; 3]| FurtherInk::of(SolidInk::new(LabD50::new(l, a, b)));
    let overprints = Overprints::new(condition_of("matt-135"), &[solid(violet), solid(pink)]);
    let purple = overprints.lab([0.0; 4], &[80.0, 90.0]).lab;
    let brands = [
        brand(violet, 2.0, "required"),
        brand(pink, 2.0, "required"),
        brand([purple.l, purple.a, purple.b], 9.0, "refused"),
    ];
    let plan = planned(&booklet("matt-135", &brands));
    let row = plan.rows.iter().position(|r| r.name.starts_with("Brand 2"));
    let row = row.unwrap();
    let found = plan.sets.iter().map(|set| &set.renderings[row]);
    let printed = found
        .filter(|r| r.second_solid.is_some())
        .min_by(|p, q| p.delta_e.total_cmp(&q.delta_e));
    let printed = printed.unwrap();
    assert_eq!(printed.kind, RenderingKind::Overprint);
    assert_eq!(printed.process, [0; 4]);
    // Its solids are mixed to within 1 of their standards, which no overprint can better.
    assert!((1.0..1.2).contains(&printed.delta_e), "{printed:?}");
    assert!(printed.prediction > 2.0 && printed.drift_by_further.len() == 2);
}
