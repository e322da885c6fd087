//! `inkset price`: every ink set at every quantity.

use inkset_costing::{
    CannotPrint, Estimate, Growth, Pair, Pricer, Stage, Weighed, frontier, nameable, price_ranges,
    recommended, unused_overrides,
};
use inkset_plan::{Plan, PlannedSet, Verdict};
use inkset_report::{
    ExplainedStage, PlanReport, PriceReport, PricedOption, RangesReport, explain_csv,
    explain_document, explain_json, fall_warnings, price_cautions, price_csv, price_document,
    price_json, sensitivity_csv, sensitivity_document,
};
use inkset_spec::{FileRole, Notice, Sources, codes};
use rayon::prelude::*;

use crate::CliError;
use crate::args::{Format, PriceArgs};
use crate::conditions::conditions_of;
use crate::files::{Loaded, load, tell};
use crate::output::Output;

pub(crate) fn price(args: &PriceArgs, out: &mut Output) -> Result<(), CliError> {
    let mut loaded = load(&args.files, out)?;
    let conditions = conditions_of(&mut loaded, out)?;
    let plan = inkset_plan::plan(&loaded.job, &conditions.borrowed());
    loaded.assumptions.extend(super::assumed(&plan.notes, out));
    let assumptions = std::mem::take(&mut loaded.assumptions);
    let quantities = quantities(args, &loaded.job);
    let pricer = Pricer::new(&loaded.job, &loaded.card).map_err(|why| told(&why, out))?;
    let (mut options, refused) = priced(&plan, &pricer, &quantities);
    if options.is_empty() {
        return Err(refused
            .first()
            .map_or(CliError::Told, |(_, why)| told(why, out)));
    }
    all_overrides_used(&loaded, &options, out)?;
    mark_frontier(&mut options);
    let mut cautions = price_cautions(&loaded.card);
    cautions.extend(super::cautions(&plan.notes));
    cautions.extend(
        refused
            .iter()
            .map(|(set, why)| format!("{} cannot be priced: {why}", set.name)),
    );
    let four_ink = &plan.sets[plan.four_ink].name;
    let mut report = PriceReport {
        plan: PlanReport {
            job: &loaded.job,
            plan: &plan,
            conditions: &conditions.names(),
        },
        card: &loaded.card,
        files: [
            loaded.job_path.display().to_string(),
            loaded.rates_path.display().to_string(),
        ],
        four_ink: options
            .iter()
            .position(|option| option.set.name == *four_ink),
        best: (0..quantities.len()).map(|at| best(&options, at)).collect(),
        break_evens: Vec::new(),
        ranges: None,
        quantities,
        options,
        assumptions,
        cautions,
    };
    report.break_evens = break_evens(&report, &pricer).map_err(|why| told(&why, out))?;
    report.ranges = ranges(&loaded, &report).map_err(|why| told(&why, out))?;
    for warning in fall_warnings(&report) {
        out.message(&format!("warning: {warning}\n"));
    }
    if let Some(stage) = args.explain.as_deref().and_then(Stage::named) {
        return explain((&report, &pricer), stage, args, out);
    }
    if args.sensitivity {
        return sensitivity(&report, args, out);
    }
    match args.format {
        Format::Table => out.document(&price_document(&report, args.lines)),
        Format::Json => out.data(&price_json(&report)),
        Format::Csv => out.data(&price_csv(&report, args.lines)),
    }
}

/// How a stage of the recommended options came about; with `--lines`, of all options.
fn explain(
    (report, pricer): (&PriceReport<'_>, &Pricer<'_>),
    stage: Stage,
    args: &PriceArgs,
    out: &mut Output,
) -> Result<(), CliError> {
    let mut stages = Vec::new();
    for (at, quantity) in report.quantities.iter().enumerate() {
        for (number, option) in report.options.iter().enumerate() {
            if args.lines || report.best[at] == number {
                let prepared = pricer.prepare(&option.set.print);
                let prepared = prepared.map_err(|why| told(&why, out))?;
                let prepared = prepared.called(&option.set.name);
                stages.push(ExplainedStage {
                    stage: stage.name(),
                    option: number,
                    quantity: *quantity,
                    lines: prepared.explain(&option.estimates[at], stage),
                });
            }
        }
    }
    match args.format {
        Format::Table => out.document(&explain_document(report, &stages)),
        Format::Json => out.data(&explain_json(report, &stages)),
        Format::Csv => out.data(&explain_csv(report, &stages)),
    }
}

/// What the ranges of the card do to the price of every option.
fn ranges<'a>(
    loaded: &'a Loaded,
    report: &PriceReport<'_>,
) -> Result<Option<RangesReport<'a>>, CannotPrint> {
    let Some(card) = &loaded.ranges else {
        return Ok(None);
    };
    let plans: Vec<_> = report
        .options
        .iter()
        .map(|option| (option.set.name.as_str(), &option.set.print))
        .collect();
    let cards = (&loaded.job, &loaded.card, card);
    let prices = price_ranges(cards, &plans, &report.quantities)?;
    Ok(Some(RangesReport {
        rates: &card.rates,
        prices,
    }))
}

/// An override that names no line is an error, with the lines that there are.
fn all_overrides_used(
    loaded: &Loaded,
    options: &[PricedOption<'_>],
    out: &mut Output,
) -> Result<(), CliError> {
    let estimates: Vec<_> = options
        .iter()
        .flat_map(|option| {
            option
                .estimates
                .iter()
                .map(|e| (option.set.name.as_str(), e.quantity, e.lines.as_slice()))
        })
        .collect();
    let unused = unused_overrides(&loaded.job, &estimates);
    if unused.is_empty() {
        return Ok(());
    }
    let mut known = nameable(&loaded.job, estimates[0].2);
    known.extend(
        options
            .iter()
            .map(|option| format!("option = \"{}\"", option.set.name)),
    );
    let notices: Vec<Notice> = unused
        .into_iter()
        .map(|set| {
            let message = format!(
                "the override of `{}` names no line of the estimate",
                set.line.value
            );
            Notice::error(FileRole::Job, codes::OVERRIDE_UNUSED, message)
                .at(Some(set.place))
                .hint(format!("known:\n  {}", known.join("\n  ")))
        })
        .collect();
    let name = loaded.job_path.display().to_string();
    let sources = Sources {
        job: Some((&name, &loaded.job_text)),
        ..Sources::default()
    };
    tell(&notices, &sources, out).map(|_| ())
}

fn sensitivity(
    report: &PriceReport<'_>,
    args: &PriceArgs,
    out: &mut Output,
) -> Result<(), CliError> {
    if report.ranges.is_none() {
        return Err(CliError::Usage(format!(
            "`{}` has no range; write for instance `hourly_rate = {{ low = 140, typical = 150, high = 165 }}`",
            report.files[1]
        )));
    }
    match args.format {
        Format::Table => out.document(&sensitivity_document(report)),
        Format::Json => out.data(&price_json(report)),
        Format::Csv => out.data(&sensitivity_csv(report)),
    }
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

fn told(why: &CannotPrint, out: &mut Output) -> CliError {
    out.message(&format!("error: the job cannot be priced: {why}\n"));
    CliError::Told
}

/// The quantities on the command line, else the job's; ascending, each once.
fn quantities(args: &PriceArgs, job: &inkset_spec::Job) -> Vec<u64> {
    let mut quantities = if args.quantities.is_empty() {
        job.quantities
            .iter()
            .map(|quantity| quantity.value)
            .collect()
    } else {
        args.quantities.clone()
    };
    quantities.sort_unstable();
    quantities.dedup();
    quantities
}

type Refused<'a> = Vec<(&'a PlannedSet, CannotPrint)>;

/// Every set at every quantity; sets that cannot be priced come back with the reason.
fn priced<'a>(
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

/// The frontier compares price and colour: fewer misses, then fewer drifts, then the smaller worst ΔE.
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
        for (option, on) in options.iter_mut().zip(frontier(&totals)) {
            option.on_frontier.push(on);
        }
    }
}

fn best(options: &[PricedOption<'_>], quantity: usize) -> usize {
    let weighed: Vec<Weighed> = options
        .iter()
        .map(|option| Weighed {
            misses: option.set.count(Verdict::Misses),
            drifts: option.set.count(Verdict::Drifts),
            total: option.estimates[quantity].total,
        })
        .collect();
    recommended(&weighed).expect("there is at least one option")
}
