//! Every ink set of a job at every quantity: what `price`, `weigh` and the papers start from.

use inkset_costing::{
    BreakEven, CannotPrint, Estimate, Growth, Pair, Pricer, Weighed, frontier, recommended,
};
use inkset_plan::{Conditions, Plan, PlannedSet, Verdict};
use inkset_report::{PlanReport, PriceReport, PricedOption, price_cautions};
use inkset_spec::{FileRole, Job, Notice, Printing, Sources, codes};
use rayon::prelude::*;

use super::price::all_overrides_used;
use crate::CliError;
use crate::args::JobArgs;
use crate::files::{Loaded, load, tell};
use crate::output::Output;

/// A job with its prices, and what they rest on.
pub(super) struct OnPrices<'p> {
    pub(super) price: &'p PriceReport<'p>,
    pub(super) conditions: &'p Conditions<'p>,
    /// What was assumed because the job does not say it.
    pub(super) of_job: &'p [String],
}

/// Plans and prices a job, and hands it to `then`.
pub(super) fn on_prices<T>(
    files: &JobArgs,
    asked: &[u64],
    out: &mut Output,
    then: impl FnOnce(OnPrices<'_>, &mut Output) -> Result<T, CliError>,
) -> Result<T, CliError> {
    let mut loaded = load(files, out)?;
    let (conditions, plan) = super::planned(&mut loaded, out)?;
    let (borrowed, names) = (conditions.borrowed(), conditions.names());
    let pricer = Pricer::new(&loaded.job, &loaded.card).map_err(|why| told(&why, &loaded, out))?;
    let quantities = quantities(asked, &loaded.job);
    let price = priced((&loaded, &plan, &names), &pricer, quantities);
    let price = price.map_err(|why| told(&why, &loaded, out))?;
    all_overrides_used(&loaded, &price.options, out)?;
    let on = OnPrices {
        price: &price,
        conditions: &borrowed,
        of_job: &loaded.of_job,
    };
    then(on, out)
}

/// Prices every ink set of the plan; an error when none can be priced.
pub(super) fn priced<'a>(
    (loaded, plan, conditions): (&'a Loaded, &'a Plan, &'a [String]),
    pricer: &Pricer<'_>,
    quantities: Vec<u64>,
) -> Result<PriceReport<'a>, CannotPrint> {
    let (mut options, refused) = all_sets(plan, pricer, &quantities);
    if let (true, Some((_, why))) = (options.is_empty(), refused.first()) {
        return Err(why.clone());
    }
    mark_frontier(&mut options);
    let mut cautions = price_cautions(&loaded.card);
    cautions.extend(super::cautions(&plan.notes));
    cautions.extend(
        refused
            .iter()
            .map(|(set, why)| format!("{} cannot be priced: {why}", set.name)),
    );
    let four_ink = &plan.sets[plan.four_ink].name;
    let best = |at| recommended(&weighed(&options, at)).expect("there is at least one option");
    let mut report = PriceReport {
        plan: PlanReport {
            job: &loaded.job,
            plan,
            conditions,
        },
        card: &loaded.card,
        files: [
            loaded.job_path.display().to_string(),
            loaded.rates_path.display().to_string(),
        ],
        four_ink: options
            .iter()
            .position(|option| option.set.name == *four_ink),
        best: (0..quantities.len()).map(best).collect(),
        by_price_alone: Vec::new(),
        break_evens: Vec::new(),
        digital: Vec::new(),
        ranges: None,
        suggestions: Vec::new(),
        quantities,
        options,
        assumptions: loaded.assumptions.clone(),
        cautions,
    };
    report.break_evens = break_evens(&report, pricer)?;
    report.digital = digital(&report, pricer)?;
    Ok(report)
}

/// Compares the prices of every two options that are shown.
fn break_evens(report: &PriceReport<'_>, pricer: &Pricer<'_>) -> Result<Vec<Pair>, CannotPrint> {
    let shown: Vec<usize> = (0..report.options.len())
        .filter(|option| report.is_shown(*option))
        .collect();
    let plans: Vec<_> = shown
        .iter()
        .map(|&option| &report.options[option].set.print)
        .collect();
    let mut pairs = pricer.break_evens(&plans)?;
    for pair in &mut pairs {
        (pair.one, pair.other) = (shown[pair.one], shown[pair.other]);
    }
    Ok(pairs)
}

/// Compares digital presses and those with plates for every option that is shown.
fn digital(
    report: &PriceReport<'_>,
    pricer: &Pricer<'_>,
) -> Result<Vec<(usize, BreakEven)>, CannotPrint> {
    let mut all = Vec::new();
    for option in (0..report.options.len()).filter(|option| report.is_shown(*option)) {
        let print = &report.options[option].set.print;
        let break_even = pricer.digital_break_even(print)?;
        all.extend(break_even.map(|break_even| (option, break_even)));
    }
    Ok(all)
}

/// Tells why the job cannot be priced; where it sets by hand what cannot be, at that place.
pub(super) fn told(why: &CannotPrint, loaded: &Loaded, out: &mut Output) -> CliError {
    let Some(notice) = by_hand_notice(why, &loaded.job) else {
        out.message(&format!("error: the job cannot be priced: {why}\n"));
        return CliError::Told;
    };
    let name = loaded.job_path.display().to_string();
    let sources = Sources {
        job: Some((&name, &loaded.job_text)),
        ..Sources::default()
    };
    tell(&[notice], &sources, out)
        .err()
        .unwrap_or(CliError::Told)
}

/// What a job sets by hand and cannot have, with what it could.
fn by_hand_notice(why: &CannotPrint, job: &Job) -> Option<Notice> {
    match why {
        CannotPrint::NotByHand {
            part,
            asked,
            nearest,
        } => {
            let hint = format!("nearest:\n  {}", nearest.join("\n  "));
            Some(printing_notice(job, part, asked, "").hint(hint))
        }
        CannotPrint::InksNotByHand { part, asked } => {
            let notice = printing_notice(job, part, asked, ": no such way prints its inks");
            Some(
                notice
                    .hint("leave out the work style or the press, or name a press with more units"),
            )
        }
        CannotPrint::SeveralLines {
            place,
            line,
            several,
        } => {
            let message = format!("the override of `{line}` fits several lines");
            let notice = Notice::error(FileRole::Job, codes::OVERRIDE_UNUSED, message);
            let hint = format!("say which:\n  {}", several.join("\n  "));
            Some(notice.at(Some(*place)).hint(hint))
        }
        _ => None,
    }
}

fn printing_notice(job: &Job, part: &str, asked: &str, because: &str) -> Notice {
    let message =
        format!("part `{part}` cannot be printed as `[[printing]]` sets it ({asked}){because}");
    let of_part = |printing: &&Printing| job.parts[printing.part].name.value == part;
    let printing = job.printing.iter().find(of_part);
    Notice::error(FileRole::Job, codes::PRINTING_IMPOSSIBLE, message)
        .at(printing.map(|printing| printing.place))
}

/// The quantities on the command line, else the job's; ascending, each once.
pub(super) fn quantities(asked: &[u64], job: &Job) -> Vec<u64> {
    let mut quantities = if asked.is_empty() {
        job.quantities
            .iter()
            .map(|quantity| quantity.value)
            .collect()
    } else {
        asked.to_vec()
    };
    quantities.sort_unstable();
    quantities.dedup();
    quantities
}

type Refused<'a> = Vec<(&'a PlannedSet, CannotPrint)>;

/// Every set at every quantity; sets that cannot be priced come back with the reason.
fn all_sets<'a>(
    plan: &'a Plan,
    pricer: &Pricer<'_>,
    quantities: &[u64],
) -> (Vec<PricedOption<'a>>, Refused<'a>) {
    let estimated: Vec<Result<(Vec<Estimate>, Growth), CannotPrint>> = plan
        .sets
        .par_iter()
        .map(|set| {
            let prepared = pricer.prepare(&set.print)?.called(&set.name);
            let estimates = quantities
                .iter()
                .map(|&quantity| prepared.estimate(quantity));
            let estimates = estimates.collect::<Result<_, _>>()?;
            Ok((estimates, prepared.growth(quantities)?))
        })
        .collect();
    let mut options = Vec::new();
    let mut refused = Vec::new();
    for (set, estimates) in plan.sets.iter().zip(estimated) {
        match estimates {
            Ok((estimates, growth)) => options.push(PricedOption {
                set,
                estimates,
                on_frontier: Vec::new(),
                growth,
            }),
            Err(why) => refused.push((set, why)),
        }
    }
    (options, refused)
}

/// The frontier compares price and colour: fewer misses, then fewer drifts, then the smaller worst ΔE. Of options that hang
/// the same inks and are equal in both, the first stands for all.
fn mark_frontier(options: &mut [PricedOption<'_>]) {
    let n_quantities = options.first().map_or(0, |option| option.estimates.len());
    let colour: Vec<[f64; 1]> = options
        .iter()
        .map(|option| [option.set.colour_rank()])
        .collect();
    for quantity in 0..n_quantities {
        let totals: Vec<_> = options
            .iter()
            .zip(&colour)
            .map(|(option, colour)| (option.estimates[quantity].total, colour.as_slice()))
            .collect();
        let repeats = |at: usize| {
            let mut earlier = (0..at).filter(|&other| totals[other] == totals[at]);
            earlier.any(|other| options[other].set.hangs_the_same(options[at].set))
        };
        let marks: Vec<bool> = (0..)
            .zip(frontier(&totals))
            .map(|(at, on)| on && !repeats(at))
            .collect();
        for (option, on) in options.iter_mut().zip(marks) {
            option.on_frontier.push(on);
        }
    }
}

/// What a recommendation weighs of every option at a quantity.
pub(super) fn weighed(options: &[PricedOption<'_>], quantity: usize) -> Vec<Weighed> {
    let weighed = options.iter().map(|option| Weighed {
        misses: option.set.count(Verdict::Misses),
        drifts: option.set.count(Verdict::Drifts),
        total: option.estimates[quantity].total,
    });
    weighed.collect()
}
