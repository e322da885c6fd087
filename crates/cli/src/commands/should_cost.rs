//! What the ink sets that are offered should cost by the rate card.

use inkset_costing::{Estimate, Pricer, PrintPlan, Stage};
use inkset_layout::{InkId, PageInks, PartInks};
use inkset_offers::{BasisOption, ColourStanding, OwnExtras};
use inkset_plan::{Plan, PlannedSet, Verdict};
use inkset_spec::{Job, Offer};
use inkset_units::Money;
use rust_decimal::Decimal;

use super::priced::told;
use crate::CliError;
use crate::files::Loaded;
use crate::output::Output;

/// The ink sets that are both offered and worth pricing, with what they should cost.
pub(super) fn should_costs(
    loaded: &Loaded,
    plan: &Plan,
    (offers, quantities): (&[Offer], &[u64]),
    out: &mut Output,
) -> Result<Vec<BasisOption>, CliError> {
    let pricer = Pricer::new(&loaded.job, &loaded.card).map_err(|why| told(&why, out))?;
    let mut options: Vec<BasisOption> = Vec::new();
    for set in offered(&loaded.job, plan, offers) {
        let priced = pricer.prepare(&set.print).and_then(|prepared| {
            let prepared = prepared.called(&set.name);
            let estimates = quantities.iter().map(|copies| prepared.estimate(*copies));
            let estimates = estimates.collect::<Result<Vec<Estimate>, _>>()?;
            let further = further(&loaded.job, plan, set);
            let passes = further.iter().map(|name| {
                let pass = SecondPass::of(&pricer, &set.print, name)?;
                quantities.iter().map(|copies| pass.cost(*copies)).collect()
            });
            let second_pass = passes.map(Option::unwrap_or_default).collect();
            Ok((estimates, further, second_pass))
        });
        match priced {
            Ok((estimates, solids, second_pass)) => options.push(BasisOption {
                name: set.name.clone(),
                process: process(set),
                solids,
                should_cost: estimates.iter().map(|estimate| estimate.total).collect(),
                own_extras: estimates.iter().map(own_extras).collect(),
                second_pass,
                colour: Some(standing(set)),
            }),
            Err(why) => out.message(&format!(
                "warning: no should-cost for {}: {why}\n",
                set.name
            )),
        }
    }
    Ok(options)
}

/// The ink sets of the plan that somebody offers, each once.
pub(super) fn offered<'p>(job: &Job, plan: &'p Plan, offers: &[Offer]) -> Vec<&'p PlannedSet> {
    let mut seen = Vec::new();
    let mut sets = Vec::new();
    for set in &plan.sets {
        let inks = (process(set), sorted(&further(job, plan, set)));
        let mut all = offers.iter().flat_map(|offer| &offer.options);
        if !seen.contains(&inks) && all.any(|option| option.inks() == inks) {
            seen.push(inks);
            sets.push(set);
        }
    }
    sets
}

fn sorted(names: &[String]) -> Vec<String> {
    let mut names: Vec<String> = names.iter().map(|name| name.to_lowercase()).collect();
    names.sort();
    names
}

fn process(set: &PlannedSet) -> [bool; 4] {
    inkset_colour::ProcessInk::ALL.map(|ink| set.process.contains(ink))
}

/// Names of the inks besides the four: extended process inks of the card, and colours that are printed as solids.
fn further(job: &Job, plan: &Plan, set: &PlannedSet) -> Vec<String> {
    let extended = set.extended.iter().map(|&ink| plan.extended[ink].clone());
    let solids = set.solids.iter();
    let solids = solids.map(|&colour| job.colours[colour].name.value.clone());
    extended.chain(solids).collect()
}

fn standing(set: &PlannedSet) -> ColourStanding {
    ColourStanding {
        holds: set.count(Verdict::Holds),
        drifts: set.count(Verdict::Drifts),
        misses: set.count(Verdict::Misses),
        worst_delta_e: set.worst_delta_e(),
    }
}

/// Proofs and carriage within an estimate, with their share of the profit.
fn own_extras(estimate: &Estimate) -> OwnExtras {
    let of = |stage| with_profit(estimate, estimate.of_stage(stage)).unwrap_or(Money::ZERO);
    OwnExtras {
        proofs: of(Stage::Proofs),
        carriage: of(Stage::Carriage),
    }
}

/// A part of an estimate's cost with its share of the profit; `None` beyond 28 digits.
fn with_profit(estimate: &Estimate, cost: Money) -> Option<Money> {
    let profit = estimate.of_stage(Stage::Profit);
    let closing = [Stage::Profit, Stage::Rounding, Stage::ByHand];
    let all = estimate.lines.iter();
    let all = all.filter(|line| !closing.contains(&line.stage));
    let all: Money = all.map(|line| line.amount).sum();
    if all == Money::ZERO {
        return Some(cost);
    }
    let share = profit.amount().checked_div(all.amount())?;
    cost.times(Decimal::ONE + share)
}

/// One ink printed alone, in a pass of its own, on the sheets that the other inks leave.
struct SecondPass<'p> {
    /// Only this ink.
    alone: PrintPlan,
    /// All other inks.
    others: PrintPlan,
    pricer: &'p Pricer<'p>,
}

impl<'p> SecondPass<'p> {
    /// `None` when the ink set has no ink of this name.
    fn of(pricer: &'p Pricer<'p>, print: &PrintPlan, name: &str) -> Option<Self> {
        let ink = print.inks.iter().position(|ink| ink.name == name)?;
        Some(Self {
            alone: keeping(print, |at| at == ink),
            others: keeping(print, |at| at != ink),
            pricer,
        })
    }

    /// What the pass adds at least: its plates, make-ready, wash-up, run and ink, and the sheets that it spoils, which the
    /// other inks have to be printed on first; with the share of profit.
    fn cost(&self, copies: u64) -> Option<Money> {
        let pass = self.pricer.estimate(&self.alone, copies).ok()?;
        let own = [
            Stage::Plates,
            Stage::MakeReady,
            Stage::WashUp,
            Stage::Press,
            Stage::Ink,
        ];
        let own: Money = own.into_iter().map(|stage| pass.of_stage(stage)).sum();
        let spoiled = self.spoiled(&pass, copies);
        Some(with_profit(&pass, own)? + spoiled.unwrap_or(Money::ZERO))
    }

    /// Paper, run and ink of the other inks for as many copies more as the pass spoils.
    fn spoiled(&self, pass: &Estimate, copies: u64) -> Option<Money> {
        if self.others.inks.is_empty() {
            return None;
        }
        let more = spoiled_copies(pass);
        let without = self.pricer.estimate(&self.others, copies).ok()?;
        let with = self.pricer.estimate(&self.others, copies + more).ok()?;
        let of = |estimate: &Estimate| {
            let stages = [Stage::Paper, Stage::Press, Stage::Ink];
            let cost: Money = stages
                .into_iter()
                .map(|stage| estimate.of_stage(stage))
                .sum();
            with_profit(estimate, cost)
        };
        Some((of(&with)? - of(&without)?).max(Money::ZERO))
    }
}

/// Copies that the sheets spoiled by make-ready and run would have given, of the part that loses most.
fn spoiled_copies(pass: &Estimate) -> u64 {
    let of_section = |section: &inkset_costing::SectionChoice| {
        let runs = section.runs.iter();
        let spoiled = runs.map(|run| run.make_ready_sheets + run.running_sheets - run.good_sheets);
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
