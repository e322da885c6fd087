//! Minutes and hours of a press.

use inkset_layout::FormSide;
use inkset_spec::{Press, Speed};

use super::{Work, count};
use crate::estimate::{Estimate, PartChoice, RunChoice, SectionChoice};
use crate::line::{CostLine, Input};
use crate::pricer::PricedPlan;
use crate::washing::PressWashing;
use crate::words::{counted, number};

impl PricedPlan<'_> {
    pub(super) fn make_ready_steps(&self, (part, at): (&PartChoice, usize), work: &mut Work) {
        let press = &self.pricer.card.presses[at];
        let (base, each) = (
            press.make_ready_minutes.value,
            press.make_ready_minutes_per_ink.value,
        );
        let mut minutes = 0.0;
        let in_full = |run: &RunChoice| !run.kept || press.paper_change_minutes.is_none();
        let ready = runs_on(part, at).filter(|(_, run)| run.makes_ready && in_full(run));
        for (section, run) in ready {
            if run.clicked != [0; 2] {
                minutes += base;
                work.step(format!(
                    "make-ready: {} min, once for the part",
                    number(base)
                ));
                continue;
            }
            let inks = run.inks.len();
            let own = base + each * inks as f64;
            minutes += own;
            work.step(format!(
                "{}: {} + {} × {} = {} min",
                run_name(section, run),
                number(base),
                number(each),
                counted(inks as u64, "ink"),
                number(own)
            ));
        }
        let minutes = self.harder(minutes, "min", work);
        work.step(hours_step(minutes));
    }

    /// Hours or minutes times the job's difficulty.
    pub(super) fn harder(&self, time: f64, unit: &str, work: &mut Work) -> f64 {
        let difficulty = &self.pricer.job.difficulty;
        if difficulty.place.is_none() {
            return time;
        }
        let harder = time * difficulty.value;
        work.step(format!(
            "difficulty: {} {unit} × {} = {} {unit}",
            number(time),
            number(difficulty.value),
            number(harder)
        ));
        work.input(Input::number("difficulty", difficulty));
        harder
    }

    pub(super) fn wash_steps(&self, (estimate, line): (&Estimate, &CostLine), work: &mut Work) {
        let own = |washing: &&PressWashing| washing.item == line.item;
        let Some(washing) = estimate.washing.iter().find(own) else {
            return;
        };
        let press = &self.pricer.card.presses[washing.press_index];
        for (unit, inks) in washing.units.iter().enumerate() {
            if !inks.is_empty() {
                work.step(format!("unit {}: {}", unit + 1, inks.join(", then ")));
            }
        }
        for ink in &washing.changed {
            work.step(format!("{ink}: washed off, the unit takes another ink"));
        }
        for ink in &washing.ended {
            work.step(format!("{ink}: washed out after the job"));
        }
        for ink in &washing.kept {
            work.step(format!("{ink}: stays for the next job, not washed"));
        }
        let mut minutes = 0.0;
        for (units, each, what) in [
            (washing.washes[0], press.wash_up_minutes.value, "washed"),
            (
                washing.washes[1],
                press.wash_up_minutes_effect.value,
                "washed after an effect ink",
            ),
        ] {
            if units > 0 {
                let own = f64::from(units) * each;
                minutes += own;
                work.step(format!(
                    "{what}: {} × {} min = {} min",
                    counted(u64::from(units), "unit"),
                    number(each),
                    number(own)
                ));
            }
        }
        work.step(hours_step(minutes));
    }

    pub(super) fn running_steps(&self, (part, at): (&PartChoice, usize), work: &mut Work) {
        let press = &self.pricer.card.presses[at];
        let cost = &self.pricer.cost.presses[at];
        let mut hours = 0.0;
        for (section, run) in runs_on(part, at) {
            let sheets = run.running_sheets;
            let holds = |speed: &&Speed| speed.up_to.is_none_or(|end| sheets <= end);
            let Some(speed) = press.speeds.iter().find(holds) else {
                continue;
            };
            let per_hour = speed.sheets_per_hour.value;
            let one_side = cost.running_hours(sheets);
            let kept = if (one_side - sheets as f64 / per_hour).abs() < 1e-12 {
                String::new()
            } else {
                longest_before(press, one_side)
            };
            let sides = run.clicked.iter().filter(|inks| **inks > 0).count().max(1);
            let own = one_side * sides as f64;
            let twice = if sides > 1 { " × 2 sides" } else { "" };
            hours += own;
            work.step(format!(
                "{}: {} ÷ {} an hour{kept}{twice} = {} h",
                run_name(section, run),
                count(sheets),
                number(per_hour),
                number(own)
            ));
        }
        let hours = self.harder(hours, "h", work);
        work.step(format!("hours: {} h in all", number(hours)));
        self.passed_over_steps(part, work);
    }
}

/// `, but no less than 2 000 ÷ 7 000 an hour at the step before,`.
fn longest_before(press: &Press, hours: f64) -> String {
    let mut steps = press.speeds.iter();
    let step = steps.find_map(|speed| {
        let (end, per_hour) = (speed.up_to?, speed.sheets_per_hour.value);
        let own = end as f64 / per_hour;
        ((own - hours).abs() < 1e-12).then(|| (count(end), number(per_hour)))
    });
    step.map_or(String::new(), |(end, per_hour)| {
        format!(", but no less than {end} ÷ {per_hour} an hour at the step before,")
    })
}

pub(super) fn hours_step(minutes: f64) -> String {
    format!(
        "hours: {} min ÷ 60 = {} h",
        number(minutes),
        number(minutes / 60.0)
    )
}

pub(super) fn runs(part: &PartChoice) -> impl Iterator<Item = (&SectionChoice, &RunChoice)> {
    let sections = part.sections.iter();
    sections.flat_map(|section| section.runs.iter().map(move |run| (section, run)))
}

/// The runs of a part on one press of the card.
pub(super) fn runs_on(
    part: &PartChoice,
    press: usize,
) -> impl Iterator<Item = (&SectionChoice, &RunChoice)> {
    runs(part).filter(move |(_, run)| run.press_index == press)
}

/// `16 pp, section 2, back, 4 inks`.
pub(super) fn run_name(section: &SectionChoice, run: &RunChoice) -> String {
    let number = if section.count > 1 {
        format!(", section {}", run.section + 1)
    } else {
        String::new()
    };
    let side = match run.side {
        FormSide::Front => "front",
        FormSide::Back => "back",
        FormSide::Both => "both sides",
    };
    let turned = if run.makes_ready { "" } else { ", turned" };
    format!(
        "{} pp{number}, {side}, {}{turned}",
        section.pages,
        inks_of(run)
    )
}

/// `4 inks`; on a digital press with two sides `4 + 1 inks`.
fn inks_of(run: &RunChoice) -> String {
    match run.clicked {
        [front, back] if front > 0 && back > 0 => format!("{front} + {back} inks"),
        _ => counted(run.inks.len() as u64, "ink"),
    }
}
