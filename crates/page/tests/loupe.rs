//! Loupe views against the plan and the printing condition that they are drawn from.
#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test fails as the test does: loudly"
)]

use inkset_colour::{PrintingCondition, ProcessInk, delta_e00, lab_from_srgb, shipped};
use inkset_page::{Loupe, SCREEN_ANGLES, loupe, loupe_drawing};
use inkset_plan::{Conditions, Look, Plan, Rendering, Row, alone, plan};
use inkset_spec::{Job, read_job_bytes};

fn booklet() -> Job {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../jobs/booklet.toml");
    read_job_bytes(&std::fs::read(path).unwrap()).value.unwrap()
}

fn condition() -> &'static PrintingCondition {
    shipped("coated-fogra39").unwrap()
}

fn conditions(job: &Job) -> Conditions<'static> {
    Conditions {
        of_parts: vec![condition(); job.parts.len()],
        named: vec![("coated-fogra39".to_owned(), condition())],
        plant: None,
        extended: Vec::new(),
        looks: Look::of_job(job).unwrap(),
    }
}

/// Checks the view of every build, and of every own ink.
fn each_view(check: impl Fn(&Row, &Rendering, &Loupe)) {
    let job = booklet();
    let conditions = conditions(&job);
    let plan: Plan = plan(&job, &conditions);
    let mut seen = 0;
    for (row, alone) in plan.rows.iter().zip(alone(&job, &plan, &conditions)) {
        for rendering in [alone.build, alone.own_ink].into_iter().flatten() {
            let view = loupe(&job, &conditions, (row, &rendering)).unwrap();
            check(row, &rendering, &view);
            seen += 1;
        }
    }
    assert!(seen >= 6, "{seen} views");
}

#[test]
fn dots_are_those_of_the_condition() {
    each_view(|row, rendering, view| {
        if rendering.solid.is_some() {
            return;
        }
        let areas = condition().dot_areas(rendering.process.map(f64::from));
        let used = ProcessInk::ALL
            .into_iter()
            .filter(|ink| rendering.process[ink.index()] > 0);
        let used: Vec<ProcessInk> = used.collect();
        assert_eq!(used.len(), view.inks.len(), "{}", row.name);
        for (ink, shown) in used.into_iter().zip(&view.inks) {
            assert_eq!(shown.name, ink.name());
            assert!((shown.dots.angle - SCREEN_ANGLES[ink.index()]).abs() < 1e-9);
            assert!((shown.dots.area - areas[ink.index()]).abs() < 1e-9);
        }
    });
}

#[test]
fn dots_on_paper_are_larger() {
    for tone in [20.0, 40.0, 60.0, 80.0] {
        for (ink, area) in condition().dot_areas([tone; 4]).into_iter().enumerate() {
            let grown = 100.0 * area - tone;
            assert!((0.0..20.0).contains(&grown), "ink {ink} at {tone}: {grown}");
        }
    }
    assert!(
        condition()
            .dot_areas([0.0; 4])
            .iter()
            .all(|area| *area < 1e-9)
    );
}

#[test]
fn views_have_the_mean_of_the_plan() {
    each_view(|row, rendering, view| {
        let areas: Vec<f64> = view.inks.iter().map(|ink| ink.dots.area).collect();
        let mut light = [0.0; 3];
        for (set, rgb) in view.overlaps.iter().enumerate() {
            let share = |(at, area): (usize, &f64)| {
                if set >> at & 1 == 1 {
                    *area
                } else {
                    1.0 - area
                }
            };
            let weight: f64 = areas.iter().enumerate().map(share).product();
            for (sum, value) in light.iter_mut().zip(rgb) {
                *sum += weight * (f64::from(*value) / 255.0).powf(2.2);
            }
        }
        let mean = light.map(|sum| (255.0 * sum.powf(1.0 / 2.2)).round() as u8);
        let wanted = rendering.lab.unwrap();
        let shown = lab_from_srgb(inkset_colour::srgb_from_lab(wanted));
        let off = delta_e00(shown, lab_from_srgb(mean));
        assert!(off < 1.5, "{}: {off}", row.name);
    });
}

#[test]
fn views_are_small_drawings() {
    each_view(|row, _, view| {
        let drawing = loupe_drawing("x", view, "label").into_string();
        assert!(drawing.len() < 8_000, "{}: {}", row.name, drawing.len());
        assert_eq!(
            drawing.matches("<pattern").count(),
            drawing.matches("<mask").count()
        );
    });
}
