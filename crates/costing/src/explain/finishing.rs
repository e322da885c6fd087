//! Settings-up and pieces of finishing operations.

use super::sheets::operation_step;
use super::{Work, count};
use crate::estimate::{Estimate, PartChoice};
use crate::further::StepCost;
use crate::line::{CostLine, Input, Stage, Unit};
use crate::pricer::PricedPlan;
use crate::words::{counted, number};

impl PricedPlan<'_> {
    pub(super) fn finishing_steps(
        &self,
        (estimate, line): (&Estimate, &CostLine),
        part: Option<&PartChoice>,
        work: &mut Work,
    ) {
        let sections: u32 = part.map_or(1, |p| p.sections.iter().map(|s| s.count).sum());
        if line.formula.ends_with("set-up") || line.formula.ends_with("set-up-hours") {
            work.step(set_up_step(line));
            return;
        }
        if let (Stage::Cutting, Some(part), true) =
            (line.stage, part, line.item.starts_with("parent sheets"))
        {
            work.step(format!("press sheets: {}", count(part.press_sheets)));
            return;
        }
        match line.formula {
            "tool" => work.step("tool: once for the part or the job, kept for a reprint"),
            "tool-per-up" => {
                work.step("tool: what each piece on the sheet adds to it, kept for a reprint");
            }
            "outside-minimum" => work.step("what the work costs is less than the minimum charge"),
            "outside-handling" => work.step("cost: all other lines of this outside work"),
            _ if line.stage == Stage::Collating => self.collating_steps(estimate, work),
            _ => {
                self.copy_steps(estimate, line.part, work);
                if let (Some(part), true) = (part, self.is_on_sheets(line)) {
                    self.all_section_steps((estimate, part), work);
                }
                if let (Stage::Cutting, Some(part)) = (line.stage, part) {
                    self.cut_layout_steps(part, work);
                }
                if sections > 1 && line.stage != Stage::Inserting {
                    let sections = counted(u64::from(sections), "section");
                    work.step(format!("pieces: those of {sections}"));
                }
                self.bundle_step(line, work);
            }
        }
    }

    /// Leaves of each part into collating, and of all of them.
    fn collating_steps(&self, estimate: &Estimate, work: &mut Work) {
        let (job, finish) = (self.pricer.job, &self.pricer.cost.finish);
        self.copy_steps(estimate, None, work);
        let mut all = 0_u64;
        for (at, part) in job.parts.iter().enumerate() {
            let copies = finish.copies(job, Some(at), estimate.quantity);
            if let Some(collate) = &finish.collate {
                let name = format!("collating, {}", part.name.value);
                let step = (name.as_str(), collate);
                work.step(operation_step(step, copies.leaves, copies.collated));
                work.spoilage(collate);
            }
            work.input(Input::of("leaves", &part.leaves, part.leaves.value));
            all = all.saturating_add(copies.collated);
        }
        work.step(format!("leaves of all parts: {}", count(all)));
    }

    fn step_of(&self, line: &CostLine) -> Option<&StepCost<'_>> {
        let finish = &self.pricer.cost.finish;
        let named = |step: &&StepCost<'_>| line.item.starts_with(step.named.name.as_str());
        match line.part {
            Some(part) => finish.parts[part].all().find(named),
            None => finish.copies.iter().find(named),
        }
    }

    fn is_on_sheets(&self, line: &CostLine) -> bool {
        let on_sheets = |step: &StepCost<'_>| step.named.on.value == inkset_spec::WorksOn::Sheets;
        self.step_of(line).is_some_and(on_sheets)
    }

    fn bundle_step(&self, line: &CostLine, work: &mut Work) {
        if let Some(step) = self.step_of(line).filter(|step| step.bundle > 1) {
            work.step(format!(
                "bundles: {} copies in each, the last may hold fewer",
                count(step.bundle)
            ));
        }
        if let (Unit::Hour, Some(step)) = (line.unit, self.step_of(line)) {
            let difficulty = step.cost.difficulty.value;
            work.step(format!(
                "hours: of running, × difficulty {}",
                number(difficulty)
            ));
        }
    }
}

fn set_up_step(line: &CostLine) -> String {
    match line.stage {
        _ if line.formula == "inline-set-up" => "set up: once for each side and section",
        Stage::Cutting | Stage::Folding => "set up: once for each section, once for parent sheets",
        _ if line.part.is_some() => "set up: once for each section and pass",
        _ => "set up: once",
    }
    .to_owned()
}
