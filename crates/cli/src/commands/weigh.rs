//! `inkset weigh`: colour against price.

use inkset_costing::{
    CannotPrint, Pricer, Weighed, best_within, cheapest_as_good, cheapest_that_holds, price_tags,
};
use inkset_plan::{Conditions, SolidSubsets, Verdict, solid_subsets};
use inkset_report::{
    Budget, Looser, LooserPrice, LooserWhy, PriceReport, SolidTags, WeighReport, weigh_csv,
    weigh_document, weigh_json,
};
use inkset_spec::{Given, Job};
use inkset_units::{DeltaE, Money};
use rayon::prelude::*;

use super::priced::{priced, quantities, told, weighed};
use crate::CliError;
use crate::args::{Format, WeighArgs};
use crate::files::load;
use crate::output::Output;

/// Most colours whose tolerance is loosened; each means planning the job twice more.
const MOST_LOOSENED: usize = 12;

pub(crate) fn weigh(args: &WeighArgs, out: &mut Output) -> Result<(), CliError> {
    let mut loaded = load(&args.files, out)?;
    let (conditions, plan) = super::planned(&mut loaded, out)?;
    let borrowed = conditions.borrowed();
    let pricer = Pricer::new(&loaded.job, &loaded.card).map_err(|why| told(&why, &loaded, out))?;
    let names = conditions.names();
    let price = priced(
        (&loaded, &plan, &names),
        &pricer,
        quantities(&args.quantities, &loaded.job),
    );
    let price = price.map_err(|why| told(&why, &loaded, out))?;
    let report = weigh_report(&price, (&pricer, &borrowed), args.budget);
    match args.format {
        Format::Table => out.document(&weigh_document(&report)),
        Format::Json => out.data(&weigh_json(&report)),
        Format::Csv => out.data(&weigh_csv(&report)),
    }
}

/// Price against colour: what `weigh` prints, and what the page of `report` is made from.
pub(super) fn weigh_report<'a>(
    price: &'a PriceReport<'a>,
    (pricer, conditions): (&Pricer<'_>, &Conditions<'_>),
    budget: Option<Money>,
) -> WeighReport<'a> {
    let job = price.plan.job;
    let subsets = solid_subsets(job, conditions);
    let (chosen, not_loosened) = loosened(job);
    let looser = chosen.par_iter().flat_map(|&colour| {
        let at = Loosening {
            price,
            pricer,
            conditions,
            colour,
        };
        at.all()
    });
    WeighReport {
        price,
        tags: tags(price, pricer, &subsets).map_err(|why| why.to_string()),
        fixed: subsets.fixed.clone(),
        holds: (0..price.quantities.len())
            .map(|at| cheapest_that_holds(&weighed(&price.options, at)))
            .collect(),
        budget: budget.map(|limit| bought(price, limit)),
        looser: looser.collect(),
        not_loosened,
    }
}

/// The price tags of all solids at each quantity.
fn tags(
    price: &PriceReport<'_>,
    pricer: &Pricer<'_>,
    subsets: &SolidSubsets,
) -> Result<Vec<SolidTags>, CannotPrint> {
    let mut of_subsets = Vec::with_capacity(subsets.plans.len());
    for plans in &subsets.plans {
        let totals = pricer.totals(plans, &price.quantities);
        let totals: Vec<Vec<Money>> = totals.into_iter().collect::<Result<_, _>>()?;
        let cheapest = |at| totals.iter().map(|totals: &Vec<Money>| totals[at]).min();
        let cheapest = (0..price.quantities.len()).map(cheapest);
        let cheapest: Option<Vec<Money>> = cheapest.collect();
        of_subsets.push(cheapest.ok_or(CannotPrint::AmountTooLarge)?);
    }
    let at_quantity = |at: usize| {
        let prices: Vec<Money> = of_subsets.iter().map(|prices| prices[at]).collect();
        price_tags(&prices, price.card.currency.value).ok_or(CannotPrint::AmountTooLarge)
    };
    let all: Vec<_> = (0..price.quantities.len())
        .map(at_quantity)
        .collect::<Result<_, _>>()?;
    let solids = subsets.solids.iter().enumerate();
    Ok(solids
        .map(|(solid, &colour)| SolidTags {
            colour,
            tags: all.iter().map(|tags| tags[solid]).collect(),
        })
        .collect())
}

fn bought(price: &PriceReport<'_>, limit: Money) -> Budget {
    let at_quantity = |at: usize| {
        let options = price.options.iter();
        let options: Vec<(Money, f64)> = options
            .map(|option| (option.estimates[at].total, option.set.colour_rank()))
            .collect();
        best_within(&options, limit)
    };
    Budget {
        limit,
        best: (0..price.quantities.len()).map(at_quantity).collect(),
    }
}

/// The colours whose tolerance is loosened, and those that are too many; effects have none that a build could meet.
fn loosened(job: &Job) -> (Vec<usize>, Vec<usize>) {
    let mut colours: Vec<usize> = (0..job.colours.len())
        .filter(|&at| job.colours[at].effect.is_none())
        .collect();
    colours.sort_by_key(|&at| (job.colours[at].importance.value, at));
    let mut left = colours.split_off(colours.len().min(MOST_LOOSENED));
    colours.sort_unstable();
    left.sort_unstable();
    (colours, left)
}

/// One colour to be planned with other tolerances.
struct Loosening<'a> {
    price: &'a PriceReport<'a>,
    pricer: &'a Pricer<'a>,
    conditions: &'a Conditions<'a>,
    colour: usize,
}

impl Loosening<'_> {
    /// One more, and where there is such a one, that at which four inks hold the colour.
    fn all(&self) -> Vec<Looser> {
        let from = self.price.plan.job.colours[self.colour]
            .tolerance
            .value
            .value();
        let mut all = vec![(from + 1.0, LooserWhy::OneMore)];
        let enough = self.four_inks_hold();
        if enough > from {
            all.push((enough, LooserWhy::FourInksHold));
        }
        let told = all.into_iter();
        told.filter_map(|(to, why)| {
            Some(Looser {
                colour: self.colour,
                from,
                to,
                why,
                prices: self.prices(DeltaE::new(to)?)?,
            })
        })
        .collect()
    }

    /// ΔE00 that 95 % of sheets keep within when the colour is printed from process inks, on all of its papers and tints.
    fn four_inks_hold(&self) -> f64 {
        let plan = self.price.plan.plan;
        let pairs = plan.rows.iter().zip(&plan.sets[plan.four_ink].renderings);
        let own =
            pairs.filter(|(row, rendering)| row.colour == self.colour && rendering.solid.is_none());
        own.map(|(_, r)| r.delta_e_on_press).fold(0.0, f64::max)
    }

    /// `None` when nothing can be priced.
    fn prices(&self, tolerance: DeltaE) -> Option<Vec<LooserPrice>> {
        let PriceReport {
            plan, quantities, ..
        } = self.price;
        let mut job = plan.job.clone();
        job.colours[self.colour].tolerance = Given::assumed(tolerance);
        let looser = inkset_plan::plan_again(&job, self.conditions, plan.plan);
        let prints: Vec<_> = looser.sets.iter().map(|set| set.print.clone()).collect();
        let totals = self.pricer.totals(&prints, quantities);
        let sets = looser.sets.iter().zip(totals);
        let known: Vec<_> = sets.filter_map(|(set, t)| Some((set, t.ok()?))).collect();
        let at_quantity = |at: usize| {
            let recommended = &self.price.options[self.price.best[at]];
            let tally = |verdict| recommended.set.count(verdict);
            let options: Vec<Weighed> = known
                .iter()
                .map(|(set, totals)| Weighed {
                    misses: set.count(Verdict::Misses),
                    drifts: set.count(Verdict::Drifts),
                    total: totals[at],
                })
                .collect();
            let as_good = (tally(Verdict::Misses), tally(Verdict::Drifts));
            let found = cheapest_as_good(&options, as_good)?;
            Some(LooserPrice {
                set: known[found].0.name.clone(),
                before: recommended.estimates[at].total,
                after: options[found].total,
            })
        };
        (0..quantities.len()).map(at_quantity).collect()
    }
}
