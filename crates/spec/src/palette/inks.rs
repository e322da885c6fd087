//! Inks of a CxF/X-4 file (ISO 17972-4): the solid, its tints on the paper, its tints on black.
//!
//! That an ink stands in an element `SpotInkCharacterisation` with its name in `SpotInkName` is known from ISO 32000-2, which
//! puts such a file into PDF. How the element is made up inside is read by rules of our own that rest on the core of CxF/3
//! alone: whatever within the ink refers to a measured object by its `Id` is one of the ink's measurements; what stands on
//! the reference or around it tells the tint and the ground. `docs/palettes.md` gives the rules.
//!
//! The solid on the paper gets the name of the ink; the others the name with their tone and, on black, the words `on black`.

use std::collections::HashSet;

use super::cxf::{CxfReader, Objects};
use super::notes::Figure;
use super::xml::{Element, Tree};
use super::{Ground, InkTint, PaletteColour};
use crate::codes;

/// The element of one ink, in both spellings that are met.
const INK: [&str; 2] = ["SpotInkCharacterisation", "SpotInkCharacterization"];

/// One measurement of an ink, not yet read.
struct Measurement<'t> {
    /// The element that refers to the measured object.
    element: &'t Element,
    said: Said<'t>,
    object: Result<&'t Element, &'t str>,
}

/// What an element, or the nearest around it, says of a measurement.
#[derive(Clone, Copy, Default)]
struct Said<'t> {
    tone: Option<Tone<'t>>,
    on_black: bool,
}

/// How a tint is told.
#[derive(Clone, Copy)]
enum Tone<'t> {
    Written(&'t str),
    /// Percent, by the element's name.
    Named(f64),
}

/// All tints of all inks; notes the identifiers of the objects that they refer to.
pub(super) fn colours<'t>(
    tree: &'t Tree,
    objects: &Objects<'t>,
    reader: &mut CxfReader<'_, '_>,
    referenced: &mut HashSet<&'t str>,
) -> Vec<PaletteColour> {
    let mut colours = Vec::new();
    for ink in INK.iter().flat_map(|name| tree.all(name)) {
        let mut found = Vec::new();
        for child in tree.children(ink) {
            find(tree, objects, (child, Said::default()), &mut found);
        }
        let objects = found.iter().filter_map(|m| m.object.ok());
        referenced.extend(objects.filter_map(|object| object.attribute("Id")));
        if reader.notes.is_full() {
            break;
        }
        colours.extend(ink_colours(tree, ink, &found, reader));
    }
    colours
}

/// Adds the measurements at and below an element.
fn find<'t>(
    tree: &'t Tree,
    objects: &Objects<'t>,
    (element, around): (&'t Element, Said<'t>),
    found: &mut Vec<Measurement<'t>>,
) {
    let said = around.within(element);
    if let Some(object) = reference(element, objects) {
        found.push(Measurement {
            element,
            said,
            object,
        });
    }
    for child in tree.children(element) {
        find(tree, objects, (child, said), found);
    }
}

/// The object that an element refers to; an identifier of no object only where the element names a tint itself.
fn reference<'t>(
    element: &'t Element,
    objects: &Objects<'t>,
) -> Option<Result<&'t Element, &'t str>> {
    let listed = element.attributes().filter(|(name, _)| refers(name));
    let written = listed.map(|(_, written)| written);
    let text = refers(&element.name).then(|| element.text.trim());
    if let Some(object) = written.clone().chain(text).find_map(|id| objects.get(id)) {
        return Some(Ok(object));
    }
    let has_tint = element.attributes().any(|(name, _)| is_tint(name));
    written.filter(|_| has_tint).map(Err).next()
}

fn refers(name: &str) -> bool {
    let name = name.to_lowercase();
    name.ends_with("ref") || name.ends_with("id")
}

fn is_tint(attribute: &str) -> bool {
    let name = attribute.to_lowercase();
    name.contains("tint") || name.contains("tone")
}

impl<'t> Said<'t> {
    /// What holds at an element: its own words, else those around it.
    fn within(self, element: &'t Element) -> Self {
        let name = element.name.to_lowercase();
        let named = match name.as_str() {
            "substrate" => Some(Tone::Named(0.0)),
            name => name.contains("solid").then_some(Tone::Named(100.0)),
        };
        let tint = element.attributes().find(|(name, _)| is_tint(name));
        let grounds = element
            .attributes()
            .filter(|(name, _)| name.to_lowercase().ends_with("ground"));
        let ground = grounds.map(|(_, ground)| ground.to_lowercase()).next();
        let on_black = ground.map(|ground| ground.contains("black"));
        Self {
            tone: tint
                .map(|(_, tone)| Tone::Written(tone))
                .or(named)
                .or(self.tone),
            on_black: on_black.unwrap_or(self.on_black || name.contains("black")),
        }
    }
}

fn ink_colours(
    tree: &Tree,
    ink: &Element,
    found: &[Measurement<'_>],
    reader: &mut CxfReader<'_, '_>,
) -> Vec<PaletteColour> {
    let name = ink
        .attribute("SpotInkName")
        .or(ink.attribute("Name"))
        .unwrap_or_default();
    if found.is_empty() {
        let shown = crate::read::shown(name);
        let message = format!("the ink `{shown}` refers to no measured object of the file");
        reader
            .notes
            .tell(codes::NO_COLOUR_VALUES, message, ink.span.clone());
    }
    let tones = tones(name, found, reader);
    let told = found.iter().zip(tones);
    told.filter_map(|(measurement, tone)| {
        let tint = InkTint {
            ink: name.to_owned(),
            tone: tone?,
            ground: measurement.ground(),
        };
        colour(tree, measurement, tint, reader)
    })
    .collect()
}

/// The tones of an ink's measurements in percent; those that are written may count 1 as the solid.
fn tones(
    name: &str,
    found: &[Measurement<'_>],
    reader: &mut CxfReader<'_, '_>,
) -> Vec<Option<f64>> {
    let mut tones: Vec<Option<f64>> = found.iter().map(|m| tone(m, reader)).collect();
    let is_written = |m: &Measurement<'_>| matches!(m.said.tone, Some(Tone::Written(_)));
    let written: Vec<&mut f64> = found
        .iter()
        .zip(&mut tones)
        .filter_map(|(measurement, tone)| tone.as_mut().filter(|_| is_written(measurement)))
        .collect();
    let fullest = written
        .iter()
        .fold(0.0, |most, tone| f64::max(most, **tone));
    if fullest > 0.0 && fullest <= 1.0 {
        let name = crate::read::shown(name);
        let sentence = format!("no tint of `{name}` goes beyond {fullest}; taking 1 as the solid");
        reader.notes.assume(codes::ASSUMED_TINT_SCALE, sentence);
        for tone in written {
            *tone *= 100.0;
        }
    }
    tones
}

fn tone(measurement: &Measurement<'_>, reader: &mut CxfReader<'_, '_>) -> Option<f64> {
    let span = measurement.element.span.clone();
    let written = match measurement.said.tone {
        Some(Tone::Written(written)) => written,
        Some(Tone::Named(percent)) => return Some(percent),
        None => {
            let message = "the measurement does not say which tint of the ink it is";
            let hint = "give it `TintLevel`: 100 is the solid, 0 the bare ground";
            reader
                .notes
                .tell_with(codes::NO_COLOUR_VALUES, message, span, hint);
            return None;
        }
    };
    let written = written.trim_end_matches('%').trim();
    reader.notes.number(written, Figure::TONE, span)
}

fn colour(
    tree: &Tree,
    measurement: &Measurement<'_>,
    tint: InkTint,
    reader: &mut CxfReader<'_, '_>,
) -> Option<PaletteColour> {
    let span = measurement.element.span.clone();
    let object = match measurement.object {
        Ok(object) => object,
        Err(id) => {
            let id = crate::read::shown(id);
            let message = format!("no measured object has the identifier `{id}`");
            reader.notes.tell(codes::PALETTE_DAMAGED, message, span);
            return None;
        }
    };
    let name = tint_name(&tint);
    let named = reader.notes.name(&name, span.clone());
    let (coordinates, spectrum) = reader.values(tree, object)?;
    named.then(|| PaletteColour {
        name,
        coordinates,
        spectrum,
        tint: Some(tint),
        place: Some(reader.notes.place(span)),
    })
}

impl Measurement<'_> {
    fn ground(&self) -> Ground {
        if self.said.on_black {
            Ground::Black
        } else {
            Ground::Substrate
        }
    }
}

/// Empty for an ink without a name, which is told.
fn tint_name(InkTint { ink, tone, ground }: &InkTint) -> String {
    match ground {
        _ if ink.is_empty() => String::new(),
        Ground::Substrate if *tone >= 100.0 => ink.clone(),
        Ground::Substrate => format!("{ink} {tone} %"),
        Ground::Black => format!("{ink} {tone} % on black"),
    }
}
