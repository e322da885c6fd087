//! From the order to press sheets and what is bought.

use inkset_layout::{FormSide, WorkStyle, printable};
use inkset_spec::SpoilageStep;
use inkset_units::Millimetres;

use super::{Work, count, sheets};
use crate::estimate::{Estimate, PartChoice, RunChoice, SectionChoice};
use crate::explain::press::run_name;
use crate::further::StepCost;
use crate::further_press::SidesPrinted;
use crate::hand_way::printing_of;
use crate::line::Input;
use crate::operation::OperationCost;
use crate::part_cost::PartJob;
use crate::pricer::PricedPlan;
use crate::reel::ReelUse;
use crate::route::Route;
use crate::waste::Spoiled;
use crate::words::number;

impl PricedPlan<'_> {
    pub(super) fn paper_steps(&self, estimate: &Estimate, part: &PartChoice, work: &mut Work) {
        self.copy_steps(estimate, Some(part.part), work);
        self.all_section_steps((estimate, part), work);
        super::versions::layout_total_steps(part, work);
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
        if let Some(reel) = &part.reel {
            self.reel_steps((part, reel), work);
            return;
        }
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

    /// From the sheets cut off a reel to its metres and kilograms.
    fn reel_steps(&self, (part, reel): (&PartChoice, &ReelUse), work: &mut Work) {
        let (ways, _) = &self.pricer.parts[part.part];
        let stock = &self.pricer.card.stocks[ways.stock];
        let Some(on_sale) = self.ways[part.part][part.way]
            .reel
            .map(|reel| &stock.reels[reel])
        else {
            return;
        };
        if part.parent_sheets != part.press_sheets
            && let Some(cost) = &self.pricer.cost.finish.sheeter
        {
            let cut = (part.press_sheets, part.parent_sheets);
            work.step(operation_step(("the sheeter", cost), cut.0, cut.1));
            work.spoilage("the sheeter", cost);
        }
        let waste = number(on_sale.waste.percent());
        work.step(format!(
            "paper: {} × {} mm ÷ 1000 ÷ (1 − {waste} %) = {} m",
            sheets(part.parent_sheets),
            number(reel.cut_off_mm),
            number(reel.metres)
        ));
        if let (Some(reels), Some(on_one)) = (reel.reels, on_sale.metres(stock)) {
            let begun = count(reels);
            work.step(format!(
                "reels: {} m ÷ {} m on one, begun = {begun}",
                number(reel.metres),
                number(on_one)
            ));
        }
        let gsm = stock.gsm.value.value();
        work.step(format!(
            "weight: {} m × {} m × {} g/m² ÷ 1000 = {} kg",
            number(reel.metres),
            number(reel.width_mm / 1_000.0),
            number(gsm),
            number(reel.metres * reel.width_mm * gsm / 1e6)
        ));
    }

    /// Copies at each step, last to first, along the way of a part; without one, as far as copies are whole.
    pub(super) fn copy_steps(&self, estimate: &Estimate, part: Option<usize>, work: &mut Work) {
        let job = self.pricer.job;
        let overs = job.overs.value.percent();
        if !self.version_copy_steps(estimate, work) {
            work.step(format!(
                "delivered: {} × (1 + {} %) = {}",
                count(estimate.quantity),
                number(overs),
                count(estimate.delivered)
            ));
        }
        work.input(Input::of(
            "overs",
            &job.overs,
            format!("{} %", number(overs)),
        ));
        let finish = &self.pricer.cost.finish;
        let copies = finish.copies(job, part, estimate.quantity);
        let mut good = copies.delivered;
        built_in(
            ("packing", finish.pack.as_ref()),
            &mut good,
            copies.packed,
            work,
        );
        for step in finish.copies.iter().rev() {
            further_step(step, &mut good, work);
        }
        let route = part.map_or_else(
            || Route::of_product(job),
            |part| Route::of(job, &job.parts[part]),
        );
        let (is_bound, is_gathered) = (route.is_bound(), route.is_gathered());
        for (name, operation, needed, goes) in [
            ("laying in", &finish.insert, copies.inserted, true),
            ("stitching", &finish.stitch, copies.bound, is_bound),
            ("binding", &finish.bind, copies.bound, is_bound),
            ("padding", &finish.pad, copies.bound, true),
            ("sewing", &finish.sew, copies.sewn, is_gathered),
            ("gathering", &finish.gather, copies.gathered, is_gathered),
        ] {
            let operation = operation.as_ref().filter(|_| goes);
            built_in((name, operation), &mut good, needed, work);
        }
        let Some(part) = part else { return };
        let leaves = &job.parts[part].leaves;
        if leaves.value > 1 {
            let (each, all) = (count(u64::from(leaves.value)), count(copies.leaves));
            work.step(format!("leaves: {} × {each} = {all}", count(good)));
            work.input(Input::of("leaves", leaves, leaves.value));
            good = copies.leaves;
        }
        let collate = finish.collate.as_ref().filter(|_| route.is_leaf());
        built_in(("collating", collate), &mut good, copies.collated, work);
        let fold = finish.fold.as_ref().filter(|_| route.is_folded());
        built_in(("folding", fold), &mut good, copies.folded, work);
        let steps = &finish.parts[part];
        for step in steps.pieces.iter().rev() {
            further_step(step, &mut good, work);
        }
        if !steps.separate() {
            built_in(
                ("cutting", finish.cut.as_ref()),
                &mut good,
                copies.cut,
                work,
            );
        }
    }

    pub(super) fn all_section_steps(
        &self,
        (estimate, part): (&Estimate, &PartChoice),
        work: &mut Work,
    ) {
        for section in &part.sections {
            self.section_steps((estimate, part), section, work);
        }
    }

    fn section_steps(
        &self,
        (estimate, part): (&Estimate, &PartChoice),
        section: &SectionChoice,
        work: &mut Work,
    ) {
        let job = self.part_job(part.part, estimate.quantity);
        self.sheet_of((part, section), work);
        let pieces = job.pieces(section.up);
        self.layout_steps(section, work);
        if section.changing < section.count {
            work.step(format!(
                "{} pp, good sheets: {} ÷ {} up = {}",
                section.pages,
                count(pieces),
                section.up,
                count(pieces.div_ceil(u64::from(section.up)))
            ));
        }
        self.sheet_steps((&job, part), section, work);
        for run in section.runs.iter().rev() {
            self.run_steps((part, section), run, work);
        }
    }

    /// What lies on the sheet: `2 pp, on the sheet: 154 × 216 mm on 630 × 435 mm that is printed = 8 up`.
    fn sheet_of(&self, (part, section): (&PartChoice, &SectionChoice), work: &mut Work) {
        let press = part.margins(self.pricer.card);
        let job = self.pricer.job;
        let Some(area) = printable(part.sheet.size, press, section.style) else {
            return;
        };
        let gap = &job.product.allowances.gap;
        let apart = if section.format.gap > Millimetres::ZERO {
            work.input(Input::of("gap", gap, gap.value));
            format!(", {} apart,", gap.value)
        } else {
            String::new()
        };
        let halves = if section.style.is_half_sheet() {
            "both halves of the sheet, each "
        } else {
            ""
        };
        let by_hand = printing_of(job, part.part).and_then(|printing| printing.up.as_ref());
        let set = by_hand.map_or("", |_| ", set by hand");
        work.step(format!(
            "{} pp, on the sheet: {}{apart} on {halves}{area} that is printed = {} up{set}",
            section.pages, section.format.size, section.up
        ));
        let trim = &job.product.trim;
        work.input(Input::of("size", trim, trim.value));
        let bleed = &job.parts[part.part].bleed;
        work.input(Input::of("bleed", bleed, bleed.value));
        for (label, edge) in [
            ("gripper", &press.gripper),
            ("tail", &press.tail),
            ("side", &press.side),
        ] {
            work.input(Input::of(label, edge, edge.value));
        }
        if let Some(up) = by_hand {
            work.input(Input::of("number up", up, up.value));
        }
    }

    /// Sheets into each operation on sheets, of the first section of a size.
    fn sheet_steps(
        &self,
        (job, part): (&PartJob<'_>, &PartChoice),
        section: &SectionChoice,
        work: &mut Work,
    ) {
        let way = &self.ways[part.part][part.way];
        let first = section.runs.iter().filter(|run| run.section == 0);
        let mut printed = SidesPrinted::default();
        for run in first {
            let at = usize::from(run.press_index != part.press_index);
            printed.add(at, run.side);
            printed.turned[at] = run.side == FormSide::Both && !section.style.is_half_sheet();
        }
        let style = match section.style {
            WorkStyle::OneSided => WorkStyle::Sheetwise,
            style => style,
        };
        let passes = job.passes(way, style, printed).unwrap_or_default();
        let mut good = if section.changing > 0 {
            section.layouts.iter().map(|layout| layout.sheets).sum()
        } else {
            job.pieces(section.up).div_ceil(u64::from(section.up))
        };
        for (step, passes) in job.steps.sheets.iter().zip(passes).rev() {
            for _ in 0..passes.apart {
                further_step(step, &mut good, work);
            }
            if passes.inline > 0 {
                let sides = crate::words::counted(u64::from(passes.inline), "side");
                work.step(format!(
                    "{}: in line, {sides}, spoils nothing more",
                    step.named.name.value
                ));
            }
        }
    }

    fn run_steps(
        &self,
        (part, section): (&PartChoice, &SectionChoice),
        run: &RunChoice,
        work: &mut Work,
    ) {
        let press = &self.pricer.card.presses[run.press_index];
        let own = press.digital.as_ref().map(|digital| &digital.run_spoilage);
        let given = own.unwrap_or_else(|| &self.spoilage_step(run.good_sheets).percent);
        let percent = given.value;
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
            self.named_run((part, section), run),
            count(run.good_sheets),
            count(run.running_sheets)
        ));
        let label = "run spoilage, press";
        work.input(Input::of(label, given, format!("{share} %")));
        self.sheets_in_steps((part, section), run, work);
    }

    fn sheets_in_steps(
        &self,
        (part, section): (&PartChoice, &SectionChoice),
        run: &RunChoice,
        work: &mut Work,
    ) {
        let press = &self.pricer.card.presses[run.press_index];
        let printing = printing_of(self.pricer.job, part.part);
        let by_hand = printing.and_then(|printing| printing.make_ready_sheets.as_ref());
        let ready = match by_hand {
            _ if !run.makes_ready => String::new(),
            Some(by_hand) => {
                work.input(Input::of("make-ready sheets", by_hand, by_hand.value));
                format!(" + {} of make-ready, set by hand", count(by_hand.value))
            }
            None if run.kept && press.paper_change_sheets.is_some() => {
                super::kept::paper_sheets(press, run, work)
            }
            None => {
                let (base, each) = (&press.make_ready_sheets, &press.make_ready_sheets_per_ink);
                work.input(Input::of("make-ready sheets", base, base.value));
                if run.clicked == [0; 2] {
                    work.input(Input::of("sheets per ink", each, each.value));
                    let inks = crate::words::counted(run.inks.len() as u64, "ink");
                    format!(" + {} + {} × {inks}", base.value, each.value)
                } else {
                    format!(" + {}", base.value)
                }
            }
        };
        let changing = if run.changing_sheets > 0 {
            let each = &press.plate_change_sheets;
            work.input(Input::of("sheets at a stop", each, each.value));
            let stops = crate::words::counted(u64::from(run.stops), "stop");
            format!(" + {} × {stops}", each.value)
        } else {
            String::new()
        };
        if ready.is_empty() && changing.is_empty() {
            return;
        }
        work.step(format!(
            "{}, sheets in: {}{ready}{changing} = {}",
            self.named_run((part, section), run),
            count(run.running_sheets),
            count(run.sheets_in())
        ));
    }

    /// The name of a run, on two presses with that of its press.
    fn named_run(&self, (part, section): (&PartChoice, &SectionChoice), run: &RunChoice) -> String {
        let name = run_name(section, run);
        match &part.further {
            None => name,
            Some(_) => format!(
                "{name}, {}",
                self.pricer.card.presses[run.press_index].name.value
            ),
        }
    }

    fn spoilage_step(&self, good: u64) -> &SpoilageStep {
        let steps = &self.pricer.card.run_spoilage.steps;
        let holds = |step: &&SpoilageStep| step.up_to.is_none_or(|end| good <= end);
        // The reader lets no card through whose last step has an end.
        steps.iter().find(holds).unwrap_or(&steps[steps.len() - 1])
    }
}

/// `into cutting: 5 000 ÷ (1 − 0.5 %) + 10 = 5 036`, for an operation that the product needs.
fn built_in(
    (name, operation): (&str, Option<&OperationCost<'_>>),
    good: &mut u64,
    needed: u64,
    work: &mut Work,
) {
    if let Some(operation) = operation {
        work.step(operation_step((name, operation), *good, needed));
        work.spoilage(name, operation);
        *good = needed;
    }
}

/// The same for an operation that the job asks for.
fn further_step(step: &StepCost<'_>, good: &mut u64, work: &mut Work) {
    let needed = step.cost.waste.needed(*good);
    work.step(operation_step(
        (&step.named.name, &step.cost),
        *good,
        needed,
    ));
    work.spoilage(&step.named.name, &step.cost);
    *good = needed;
}

pub(super) fn operation_step(
    (name, cost): (&str, &OperationCost<'_>),
    good: u64,
    needed: u64,
) -> String {
    let difficulty = cost.difficulty.value;
    let harder = if (difficulty - 1.0).abs() < f64::EPSILON {
        String::new()
    } else {
        format!(" × {}", number(difficulty))
    };
    format!(
        "into {name}: {} ÷ (1 − {} %{harder}) + {}{harder} = {}",
        count(good),
        number(cost.operation.run_spoilage.value.percent()),
        cost.operation.set_up_spoilage.value,
        count(needed)
    )
}
