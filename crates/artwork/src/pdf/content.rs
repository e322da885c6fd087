//! Carries out the operators of a content stream.

use std::rc::Rc;

use hayro_syntax::content::ops::TypedInstruction as Op;
use hayro_syntax::content::{TypedIter, UntypedIter};
use hayro_syntax::object::{Dict, Name, Number, Object};
use hayro_syntax::page::Resources;
use kurbo::{Affine, BezPath, Cap, Join, Point, Shape, Stroke, StrokeOpts};

use super::blend::Blend;
use super::fill::Rule;
use super::limits::OPERATOR;
use super::painter::{Painter, Part};
use super::space::{Reader, Space};
use super::state::Pattern;
use crate::coverage::Ink;
use crate::error::ArtworkError;

/// Most states that `q` may save.
const MOST_SAVED: usize = 2_000;
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
struct Drawing {
    path: BezPath,
    last: Point,
    start: Point,
    clip: Option<Rule>,
}

impl<'a> Painter<'a, '_> {
    /// Carries out a content stream; the state is left as it was found.
    pub(super) fn content(
        &mut self,
        bytes: &[u8],
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let (saved, layer) = (self.saved.len(), self.shared.layers.depth());
        let state = self.state.clone();
        let mut drawing = Drawing::default();
        let mut operators = TypedIter::new(bytes);
        // Blanks and comments have to be read too, which takes as long as painting some pixels.
        let mut done = self.spend(bytes.len() as u64 * 4);
        let mut count = 0;
        while done.is_ok()
            && let Some(op) = operators.next()
        {
            count += 1;
            done = self.spend(OPERATOR);
            if done.is_err() {
                break;
            }
            done = self.operator(&op, &mut drawing, (resources, saved));
            // What is damaged is told, and the rest is painted; what costs too much ends the page.
            if let Err(ArtworkError::Damaged(why) | ArtworkError::NotRead(why)) = done {
                self.findings.not_counted(why);
                done = Ok(());
            }
            if done.is_err() {
                break;
            }
        }
        if done.is_ok() && instructions(bytes) > count {
            // The reader stops at a path operator without its numbers.
            self.findings
                .not_counted("everything after a damaged path operator");
        }
        self.saved.truncate(saved);
        self.shared.layers.restore(layer);
        self.state = state;
        done
    }

    fn operator(
        &mut self,
        op: &Op<'_, '_>,
        drawing: &mut Drawing,
        (resources, saved): (&Resources<'a>, usize),
    ) -> Result<(), ArtworkError> {
        if self.path_operator(op, drawing)? || self.state_operator(op, resources, saved)? {
            return Ok(());
        }
        if self.colour_operator(op, resources)? || self.text_operator(op, resources)? {
            return Ok(());
        }
        match op {
            Op::XObject(name) => {
                let Some(stream) = resources.get_x_object(name.0) else {
                    return Err(ArtworkError::damaged(format!(
                        "no form or image `{}`",
                        name.0.as_str()
                    )));
                };
                match stream.dict().get::<Name<'_>>(b"Subtype").as_deref() {
                    Some(b"Image") => self.image(&stream, resources),
                    Some(b"Form") => self.form(&stream, resources),
                    _ => Err(ArtworkError::not_read(
                        "an external object that is neither form nor image",
                    )),
                }
            }
            Op::InlineImage(image) => self.image(image.0, resources),
            Op::Shading(name) => match resources.get_shading(name.0) {
                Some(shading) => self.shade_clip(&shading),
                None => Err(ArtworkError::damaged(format!(
                    "no shading `{}`",
                    name.0.as_str()
                ))),
            },
            Op::BeginMarkedContent(_) => {
                self.shared.layers.enter(true);
                Ok(())
            }
            Op::BeginMarkedContentWithProperties(marked) => {
                let is_layer = marked.0.as_ref() == b"OC";
                let is_on = match &marked.1 {
                    Object::Name(name) if is_layer => self.shared.layers.is_on(name, resources),
                    _ => true,
                };
                self.shared.layers.enter(is_on);
                Ok(())
            }
            Op::EndMarkedContent(_) => {
                self.shared.layers.leave();
                Ok(())
            }
            _ => Ok(()),
        }
    }

    /// Making and painting paths; `true` if it was one of those.
    fn path_operator(
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

    fn state_operator(
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
        if found == Some(Blend::Mixing) {
            self.findings
                .not_counted("Hue, Saturation, Color or Luminosity blending, counted as Normal");
        }
        self.state.blend = found.unwrap_or(Blend::Normal);
    }

    fn colour_operator(
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

    fn text_operator(
        &mut self,
        op: &Op<'_, '_>,
        resources: &Resources<'a>,
    ) -> Result<bool, ArtworkError> {
        let text = &mut self.state.text;
        match op {
            Op::BeginText(_) => {
                text.matrix = Affine::IDENTITY;
                text.line = Affine::IDENTITY;
            }
            Op::EndText(_) => self.end_text()?,
            Op::CharacterSpacing(v) => text.character_space = v.0.as_f64(),
            Op::WordSpacing(v) => text.word_space = v.0.as_f64(),
            Op::HorizontalScaling(v) => text.scale = v.0.as_f64() / 100.0,
            Op::TextLeading(v) => text.leading = v.0.as_f64(),
            Op::TextRise(v) => text.rise = v.0.as_f64(),
            Op::TextRenderingMode(v) => text.mode = v.0.as_i64(),
            Op::TextFont(font) => {
                let dict = resources.get_font(font.0);
                self.set_font(dict.as_ref(), font.1.as_f64())?;
            }
            Op::NextLine(v) => self.next_line(v.0.as_f64(), v.1.as_f64()),
            Op::NextLineAndSetLeading(v) => {
                text.leading = -v.1.as_f64();
                self.next_line(v.0.as_f64(), v.1.as_f64());
            }
            Op::NextLineUsingLeading(_) => {
                let leading = text.leading;
                self.next_line(0.0, -leading);
            }
            Op::SetTextMatrix(m) => {
                let m = [m.0, m.1, m.2, m.3, m.4, m.5].map(|number| number.as_f64());
                text.line = Affine::new(m);
                text.matrix = text.line;
            }
            Op::ShowText(v) => self.show(v.0.as_bytes(), resources)?,
            Op::NextLineAndShowText(v) => {
                let leading = text.leading;
                self.next_line(0.0, -leading);
                self.show(v.0.as_bytes(), resources)?;
            }
            Op::ShowTextWithParameters(v) => {
                text.word_space = v.0.as_f64();
                text.character_space = v.1.as_f64();
                let leading = text.leading;
                self.next_line(0.0, -leading);
                self.show(v.2.as_bytes(), resources)?;
            }
            Op::ShowTexts(v) => {
                for item in v.0.iter::<Object<'_>>() {
                    match item {
                        Object::String(string) => self.show(string.as_bytes(), resources)?,
                        Object::Number(amount) => self.kern(amount.as_f64()),
                        _ => {}
                    }
                }
            }
            _ => return Ok(false),
        }
        Ok(true)
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

/// Instructions of a content stream, sound or not.
fn instructions(bytes: &[u8]) -> usize {
    let mut all = UntypedIter::new(bytes);
    let mut count = 0;
    while all.next().is_some() {
        count += 1;
    }
    count
}

fn point(x: Number, y: Number) -> Point {
    Point::new(x.as_f64(), y.as_f64())
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
