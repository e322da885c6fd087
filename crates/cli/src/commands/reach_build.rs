//! `inkset reach --build`: what one build prints as.

use inkset_colour::{ProcessInk, shipped_names};
use inkset_report::{SeenBuild, SeenOn, seen_csv, seen_document, seen_json};

use crate::CliError;
use crate::args::{Format, ReachArgs};
use crate::conditions::condition_named;
use crate::output::Output;

pub(crate) fn seen(build: &str, args: &ReachArgs, out: &mut Output) -> Result<(), CliError> {
    let tones = tones(build)?;
    let names = if args.condition.is_empty() {
        shipped_names()
            .iter()
            .map(|info| info.name.clone())
            .collect()
    } else {
        args.condition.clone()
    };
    let mut on = Vec::with_capacity(names.len());
    for name in &names {
        let condition = condition_named(name, out)?;
        let condition = condition.as_ref();
        on.push(SeenOn {
            condition: condition.name().to_owned(),
            title: condition.title().to_owned(),
            lab: condition.lab(tones),
            ink_limit: condition.ink_limit(),
            smallest_dot: condition.smallest_dot(),
        });
    }
    let report = SeenBuild { tones, on };
    match args.format {
        Format::Table => out.document(&seen_document(&report)),
        Format::Json => out.data(&seen_json(&report)),
        Format::Csv => out.data(&seen_csv(&report)),
    }
}

/// Reads `C80 M10`: each ink at most once, in any order and case, commas or blanks between.
fn tones(text: &str) -> Result<[f64; 4], CliError> {
    let wrong = |what: String| {
        CliError::Usage(format!(
            "`--build {text}`: {what}; write each ink's letter with its percent, for instance `C80 M10`"
        ))
    };
    let mut tones = [None; 4];
    let words = text.split(|c: char| c.is_whitespace() || c == ',');
    for word in words.filter(|word| !word.is_empty()) {
        let (ink, tone) = tone(word).map_err(wrong)?;
        if tones[ink.index()].replace(tone).is_some() {
            return Err(wrong(format!("{} is given twice", ink.name())));
        }
    }
    if tones.iter().all(Option::is_none) {
        return Err(wrong("no ink is given".to_owned()));
    }
    Ok(tones.map(|tone| tone.unwrap_or(0.0)))
}

fn tone(word: &str) -> Result<(ProcessInk, f64), String> {
    let mut letters = word.chars();
    let letter = letters.next().unwrap_or(' ').to_ascii_uppercase();
    let ink = ProcessInk::ALL
        .into_iter()
        .find(|ink| ink.letter() == letter)
        .ok_or_else(|| format!("`{word}` does not begin with C, M, Y or K"))?;
    let digits = letters.as_str().trim_end_matches('%');
    let plain = digits.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    match digits.parse::<f64>() {
        Ok(tone) if plain && tone <= 100.0 => Ok((ink, tone)),
        Ok(_) if plain => Err(format!("{} is {digits} %, more than 100", ink.name())),
        _ => Err(format!("`{word}` has no percent after its letter")),
    }
}
