//! Forms (external objects), transparency groups and soft masks. Source: ISO 32000-2, 8.10 and 11.

use std::rc::Rc;

use hayro_syntax::object::{Array, Dict, Name, Object, Stream};
use hayro_syntax::page::Resources;
use kurbo::{Affine, Rect, Shape};

use super::area::{Clip, Mask};
use super::blend::Blend;
use super::fill::Rule;
use super::inks::BLACK;
use super::limits::{Costed, DEEPEST};
use super::painter::Painter;
use super::space::whole;
use super::state::State;
use super::surface::Surface;
use super::unpack::unpacked;
use crate::coverage::FULL;
use crate::error::ArtworkError;

impl<'a> Painter<'a, '_> {
    /// Goes one level deeper; beyond the deepest, nothing is painted and that is told.
    pub(super) fn enter(&mut self) -> bool {
        if self.depth >= DEEPEST {
            self.findings
                .not_counted("forms, patterns or glyphs nested too deeply, perhaps in a circle");
            return false;
        }
        self.depth += 1;
        true
    }

    pub(super) fn leave(&mut self) {
        self.depth -= 1;
    }

    /// Paints a form.
    pub(super) fn form(
        &mut self,
        stream: &Stream<'a>,
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let dict = stream.dict();
        if !self.shared.layers.is_visible()
            || !self.shared.layers.entry_is_on(dict)
            || !self.enter()
        {
            return Ok(());
        }
        let saved = self.state.clone();
        let done = match dict.get::<Dict<'_>>(b"Group").filter(is_transparency) {
            Some(group) => self.group(stream, &group, resources),
            None => self.form_content(stream, resources),
        };
        self.state = saved;
        self.leave();
        done
    }

    fn form_content(
        &mut self,
        stream: &Stream<'a>,
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let dict = stream.dict();
        if let Some(matrix) = dict.get::<[f64; 6]>(b"Matrix") {
            self.state.ctm *= Affine::new(matrix);
        }
        if let Some(bounds) = dict.get::<hayro_syntax::object::Rect>(b"BBox") {
            let path = Rect::new(bounds.x0, bounds.y0, bounds.x1, bounds.y1).to_path(0.1);
            let path = self.state.ctm * path;
            self.clip_path(&path, Rule::NonZero)?;
        }
        if self.state.clip.area.is_empty() {
            return Ok(());
        }
        let own = dict.get::<Dict<'a>>(b"Resources").map(Resources::new);
        let bytes = unpacked(stream, &self.shared.meter)?;
        let base = std::mem::replace(&mut self.base, self.state.ctm);
        let done = self.content(&bytes, own.as_ref().unwrap_or(resources));
        self.base = base;
        done
    }

    /// Paints a transparency group and lays it on what is beneath.
    fn group(
        &mut self,
        stream: &Stream<'a>,
        group: &Dict<'_>,
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let opacity = whole(self.state.fill.alpha);
        let (blend, soft) = (self.state.blend, self.state.soft_mask.take());
        let is_isolated = group.get::<bool>(b"I").unwrap_or(false);
        let is_knockout = group.get::<bool>(b"K").unwrap_or(false);
        self.state.blend = Blend::Normal;
        self.state.fill.alpha = 1.0;
        self.state.stroke.alpha = 1.0;
        let is_single = is_knockout || self.surface().is_knockout;
        let is_plain = opacity == FULL && blend == Blend::Normal && soft.is_none() && !is_single;
        if is_plain && !is_isolated {
            return self.form_content(stream, resources);
        }
        let area = self.state.clip.area.both(self.surface().area);
        self.spend(area.pixels() as u64 * (4 + self.inks.len() as u64))?;
        if area.is_empty() {
            return Ok(());
        }
        // Where it is only thinned, a copy of what is beneath can be taken over as a whole.
        let is_thinned = !is_isolated && blend == Blend::Normal && !is_single;
        let mut surface = if is_isolated {
            Surface::group(area)
        } else if is_thinned {
            self.surface().copy_of(area)
        } else {
            // It keeps what is beneath it twice, and how much there is of itself.
            self.spend(area.pixels() as u64 * 2 * (4 + self.inks.len() as u64))?;
            self.surface().group_on(area)
        };
        surface.is_knockout = is_knockout;
        // The clip is applied once, when the group is laid down.
        let clip = self.state.clip.clone();
        self.state.clip = Clip { area, mask: None };
        self.surfaces.push(surface);
        let done = self.form_content(stream, resources);
        let Some(surface) = self.surfaces.pop() else {
            return done;
        };
        let masks: Vec<&Mask> = [clip.mask.as_deref(), soft.as_deref()]
            .into_iter()
            .flatten()
            .collect();
        if is_thinned {
            self.surface().take_over(&surface, &masks, opacity);
        } else {
            self.surface().lay(&surface, &masks, blend, opacity);
        }
        done
    }

    /// Makes a soft mask of a group; everything beyond the group takes the value of its backdrop.
    pub(super) fn soft_mask(
        &mut self,
        dict: &Dict<'a>,
        resources: &Resources<'a>,
    ) -> Result<Option<Rc<Mask>>, ArtworkError> {
        let Some(stream) = dict.get::<Stream<'a>>(b"G") else {
            return Err(ArtworkError::damaged("a soft mask without its group"));
        };
        if !self.enter() {
            return Ok(None);
        }
        let is_luminosity = dict
            .get::<Name<'_>>(b"S")
            .is_some_and(|kind| kind.as_ref() == b"Luminosity");
        let area = self.surface().area;
        self.spend(area.pixels() as u64 * 4)?;
        let saved = self.state.clone();
        let before = (self.is_luminance, std::mem::take(&mut self.surfaces));
        self.state = State::new(saved.ctm, Clip { area, mask: None });
        self.is_luminance = is_luminosity;
        self.surfaces.push(Surface::group(area));
        let done = self.form_content(&stream, resources);
        let surface = self.surfaces.pop();
        (self.is_luminance, self.surfaces) = before;
        self.state = saved;
        self.leave();
        done?;
        let Some(surface) = surface else {
            return Ok(None);
        };
        let backdrop = if is_luminosity {
            self.backdrop(dict, &stream, resources)
        } else {
            0
        };
        let transfer = match dict.get::<Object<'_>>(b"TR") {
            Some(object) => Costed::of(&object, &self.shared.meter)?,
            None => None,
        };
        if let Some(transfer) = &transfer {
            self.spend(area.pixels() as u64 * transfer.cost)?;
        }
        Ok(Some(Rc::new(mask_of(
            &surface,
            is_luminosity,
            backdrop,
            transfer.as_ref(),
        ))))
    }

    /// Luminance of the backdrop colour of a mask, 0 to all of 16 bits.
    fn backdrop(&mut self, dict: &Dict<'a>, stream: &Stream<'a>, resources: &Resources<'a>) -> u16 {
        let numbers: Vec<f32> = dict
            .get::<Array<'_>>(b"BC")
            .map_or_else(Vec::new, |array| array.iter::<f32>().collect());
        let group = stream.dict().get::<Dict<'a>>(b"Group");
        let space = group.and_then(|group| group.get::<Object<'a>>(b"CS"));
        let space = space.and_then(|space| self.space(&space, resources).ok());
        match (space, numbers.is_empty()) {
            (Some(space), false) => whole(space.luminance(&numbers)),
            (None, false) if numbers.len() == 1 => whole(numbers[0]),
            _ => 0,
        }
    }
}

fn is_transparency(group: &Dict<'_>) -> bool {
    group
        .get::<Name<'_>>(b"S")
        .is_some_and(|kind| kind.as_ref() == b"Transparency")
}

/// Alpha of a group, or its luminance over the backdrop, through a transfer function.
fn mask_of(
    surface: &Surface,
    is_luminosity: bool,
    backdrop: u16,
    transfer: Option<&Costed>,
) -> Mask {
    let alpha = surface.alpha.as_deref().unwrap_or(&[]);
    let black = surface.planes.get(BLACK).and_then(Option::as_deref);
    let through = |value: u16| {
        let mut out = [0.0];
        let share = f32::from(value) / f32::from(FULL);
        let done = transfer
            .map(|transfer| &transfer.function)
            .filter(|f| f.num_outputs() == 1)
            .and_then(|f| f.eval(&[share], &mut out));
        if done.is_some() { whole(out[0]) } else { value }
    };
    let value = |(at, &alpha): (usize, &u16)| {
        if !is_luminosity {
            return through(alpha);
        }
        let dark = u32::from(black.map_or(0, |plane| plane[at]));
        let behind = u32::from(FULL - alpha) * u32::from(backdrop) / u32::from(FULL);
        through((u32::from(alpha).saturating_sub(dark) + behind).min(u32::from(FULL)) as u16)
    };
    Mask {
        area: surface.area,
        values: alpha.iter().enumerate().map(value).collect(),
        outside: through(if is_luminosity { backdrop } else { 0 }),
    }
}
