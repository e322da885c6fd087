//! PDF: content streams painted on one plane an ink.
//!
//! `hayro-syntax` takes the file apart and unpacks images of JPEG, JPEG 2000, JBIG2 and fax, `hayro-font` gives the outlines of glyphs,
//! `hayro-interpret` evaluates functions, `kurbo` outlines strokes. Graphics state, colour, overprint, transparency and
//! the planes are our own: an interpreter that paints RGB loses every solid and all overprint.

mod annotations;
mod area;
mod blend;
mod cell;
mod colours;
mod compose;
mod containers;
mod content;
mod document;
mod fill;
mod filters;
mod findings;
mod glyphs;
mod gradient;
mod group;
mod guard;
mod image;
mod inks;
mod layers;
mod limits;
mod mesh;
mod painter;
mod paths;
mod pattern;
mod photographs;
mod predict;
mod samples;
mod shading;
mod space;
mod state;
mod states;
mod stencil;
mod surface;
mod text;
mod unpack;

pub(crate) use document::pdf;
