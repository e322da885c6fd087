//! Operators that choose colours. Source: ISO 32000-2, 8.6.8.

use std::rc::Rc;

use hayro_syntax::content::ops::TypedInstruction as Op;
use hayro_syntax::object::{Name, Number, Object};
use hayro_syntax::page::Resources;
use kurbo::Affine;

use super::painter::{Painter, Part};
use super::space::{Reader, Space};
use super::state::Pattern;
use crate::coverage::Ink;
use crate::error::ArtworkError;

impl<'a> Painter<'a, '_> {
    pub(super) fn colour_operator(
        &mut self,
        op: &Op<'_, '_>,
        resources: &Resources<'a>,
    ) -> Result<bool, ArtworkError> {
        match op {
            Op::ColorSpaceNonStroke(name) => self.set_space(Part::Fill, name.0, resources)?,
            Op::ColorSpaceStroke(name) => self.set_space(Part::Stroke, name.0, resources)?,
            Op::NonStrokeColor(colour) => {
                self.set_numbers(Part::Fill, colour.0.iter().map(Number::as_f32).collect());
            }
            Op::StrokeColor(colour) => {
                self.set_numbers(Part::Stroke, colour.0.iter().map(Number::as_f32).collect());
            }
            Op::NonStrokeColorNamed(colour) => {
                self.set_named(
                    Part::Fill,
                    colour.0.iter().map(Number::as_f32).collect(),
                    (colour.1, resources),
                )?;
            }
            Op::StrokeColorNamed(colour) => {
                self.set_named(
                    Part::Stroke,
                    colour.0.iter().map(Number::as_f32).collect(),
                    (colour.1, resources),
                )?;
            }
            Op::NonStrokeColorDeviceGray(g) => {
                self.set_device(Part::Fill, "DeviceGray", vec![g.0.as_f32()], resources)?;
            }
            Op::StrokeColorDeviceGray(g) => {
                self.set_device(Part::Stroke, "DeviceGray", vec![g.0.as_f32()], resources)?;
            }
            Op::NonStrokeColorDeviceRgb(c) => {
                self.set_device(
                    Part::Fill,
                    "DeviceRGB",
                    [c.0, c.1, c.2].map(|n| n.as_f32()).to_vec(),
                    resources,
                )?;
            }
            Op::StrokeColorDeviceRgb(c) => {
                self.set_device(
                    Part::Stroke,
                    "DeviceRGB",
                    [c.0, c.1, c.2].map(|n| n.as_f32()).to_vec(),
                    resources,
                )?;
            }
            Op::NonStrokeColorCmyk(c) => {
                self.set_device(
                    Part::Fill,
                    "DeviceCMYK",
                    [c.0, c.1, c.2, c.3].map(|n| n.as_f32()).to_vec(),
                    resources,
                )?;
            }
            Op::StrokeColorCmyk(c) => {
                self.set_device(
                    Part::Stroke,
                    "DeviceCMYK",
                    [c.0, c.1, c.2, c.3].map(|n| n.as_f32()).to_vec(),
                    resources,
                )?;
            }
            // From here on the glyph has no colours of its own.
            Op::ShapeGlyph(_) => self.state.is_uncoloured = true,
            _ => return Ok(false),
        }
        Ok(true)
    }

    fn set_device(
        &mut self,
        part: Part,
        name: &'static str,
        numbers: Vec<f32>,
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let name = Name::new_unescaped(name.as_bytes());
        self.set_space(part, &name, resources)?;
        self.set_numbers(part, numbers);
        Ok(())
    }

    fn set_space(
        &mut self,
        part: Part,
        name: &Name<'_>,
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        if self.state.is_uncoloured {
            return Ok(());
        }
        let space = match resources.get_color_space(name) {
            Some(object) => {
                let known = resources
                    .color_spaces
                    .get_ref(name.as_ref())
                    .map(Into::into);
                let kept = known.and_then(|id| self.spaces.get(&id).cloned());
                if let Some(space) = kept {
                    space
                } else {
                    let space = self.space(&object, resources)?;
                    if let Some(id) = known {
                        self.spaces.insert(id, Rc::clone(&space));
                    }
                    space
                }
            }
            None => self.space(&Object::Name(name.clone()), resources)?,
        };
        let colour = self.colour_mut(part);
        colour.numbers = space.first_colour();
        colour.space = space;
        colour.pattern = None;
        Ok(())
    }

    fn colour_mut(&mut self, part: Part) -> &mut super::state::Colour<'a> {
        match part {
            Part::Fill => &mut self.state.fill,
            Part::Stroke => &mut self.state.stroke,
        }
    }

    fn set_numbers(&mut self, part: Part, numbers: Vec<f32>) {
        if self.state.is_uncoloured {
            return;
        }
        let colour = self.colour_mut(part);
        colour.numbers = numbers;
        colour.pattern = None;
    }

    fn set_named(
        &mut self,
        part: Part,
        numbers: Vec<f32>,
        (name, resources): (Option<&Name<'_>>, &Resources<'a>),
    ) -> Result<(), ArtworkError> {
        self.set_numbers(part, numbers);
        let Some(name) = name.filter(|_| !self.state.is_uncoloured) else {
            return Ok(());
        };
        let pattern = match resources.get_pattern(name) {
            Some(Object::Stream(stream)) => Pattern::Tiling(stream),
            Some(Object::Dict(dict)) => Pattern::Shading {
                matrix: dict
                    .get::<[f64; 6]>(b"Matrix")
                    .map_or(Affine::IDENTITY, Affine::new),
                shading: dict
                    .get(b"Shading")
                    .ok_or_else(|| ArtworkError::damaged("a pattern without its shading"))?,
            },
            _ => {
                return Err(ArtworkError::damaged(format!(
                    "no pattern `{}`",
                    name.as_str()
                )));
            }
        };
        self.colour_mut(part).pattern = Some(pattern);
        Ok(())
    }

    /// Reads a colour space, looking names of resources up.
    pub(super) fn space(
        &mut self,
        object: &Object<'_>,
        resources: &Resources<'a>,
    ) -> Result<Rc<Space>, ArtworkError> {
        let named = match object {
            Object::Name(name) => resources.get_color_space(name),
            _ => None,
        };
        let mut reader = Reader {
            inks: self.inks,
            separator: self.shared.separator,
            assumptions: self.assumptions,
            meter: &self.shared.meter,
        };
        reader.space(named.as_ref().unwrap_or(object), 0)
    }

    /// The inks of a colour that is no pattern.
    pub(super) fn inks_of(&self, part: Part) -> Vec<Ink> {
        let colour = self.colour(part);
        if self.is_luminance || colour.pattern.is_some() {
            return Vec::new();
        }
        let tones = self.tones(&colour.space, &colour.numbers).inks;
        let inked = tones.into_iter().filter(|&(_, tone)| tone > 0);
        inked.map(|(ink, _)| self.inks.ink(ink).clone()).collect()
    }
}
