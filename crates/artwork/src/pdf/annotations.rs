//! Annotations that print: fields of forms, stamps, notes. Source: ISO 32000-2, 12.5.3 and 12.5.5.

use hayro_syntax::object::{Array, Dict, Name, Object, Stream};
use hayro_syntax::page::Resources;
use kurbo::{Affine, Rect, Shape};

use super::painter::Painter;
use crate::error::ArtworkError;

/// Most annotations of a page.
const MOST: usize = 10_000;
/// Flags of an annotation.
const HIDDEN: i32 = 2;
const PRINT: i32 = 4;

impl<'a> Painter<'a, '_> {
    /// Paints the annotations of a page that print over its content.
    pub(super) fn annotations(
        &mut self,
        page: &Dict<'a>,
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let all = page.get::<Array<'a>>(b"Annots");
        for annotation in all.iter().flat_map(Array::iter::<Dict<'a>>).take(MOST) {
            let Some((look, place)) = printed(&annotation) else {
                continue;
            };
            if !self.shared.layers.entry_is_on(&annotation) {
                continue;
            }
            self.assume("annotations that are set to print are counted with their page");
            let saved = self.state.clone();
            self.state.ctm *= place;
            let done = self.form(&look, resources);
            self.state = saved;
            done?;
        }
        Ok(())
    }

    fn assume(&mut self, what: &str) {
        if !self.assumptions.iter().any(|known| known == what) {
            self.assumptions.push(what.to_owned());
        }
    }
}

/// The look of an annotation that prints, and where it goes: its box, as its own matrix turns it, fills the rectangle.
fn printed<'a>(annotation: &Dict<'a>) -> Option<(Stream<'a>, Affine)> {
    let flags = annotation.get::<i32>(b"F").unwrap_or(0);
    let is_note = annotation.get::<Name<'_>>(b"Subtype")?.as_ref() == b"Popup";
    if flags & PRINT == 0 || flags & HIDDEN != 0 || is_note {
        return None;
    }
    let look = match annotation.get::<Dict<'a>>(b"AP")?.get::<Object<'a>>(b"N")? {
        Object::Stream(look) => look,
        // One look for each state, such as a box that is ticked or is not.
        Object::Dict(looks) => looks.get::<Stream<'a>>(annotation.get::<Name<'_>>(b"AS")?)?,
        _ => return None,
    };
    let rect = |r: hayro_syntax::object::Rect| Rect::new(r.x0, r.y0, r.x1, r.y1).abs();
    let goal = rect(annotation.get::<hayro_syntax::object::Rect>(b"Rect")?);
    let bounds = rect(look.dict().get::<hayro_syntax::object::Rect>(b"BBox")?);
    let matrix = look.dict().get::<[f64; 6]>(b"Matrix");
    let matrix = matrix.map_or(Affine::IDENTITY, Affine::new);
    let turned = (matrix * bounds.to_path(0.1)).bounding_box();
    let scale = (
        goal.width() / turned.width(),
        goal.height() / turned.height(),
    );
    let is_sound = scale.0.is_finite() && scale.1.is_finite();
    is_sound.then(|| {
        let place = Affine::translate(goal.origin().to_vec2())
            * Affine::scale_non_uniform(scale.0, scale.1)
            * Affine::translate(-turned.origin().to_vec2());
        (look, place)
    })
}
