//! Ink that an estimate reckons with, whether it is bought for the job or taken from stock.

use inkset_layout::InkId;
use inkset_spec::PaperKind;

use crate::estimate::Estimate;
use crate::ledger::Total;
use crate::part_cost::Needs;
use crate::pricer::PricedPlan;

/// One ink of one part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InkUse {
    /// Index into the job's parts.
    pub part: usize,
    /// The ink, an index into the plan's inks.
    pub ink: InkId,
    /// Surface of the part's paper.
    pub paper: PaperKind,
    /// Kilograms in all, what is lost in the units included.
    pub kilograms: f64,
    /// Of these, kilograms lost in the units.
    pub lost: f64,
}

impl PricedPlan<'_> {
    /// The inks of every part, printed as the estimate chose; only those that are used.
    pub fn ink_used(&self, estimate: &Estimate) -> Vec<InkUse> {
        let mut all = Vec::new();
        for choice in &estimate.parts {
            let job = self.part_job(choice.part, estimate.quantity);
            let (ways, _) = &self.pricer.parts[choice.part];
            let mut needs = Needs::default();
            job.charge(
                &self.ways[choice.part][choice.way],
                &mut needs,
                &mut Total::default(),
            );
            let runs = choice.sections.iter().flat_map(|section| &section.runs);
            for (at, used) in needs.used.iter().enumerate().filter(|(_, used)| **used > 0) {
                let ink = InkId(at as u16);
                let hung = |run: &&crate::RunChoice| {
                    run.makes_ready && !run.kept && run.inks.contains(&ink)
                };
                let times = runs.clone().filter(hung).count() as f64;
                all.push(InkUse {
                    part: choice.part,
                    ink,
                    paper: self.pricer.card.stocks[ways.stock].kind.value,
                    kilograms: *used as f64 / 1_000.0,
                    lost: times * self.inks[at].given.fixed_loss_kg.value,
                });
            }
        }
        all
    }
}
