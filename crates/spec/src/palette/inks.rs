//! Inks of a CxF/X-4 file (ISO 17972-4): the solid, its tints on the paper, its tints on black.
//!
//! Each measurement refers to an object of the file. The solid on the paper gets the name of the ink; the others the name
//! with their tone and, on black, the words `on black`.

use std::collections::HashSet;

use super::cxf::{CxfReader, Objects};
use super::notes::Figure;
use super::xml::{Element, Tree};
use super::{Ground, InkTint, PaletteColour};
use crate::codes;

/// The element of one ink, in both spellings that are met.
const INK: [&str; 2] = ["SpotInkCharacterisation", "SpotInkCharacterization"];

/// All tints of all inks.
pub(super) fn colours(
    tree: &Tree,
    objects: &Objects<'_>,
    reader: &mut CxfReader<'_, '_>,
) -> Vec<PaletteColour> {
    let mut colours = Vec::new();
    for (ink, ground, measurement) in measurements(tree) {
        if reader.notes.is_full() {
            break;
        }
        let ink = ink.attribute("SpotInkName").unwrap_or_default();
        let tint = (ink, ground, measurement);
        colours.extend(colour(tree, objects, tint, reader));
    }
    colours
}

/// Identifiers of the objects that inks refer to.
pub(super) fn referenced(tree: &Tree) -> HashSet<&str> {
    let all = measurements(tree).into_iter();
    all.filter_map(|(_, _, measurement)| measurement.attribute("ObjectRef"))
        .collect()
}

fn measurements(tree: &Tree) -> Vec<(&Element, Ground, &Element)> {
    let mut found = Vec::new();
    for ink in INK.iter().flat_map(|name| tree.all(name)) {
        for set in tree
            .children(ink)
            .filter(|set| set.name == "MeasurementSet")
        {
            let background = set.attribute("Background").unwrap_or_default();
            let on_black = background.to_lowercase().contains("black");
            let ground = if on_black {
                Ground::Black
            } else {
                Ground::Substrate
            };
            let listed = tree.children(set).filter(|m| m.name == "Measurement");
            found.extend(listed.map(|measurement| (ink, ground, measurement)));
        }
    }
    found
}

fn colour(
    tree: &Tree,
    objects: &Objects<'_>,
    (ink, ground, measurement): (&str, Ground, &Element),
    reader: &mut CxfReader<'_, '_>,
) -> Option<PaletteColour> {
    let span = measurement.span.clone();
    let level = measurement
        .attribute("TintLevel")
        .unwrap_or_default()
        .to_owned();
    let tone = reader.notes.number(&level, Figure::TONE, span.clone())?;
    let id = measurement.attribute("ObjectRef").unwrap_or_default();
    let Some(object) = objects.get(id) else {
        let message = format!(
            "no measured object has the identifier `{}`",
            crate::read::shown(id)
        );
        reader.notes.tell(codes::PALETTE_DAMAGED, message, span);
        return None;
    };
    let name = if ink.is_empty() {
        String::new()
    } else {
        tint_name(ink, tone, ground)
    };
    let named = reader.notes.name(&name, span.clone());
    let (coordinates, spectrum) = reader.values(tree, object)?;
    named.then(|| PaletteColour {
        name,
        coordinates,
        spectrum,
        tint: Some(InkTint {
            ink: ink.to_owned(),
            tone,
            ground,
        }),
        place: Some(reader.notes.place(span)),
    })
}

fn tint_name(ink: &str, tone: f64, ground: Ground) -> String {
    match ground {
        Ground::Substrate if tone >= 100.0 => ink.to_owned(),
        Ground::Substrate => format!("{ink} {tone} %"),
        Ground::Black => format!("{ink} {tone} % on black"),
    }
}
