//! `inkset coverage --write JOB`: what artwork shows, written into the job.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use inkset_artwork::{Alternate, NamedSolid};
use inkset_colour::shipped;
use inkset_plan::{StrangeSolid, UnlistedFlat, measured_job};
use inkset_spec::{
    FoundColour, Given, NamedArtwork, Notice, Target, read_job, with_colours, with_coverage,
};

use crate::CliError;
use crate::args::{CoverageArgs, JobArgs};
use crate::artwork::{Gathered, gather, page_count, strange, tell_artwork};
use crate::conditions::{JobConditions, conditions_of};
use crate::files::{Loaded, load, read, replace};
use crate::output::Output;
use crate::palettes;

/// Smallest share of a page from which a flat colour that the job lacks becomes a colour of it. Our own choice.
const SMALLEST_COLOUR: f64 = 0.01;

pub(super) fn fill(args: &CoverageArgs, job: &Path, out: &mut Output) -> Result<(), CliError> {
    let files = JobArgs {
        job: job.to_owned(),
        rates: args.rates.clone(),
        outside_artwork: args.outside_artwork,
    };
    let mut loaded = load(&files, out)?;
    let mut conditions = conditions_of(&mut loaded, out)?;
    if !args.files.is_empty() {
        loaded.job.artwork = named(&args.files, &loaded)?;
    }
    if loaded.job.artwork.is_empty() {
        return Err(CliError::Usage(format!(
            "`{}` names no artwork; add `[[artwork]]` to it, or name the files before `--write`",
            job.display()
        )));
    }
    let gathered = gather(&loaded, &conditions, out)?;
    let before = loaded.job_text.clone();
    let mut changes = with_found(&mut loaded, &mut conditions, &gathered, out)?;
    let measured = measured_job(&loaded.job, &conditions.borrowed(), &gathered.pages);
    for note in gathered.notes.iter().chain(&measured.notes) {
        out.message(&format!("warning: {}\n", note.text));
    }
    let pages: BTreeSet<(usize, u32)> = gathered
        .pages
        .iter()
        .map(|page| (page.part, page.page))
        .collect();
    let filled = with_coverage(&loaded.job_text, (&loaded.job, &measured.job), &pages)
        .map_err(|why| refused(job, &why, out))?;
    changes.extend(filled.changes);
    if filled.text == before {
        return out.data(&format!("{}: nothing to change\n", job.display()));
    }
    written(job, &before, &filled.text)?;
    let mut text = format!("{}: {} changes written\n", job.display(), changes.len());
    for change in changes {
        text.push_str("  ");
        text.push_str(&change);
        text.push('\n');
    }
    out.data(&text)
}

fn refused(job: &Path, why: &impl std::fmt::Display, out: &mut Output) -> CliError {
    out.message(&format!(
        "error: `{}`: {why}; nothing was written\n",
        job.display()
    ));
    CliError::Told
}

/// Replaces the job by the new text, whole; a link is followed to the file that it stands for.
fn written(job: &Path, before: &str, text: &str) -> Result<(), CliError> {
    let trouble = |error| CliError::File(job.to_owned(), error);
    let file = job.canonicalize().map_err(trouble)?;
    if read(&file)? != before.as_bytes() {
        return Err(CliError::Usage(format!(
            "`{}` was changed by somebody else while its artwork was measured; run the command again",
            job.display()
        )));
    }
    replace(&file, text.as_bytes()).map_err(trouble)
}

/// The files page by page on the pages of the only part.
fn named(files: &[PathBuf], loaded: &Loaded) -> Result<Vec<NamedArtwork>, CliError> {
    let job = &loaded.job;
    let [part] = &job.parts[..] else {
        return Err(CliError::Usage(
            "the job has several parts; say with `[[artwork]]` in it which file lies on which pages".to_owned(),
        ));
    };
    let mut next = 1;
    let mut all = Vec::new();
    for file in files {
        let count = page_count(file)? as u32;
        let pages: Vec<u32> = (next..).take(count as usize).collect();
        next += count;
        all.push(NamedArtwork {
            file: Given::assumed(file.display().to_string()),
            first: Given::assumed(1),
            part: 0,
            pages,
            unprinted: Vec::new(),
        });
    }
    if next - 1 > part.pages.value {
        return Err(CliError::Usage(format!(
            "the artwork has {} pages, part `{}` has {}; say with `[[artwork]]` in the job which page lies where",
            next - 1,
            part.name.value,
            part.pages.value
        )));
    }
    Ok(all)
}

/// Adds what the artwork shows and the job lacks to its text and its colours; returns what was added.
fn with_found(
    loaded: &mut Loaded,
    conditions: &mut JobConditions,
    gathered: &Gathered,
    out: &mut Output,
) -> Result<Vec<String>, CliError> {
    let measured = measured_job(&loaded.job, &conditions.borrowed(), &gathered.pages);
    let names = conditions.names();
    let mut found = Vec::new();
    let mut notices: Vec<Notice> = Vec::new();
    for solid in &measured.strange {
        match found_solid(solid, &gathered.solids, &names) {
            Some(colour) => found.push(colour),
            None => notices.push(strange(loaded, solid)),
        }
    }
    tell_artwork(&notices, loaded, out)?;
    found.extend(
        measured
            .unlisted
            .iter()
            .filter_map(|flat| found_flat(flat, &names)),
    );
    if found.is_empty() {
        return Ok(Vec::new());
    }
    let path = loaded.job_path.clone();
    let filled = with_colours(&loaded.job_text, &loaded.job, &found);
    let filled = filled.map_err(|why| refused(&path, &why, out))?;
    let Some(mut job) = read_job(&filled.text).value else {
        return Err(refused(
            &path,
            &"the colours of the artwork cannot be added to it",
            out,
        ));
    };
    job.artwork = std::mem::take(&mut loaded.job.artwork);
    loaded.job = job;
    loaded.job_text = filled.text;
    let (looks, missing) = palettes::looks(&loaded.job, &path, out);
    tell_artwork(&missing, loaded, out)?;
    loaded.looks = looks.ok_or(CliError::Told)?;
    *conditions = conditions_of(loaded, out)?;
    Ok(filled.changes)
}

/// A solid by what stands for it in the file; `None` if nothing does.
fn found_solid(
    solid: &StrangeSolid,
    known: &[NamedSolid],
    conditions: &[String],
) -> Option<FoundColour> {
    let mut alternates = known.iter().filter(|known| known.name == solid.name);
    let look = match alternates.find_map(|known| known.alternate)? {
        Alternate::Lab(lab) => Target::Lab {
            l: lab.l,
            a: lab.a,
            b: lab.b,
        },
        Alternate::Cmyk(tones) => build(tones, &conditions[solid.part]),
        Alternate::Rgb(rgb) => Target::Srgb(rgb.map(|v| (v * 255.0).round() as u8)),
        Alternate::Gray(light) => build(
            [0.0, 0.0, 0.0, (1.0 - light) * 100.0],
            &conditions[solid.part],
        ),
    };
    Some(FoundColour {
        name: solid.name.clone(),
        look,
        is_solid: true,
        part: solid.part,
        pages: solid.pages.clone(),
    })
}

/// A flat colour out of process inks, if it is large enough to matter.
fn found_flat(flat: &UnlistedFlat, conditions: &[String]) -> Option<FoundColour> {
    if flat.share < SMALLEST_COLOUR {
        return None;
    }
    let tones: Vec<String> = ["C", "M", "Y", "K"]
        .iter()
        .zip(flat.tones)
        .filter(|(_, tone)| *tone >= 0.5)
        .map(|(letter, tone)| format!("{letter}{tone:.0}"))
        .collect();
    Some(FoundColour {
        name: format!("Build {}", tones.join(" ")),
        look: build(flat.tones, &conditions[flat.part]),
        is_solid: false,
        part: flat.part,
        pages: flat.pages.clone(),
    })
}

/// Tones under a condition; one from a file is named differently by the rate card, so that it is left to the paper.
fn build(tones: [f64; 4], condition: &str) -> Target {
    Target::Cmyk {
        tones,
        condition: shipped(condition).map(|_| condition.to_owned()),
    }
}
