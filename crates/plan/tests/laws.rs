//! Laws of planning, through to the price: what more freedom may never do.
#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

mod support;

use inkset_plan::{Plan, PlannedSet};
use inkset_spec::{Given, Job};
use inkset_units::DeltaE;
use proptest::prelude::*;
use support::{Brand, accepted, booklet, cheapest_accepted, planned};

fn brand() -> impl Strategy<Value = Brand> {
    let lab = (25.0..80.0, -70.0..75.0, -60.0..90.0);
    (lab, 1.0..8.0).prop_map(|((l, a, b), tolerance)| Brand {
        lab: [l, a, b],
        tolerance,
        solid: "allowed",
    })
}

fn text_stock() -> impl Strategy<Value = &'static str> {
    prop_oneof![Just("matt-135"), Just("offset-90")]
}

/// Whether a set of `plan` accepts every colour with no ink beyond those of `wanted`.
fn still_accepted(plan: &Plan, wanted: &PlannedSet) -> bool {
    accepted(plan).any(|set| {
        wanted.process.contains_all(set.process)
            && set.solids.iter().all(|solid| wanted.solids.contains(solid))
    })
}

/// Plans and prices a job before and after the tolerance of one brand colour grows by `by` ΔE00.
fn loosened(job: &Job, brand: usize, by: f64) -> Result<(), TestCaseError> {
    let mut looser = job.clone();
    // The first colour is the black of the text.
    let colour = &mut looser.colours[1 + brand];
    colour.tolerance = Given::assumed(DeltaE::new(colour.tolerance.value.value() + by).unwrap());
    let (tight, loose) = (planned(job), planned(&looser));
    for set in accepted(&tight) {
        let name = &set.name;
        prop_assert!(
            still_accepted(&loose, set),
            "{name} is not accepted any more"
        );
    }
    for copies in [1_000, 20_000] {
        let before = cheapest_accepted(job, &tight, copies);
        let after = cheapest_accepted(&looser, &loose, copies);
        if let Some(before) = before {
            prop_assert!(
                after.is_some_and(|after| after <= before),
                "{before:?} -> {after:?}"
            );
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, ..ProptestConfig::default() })]

    #[test]
    fn looser_tolerance_keeps_sets_accepted_and_never_costs(
        brands in prop::collection::vec(brand(), 1..4),
        stock in text_stock(),
        which in 0_usize..3,
        by in 0.1..4.0,
    ) {
        loosened(&booklet(stock, &brands), which % brands.len(), by)?;
    }

    #[test]
    fn further_solid_never_makes_a_colour_worse_or_the_job_dearer(
        brands in prop::collection::vec(brand(), 1..4),
        stock in text_stock(),
        which in 0_usize..3,
    ) {
        let job = booklet(stock, &brands);
        let mut fewer = brands.clone();
        let at = which % brands.len();
        fewer[at].solid = "refused";
        let without = booklet(stock, &fewer);
        let (with, less) = (planned(&job), planned(&without));
        for (row, name) in with.rows.iter().enumerate().map(|(at, row)| (at, &row.name)) {
            let best = |plan: &Plan| {
                plan.sets
                    .iter()
                    .map(|set| &set.renderings[row])
                    .map(|r| (r.verdict, r.delta_e))
                    .min_by(|p, q| p.0.cmp(&q.0).then(p.1.total_cmp(&q.1)))
            };
            prop_assert!(best(&with) <= best(&less), "{name}");
        }
        for copies in [1_000, 20_000] {
            if let Some(before) = cheapest_accepted(&without, &less, copies) {
                let after = cheapest_accepted(&job, &with, copies);
                prop_assert!(after.is_some_and(|after| after <= before), "{before:?} -> {after:?}");
            }
        }
    }
}

/// Each once cost more after it was loosened: the first because an overprint with black then held where the solid alone
/// drifted, the second because two of three colours had to be printed otherwise together.
#[test]
fn a_cheaper_set_outlives_a_better_one() {
    let brand = |lab, tolerance| Brand {
        lab,
        tolerance,
        solid: "allowed",
    };
    let overprint = [
        brand([69.41, 0.0, 0.0], 2.83),
        brand([29.09, 45.48, 85.74], 5.1),
    ];
    loosened(&booklet("matt-135", &overprint), 1, 3.69).unwrap();
    let together = [
        brand([35.95, -48.81, 54.17], 7.95),
        brand([65.25, -51.74, 59.91], 3.49),
        brand([71.05, 18.25, 19.02], 3.18),
    ];
    loosened(&booklet("matt-135", &together), 0, 1.79).unwrap();
}

#[test]
fn the_plan_does_not_depend_on_the_number_of_threads() {
    let lab = |l, a, b| Brand {
        lab: [l, a, b],
        tolerance: 2.0,
        solid: "allowed",
    };
    let brands = [
        lab(66.0, 58.0, 78.0),
        lab(45.0, -8.0, -18.0),
        lab(30.0, 42.0, -68.0),
    ];
    let job = booklet("offset-90", &brands);
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        let pool = pool.build().unwrap();
        pool.install(|| format!("{:?}", planned(&job)))
    };
    let one = with(1);
    assert_eq!(one, with(2));
    assert_eq!(one, with(1));
}

#[test]
fn a_steadier_build_costs_little_and_gains() {
    let grey = |l| Brand {
        lab: [l, -1.0, -3.0],
        tolerance: 3.0,
        solid: "refused",
    };
    let greys: Vec<Brand> = (0..8)
        .map(|step| grey(38.0 + 5.0 * f64::from(step)))
        .collect();
    let plan = planned(&booklet("offset-90", &greys));
    let offered = plan.sets.iter().flat_map(|set| {
        let pairs = set.renderings.iter().zip(&set.steadier);
        pairs.filter_map(|(chosen, steadier)| Some((chosen, steadier.as_ref()?)))
    });
    let mut count = 0;
    for (chosen, steadier) in offered {
        assert!(steadier.delta_e - chosen.delta_e < 0.5, "{steadier:?}");
        let gain = chosen.delta_e_on_press - steadier.delta_e_on_press;
        assert!(gain > 0.1 - 1e-9, "{steadier:?}");
        count += 1;
    }
    assert!(count > 0);
}

#[test]
fn shares_of_an_ink_add_up_to_what_is_printed() {
    let vivid = |lab, solid| Brand {
        lab,
        tolerance: 3.0,
        solid,
    };
    let brands = [
        vivid([62.0, 55.0, 70.0], "allowed"),
        vivid([48.0, -42.0, 22.0], "refused"),
    ];
    let job = booklet("matt-135", &brands);
    let plan = planned(&job);
    for set in &plan.sets {
        let shares = plan.ink_shares(&job, set);
        for (n, part) in set.print.parts.iter().enumerate() {
            for page in &part.pages {
                for (ink, printed) in &page.inks {
                    let of_ink = shares
                        .iter()
                        .filter(|s| (s.part, s.page, s.ink) == (n, page.page, *ink));
                    let sum: f64 = of_ink.map(|s| s.area * s.tone).sum();
                    let name = &set.print.ink(*ink).name;
                    assert!(
                        (sum.min(1.0) - printed).abs() < 1e-9,
                        "{name} in {}: {sum} for {printed}",
                        set.name
                    );
                }
            }
        }
    }
    assert!(plan.sets.iter().any(|set| !set.solids.is_empty()));
}
