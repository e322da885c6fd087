//! `inkset layout JOB`: the sheets of the chosen option with the pages in place.

use std::path::{Path, PathBuf};

use inkset_costing::{Estimate, PartChoice, Pricer, SectionChoice};
use inkset_layout::PrintPlan;
use inkset_report::{
    ImposedSection, ImpositionReport, PriceReport, imposition_csv, imposition_document,
    imposition_json, imposition_svg,
};

use super::priced::{priced, quantities, told};
use crate::CliError;
use crate::args::{Format, JobArgs, LayoutArgs};
use crate::files::{Loaded, load, write_new};
use crate::output::Output;

pub(super) fn sheets(args: &LayoutArgs, out: &mut Output) -> Result<(), CliError> {
    let files = JobArgs {
        job: PathBuf::from(&args.sheet),
        rates: args.rates.clone(),
        outside_artwork: args.outside_artwork,
    };
    let mut loaded = load(&files, out)?;
    let (conditions, plan) = super::planned(&mut loaded, out)?;
    let pricer = Pricer::new(&loaded.job, &loaded.card).map_err(|why| told(&why, &loaded, out))?;
    let asked: Vec<u64> = args.quantity.into_iter().collect();
    let first = quantities(&asked, &loaded.job)
        .into_iter()
        .take(1)
        .collect();
    let names = conditions.names();
    let report = priced((&loaded, &plan, &names), &pricer, first);
    let report = report.map_err(|why| told(&why, &loaded, out))?;
    let chosen = chosen(&report, args.option.as_deref())?;
    let drawn = drawn(&loaded, &report, chosen)?;
    if let Some(path) = &args.svg {
        picture(&drawn, path)?;
    }
    match args.format {
        Format::Table => out.document(&imposition_document(&drawn)),
        Format::Json => out.data(&imposition_json(&drawn)),
        Format::Csv => out.data(&imposition_csv(&drawn)),
    }
}

/// The option of this name, or the recommended one.
pub(super) fn chosen(report: &PriceReport<'_>, name: Option<&str>) -> Result<usize, CliError> {
    let Some(name) = name else {
        return Ok(report.best[0]);
    };
    let options = &report.options;
    let at = options.iter().position(|option| option.set.name == name);
    at.ok_or_else(|| {
        let known = options.iter().map(|o| format!("`{}`", o.set.name));
        let known: Vec<String> = known.collect();
        CliError::Usage(format!(
            "`--option {name}`: the job has no such option; its options are {}",
            known.join(", ")
        ))
    })
}

fn drawn(
    loaded: &Loaded,
    report: &PriceReport<'_>,
    chosen: usize,
) -> Result<ImpositionReport, CliError> {
    let option = &report.options[chosen];
    let estimate: &Estimate = &option.estimates[0];
    let mut sections = Vec::new();
    for part in &estimate.parts {
        let of = part.sections.iter().map(|class| class.count).sum();
        let all = part.sections.iter().flat_map(|class| {
            let sections = class.sections.iter();
            sections.map(move |section| (class, section))
        });
        for (number, (class, section)) in (1..).zip(all) {
            sections.push(ImposedSection {
                inks: inks(&option.set.print, part.part, &section.pages),
                ..imposed(loaded, (part, class), (section, number, of))?
            });
        }
    }
    Ok(ImpositionReport {
        title: loaded.job.title.clone(),
        option: option.set.name.clone(),
        quantity: estimate.quantity,
        sections,
    })
}

fn imposed(
    loaded: &Loaded,
    (part, class): (&PartChoice, &SectionChoice),
    (section, number, of): (&inkset_layout::Section, u32, u32),
) -> Result<ImposedSection, CliError> {
    let imposition = part.impose((&loaded.job, &loaded.card), (class, section));
    Ok(ImposedSection {
        part: loaded.job.parts[part.part].name.value.clone(),
        press: part.presses(),
        number,
        of,
        pages: section.pages.clone(),
        gripper_mm: part.margins(&loaded.card).gripper.mm(),
        plates: part
            .kept
            .as_ref()
            .map_or(String::new(), ToString::to_string),
        inks: Vec::new(),
        imposition: imposition.map_err(|error| CliError::Usage(error.to_string()))?,
    })
}

/// Share of every page that each ink of the pages covers.
fn inks(print: &PrintPlan, part: usize, pages: &[u32]) -> Vec<(String, Vec<f64>)> {
    let share = |ink: usize, page: &u32| {
        let on_page = print.parts[part].on_page(*page).iter();
        let own = on_page.filter(|(id, _)| usize::from(id.0) == ink);
        own.map(|(_, share)| *share).sum::<f64>()
    };
    let inks = print.inks.iter().enumerate();
    inks.map(|(ink, spec)| {
        let shares: Vec<f64> = pages.iter().map(|page| share(ink, page)).collect();
        (spec.name.clone(), shares)
    })
    .filter(|(_, shares)| shares.iter().any(|share| *share > 0.0))
    .collect()
}

/// Writes the picture; a file that is there is never overwritten.
fn picture(report: &ImpositionReport, path: &Path) -> Result<(), CliError> {
    let written = write_new(path, imposition_svg(report).as_bytes());
    written.map_err(|error| CliError::File(path.to_owned(), error))
}
