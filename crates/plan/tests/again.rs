//! A job planned again with other tolerances, against the same job planned anew.
#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test fails as the test does: loudly"
)]

use inkset_colour::shipped;
use inkset_plan::{Conditions, Look, plan, plan_again};
use inkset_spec::{Given, Job, read_job_bytes};
use inkset_units::DeltaE;

fn job(name: &str) -> Job {
    let path = format!("{}/../../jobs/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    read_job_bytes(&std::fs::read(path).unwrap()).value.unwrap()
}

fn conditions(job: &Job) -> Conditions<'static> {
    let condition = shipped("coated-fogra39").unwrap();
    Conditions {
        of_parts: vec![condition; job.parts.len()],
        named: vec![("coated-fogra39".to_owned(), condition)],
        plant: None,
        extended: Vec::new(),
        looks: Look::of_job(job).unwrap(),
    }
}

#[test]
fn plans_again_are_plans_anew() {
    for name in ["booklet", "flyer-orange"] {
        let mut job = job(name);
        let conditions = conditions(&job);
        let known = plan(&job, &conditions);
        for colour in 0..job.colours.len() {
            let kept = job.colours[colour].tolerance;
            for tolerance in [kept.value.value() + 1.0, 12.0] {
                job.colours[colour].tolerance = Given::assumed(DeltaE::new(tolerance).unwrap());
                let again = plan_again(&job, &conditions, &known);
                let anew = plan(&job, &conditions);
                // Every figure of every row and set stands in the debug text.
                let same = format!("{again:?}") == format!("{anew:?}");
                assert!(same, "{name}, colour {colour} at {tolerance}");
            }
            job.colours[colour].tolerance = kept;
        }
    }
}
