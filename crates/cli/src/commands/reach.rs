//! `inkset reach`: what process inks reach of a palette.

use inkset_colour::{BuildLimits, LabD50, PrintingCondition, ProcessInk, ProcessSet, best_build};
use inkset_report::{ReachReport, ReachedColour, reach_csv, reach_document, reach_json};
use inkset_spec::{PaletteColour, Sources, read_palette};
use rayon::prelude::*;

use crate::CliError;
use crate::args::{Format, ReachArgs};
use crate::conditions::condition_named;
use crate::files::{read, tell};
use crate::output::Output;

pub(crate) fn reach(args: &ReachArgs, out: &mut Output) -> Result<(), CliError> {
    let condition = condition_named(&args.condition, out)?;
    let condition = condition.as_ref();
    let limits = limits(args, condition)?;
    let palette = palette(args, out)?;
    let report = ReachReport {
        condition: format!("{} ({})", condition.title(), condition.name()),
        source: condition.source().to_owned(),
        ink_limit: limits.ink_limit,
        colours: palette
            .into_par_iter()
            .map(|colour| reached(colour, condition, &limits))
            .collect(),
    };
    match args.format {
        Format::Table => out.document(&reach_document(&report)),
        Format::Json => out.data(&reach_json(&report)),
        Format::Csv => out.data(&reach_csv(&report)),
    }
}

fn palette(args: &ReachArgs, out: &mut Output) -> Result<Vec<PaletteColour>, CliError> {
    let bytes = read(&args.palette)?;
    let reading = read_palette(&bytes);
    let name = args.palette.display().to_string();
    let text = String::from_utf8_lossy(&bytes);
    tell(
        &reading.notices,
        &Sources {
            palette: Some((&name, &text)),
            ..Sources::default()
        },
        out,
    )?;
    reading.value.ok_or(CliError::Told)
}

fn reached(
    colour: PaletteColour,
    condition: &PrintingCondition,
    limits: &BuildLimits,
) -> ReachedColour {
    let [l, a, b] = colour.lab;
    let target = LabD50 { l, a, b };
    ReachedColour {
        name: colour.name,
        target,
        build: best_build(condition, target, limits),
    }
}

fn limits(args: &ReachArgs, condition: &PrintingCondition) -> Result<BuildLimits, CliError> {
    let mut limits = BuildLimits::of(condition).with_inks(inks(&args.inks)?);
    if let Some(limit) = args.ink_limit {
        if !(100.0..=400.0).contains(&limit) {
            return Err(CliError::Usage(format!(
                "`--ink-limit {limit}`: allowed are 100 to 400 percent"
            )));
        }
        limits.ink_limit = limit;
    }
    Ok(limits)
}

fn inks(letters: &str) -> Result<ProcessSet, CliError> {
    let ink = |letter: char| {
        ProcessInk::ALL
            .into_iter()
            .find(|ink| ink.letter() == letter.to_ascii_uppercase())
    };
    let set: Option<ProcessSet> = letters.chars().map(ink).collect();
    set.filter(|set| !set.is_empty()).ok_or_else(|| {
        CliError::Usage(format!(
            "`--inks {letters}`: write some of the letters C, M, Y, K"
        ))
    })
}
