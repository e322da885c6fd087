//! Coverage as artwork shows it, in the place of what a job says of its pages.
//!
//! A solid is found by its name. A flat colour out of process inks is a colour of the job when it lies within the
//! tolerance of it, or of the best that four inks can build of it. Whatever process ink is left becomes a picture over
//! the whole page, so that no ink of the artwork is lost.

mod page;

use std::collections::{BTreeMap, BTreeSet};

use inkset_colour::{BuildLimits, LabD50, best_build};
use inkset_spec::{Given, Job, Picture, Place, Use, UseKind, page_runs};
use inkset_units::{Coverage, ToneValue};
use rayon::prelude::*;

use self::page::PageColours;
use crate::{Conditions, PlanNote, PlanNoteKind, Row, row};

/// A page of a job as its artwork shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredPage {
    /// Index into [`Job::parts`].
    pub part: usize,
    /// Number of the page within the part, from 1.
    pub page: u32,
    /// Where the job names the file.
    pub place: Option<Place>,
    /// Mean tone of C, M, Y, K over the page, 0 to 1.
    pub process: [f64; 4],
    /// Mean tone of every solid that leaves ink, 0 to 1.
    pub solids: Vec<(String, f64)>,
    /// Flat colours out of process inks alone.
    pub flats: Vec<MeasuredFlat>,
}

/// A colour out of process inks that covers an area evenly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredFlat {
    /// Tones of C, M, Y, K in percent.
    pub tones: [f64; 4],
    /// Share of the page, 0 to 1.
    pub share: f64,
}

/// A solid of the artwork that no colour of the job is named after.
#[derive(Debug, Clone, PartialEq)]
pub struct StrangeSolid {
    /// Its name in the file.
    pub name: String,
    /// Where the job names the file.
    pub place: Option<Place>,
    /// Index into [`Job::parts`].
    pub part: usize,
    /// Pages of the part that print it.
    pub pages: Vec<u32>,
}

/// A flat colour out of process inks that is no colour of the job.
#[derive(Debug, Clone, PartialEq)]
pub struct UnlistedFlat {
    /// Index into [`Job::parts`].
    pub part: usize,
    /// Pages of the part that show it.
    pub pages: Vec<u32>,
    /// Tones of C, M, Y, K in percent.
    pub tones: [f64; 4],
    /// Largest share of a page that it covers, 0 to 1.
    pub share: f64,
}

/// A job whose coverage is measured.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredJob {
    /// The job with other uses and pictures on the measured pages.
    pub job: Job,
    /// Where artwork and job differ in what a page shows.
    pub notes: Vec<PlanNote>,
    /// Solids without a colour; while there is one, the figures of `job` lack its ink.
    pub strange: Vec<StrangeSolid>,
    /// Flat colours that are counted as pictures.
    pub unlisted: Vec<UnlistedFlat>,
}

/// Puts measured coverage in the place of what the job says of these pages.
///
/// # Panics
///
/// When `conditions` has not one look for each colour and one condition for each part.
pub fn measured_job(job: &Job, conditions: &Conditions<'_>, pages: &[MeasuredPage]) -> MeasuredJob {
    let targets = targets(job, conditions, pages);
    let found: Vec<PageColours> = pages
        .iter()
        .map(|page| PageColours::of(job, page, &targets))
        .collect();
    MeasuredJob {
        notes: differences(job, pages, &found),
        strange: strange(pages, &found),
        unlisted: unlisted(pages, &found),
        job: replaced(job, pages, &found),
    }
}

/// A row of the job on the condition of one part, as artwork may print it from process inks.
struct Target {
    part: usize,
    row: Row,
    /// Best build of four inks, percent, and what it looks like; `None` for an effect.
    build: Option<([f64; 4], LabD50)>,
}

/// What flat colours are held against, with what turns tones into colour.
struct Targets<'a> {
    conditions: &'a Conditions<'a>,
    all: Vec<Target>,
}

fn targets<'a>(job: &Job, conditions: &'a Conditions<'a>, pages: &[MeasuredPage]) -> Targets<'a> {
    let parts: BTreeSet<usize> = pages.iter().map(|page| page.part).collect();
    let rows = row::rows(job, conditions);
    let pairs: Vec<(usize, Row)> = rows
        .into_iter()
        .flat_map(|row| {
            // A colour may turn up on any part, also where the job does not expect it.
            let same = |part: &usize| {
                let name = |part: usize| conditions.of_parts[part].name();
                name(*part) == name(row.parts[0])
            };
            let on: Vec<usize> = parts.iter().copied().filter(same).collect();
            on.into_iter().map(move |part| (part, row.clone()))
        })
        .collect();
    let all = pairs.into_par_iter().map(|(part, row)| {
        let is_effect = job.colours[row.colour].effect.is_some();
        Target {
            build: (!is_effect).then(|| build(&row, part, conditions)),
            part,
            row,
        }
    });
    Targets {
        conditions,
        all: all.collect(),
    }
}

fn build(row: &Row, part: usize, conditions: &Conditions<'_>) -> ([f64; 4], LabD50) {
    let condition = conditions.of_parts[part];
    let tones = row.given_build.unwrap_or_else(|| {
        let limits = BuildLimits::of(condition);
        best_build(condition, row.target, &limits)
            .tones
            .map(f64::from)
    });
    (tones, condition.lab(tones))
}

/// The job with the measured pages taken out of all uses and pictures, and put in anew.
fn replaced(job: &Job, pages: &[MeasuredPage], found: &[PageColours]) -> Job {
    let mut job = job.clone();
    let measured: BTreeSet<(usize, u32)> = pages.iter().map(|p| (p.part, p.page)).collect();
    let keep = |part: usize, pages: &mut Vec<u32>| {
        pages.retain(|page| !measured.contains(&(part, *page)));
    };
    for colour in &mut job.colours {
        for place in &mut colour.uses {
            keep(place.part, &mut place.pages);
        }
        colour.uses.retain(|place| !place.pages.is_empty());
    }
    for picture in &mut job.pictures {
        keep(picture.part, &mut picture.pages);
    }
    job.pictures.retain(|picture| !picture.pages.is_empty());
    for (page, colours) in pages.iter().zip(found) {
        let given = |share: f64| Given {
            value: Coverage::from_fraction(share.clamp(0.0, 1.0)).unwrap_or(Coverage::FULL),
            place: page.place,
        };
        for (&(colour, _), shown) in &colours.shown {
            job.colours[colour].uses.push(Use {
                part: page.part,
                pages: vec![page.page],
                coverage: given(shown.share),
                tint: shown.tint,
                kind: shown.kind,
            });
        }
        if colours.rest.iter().any(|tone| *tone > 0.0) {
            job.pictures.push(Picture {
                part: page.part,
                pages: vec![page.page],
                area: given(1.0),
                inks: Given {
                    value: colours.rest,
                    place: page.place,
                },
            });
        }
    }
    job
}

/// How much of a page shows a colour at one tint.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Shown {
    tint: Given<ToneValue>,
    kind: Given<UseKind>,
    share: f64,
    /// Whether the job has it there.
    expected: bool,
}

/// Colours that the job expects and the artwork lacks, and the other way round.
fn differences(job: &Job, pages: &[MeasuredPage], found: &[PageColours]) -> Vec<PlanNote> {
    let mut absent: BTreeMap<(usize, usize), Vec<u32>> = BTreeMap::new();
    let mut unexpected = absent.clone();
    for (page, colours) in pages.iter().zip(found) {
        for (colour, expected, shown) in colours.expected_and_shown() {
            let into = match (expected, shown) {
                (true, false) => &mut absent,
                (false, true) => &mut unexpected,
                _ => continue,
            };
            into.entry((colour, page.part)).or_default().push(page.page);
        }
    }
    let note =
        |(&(colour, part), pages): (&(usize, usize), &Vec<u32>), words: [&str; 2]| PlanNote {
            kind: PlanNoteKind::Caution,
            text: format!(
                "`{}`: {} {} of `{}`, {}",
                job.colours[colour].name.value,
                words[0],
                page_runs(pages),
                job.parts[part].name.value,
                words[1]
            ),
        };
    let absent = absent
        .iter()
        .map(|one| note(one, ["the job has it on", "the artwork shows none there"]));
    let unexpected = unexpected
        .iter()
        .map(|one| note(one, ["the artwork shows it on", "where the job has none"]));
    absent.chain(unexpected).collect()
}

fn unlisted(pages: &[MeasuredPage], found: &[PageColours]) -> Vec<UnlistedFlat> {
    let mut all: Vec<UnlistedFlat> = Vec::new();
    for (page, colours) in pages.iter().zip(found) {
        for flat in &colours.unlisted {
            let alike = |known: &&mut UnlistedFlat| {
                let mut tones = known.tones.iter().zip(flat.tones);
                known.part == page.part && tones.all(|(a, b)| (a - b).abs() < 0.5)
            };
            match all.iter_mut().find(alike) {
                Some(known) => {
                    if known.pages.last() != Some(&page.page) {
                        known.pages.push(page.page);
                    }
                    known.share = known.share.max(flat.share);
                }
                None => all.push(UnlistedFlat {
                    part: page.part,
                    pages: vec![page.page],
                    tones: flat.tones,
                    share: flat.share,
                }),
            }
        }
    }
    all
}

fn strange(pages: &[MeasuredPage], found: &[PageColours]) -> Vec<StrangeSolid> {
    let mut all: Vec<StrangeSolid> = Vec::new();
    for (page, colours) in pages.iter().zip(found) {
        for name in &colours.strange {
            let known = all.iter_mut().find(|known| {
                known.name == *name && known.place == page.place && known.part == page.part
            });
            match known {
                Some(known) => known.pages.push(page.page),
                None => all.push(StrangeSolid {
                    name: name.clone(),
                    place: page.place,
                    part: page.part,
                    pages: vec![page.page],
                }),
            }
        }
    }
    all
}
