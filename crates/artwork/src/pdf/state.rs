//! The graphics state. Source: ISO 32000-2, 8.4.

use std::rc::Rc;

use hayro_font::Font;
use hayro_syntax::object::{Object, Stream};
use kurbo::{Affine, BezPath, Cap, Join};

use super::area::{Clip, Mask};
use super::blend::Blend;
use super::space::Space;

/// Colour of fills or of strokes.
#[derive(Clone)]
pub(super) struct Colour<'a> {
    pub(super) space: Rc<Space>,
    pub(super) numbers: Vec<f32>,
    pub(super) pattern: Option<Pattern<'a>>,
    pub(super) alpha: f32,
    pub(super) is_overprint: bool,
}

/// A pattern that is chosen as colour.
#[derive(Clone)]
pub(super) enum Pattern<'a> {
    Tiling(Stream<'a>),
    Shading { shading: Object<'a>, matrix: Affine },
}

/// How lines are drawn, in user space.
#[derive(Clone)]
pub(super) struct Pen {
    pub(super) width: f64,
    pub(super) cap: Cap,
    pub(super) join: Join,
    pub(super) miter: f64,
    pub(super) dashes: Vec<f64>,
    pub(super) dash_offset: f64,
}

/// Everything about text that `q` saves.
#[derive(Clone)]
pub(super) struct Text<'a> {
    pub(super) font: Option<Rc<Font<'a>>>,
    pub(super) size: f64,
    pub(super) character_space: f64,
    pub(super) word_space: f64,
    /// Horizontal scale, 1 for none.
    pub(super) scale: f64,
    pub(super) leading: f64,
    pub(super) rise: f64,
    pub(super) mode: i64,
    pub(super) matrix: Affine,
    pub(super) line: Affine,
    /// Outlines that will clip at the end of the text, in pixels.
    pub(super) clip: BezPath,
}

/// What `q` saves and `Q` brings back.
#[derive(Clone)]
pub(super) struct State<'a> {
    /// From user space to pixels.
    pub(super) ctm: Affine,
    pub(super) clip: Clip,
    pub(super) fill: Colour<'a>,
    pub(super) stroke: Colour<'a>,
    pub(super) pen: Pen,
    pub(super) text: Text<'a>,
    pub(super) blend: Blend,
    pub(super) soft_mask: Option<Rc<Mask>>,
    /// Zero in `DeviceCMYK` leaves an ink as it is (OPM 1).
    pub(super) is_nonzero_overprint: bool,
    /// Colours are set from outside: an uncoloured pattern or glyph.
    pub(super) is_uncoloured: bool,
}

impl State<'_> {
    pub(super) fn new(ctm: Affine, clip: Clip) -> Self {
        let black = Colour {
            space: Rc::new(Space::Gray),
            numbers: vec![0.0],
            pattern: None,
            alpha: 1.0,
            is_overprint: false,
        };
        Self {
            ctm,
            clip,
            fill: black.clone(),
            stroke: black,
            pen: Pen {
                width: 1.0,
                cap: Cap::Butt,
                join: Join::Miter,
                miter: 10.0,
                dashes: Vec::new(),
                dash_offset: 0.0,
            },
            text: Text {
                font: None,
                size: 1.0,
                character_space: 0.0,
                word_space: 0.0,
                scale: 1.0,
                leading: 0.0,
                rise: 0.0,
                mode: 0,
                matrix: Affine::IDENTITY,
                line: Affine::IDENTITY,
                clip: BezPath::new(),
            },
            blend: Blend::Normal,
            soft_mask: None,
            is_nonzero_overprint: false,
            is_uncoloured: false,
        }
    }
}
