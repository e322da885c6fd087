//! What an ink costs that is printed in a pass of its own.

use inkset_layout::{InkId, PageInks, PartInks, PrintPlan};
use inkset_units::Money;

use crate::estimate::{Estimate, SectionChoice};
use crate::line::Stage;
use crate::pricer::{Presses, Pricer};

/// One ink printed alone, in a pass of its own, on the sheets that the other inks leave.
pub struct SecondPass<'p> {
    /// Only this ink.
    alone: PrintPlan,
    /// All other inks.
    others: PrintPlan,
    pricer: &'p Pricer<'p>,
}

impl<'p> SecondPass<'p> {
    /// `None` when the ink set has no ink of this name.
    pub fn of(pricer: &'p Pricer<'p>, print: &PrintPlan, name: &str) -> Option<Self> {
        let ink = print.inks.iter().position(|ink| ink.name == name)?;
        Some(Self {
            alone: keeping(print, |at| at == ink),
            others: keeping(print, |at| at != ink),
            pricer,
        })
    }

    /// What the pass adds at least: its plates, make-ready, wash-up, run and ink, and the sheets that it spoils, which the
    /// other inks have to be printed on first; with the share of profit.
    pub fn cost(&self, copies: u64) -> Option<Money> {
        let pass = self.on_plates(&self.alone, copies)?;
        let own = [
            Stage::Plates,
            Stage::MakeReady,
            Stage::WashUp,
            Stage::Press,
            Stage::Ink,
        ];
        let own: Money = own.into_iter().map(|stage| pass.of_stage(stage)).sum();
        let spoiled = self.spoiled(&pass, copies);
        Some(pass.with_profit(own)? + spoiled.unwrap_or(Money::ZERO))
    }

    /// Sheets that have been through one press are printed again on one with plates.
    fn on_plates(&self, plan: &PrintPlan, copies: u64) -> Option<Estimate> {
        let prepared = self.pricer.prepare(plan).ok()?.only(Presses::Plates);
        prepared.estimate(copies).ok()
    }

    /// Paper, run and ink of the other inks for as many copies more as the pass spoils.
    fn spoiled(&self, pass: &Estimate, copies: u64) -> Option<Money> {
        if self.others.inks.is_empty() {
            return None;
        }
        let more = spoiled_copies(pass);
        let without = self.on_plates(&self.others, copies)?;
        let with = self.on_plates(&self.others, copies + more)?;
        let of = |estimate: &Estimate| {
            let stages = [Stage::Paper, Stage::Press, Stage::Ink];
            let cost: Money = stages
                .into_iter()
                .map(|stage| estimate.of_stage(stage))
                .sum();
            estimate.with_profit(cost)
        };
        Some((of(&with)? - of(&without)?).max(Money::ZERO))
    }
}

/// Copies that the sheets spoiled by make-ready and run would have given, of the part that loses most.
fn spoiled_copies(pass: &Estimate) -> u64 {
    let of_section = |section: &SectionChoice| {
        let runs = section.runs.iter();
        let spoiled = runs.map(|run| run.sheets_in() - run.good_sheets);
        // Sections of a copy are spoiled side by side; the one that loses most decides.
        let sections = u64::from(section.count).max(1);
        spoiled.sum::<u64>().div_ceil(sections) * u64::from(section.up)
    };
    let sections = pass.parts.iter().flat_map(|part| &part.sections);
    sections.map(of_section).max().unwrap_or(0)
}

/// The same pages with some of the inks only.
fn keeping(print: &PrintPlan, kept: impl Fn(usize) -> bool) -> PrintPlan {
    let kept: Vec<usize> = (0..print.inks.len()).filter(|at| kept(*at)).collect();
    let new_id = |id: InkId| {
        let at = kept.iter().position(|at| *at == usize::from(id.0))?;
        u16::try_from(at).ok().map(InkId)
    };
    let page = |page: &PageInks| PageInks {
        page: page.page,
        inks: page
            .inks
            .iter()
            .filter_map(|(id, coverage)| Some((new_id(*id)?, *coverage)))
            .collect(),
    };
    let pages = |part: &PartInks| PartInks {
        pages: part.pages.iter().map(page).collect(),
    };
    PrintPlan {
        inks: kept.iter().map(|at| print.inks[*at].clone()).collect(),
        parts: print.parts.iter().map(pages).collect(),
    }
}
