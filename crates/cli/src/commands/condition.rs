//! `inkset condition`: printing conditions themselves.

use inkset_colour::{
    ChartSummary, ExactModel, Gamut, claimed_aims, grid_errors, left_out_errors, printed_tints,
    shipped_names, solids_against,
};
use inkset_report::{
    CheckedCondition, ShownCondition, checked_csv, checked_document, checked_json, listed_csv,
    listed_document, listed_json, shown_csv, shown_document, shown_json,
};

use crate::CliError;
use crate::args::{ConditionAction, ConditionArgs, Format, OneConditionArgs};
use crate::conditions::{Basis, basis_named, condition_named};
use crate::output::Output;

pub(crate) fn condition(args: &ConditionArgs, out: &mut Output) -> Result<(), CliError> {
    match &args.action {
        ConditionAction::List { format } => list(*format, out),
        ConditionAction::Show(args) => show(args, out),
        ConditionAction::Check(args) => check(args, out),
    }
}

fn list(format: Format, out: &mut Output) -> Result<(), CliError> {
    let infos = shipped_names();
    match format {
        Format::Table => out.document(&listed_document(infos)),
        Format::Json => out.data(&listed_json(infos)),
        Format::Csv => out.data(&listed_csv(infos)),
    }
}

fn show(args: &OneConditionArgs, out: &mut Output) -> Result<(), CliError> {
    let condition = condition_named(&args.condition, out)?;
    let condition = condition.as_ref();
    let gamut = Gamut::of(condition, condition.ink_limit());
    let shown = ShownCondition {
        condition,
        tints: printed_tints(condition),
        volume: gamut.volume(),
        convex_volume: gamut.convex_volume(),
    };
    match args.format {
        Format::Table => out.document(&shown_document(&shown)),
        Format::Json => out.data(&shown_json(&shown)),
        Format::Csv => out.data(&shown_csv(&shown)),
    }
}

fn check(args: &OneConditionArgs, out: &mut Output) -> Result<(), CliError> {
    let condition = condition_named(&args.condition, out)?;
    let condition = condition.as_ref();
    let mut checked = CheckedCondition {
        condition,
        left_out: None,
        grid: None,
        chart: None,
        aims: claimed_aims(condition.process()).map(|aims| (aims, solids_against(condition, aims))),
    };
    match basis_named(&args.condition, out)? {
        Basis::Table(table) => {
            let patches = table.averaged();
            checked.chart = Some(ChartSummary::of(&table));
            checked.left_out = left_out_errors(&patches);
            checked.grid = ExactModel::fit(&patches)
                .and_then(|model| grid_errors(condition, |tones| model.lab(tones)));
        }
        Basis::Profile(profile) => {
            checked.grid = grid_errors(condition, |tones| profile.lab(tones));
        }
    }
    match args.format {
        Format::Table => out.document(&checked_document(&checked)),
        Format::Json => out.data(&checked_json(&checked)),
        Format::Csv => out.data(&checked_csv(&checked)),
    }
}
