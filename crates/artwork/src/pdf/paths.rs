//! Makes paths and paints them. Source: ISO 32000-2, 8.5.

use hayro_syntax::content::ops::TypedInstruction as Op;
use hayro_syntax::object::Number;
use kurbo::{BezPath, Point, Shape, Stroke, StrokeOpts};

use super::fill::Rule;
use super::painter::{Painter, Part};
use crate::error::ArtworkError;

/// Most dashes of one path; more are drawn as one line.
const MOST_DASHES: f64 = 100_000.0;
/// Width of a line of no width, millimetres: about what a plate still holds (common practice, no source).
const HAIRLINE: f64 = 0.05;
/// Rules up to this width are thin, millimetres.
const THIN: f64 = 0.7;
const MILLIMETRES: f64 = 25.4 / 72.0;

/// Whether the edge of a path is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Edge {
    Stroked,
    Bare,
}

/// The path that is being made, and whether it will clip.
#[derive(Default)]
pub(super) struct Drawing {
    path: BezPath,
    last: Point,
    start: Point,
    clip: Option<Rule>,
}

impl Painter<'_, '_> {
    /// Making and painting paths; `true` if it was one of those.
    pub(super) fn path_operator(
        &mut self,
        op: &Op<'_, '_>,
        drawing: &mut Drawing,
    ) -> Result<bool, ArtworkError> {
        match op {
            Op::MoveTo(p) => drawing.move_to(point(p.0, p.1)),
            Op::LineTo(p) => drawing.line_to(point(p.0, p.1)),
            Op::CubicTo(p) => drawing.curve(point(p.0, p.1), point(p.2, p.3), point(p.4, p.5)),
            Op::CubicStartTo(p) => drawing.curve(drawing.last, point(p.0, p.1), point(p.2, p.3)),
            Op::CubicEndTo(p) => drawing.curve(point(p.0, p.1), point(p.2, p.3), point(p.2, p.3)),
            Op::ClosePath(_) => drawing.close(),
            Op::RectPath(r) => {
                let (from, size) = (point(r.0, r.1), point(r.2, r.3));
                drawing.move_to(from);
                drawing.line_to(Point::new(from.x + size.x, from.y));
                drawing.line_to(Point::new(from.x + size.x, from.y + size.y));
                drawing.line_to(Point::new(from.x, from.y + size.y));
                drawing.close();
            }
            Op::ClipNonZero(_) => drawing.clip = Some(Rule::NonZero),
            Op::ClipEvenOdd(_) => drawing.clip = Some(Rule::EvenOdd),
            Op::EndPath(_) => self.paint(drawing, None, Edge::Bare)?,
            Op::StrokePath(_) => self.paint(drawing, None, Edge::Stroked)?,
            Op::CloseAndStrokePath(_) => {
                drawing.close();
                self.paint(drawing, None, Edge::Stroked)?;
            }
            Op::FillPathNonZero(_) | Op::FillPathNonZeroCompatibility(_) => {
                self.paint(drawing, Some(Rule::NonZero), Edge::Bare)?;
            }
            Op::FillPathEvenOdd(_) => self.paint(drawing, Some(Rule::EvenOdd), Edge::Bare)?,
            Op::FillAndStrokeNonZero(_) => {
                self.paint(drawing, Some(Rule::NonZero), Edge::Stroked)?;
            }
            Op::FillAndStrokeEvenOdd(_) => {
                self.paint(drawing, Some(Rule::EvenOdd), Edge::Stroked)?;
            }
            Op::CloseFillAndStrokeNonZero(_) => {
                drawing.close();
                self.paint(drawing, Some(Rule::NonZero), Edge::Stroked)?;
            }
            Op::CloseFillAndStrokeEvenOdd(_) => {
                drawing.close();
                self.paint(drawing, Some(Rule::EvenOdd), Edge::Stroked)?;
            }
            _ => return Ok(false),
        }
        Ok(true)
    }

    fn paint(
        &mut self,
        drawing: &mut Drawing,
        fill: Option<Rule>,
        edge: Edge,
    ) -> Result<(), ArtworkError> {
        let Drawing { path, clip, .. } = std::mem::take(drawing);
        self.what = "shapes";
        if let Some(rule) = fill {
            let pixels = self.state.ctm * path.clone();
            self.note_bar(&pixels);
            self.fill_path(&pixels, rule, Part::Fill)?;
        }
        if edge == Edge::Stroked {
            self.stroke_path(&path)?;
        }
        match clip {
            Some(rule) => {
                let pixels = self.state.ctm * path;
                self.clip_path(&pixels, rule)
            }
            None => Ok(()),
        }
    }

    /// Strokes a path of user space.
    pub(super) fn stroke_path(&mut self, path: &BezPath) -> Result<(), ArtworkError> {
        let scale = self.state.ctm.determinant().abs().sqrt();
        if !(scale > 1e-9 && scale.is_finite()) || path.elements().is_empty() {
            return Ok(());
        }
        let pen = self.state.pen.clone();
        let width = if pen.width > 0.0 {
            pen.width
        } else {
            HAIRLINE / MILLIMETRES * self.pixels_per_point / scale
        };
        let inks = self.inks_of(Part::Stroke);
        let millimetres = width * scale / self.pixels_per_point * MILLIMETRES;
        if inks.len() > 1 && millimetres <= THIN && self.what == "shapes" {
            self.findings.thin_rule(millimetres, inks);
        }
        let mut stroke = Stroke::new(width)
            .with_caps(pen.cap)
            .with_join(pen.join)
            .with_miter_limit(pen.miter.max(1.0));
        let period: f64 = pen.dashes.iter().sum();
        let length: f64 = path
            .segments()
            .map(|segment| kurbo::ParamCurveArclen::arclen(&segment, 1.0))
            .sum();
        if period > 0.0 && length / period * (pen.dashes.len() as f64) < MOST_DASHES {
            stroke = stroke.with_dashes(pen.dash_offset, pen.dashes);
        }
        let outline = kurbo::stroke(
            path.elements().iter().copied(),
            &stroke,
            &StrokeOpts::default(),
            0.1 / scale,
        );
        let pixels = self.state.ctm * outline;
        self.fill_path(&pixels, Rule::NonZero, Part::Stroke)
    }

    /// A filled bar may be a thin rule too.
    fn note_bar(&mut self, path: &BezPath) {
        let inks = self.inks_of(Part::Fill);
        if inks.len() < 2 || path.elements().len() > 6 {
            return;
        }
        let bounds = path.bounding_box();
        let (thin, long) = (
            bounds.width().min(bounds.height()),
            bounds.width().max(bounds.height()),
        );
        let millimetres = thin / self.pixels_per_point * MILLIMETRES;
        if millimetres <= THIN && long > 8.0 * thin {
            self.findings.thin_rule(millimetres, inks);
        }
    }
}

impl Drawing {
    fn move_to(&mut self, to: Point) {
        self.path.move_to(to);
        (self.last, self.start) = (to, to);
    }

    fn begin(&mut self) {
        if self.path.elements().is_empty() {
            self.path.move_to(self.last);
        }
    }

    fn line_to(&mut self, to: Point) {
        self.begin();
        self.path.line_to(to);
        self.last = to;
    }

    fn curve(&mut self, a: Point, b: Point, to: Point) {
        self.begin();
        self.path.curve_to(a, b, to);
        self.last = to;
    }

    fn close(&mut self) {
        if !self.path.elements().is_empty() {
            self.path.close_path();
            self.last = self.start;
        }
    }
}

fn point(x: Number, y: Number) -> Point {
    Point::new(x.as_f64(), y.as_f64())
}
