//! Colour spaces: which inks a colour names, and their tones.
//!
//! Source: ISO 32000-2, 8.6. Separation and `DeviceN` keep their inks under their own names; their tint transforms
//! only tell what stands for a solid.

use std::rc::Rc;
use std::sync::Arc;

use hayro_syntax::object::{Array, Dict, Name, Object, Stream};
use inkset_colour::LabD50;

use super::inks::{BLACK, Inks};
use super::limits::{Costed, Meter};
use super::unpack::{start_of, unpacked_to};
use crate::coverage::{Alternate, FULL};
use crate::error::ArtworkError;
use crate::{Separation, Separator};

/// Deepest nesting of colour spaces.
const DEEPEST: u32 = 8;
/// Most colorants of a `DeviceN` space (ISO 32000-2, annex C).
const MOST_COLORANTS: usize = 32;
/// Most bytes of an indexed space: 256 colours.
const LONGEST_TABLE: u64 = 256 * MOST_COLORANTS as u64;
/// Longest embedded profile, bytes.
const LONGEST_PROFILE: u64 = 16 << 20;

/// A colour space.
#[derive(Debug)]
pub(super) enum Space {
    Gray,
    /// With `direct` the numbers are `DeviceCMYK`, for which zero may mean "leave as it is".
    Cmyk {
        direct: bool,
    },
    Rgb(Arc<Separation>),
    /// Ranges of a and b.
    Lab([f32; 4]),
    Indexed {
        base: Rc<Space>,
        table: Vec<u8>,
        highest: usize,
    },
    Inks(Colorants),
    /// With the space of the colour of an uncoloured pattern.
    Pattern(Option<Rc<Space>>),
}

/// The inks of a Separation or `DeviceN` space.
#[derive(Debug)]
pub(super) struct Colorants {
    /// `None` for the name None.
    places: Vec<Option<usize>>,
    /// The name All: every ink there is.
    is_all: bool,
    alternate: Rc<Space>,
    transform: Option<Costed>,
}

/// A colour as tones of inks.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Tones {
    pub(super) inks: Vec<(usize, u16)>,
    /// Tone of every other ink; `None` if the colour says nothing of them.
    pub(super) all: Option<u16>,
}

/// What is needed to read a colour space.
pub(super) struct Reader<'r> {
    pub(super) inks: &'r mut Inks,
    pub(super) separator: &'r Separator<'r>,
    pub(super) assumptions: &'r mut Vec<String>,
    pub(super) meter: &'r Meter,
}

impl Reader<'_> {
    /// Reads a colour space; names of resources have been looked up already.
    pub(super) fn space(
        &mut self,
        object: &Object<'_>,
        depth: u32,
    ) -> Result<Rc<Space>, ArtworkError> {
        if depth > DEEPEST {
            return Err(ArtworkError::damaged("colour spaces nested too deeply"));
        }
        match object {
            Object::Name(name) => self.named(name),
            Object::Array(array) => self.family(array, depth),
            _ => Err(ArtworkError::damaged(
                "a colour space that is no name and no array",
            )),
        }
    }

    fn named(&mut self, name: &Name<'_>) -> Result<Rc<Space>, ArtworkError> {
        Ok(Rc::new(match name.as_ref() {
            b"DeviceGray" | b"G" | b"CalGray" => Space::Gray,
            b"DeviceCMYK" | b"CMYK" => Space::Cmyk { direct: true },
            b"DeviceRGB" | b"RGB" | b"CalRGB" => self.device_rgb(),
            b"Pattern" => Space::Pattern(None),
            other => {
                let name = String::from_utf8_lossy(other);
                return Err(ArtworkError::damaged(format!("no colour space `{name}`")));
            }
        }))
    }

    fn device_rgb(&mut self) -> Space {
        self.assume("RGB without a profile is taken as sRGB");
        Space::Rgb(self.separator.srgb())
    }

    fn assume(&mut self, what: &str) {
        if !self.assumptions.iter().any(|known| known == what) {
            self.assumptions.push(what.to_owned());
        }
    }

    fn family(&mut self, array: &Array<'_>, depth: u32) -> Result<Rc<Space>, ArtworkError> {
        let mut items = array.iter::<Object<'_>>();
        let Some(Object::Name(family)) = items.next() else {
            return Err(ArtworkError::damaged("a colour space without a family"));
        };
        let mut next = || {
            items
                .next()
                .ok_or_else(|| ArtworkError::damaged("a colour space cut short"))
        };
        Ok(Rc::new(match family.as_ref() {
            b"ICCBased" => self.profile(next()?.into_stream())?,
            b"Lab" => {
                let dict = next()?.into_dict();
                let range = dict.and_then(|dict| dict.get::<[f32; 4]>(b"Range"));
                Space::Lab(range.unwrap_or([-100.0, 100.0, -100.0, 100.0]))
            }
            b"Indexed" | b"I" => {
                let base = self.space(&next()?, depth + 1)?;
                let highest = next()?
                    .into_number()
                    .map_or(0, |n| n.as_i64())
                    .clamp(0, 255) as usize;
                let table = match next()? {
                    Object::String(text) => text.as_bytes().to_vec(),
                    Object::Stream(stream) => start_of(&stream, LONGEST_TABLE, self.meter)?,
                    _ => {
                        return Err(ArtworkError::damaged(
                            "an indexed colour space without its table",
                        ));
                    }
                };
                Space::Indexed {
                    base,
                    table,
                    highest,
                }
            }
            b"Separation" => {
                let name = next()?.into_name();
                let names: Vec<Name<'_>> = name.into_iter().collect();
                let (alternate, transform) = (next()?, next()?);
                self.colorants(&names, (&alternate, &transform), depth)?
            }
            b"DeviceN" => {
                let names = next()?.into_array().map(|names| {
                    names
                        .iter::<Name<'_>>()
                        .take(MOST_COLORANTS + 1)
                        .collect::<Vec<_>>()
                });
                let (alternate, transform) = (next()?, next()?);
                let attributes = items.next().and_then(Object::into_dict);
                let space =
                    self.colorants(&names.unwrap_or_default(), (&alternate, &transform), depth)?;
                self.attributes(attributes.as_ref(), depth);
                space
            }
            b"Pattern" => {
                let base = items
                    .next()
                    .and_then(|base| self.space(&base, depth + 1).ok());
                Space::Pattern(base)
            }
            _ => return self.named(&family),
        }))
    }

    /// An embedded profile tells by its number of components what it is; four inks are kept as they are.
    fn profile(&mut self, stream: Option<Stream<'_>>) -> Result<Space, ArtworkError> {
        let stream = stream
            .ok_or_else(|| ArtworkError::damaged("an ICC colour space without its profile"))?;
        match stream.dict().get::<i32>(b"N") {
            Some(1) => Ok(Space::Gray),
            Some(3) => {
                let profile = match unpacked_to(&stream, LONGEST_PROFILE, self.meter) {
                    Err(error @ ArtworkError::TooLarge { .. }) => return Err(error),
                    other => other.ok(),
                };
                let read = profile.and_then(|profile| self.separator.profile(&profile));
                if read.is_none() {
                    self.assume("an embedded RGB profile has no matrix and curves, or is damaged; its RGB is taken as sRGB");
                }
                Ok(Space::Rgb(read.unwrap_or_else(|| self.separator.srgb())))
            }
            Some(4) => {
                self.assume("CMYK numbers are kept as they are, whatever profile is embedded");
                Ok(Space::Cmyk { direct: false })
            }
            _ => Err(ArtworkError::damaged(
                "an ICC colour space without 1, 3 or 4 components",
            )),
        }
    }

    fn colorants(
        &mut self,
        names: &[Name<'_>],
        (alternate, transform): (&Object<'_>, &Object<'_>),
        depth: u32,
    ) -> Result<Space, ArtworkError> {
        if names.is_empty() || names.len() > MOST_COLORANTS {
            return Err(ArtworkError::damaged(format!(
                "a colour space of {} inks",
                names.len()
            )));
        }
        let mut places = Vec::with_capacity(names.len());
        for name in names {
            places.push(match name.as_ref() {
                b"None" | b"All" => None,
                other => Some(self.inks.place(&String::from_utf8_lossy(other))?),
            });
        }
        let colorants = Colorants {
            is_all: names.len() == 1 && names[0].as_ref() == b"All",
            places,
            alternate: self.space(alternate, depth + 1)?,
            transform: Costed::of(transform, self.meter)?,
        };
        for (at, place) in colorants.places.iter().enumerate() {
            let mut tint = vec![0.0; names.len()];
            tint[at] = 1.0;
            if let (Some(place), Some(alternate)) = (place, colorants.stands_for(&tint)) {
                self.inks.stands_for(*place, alternate);
            }
        }
        Ok(Space::Inks(colorants))
    }

    /// An `NChannel` space may say what each of its solids looks like by itself.
    fn attributes(&mut self, attributes: Option<&Dict<'_>>, depth: u32) {
        let colorants = attributes.and_then(|dict| dict.get::<Dict<'_>>(b"Colorants"));
        let Some(colorants) = colorants else { return };
        let names: Vec<Name<'_>> = colorants.keys().take(MOST_COLORANTS).collect();
        for name in names {
            if let Some(space) = colorants.get::<Object<'_>>(name) {
                // A damaged description takes nothing from the colour itself.
                let _ = self.space(&space, depth + 1);
            }
        }
    }
}

impl Colorants {
    /// The colour in the alternate space, as it is written there.
    fn stands_for(&self, tint: &[f32]) -> Option<Alternate> {
        let values = self.alternate_values(tint)?;
        let v = |i: usize| f64::from(values.get(i).copied().unwrap_or(0.0));
        Some(match &*self.alternate {
            Space::Gray => Alternate::Gray(v(0)),
            Space::Rgb(_) => Alternate::Rgb([v(0), v(1), v(2)]),
            Space::Cmyk { .. } => {
                Alternate::Cmyk([v(0), v(1), v(2), v(3)].map(|tone| tone * 100.0))
            }
            Space::Lab(_) => Alternate::Lab(LabD50::new(v(0), v(1), v(2))),
            _ => return None,
        })
    }

    fn alternate_values(&self, tint: &[f32]) -> Option<Vec<f32>> {
        let transform = &self.transform.as_ref()?.function;
        if transform.num_inputs() != tint.len() {
            return None;
        }
        let mut values = vec![0.0; transform.num_outputs()];
        transform.eval(tint, &mut values)?;
        Some(values)
    }
}

impl Space {
    /// Numbers of a colour.
    pub(super) fn components(&self) -> usize {
        match self {
            Self::Gray | Self::Indexed { .. } => 1,
            Self::Rgb(_) | Self::Lab(_) => 3,
            Self::Cmyk { .. } => 4,
            Self::Inks(colorants) => colorants.places.len(),
            Self::Pattern(base) => base.as_ref().map_or(0, |base| base.components()),
        }
    }

    /// The colour that holds until one is set.
    pub(super) fn first_colour(&self) -> Vec<f32> {
        match self {
            Self::Cmyk { .. } => vec![0.0, 0.0, 0.0, 1.0],
            Self::Inks(colorants) => vec![1.0; colorants.places.len()],
            other => vec![0.0; other.components()],
        }
    }

    /// What samples of images run over when nothing else is said.
    pub(super) fn usual_decode(&self, bits: u32) -> Vec<[f32; 2]> {
        match self {
            Self::Indexed { .. } => vec![[0.0, ((1u32 << bits.min(16)) - 1) as f32]],
            Self::Lab([a0, a1, b0, b1]) => vec![[0.0, 100.0], [*a0, *a1], [*b0, *b1]],
            other => vec![[0.0, 1.0]; other.components()],
        }
    }

    /// Whether its colours have no inks of their own, and what they are.
    pub(super) fn separated(&self) -> Option<&'static str> {
        match self {
            Self::Rgb(_) => Some("RGB"),
            Self::Lab(_) => Some("Lab"),
            Self::Indexed { base, .. } => base.separated(),
            _ => None,
        }
    }

    /// Whether the tones, or the luminance, halfway between two colours are those halfway between theirs.
    pub(super) fn is_even(&self, is_luminance: bool) -> bool {
        match self {
            Self::Gray | Self::Indexed { .. } => true,
            Self::Cmyk { .. } | Self::Inks(_) => !is_luminance,
            _ => false,
        }
    }

    /// What the luminance of one colour costs, in pixels.
    pub(super) fn luminance_cost(&self) -> u64 {
        match self {
            Self::Inks(colorants) => colorants.transform.as_ref().map_or(0, |t| t.cost),
            Self::Indexed { base, .. } => base.luminance_cost(),
            _ => 0,
        }
    }

    /// The separation of RGB, also of RGB by index.
    pub(super) fn rgb(&self) -> Option<&Arc<Separation>> {
        match self {
            Self::Rgb(separation) => Some(separation),
            Self::Indexed { base, .. } => base.rgb(),
            _ => None,
        }
    }

    /// The colours of an indexed RGB space in 16 bits.
    pub(super) fn rgb_table(&self) -> Option<Vec<[u16; 3]>> {
        let Self::Indexed {
            base,
            table,
            highest,
        } = self
        else {
            return None;
        };
        let colour = |index: usize| {
            let entry = base.entry(table, *highest, index as f32);
            [0, 1, 2].map(|at| whole(entry.get(at).copied().unwrap_or(0.0)))
        };
        Some((0..=*highest).map(colour).collect())
    }

    /// Tones of a colour.
    pub(super) fn tones(&self, colour: &[f32], separator: &Separator<'_>) -> Tones {
        let c = |i: usize| colour.get(i).copied().unwrap_or(0.0);
        match self {
            Self::Gray => process([0.0, 0.0, 0.0, 1.0 - c(0)]),
            Self::Cmyk { .. } => process([c(0), c(1), c(2), c(3)]),
            Self::Rgb(separation) => {
                let tones = separation.tones([whole(c(0)), whole(c(1)), whole(c(2))]);
                Tones {
                    inks: (0..4).zip(tones).collect(),
                    all: None,
                }
            }
            Self::Lab(_) => {
                let lab = LabD50::new(f64::from(c(0)), f64::from(c(1)), f64::from(c(2)));
                process(separator.lab(lab).map(|tone| tone as f32))
            }
            Self::Indexed {
                base,
                table,
                highest,
            } => base.tones(&base.entry(table, *highest, c(0)), separator),
            Self::Inks(colorants) => {
                let inks = colorants.places.iter().enumerate();
                Tones {
                    inks: inks
                        .filter_map(|(at, place)| Some(((*place)?, whole(c(at)))))
                        .collect(),
                    all: colorants.is_all.then(|| whole(c(0))),
                }
            }
            Self::Pattern(_) => Tones::default(),
        }
    }

    /// An entry of a table, in the numbers of this space.
    fn entry(&self, table: &[u8], highest: usize, index: f32) -> Vec<f32> {
        let n = self.components();
        let index = (index.max(0.0) as usize).min(highest);
        let decode = self.usual_decode(8);
        let byte = |at: usize| f32::from(table.get(index * n + at).copied().unwrap_or(0)) / 255.0;
        decode
            .iter()
            .enumerate()
            .map(|(at, [low, high])| low + byte(at) * (high - low))
            .collect()
    }

    /// Luminance of a colour, 0 to 1, for masks made from colours.
    pub(super) fn luminance(&self, colour: &[f32]) -> f32 {
        let c = |i: usize| colour.get(i).copied().unwrap_or(0.0);
        let light = match self {
            Self::Gray => c(0),
            Self::Rgb(_) => 0.30 * c(0) + 0.59 * c(1) + 0.11 * c(2),
            Self::Cmyk { .. } => 1.0 - (0.30 * c(0) + 0.59 * c(1) + 0.11 * c(2) + c(3)).min(1.0),
            Self::Lab(_) => {
                let f = (c(0) + 16.0) / 116.0;
                f * f * f
            }
            Self::Indexed {
                base,
                table,
                highest,
            } => base.luminance(&base.entry(table, *highest, c(0))),
            Self::Inks(colorants) => colorants
                .alternate_values(colour)
                .map_or(1.0 - c(0), |values| colorants.alternate.luminance(&values)),
            Self::Pattern(_) => 0.0,
        };
        light.clamp(0.0, 1.0)
    }
}

fn process(tones: [f32; 4]) -> Tones {
    Tones {
        inks: (0..4).zip(tones.map(whole)).collect(),
        all: None,
    }
}

/// A share as a whole number of 16 bits.
pub(super) fn whole(share: f32) -> u16 {
    (share.clamp(0.0, 1.0) * f32::from(FULL) + 0.5) as u16
}

/// The tone of black that stands for a luminance.
pub(super) fn shade(luminance: f32) -> Tones {
    Tones {
        inks: vec![(BLACK, whole(1.0 - luminance))],
        all: None,
    }
}
