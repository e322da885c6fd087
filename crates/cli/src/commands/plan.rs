//! `inkset plan`: the colours of a job in each ink set.

use inkset_report::{PlanReport, plan_csv, plan_document, plan_json};

use crate::CliError;
use crate::args::{Format, PlanArgs};
use crate::files::load;
use crate::output::Output;

pub(crate) fn plan(args: &PlanArgs, out: &mut Output) -> Result<(), CliError> {
    let mut loaded = load(&args.files, out)?;
    let (conditions, plan) = super::planned(&mut loaded, out)?;
    let report = PlanReport {
        job: &loaded.job,
        plan: &plan,
        conditions: &conditions.names(),
    };
    match args.format {
        Format::Table => out.document(&plan_document(report)),
        Format::Json => out.data(&plan_json(
            report,
            &loaded.assumptions,
            &super::cautions(&plan.notes),
        )),
        Format::Csv => out.data(&plan_csv(report)),
    }
}
