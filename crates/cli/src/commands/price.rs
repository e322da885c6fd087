//! `inkset price`: every ink set at every quantity.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use inkset_costing::{
    CannotPrint, Estimate, Pricer, Stage, Suggestion, nameable, price_ranges, suggestions,
    unused_overrides,
};
use inkset_report::{
    ExplainedStage, PriceReport, PricedOption, RangesReport, explain_csv, explain_document,
    explain_json, fall_warnings, price_csv, price_document, price_json, sensitivity_csv,
    sensitivity_document,
};
use inkset_spec::{FileRole, Notice, Sources, codes};

use super::priced::{priced, quantities, told};
use crate::CliError;
use crate::args::{Format, PriceArgs};
use crate::files::{Loaded, load, tell};
use crate::output::Output;

pub(crate) fn price(args: &PriceArgs, out: &mut Output) -> Result<(), CliError> {
    let mut loaded = load(&args.files, out)?;
    let (conditions, plan) = super::planned(&mut loaded, out)?;
    let pricer = Pricer::new(&loaded.job, &loaded.card).map_err(|why| told(&why, &loaded, out))?;
    let quantities = quantities(&args.quantities, &loaded.job);
    let names = conditions.names();
    let report = priced((&loaded, &plan, &names), &pricer, quantities);
    let mut report = report.map_err(|why| told(&why, &loaded, out))?;
    all_overrides_used(&loaded, &report.options, out)?;
    report.ranges = ranges(&loaded, &report).map_err(|why| told(&why, &loaded, out))?;
    report.by_price_alone =
        by_price_alone(&loaded, &report).map_err(|why| told(&why, &loaded, out))?;
    for warning in fall_warnings(&report) {
        out.message(&format!("warning: {warning}\n"));
    }
    if let Some(stage) = args.explain.as_deref().and_then(Stage::named) {
        return explain((&loaded, &report, &pricer), stage, args, out);
    }
    if args.sensitivity {
        return sensitivity(&report, args, out);
    }
    if matches!(args.format, Format::Table | Format::Json) {
        report.suggestions = suggested(&loaded, &report).map_err(|why| told(&why, &loaded, out))?;
    }
    match args.format {
        Format::Table => out.document(&price_document(&report, args.lines)),
        Format::Json => out.data(&price_json(&report)),
        Format::Csv => out.data(&price_csv(&report, args.lines)),
    }
}

/// How a stage of the recommended options came about; with `--lines`, of all options.
fn explain(
    (loaded, report, pricer): (&Loaded, &PriceReport<'_>, &Pricer<'_>),
    stage: Stage,
    args: &PriceArgs,
    out: &mut Output,
) -> Result<(), CliError> {
    let mut stages = Vec::new();
    for (at, quantity) in report.quantities.iter().enumerate() {
        for (number, option) in report.options.iter().enumerate() {
            if args.lines || report.best[at] == number {
                let prepared = pricer.prepare(&option.set.print);
                let prepared = prepared.map_err(|why| told(&why, loaded, out))?;
                let shares = report.plan.plan.ink_shares(report.plan.job, option.set);
                let prepared = prepared.called(&option.set.name).with_ink_shares(&shares);
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

/// The recommended options without the ways to print that the job sets by hand.
fn by_price_alone(loaded: &Loaded, report: &PriceReport<'_>) -> Result<Vec<Estimate>, CannotPrint> {
    if loaded.job.printing.is_empty() {
        return Ok(Vec::new());
    }
    let mut job = loaded.job.clone();
    job.printing.clear();
    let pricer = Pricer::new(&job, &loaded.card)?;
    let quantities = report.quantities.iter().zip(&report.best);
    let estimate = |(copies, best): (&u64, &usize)| {
        let set = report.options[*best].set;
        pricer
            .prepare(&set.print)?
            .called(&set.name)
            .estimate(*copies)
    };
    quantities.map(estimate).collect()
}

/// Moves that save on the recommended option of each quantity, borrowing from the options that are shown.
fn suggested(
    loaded: &Loaded,
    report: &PriceReport<'_>,
) -> Result<Vec<Vec<Suggestion>>, CannotPrint> {
    let (shown, plans): (Vec<usize>, Vec<_>) = report
        .shown()
        .map(|(at, option)| (at, &option.set.print))
        .unzip();
    let mut of_option: BTreeMap<usize, Vec<Vec<Suggestion>>> = BTreeMap::new();
    for option in &report.best {
        if let (Entry::Vacant(vacant), Ok(which)) =
            (of_option.entry(*option), shown.binary_search(option))
        {
            let job = (&loaded.job, &loaded.card);
            let mut found = suggestions(job, (&plans, which), &report.quantities)?;
            for suggestion in found.iter_mut().flatten() {
                suggestion.change.renumber_plans(&shown);
            }
            vacant.insert(found);
        }
    }
    let quantities = report.best.iter().enumerate();
    Ok(quantities
        .map(|(at, option)| of_option[option][at].clone())
        .collect())
}

/// What the ranges of the card do to the price of every option.
pub(super) fn ranges<'a>(
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
pub(super) fn all_overrides_used(
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
