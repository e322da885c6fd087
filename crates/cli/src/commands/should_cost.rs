//! What the ink sets that are offered should cost by the rate card.

use inkset_costing::{Estimate, Pricer, SecondPass, Stage};
use inkset_offers::{BasisOption, ColourStanding, OwnExtras};
use inkset_plan::{Plan, PlannedSet, Verdict};
use inkset_spec::{Job, Offer};
use inkset_units::Money;

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
    let pricer = Pricer::new(&loaded.job, &loaded.card).map_err(|why| told(&why, loaded, out))?;
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
        let inks = inks(job, plan, set);
        let mut all = offers.iter().flat_map(|offer| &offer.options);
        if !seen.contains(&inks) && all.any(|option| option.inks() == inks) {
            seen.push(inks);
            sets.push(set);
        }
    }
    sets
}

/// What to keep in mind of ink sets that are offered and can be printed otherwise with the same inks.
pub(super) fn printed_otherwise(job: &Job, plan: &Plan, offers: &[Offer]) -> Vec<String> {
    let offered = offered(job, plan, offers);
    let others = plan.sets.iter().filter_map(|set| {
        let mut same = offered.iter();
        let same = same.find(|known| inks(job, plan, known) == inks(job, plan, set))?;
        (same.name != set.name).then(|| {
            format!(
                "Offers of `{}` are set beside its should-cost; `{}` hangs the same inks: ask which is meant",
                same.name, set.name
            )
        })
    });
    others.collect()
}

/// The inks of a set, comparable with those of an offered option.
pub(super) fn inks(job: &Job, plan: &Plan, set: &PlannedSet) -> ([bool; 4], Vec<String>) {
    (process(set), sorted(&further(job, plan, set)))
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
    let of = |stage| {
        let cost = estimate.of_stage(stage);
        estimate.with_profit(cost).unwrap_or(Money::ZERO)
    };
    OwnExtras {
        proofs: of(Stage::Proofs),
        carriage: of(Stage::Carriage),
    }
}
