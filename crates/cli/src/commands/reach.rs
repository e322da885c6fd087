//! `inkset reach`: what process inks reach of a palette.

use std::path::Path;

use inkset_colour::{
    BuildLimits, PrintingCondition, ProcessInk, ProcessSet, best_build, neighbours,
};
use inkset_report::{
    NearColour, NearReport, ReachReport, ReachedColour, near_csv, near_document, near_json,
    reach_csv, reach_document, reach_json,
};
use rayon::prelude::*;

use crate::CliError;
use crate::args::{Format, ReachArgs};
use crate::conditions::condition_named;
use crate::output::Output;
use crate::palettes::{NamedLab, palette};

/// ΔE00 beyond which a colour is missed unless said otherwise: a brand's usual tolerance (common practice, no source).
const USUAL_TOLERANCE: f64 = 2.0;

pub(crate) fn reach(args: &ReachArgs, out: &mut Output) -> Result<(), CliError> {
    if let Some(build) = &args.build {
        return super::reach_build::seen(build, args, out);
    }
    let [name] = args.condition.as_slice() else {
        return Err(CliError::Usage(
            "a palette is reached on one printing condition; give `--condition` once".to_owned(),
        ));
    };
    let condition = condition_named(name, out)?;
    let condition = condition.as_ref();
    let limits = limits(args, condition)?;
    let path = args.palette.as_deref().unwrap_or(Path::new(""));
    let palette = palette(path, out)?;
    if args.near {
        return near(args, palette, (condition, &limits), out);
    }
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

/// Neighbours of the colours that miss.
fn near(
    args: &ReachArgs,
    palette: Vec<NamedLab>,
    (condition, limits): (&PrintingCondition, &BuildLimits),
    out: &mut Output,
) -> Result<(), CliError> {
    let tolerance = tolerance(args)?;
    let of = |colour: NamedLab| {
        let reached = reached(colour, condition, limits);
        let missed = reached.build.delta_e > tolerance;
        NearColour {
            neighbours: if missed {
                neighbours(condition, reached.target, limits)
            } else {
                Vec::new()
            },
            reached,
        }
    };
    let report = NearReport {
        condition: format!("{} ({})", condition.title(), condition.name()),
        ink_limit: limits.ink_limit,
        tolerance,
        colours: palette.into_par_iter().map(of).collect(),
    };
    match args.format {
        Format::Table => out.document(&near_document(&report)),
        Format::Json => out.data(&near_json(&report)),
        Format::Csv => out.data(&near_csv(&report)),
    }
}

fn tolerance(args: &ReachArgs) -> Result<f64, CliError> {
    let tolerance = args.tolerance.unwrap_or(USUAL_TOLERANCE);
    if (0.0..=100.0).contains(&tolerance) {
        return Ok(tolerance);
    }
    Err(CliError::Usage(format!(
        "`--tolerance {tolerance}`: allowed are 0 to 100 ΔE00"
    )))
}

fn reached(colour: NamedLab, condition: &PrintingCondition, limits: &BuildLimits) -> ReachedColour {
    ReachedColour {
        name: colour.name,
        target: colour.lab,
        build: best_build(condition, colour.lab, limits),
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
