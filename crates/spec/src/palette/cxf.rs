//! Palettes from CxF/3 (ISO 17972-1): objects with CIELAB, CIEXYZ or a reflectance spectrum.

use std::collections::{HashMap, HashSet};

use super::notes::{Figure, Notes};
use super::xml::{Element, Tree};
use super::{Coordinates, MeasuredSpectrum, PaletteColour, inks};
use crate::codes;

/// Reads the colours; whatever is wrong is told.
pub(super) fn colours(text: &str, notes: &mut Notes<'_>) -> Option<Vec<PaletteColour>> {
    let tree = Tree::of(text, notes)?;
    if tree.root().name != "CxF" {
        let name = crate::read::shown(&tree.root().name);
        let message = format!("the outermost element is `{name}`; of XML, only `CxF` is a palette");
        notes.tell(codes::NOT_A_PALETTE, message, tree.root().span.clone());
        return None;
    }
    let lights = lights(&tree);
    let objects = Objects::of(&tree);
    let mut reader = CxfReader {
        lights,
        assumed: false,
        notes,
    };
    let mut inked = HashSet::new();
    let mut colours = inks::colours(&tree, &objects, &mut reader, &mut inked);
    for object in objects.listed {
        if reader.notes.is_full() {
            return None;
        }
        if !object.attribute("Id").is_some_and(|id| inked.contains(id)) {
            colours.extend(plain(&tree, object, &mut reader));
        }
    }
    if reader.assumed {
        let sentence = "some values name no light and observer; taking D50 and 2°";
        notes.assume(codes::ASSUMED_LIGHT, sentence);
    }
    if colours.is_empty() && notes.is_clean() {
        let message = "no object of the file has colour values";
        notes.tell(codes::EMPTY_LIST, message, tree.root().span.clone());
    }
    Some(colours)
}

/// The measured objects of a file.
pub(super) struct Objects<'t> {
    listed: Vec<&'t Element>,
    by_id: HashMap<&'t str, &'t Element>,
}

impl<'t> Objects<'t> {
    fn of(tree: &'t Tree) -> Self {
        let measured = |object: &&Element| tree.child(object, "ColorValues").is_some();
        let listed: Vec<&Element> = tree.all("Object").filter(measured).collect();
        let with_id = listed.iter().filter_map(|o| Some((o.attribute("Id")?, *o)));
        let by_id = with_id.collect();
        Self { listed, by_id }
    }

    /// The object of an identifier.
    pub(super) fn get(&self, id: &str) -> Option<&'t Element> {
        self.by_id.get(id).copied()
    }
}

/// What a colour specification says.
#[derive(Default)]
struct Light {
    /// Illuminant D50 and the 2° observer; `None` when it does not say.
    is_ours: Option<bool>,
    start_nm: Option<u32>,
    interval_nm: Option<u32>,
}

fn lights(tree: &Tree) -> HashMap<String, Light> {
    let specifications = tree.all("ColorSpecification");
    let with_id =
        specifications.filter_map(|s| Some((s.attribute("Id")?.to_owned(), light(tree, s))));
    with_id.collect()
}

fn light(tree: &Tree, specification: &Element) -> Light {
    let tristimulus = tree.child(specification, "TristimulusSpec");
    let says = |name| Some(tree.child(tristimulus?, name)?.text.trim().to_uppercase());
    let range = tree
        .child(specification, "MeasurementSpec")
        .and_then(|measurement| tree.child(measurement, "WavelengthRange"));
    let is_ours = says("Illuminant").zip(says("Observer"));
    Light {
        is_ours: is_ours.map(|(light, observer)| light == "D50" && observer.starts_with('2')),
        start_nm: range.and_then(|r| nanometres(r, &["StartWL"])),
        interval_nm: range.and_then(|r| nanometres(r, &["Increment"])),
    }
}

fn nanometres(element: &Element, names: &[&str]) -> Option<u32> {
    let written = names.iter().find_map(|name| element.attribute(name))?;
    let number: f64 = written.parse().ok()?;
    let whole = number.fract() == 0.0 && (1.0..=2_000.0).contains(&number);
    whole.then_some(number as u32)
}

/// Reads the values of objects.
pub(super) struct CxfReader<'a, 't> {
    lights: HashMap<String, Light>,
    /// Whether some value named no light.
    assumed: bool,
    pub(super) notes: &'a mut Notes<'t>,
}

/// Coordinates and spectrum of one object.
pub(super) type Values = (Option<Coordinates>, Option<MeasuredSpectrum>);

fn plain(tree: &Tree, object: &Element, reader: &mut CxfReader<'_, '_>) -> Option<PaletteColour> {
    let name = object.attribute("Name").filter(|name| !name.is_empty());
    let name = name
        .or(object.attribute("Id"))
        .unwrap_or_default()
        .to_owned();
    let named = reader.notes.name(&name, object.span.clone());
    let (coordinates, spectrum) = reader.values(tree, object)?;
    named.then(|| PaletteColour {
        name,
        coordinates,
        spectrum,
        tint: None,
        place: Some(reader.notes.place(object.span.clone())),
    })
}

impl CxfReader<'_, '_> {
    /// The values of an object; told when none of them is of use.
    pub(super) fn values(&mut self, tree: &Tree, object: &Element) -> Option<Values> {
        let listed = tree.child(object, "ColorValues");
        let mut values: Values = (None, None);
        for value in listed.into_iter().flat_map(|list| tree.children(list)) {
            match value.name.as_str() {
                "ColorCIELab" if values.0.is_none() && self.is_ours(value) => {
                    let axes = self.three(tree, value, (["L", "A", "B"], Figure::lab))?;
                    values.0 = Some(Coordinates::Lab(axes));
                }
                "ColorCIEXYZ" if values.0.is_none() && self.is_ours(value) => {
                    let axes = self.three(tree, value, (["X", "Y", "Z"], Figure::xyz))?;
                    values.0 = Some(Coordinates::Xyz(axes));
                }
                "ReflectanceSpectrum" if values.1.is_none() => {
                    values.1 = Some(self.spectrum(value)?);
                }
                _ => {}
            }
        }
        if values.0.is_some() || values.1.is_some() {
            return Some(values);
        }
        let message = "the object has no Lab or XYZ for D50 and 2°, and no reflectance spectrum";
        self.notes
            .tell(codes::NO_COLOUR_VALUES, message, object.span.clone());
        None
    }

    /// Whether coordinates are for D50 and the 2° observer; unless said otherwise they are.
    fn is_ours(&mut self, value: &Element) -> bool {
        let light = value
            .attribute("ColorSpecification")
            .and_then(|id| self.lights.get(id));
        let said = light.and_then(|light| light.is_ours);
        self.assumed |= said.is_none();
        said.unwrap_or(true)
    }

    fn three(
        &mut self,
        tree: &Tree,
        value: &Element,
        (names, figure): ([&str; 3], fn(usize) -> Figure),
    ) -> Option<[f64; 3]> {
        let mut axis = |at: usize| {
            let Some(written) = tree.child(value, names[at]) else {
                let message = format!("`{}` is missing", names[at]);
                self.notes
                    .tell(codes::MISSING_COLUMN, message, value.span.clone());
                return None;
            };
            self.notes
                .number(written.text.trim(), figure(at), written.span.clone())
        };
        let (p, q, r) = (axis(0), axis(1), axis(2));
        Some([p?, q?, r?])
    }

    fn spectrum(&mut self, value: &Element) -> Option<MeasuredSpectrum> {
        let light = value
            .attribute("ColorSpecification")
            .and_then(|id| self.lights.get(id));
        let start = nanometres(value, &["StartWL"]).or(light.and_then(|l| l.start_nm));
        let interval =
            nanometres(value, &["Increment", "Interval"]).or(light.and_then(|l| l.interval_nm));
        let (Some(start_nm), Some(interval_nm)) = (start, interval) else {
            let message = "the spectrum does not say at which wavelengths it was measured";
            let hint = "its colour specification needs `<WavelengthRange StartWL=\"380\" Increment=\"10\"/>`";
            self.notes
                .tell_with(codes::WRONG_SPECTRUM, message, value.span.clone(), hint);
            return None;
        };
        let words = value.text.split_whitespace();
        let read: Vec<Option<f64>> = words
            .map(|word| {
                self.notes
                    .number(word, Figure::REFLECTANCE, value.span.clone())
            })
            .collect();
        Some(MeasuredSpectrum {
            start_nm,
            interval_nm,
            factors: read.into_iter().collect::<Option<_>>()?,
        })
    }
}
