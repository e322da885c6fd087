//! Settings-up and pieces of finishing operations.

use super::sheets::operation_step;
use super::{Work, count};
use crate::estimate::{Estimate, PartChoice};
use crate::further::{StepCost, StepNeed};
use crate::ledger::Total;
use crate::line::{CostLine, Input, Stage};
use crate::part_cost::Needs;
use crate::pricer::PricedPlan;
use crate::words::{counted, figure, number};
use rust_decimal::Decimal;

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
            if line.formula.ends_with("hours") {
                self.set_up_minutes(line, work);
            }
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
            "outside-handling" => {
                let cost = line.rate.amount() * Decimal::ONE_HUNDRED;
                let cost = figure(cost);
                work.step(format!(
                    "cost: all other lines of this outside work = {cost}"
                ));
            }
            _ if line.stage == Stage::Collating => self.collating_steps(estimate, work),
            _ => {
                let on_sheets = part.filter(|_| self.is_on_sheets(line));
                work.follow(self.operation_of(line), |work| {
                    self.copy_steps(estimate, line.part, work);
                    if let Some(part) = on_sheets {
                        self.all_section_steps((estimate, part), work);
                    }
                });
                if let (Stage::Cutting, Some(part)) = (line.stage, part) {
                    self.cut_layout_steps(part, work);
                }
                if sections > 1 && line.stage != Stage::Inserting {
                    let sections = counted(u64::from(sections), "section");
                    work.step(format!("pieces: those of {sections}"));
                }
                self.bundle_step(line, work);
                if let (Some(part), Some(step)) = (part, self.step_of(line)) {
                    self.through_step((estimate, line), (part, step), work);
                }
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
                work.spoilage(&name, collate);
            }
            work.input(Input::of("leaves", &part.leaves, part.leaves.value));
            all = all.saturating_add(copies.collated);
        }
        work.step(format!("leaves of all parts: {}", count(all)));
    }

    fn step_of(&self, line: &CostLine) -> Option<&StepCost<'_>> {
        let finish = &self.pricer.cost.finish;
        let named = |step: &&StepCost<'_>| line.item.starts_with(step.named.name.as_str());
        // A name may begin with that of another.
        let longest = |step: &&StepCost<'_>| step.named.name.len();
        match line.part {
            Some(part) => finish.parts[part].all().filter(named).max_by_key(longest),
            None => finish.copies.iter().filter(named).max_by_key(longest),
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
    }

    /// What the steps back from the order call the operation of a line.
    fn operation_of(&self, line: &CostLine) -> Option<String> {
        if let Some(step) = self.step_of(line) {
            // Material may be laid down in line, with every sheet that is printed.
            let is_material = line.formula.starts_with("material");
            return (!is_material).then(|| step.named.name.value.clone());
        }
        let name = match line.stage {
            Stage::Cutting => "cutting",
            Stage::Folding => "folding",
            Stage::Stitching => "stitching",
            Stage::Gathering => "gathering",
            Stage::Sewing => "sewing",
            Stage::Binding => "binding",
            Stage::Padding => "padding",
            Stage::Inserting => "laying in",
            Stage::Packing => "packing",
            _ => return None,
        };
        Some(name.to_owned())
    }

    /// Minutes of setting up once, to hours.
    fn set_up_minutes(&self, line: &CostLine, work: &mut Work) {
        let minutes = line.inputs.iter().find(|i| i.label == "set-up minutes");
        let Some(minutes) = minutes else { return };
        let difficulty = self
            .step_of(line)
            .map_or(1.0, |step| step.cost.difficulty.value);
        let harder = if (difficulty - 1.0).abs() < f64::EPSILON {
            String::new()
        } else {
            format!(" × {}", number(difficulty))
        };
        work.step(format!(
            "hours: settings-up × {} min{harder} ÷ 60 = {} h",
            minutes.value,
            figure(line.quantity)
        ));
    }

    /// Hours of running, or area, of an operation on sheets or pieces of a part.
    fn through_step(
        &self,
        (estimate, line): (&Estimate, &CostLine),
        (part, step): (&PartChoice, &StepCost<'_>),
        work: &mut Work,
    ) {
        let steps = &self.pricer.cost.finish.parts[part.part];
        let at = steps.all().position(|own| std::ptr::eq(own, step));
        let Some(need) = at.and_then(|at| self.step_need((estimate, part), at)) else {
            return;
        };
        let sheet = part.sheet.size;
        if line.formula.starts_with("material") {
            let (sheet_m2, area) = (number(sheet.area_m2()), number(need.area_m2));
            let sheets = (need.area_m2 / sheet.area_m2()).round() as u64;
            work.step(format!(
                "area: {} × {sheet_m2} m² = {area} m²",
                counted(sheets, "sheet")
            ));
            return;
        }
        let on_sheets = step.named.on.value == inkset_spec::WorksOn::Sheets;
        let piece = part.sections.first().map(|section| section.format.size);
        let long = if on_sheets { Some(sheet) } else { piece };
        let long_mm = long.map_or(0.0, |size| size.long_edge().mm());
        if let Some(words) = step.cost.hours_words(need.pieces, long_mm) {
            work.step(words);
        }
    }

    /// What goes through one operation on a part, worked out again.
    fn step_need(&self, (estimate, part): (&Estimate, &PartChoice), at: usize) -> Option<StepNeed> {
        let job = self.part_job(part.part, estimate.quantity);
        let mut needs = Needs::default();
        let way = &self.ways[part.part][part.way];
        job.charge(way, &mut needs, &mut Total::default())?;
        needs.steps.get(at).copied()
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
