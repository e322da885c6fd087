//! Outlines of glyphs at the sizes in which they are set: a glyph is flattened once and then only moved.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use hayro_font::OutlineGlyph;
use kurbo::{Affine, Vec2};

use super::fill::Outline;

/// Most lines of all outlines kept; then the collection starts anew.
const MOST_LINES: usize = 2_000_000;

/// A glyph of a font program, with the bits of the matrix that shapes it.
type Key = (u128, [u64; 4]);

/// The outlines kept for a document.
#[derive(Debug, Default)]
pub(super) struct Glyphs(RefCell<Kept>);

#[derive(Debug, Default)]
struct Kept {
    outlines: BTreeMap<Key, Rc<Outline>>,
    lines: usize,
}

impl Glyphs {
    /// The outline of a glyph under a matrix to pixels, and how far it has to be moved.
    pub(super) fn outline(&self, glyph: &OutlineGlyph, matrix: Affine) -> (Rc<Outline>, Vec2) {
        let [a, b, c, d, x, y] = matrix.as_coeffs();
        let shape = [a, b, c, d];
        let key = (glyph.identifier().cache_key(), shape.map(f64::to_bits));
        let mut kept = self.0.borrow_mut();
        if let Some(outline) = kept.outlines.get(&key) {
            return (Rc::clone(outline), Vec2::new(x, y));
        }
        let path = Affine::new([a, b, c, d, 0.0, 0.0]) * glyph.outline();
        let outline = Rc::new(Outline::of(&path));
        kept.lines += outline.len();
        if kept.lines > MOST_LINES {
            *kept = Kept::default();
        }
        kept.outlines.insert(key, Rc::clone(&outline));
        (outline, Vec2::new(x, y))
    }
}
