//! `inkset price`: every ink set at every quantity.

use inkset_costing::{Pricer, Stage};
use inkset_report::{
    ExplainedStage, PriceReport, explain_csv, explain_document, explain_json, fall_warnings,
    price_csv, price_document, price_json,
};

use super::priced::{priced, quantities, told};
use crate::CliError;
use crate::args::{Format, PriceArgs};
use crate::conditions::conditions_of;
use crate::files::load;
use crate::output::Output;

pub(crate) fn price(args: &PriceArgs, out: &mut Output) -> Result<(), CliError> {
    let mut loaded = load(&args.files, out)?;
    let conditions = conditions_of(&mut loaded, out)?;
    let plan = inkset_plan::plan(&loaded.job, &conditions.borrowed());
    loaded.assumptions.extend(super::assumed(&plan.notes, out));
    let pricer = Pricer::new(&loaded.job, &loaded.card).map_err(|why| told(&why, out))?;
    let quantities = quantities(&args.quantities, &loaded.job);
    let names = conditions.names();
    let report = priced((&loaded, &plan, &names), &pricer, quantities);
    let report = report.map_err(|why| told(&why, out))?;
    for warning in fall_warnings(&report) {
        out.message(&format!("warning: {warning}\n"));
    }
    if let Some(stage) = args.explain.as_deref().and_then(Stage::named) {
        return explain((&report, &pricer), stage, args, out);
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
