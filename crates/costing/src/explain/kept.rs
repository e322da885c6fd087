//! Plates of another part that stay on while the paper changes.

use inkset_spec::Press;

use super::Work;
use super::press::{hours_step, run_name, runs};
use crate::estimate::{KeptPlates, PartChoice, RunChoice};
use crate::line::Input;
use crate::pricer::PricedPlan;
use crate::words::{counted, number};

impl PricedPlan<'_> {
    /// Where the job says that plates of another part stay on for this one, and which inks change all the same.
    pub(super) fn kept_inputs(&self, part: &PartChoice, work: &mut Work) {
        let job = &self.pricer.job.parts[part.part];
        let of = job.plates_of.as_ref().filter(|_| part.kept.is_some());
        if let Some(of) = of {
            work.input(Input::of("plates of", of, &of.value));
            for ink in &job.changed_inks {
                work.input(Input::of("changed ink", ink, &ink.value));
            }
        }
    }

    /// Minutes for the paper, and for plates changed with it, of each run that is not made ready.
    pub(super) fn paper_change_steps(&self, part: &PartChoice, work: &mut Work) {
        let press = &self.pricer.card.presses[part.press_index];
        let paper = press
            .paper_change_minutes
            .map_or(0.0, |minutes| minutes.value);
        let each = press.plate_change_minutes.value;
        let mut minutes = 0.0;
        for (section, run) in runs(part).filter(|(_, run)| run.kept) {
            let own = paper + f64::from(run.changes) * each;
            minutes += own;
            let plates = match run.changes {
                0 => String::new(),
                changes => format!(
                    " + {} × {}",
                    counted(u64::from(changes), "plate"),
                    number(each)
                ),
            };
            work.step(format!(
                "{}: paper {}{plates} = {} min",
                run_name(section, run),
                number(paper),
                number(own)
            ));
        }
        let minutes = self.harder(minutes, "min", work);
        work.step(hours_step(minutes));
    }
}

/// `1 pp, front, 2 inks: 1 plate changed, the others of white stay on`.
pub(super) fn plate_step(name: &str, run: &RunChoice, kept: &KeptPlates) -> String {
    match run.changes {
        0 => format!("{name}: no plate, those of {} stay on", kept.name),
        changes => format!(
            "{name}: {} changed, the others of {} stay on",
            counted(u64::from(changes), "plate"),
            kept.name
        ),
    }
}

/// ` + 20 for the paper + 15 for plates`: what a run takes instead of sheets of make-ready.
pub(super) fn paper_sheets(press: &Press, run: &RunChoice, work: &mut Work) -> String {
    let Some(paper) = &press.paper_change_sheets else {
        return String::new();
    };
    work.input(Input::of("sheets to change the paper", paper, paper.value));
    if run.changes == 0 {
        return format!(" + {} for the paper", paper.value);
    }
    let plates = &press.plate_change_sheets;
    work.input(Input::of("sheets at a stop", plates, plates.value));
    format!(
        " + {} for the paper + {} for plates",
        paper.value, plates.value
    )
}
