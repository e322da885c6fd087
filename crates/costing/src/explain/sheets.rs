//! From the order to press sheets and what is bought.

use inkset_spec::{Operation, SpoilageStep};

use super::{Work, count, sheets};
use crate::estimate::{Estimate, PartChoice, RunChoice, SectionChoice};
use crate::explain::press::run_name;
use crate::line::Input;
use crate::pricer::PricedPlan;
use crate::waste::Spoiled;
use crate::words::number;

impl PricedPlan<'_> {
    pub(super) fn paper_steps(&self, estimate: &Estimate, part: &PartChoice, work: &mut Work) {
        self.copy_steps(estimate, work);
        for section in &part.sections {
            self.section_steps((estimate, part), section, work);
        }
        work.step(format!("press sheets: {} in all", count(part.press_sheets)));
        if part.sheet.per_parent > 1 {
            work.step(format!(
                "parent sheets: {} ÷ {} = {}",
                count(part.press_sheets),
                part.sheet.per_parent,
                count(part.parent_sheets)
            ));
        }
        let stock = &self.pricer.card.stocks[self.pricer.parts[part.part].0.stock];
        if stock.pack.value > 1 {
            work.step(format!(
                "bought: {} in packs of {} = {}",
                count(part.parent_sheets),
                count(stock.pack.value),
                sheets(part.bought_sheets)
            ));
        }
        let kilograms =
            part.bought_sheets as f64 * part.parent.area_m2() * stock.gsm.value.value() / 1_000.0;
        work.step(format!(
            "weight: {} × {} m² × {} g/m² ÷ 1000 = {} kg",
            sheets(part.bought_sheets),
            number(part.parent.area_m2()),
            number(stock.gsm.value.value()),
            number(kilograms)
        ));
    }

    /// Copies at each step, last to first.
    pub(super) fn copy_steps(&self, estimate: &Estimate, work: &mut Work) {
        let job = self.pricer.job;
        let overs = job.overs.value.percent();
        work.step(format!(
            "delivered: {} × (1 + {} %) = {}",
            count(estimate.quantity),
            number(overs),
            count(estimate.delivered)
        ));
        work.input(Input::of(
            "overs",
            &job.overs,
            format!("{} %", number(overs)),
        ));
        let finish = &self.pricer.cost.finish;
        let copies = finish.copies(job, estimate.quantity);
        let mut good = copies.delivered;
        let steps = [
            ("packing", &finish.pack, copies.packed),
            ("stitching", &finish.stitch, copies.stitched),
            ("folding", &finish.fold, copies.folded),
            ("cutting", &finish.cut, copies.cut),
        ];
        for (name, operation, needed) in steps {
            if let Some(operation) = operation {
                work.step(operation_step((name, operation.operation), good, needed));
                for input in operation.spoilage_inputs() {
                    work.input(input);
                }
                good = needed;
            }
        }
    }

    fn section_steps(
        &self,
        (estimate, part): (&Estimate, &PartChoice),
        section: &SectionChoice,
        work: &mut Work,
    ) {
        let job = self.part_job(part.part, estimate.quantity);
        let pieces = job.pieces(section.up);
        work.step(format!(
            "{} pp, good sheets: {} ÷ {} up = {}",
            section.pages,
            count(pieces),
            section.up,
            count(pieces.div_ceil(u64::from(section.up)))
        ));
        for run in section.runs.iter().rev() {
            self.run_steps((part, section), run, work);
        }
    }

    fn run_steps(
        &self,
        (part, section): (&PartChoice, &SectionChoice),
        run: &RunChoice,
        work: &mut Work,
    ) {
        let press = &self.pricer.card.presses[part.press_index];
        let step = self.spoilage_step(run.good_sheets);
        let percent = step.percent.value;
        let share = number(percent.percent());
        // A share that cannot be had was refused when the card was taken in.
        let plain = Spoiled::new(percent, "press run").map_or(0, |s| s.needed(run.good_sheets));
        let kept = if plain == run.running_sheets {
            ""
        } else {
            ", but no fewer spoiled than at the step before,"
        };
        work.step(format!(
            "{}, at speed: {} ÷ (1 − {share} %){kept} = {}",
            run_name(section, run),
            count(run.good_sheets),
            count(run.running_sheets)
        ));
        work.input(Input::of(
            "run spoilage",
            &step.percent,
            format!("{share} %"),
        ));
        if run.makes_ready {
            let (base, each) = (&press.make_ready_sheets, &press.make_ready_sheets_per_ink);
            work.step(format!(
                "{}, sheets in: {} + {} + {} × {} = {}",
                run_name(section, run),
                count(run.running_sheets),
                base.value,
                each.value,
                crate::words::counted(run.inks.len() as u64, "ink"),
                count(run.running_sheets + run.make_ready_sheets)
            ));
            work.input(Input::of("make-ready sheets", base, base.value));
            work.input(Input::of("sheets per ink", each, each.value));
        }
    }

    fn spoilage_step(&self, good: u64) -> &SpoilageStep {
        let steps = &self.pricer.card.run_spoilage.steps;
        let holds = |step: &&SpoilageStep| step.up_to.is_none_or(|end| good <= end);
        // The reader lets no card through whose last step has an end.
        steps.iter().find(holds).unwrap_or(&steps[steps.len() - 1])
    }
}

/// `into cutting: 5 000 ÷ (1 − 0.5 %) + 10 = 5 036`.
pub(super) fn operation_step(
    (name, operation): (&str, &Operation),
    good: u64,
    needed: u64,
) -> String {
    format!(
        "into {name}: {} ÷ (1 − {} %) + {} = {}",
        count(good),
        number(operation.run_spoilage.value.percent()),
        operation.set_up_spoilage.value,
        count(needed)
    )
}
