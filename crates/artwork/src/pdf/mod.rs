//! PDF: content streams painted on one plane an ink.
//!
//! `hayro-syntax` takes the file apart and unpacks streams, `hayro-font` gives the outlines of glyphs,
//! `hayro-interpret` evaluates functions, `kurbo` outlines strokes. Graphics state, colour, overprint, transparency and
//! the planes are our own: an interpreter that paints RGB loses every solid and all overprint.

mod area;
mod blend;
mod content;
mod document;
mod fill;
mod findings;
mod glyphs;
mod group;
mod image;
mod inks;
mod layers;
mod limits;
mod painter;
mod pattern;
mod shading;
mod space;
mod state;
mod surface;
mod text;

pub(crate) use document::pdf;
