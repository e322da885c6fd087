//! Operators of the graphics state. Source: ISO 32000-2, 8.4.

use hayro_syntax::content::ops::TypedInstruction as Op;
use hayro_syntax::object::{Dict, Name, Object};
use hayro_syntax::page::Resources;
use kurbo::{Affine, Cap, Join};

use super::blend::Blend;
use super::painter::Painter;
use crate::error::ArtworkError;

/// Most states that `q` may save.
const MOST_SAVED: usize = 2_000;

impl<'a> Painter<'a, '_> {
    pub(super) fn state_operator(
        &mut self,
        op: &Op<'_, '_>,
        resources: &Resources<'a>,
        saved: usize,
    ) -> Result<bool, ArtworkError> {
        let pen = &mut self.state.pen;
        match op {
            Op::SaveState(_) => {
                if self.saved.len() >= MOST_SAVED {
                    return Err(ArtworkError::damaged(
                        "states saved too often without being brought back",
                    ));
                }
                self.saved.push(self.state.clone());
            }
            Op::RestoreState(_) => {
                if self.saved.len() > saved
                    && let Some(state) = self.saved.pop()
                {
                    self.state = state;
                }
            }
            Op::Transform(m) => {
                let m = [m.0, m.1, m.2, m.3, m.4, m.5].map(|number| number.as_f64());
                self.state.ctm *= Affine::new(m);
            }
            Op::LineWidth(width) => pen.width = width.0.as_f64().abs(),
            Op::LineCap(cap) => pen.cap = line_cap(cap.0.as_i64()),
            Op::LineJoin(join) => pen.join = line_join(join.0.as_i64()),
            Op::MiterLimit(limit) => pen.miter = limit.0.as_f64(),
            Op::DashPattern(dash) => {
                let dashes: Vec<f64> = dash.0.iter::<f64>().take(64).collect();
                self.set_dashes(dashes, dash.1.as_f64());
            }
            Op::SetGraphicsState(name) => {
                let Some(dict) = resources.get_ext_g_state(name.0) else {
                    return Err(ArtworkError::damaged(format!(
                        "no graphics state `{}`",
                        name.0.as_str()
                    )));
                };
                self.set_state(&dict, resources)?;
            }
            _ => return Ok(false),
        }
        Ok(true)
    }

    fn set_dashes(&mut self, dashes: Vec<f64>, offset: f64) {
        let is_sound = dashes.iter().all(|dash| *dash >= 0.0 && dash.is_finite());
        self.state.pen.dashes = if is_sound { dashes } else { Vec::new() };
        self.state.pen.dash_offset = if offset.is_finite() { offset } else { 0.0 };
    }

    /// The entries of a graphics state dictionary that reach the plates.
    fn set_state(
        &mut self,
        dict: &Dict<'a>,
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let state = &mut self.state;
        state.pen.width = dict.get(b"LW").unwrap_or(state.pen.width);
        state.pen.miter = dict.get(b"ML").unwrap_or(state.pen.miter);
        state.pen.cap = dict.get(b"LC").map_or(state.pen.cap, line_cap);
        state.pen.join = dict.get(b"LJ").map_or(state.pen.join, line_join);
        state.stroke.alpha = dict.get(b"CA").unwrap_or(state.stroke.alpha);
        state.fill.alpha = dict.get(b"ca").unwrap_or(state.fill.alpha);
        let both: Option<bool> = dict.get(b"OP");
        state.stroke.is_overprint = both.unwrap_or(state.stroke.is_overprint);
        // Without its own entry, fills follow strokes.
        state.fill.is_overprint = dict.get(b"op").or(both).unwrap_or(state.fill.is_overprint);
        state.is_nonzero_overprint = dict
            .get::<i32>(b"OPM")
            .map_or(state.is_nonzero_overprint, |mode| mode == 1);
        if let Some(font) = dict.get::<hayro_syntax::object::Array<'a>>(b"Font") {
            let mut items = font.flex_iter();
            let font: Option<Dict<'a>> = items.next();
            let size = items.next::<f64>().unwrap_or(1.0);
            self.set_font(font.as_ref(), size)?;
        }
        if let Some(blend) = dict.get::<Object<'_>>(b"BM") {
            self.set_blend(&blend);
        }
        for key in [&b"TR"[..], b"TR2"] {
            if matches!(
                dict.get::<Object<'_>>(key),
                Some(Object::Dict(_) | Object::Stream(_) | Object::Array(_))
            ) {
                self.findings
                    .not_counted("a transfer function, which changes tones");
            }
        }
        match dict.get::<Object<'a>>(b"SMask") {
            Some(Object::Dict(mask)) => self.state.soft_mask = self.soft_mask(&mask, resources)?,
            Some(Object::Name(_)) => self.state.soft_mask = None,
            _ => {}
        }
        Ok(())
    }

    fn set_blend(&mut self, blend: &Object<'_>) {
        let found = match blend {
            Object::Name(name) => Blend::named(name.as_ref()),
            Object::Array(names) => names
                .iter::<Name<'_>>()
                .find_map(|name| Blend::named(name.as_ref())),
            _ => None,
        };
        self.state.blend = found.unwrap_or(Blend::Normal);
    }
}

fn line_cap(cap: i64) -> Cap {
    match cap {
        1 => Cap::Round,
        2 => Cap::Square,
        _ => Cap::Butt,
    }
}

fn line_join(join: i64) -> Join {
    match join {
        1 => Join::Round,
        2 => Join::Bevel,
        _ => Join::Miter,
    }
}
