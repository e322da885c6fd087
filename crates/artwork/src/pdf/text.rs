//! Text as the outlines of its glyphs. Source: ISO 32000-2, 9.4.

use std::rc::Rc;

use hayro_font::{FontGlyph, StandardFont, Type3Glyph, UNITS_PER_EM};
use hayro_syntax::content::ops::TypedInstruction as Op;
use hayro_syntax::object::{Dict, Object};
use hayro_syntax::page::Resources;
use kurbo::{Affine, BezPath};

use super::fill::Rule;
use super::painter::{Painter, Part};
use super::state::State;
use crate::error::ArtworkError;

impl<'a> Painter<'a, '_> {
    /// Operators of text; `true` if it was one of those.
    pub(super) fn text_operator(
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

    /// Chooses a font; one that cannot be read is told, and its text is set in a stand-in.
    pub(super) fn set_font(
        &mut self,
        dict: Option<&Dict<'a>>,
        size: f64,
    ) -> Result<(), ArtworkError> {
        if let Some(dict) = dict {
            self.shared.meter.check_font(dict)?;
        }
        let resolver = super::document::fonts();
        let font = dict.and_then(|dict| {
            self.shared
                .fonts
                .font(dict, &resolver, &super::document::maps())
        });
        let font = font.or_else(|| {
            self.findings
                .not_counted("text in a font that cannot be read, counted in a stand-in");
            self.shared
                .fonts
                .standard_font(StandardFont::Helvetica, &resolver)
        });
        if let Some(dict) = dict.filter(|dict| !is_embedded(dict)) {
            let name = dict.get::<hayro_syntax::object::Name<'_>>(b"BaseFont");
            let name = name.map_or_else(
                || "without a name".to_owned(),
                |name| format!("`{}`", name.as_str()),
            );
            self.findings.not_counted(format!(
                "font {name} is not embedded, its text is counted in a stand-in"
            ));
        }
        self.state.text.font = font.map(Rc::new);
        self.state.text.size = size;
        Ok(())
    }

    /// Moves to another line.
    pub(super) fn next_line(&mut self, x: f64, y: f64) {
        let text = &mut self.state.text;
        text.line *= Affine::translate((x, y));
        text.matrix = text.line;
    }

    /// Shows a string.
    pub(super) fn show(
        &mut self,
        bytes: &[u8],
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let Some(font) = self.state.text.font.clone() else {
            return Ok(());
        };
        self.what = "text";
        let mut is_noted = false;
        let mut at = 0;
        while at < bytes.len() {
            let (code, length) = font.read_code(bytes, at);
            let length = length.max(1);
            at += length;
            let glyph = font.map_code(code);
            let place = self.state.text.matrix
                * self.text_scale()
                * Affine::scale(1.0 / f64::from(UNITS_PER_EM))
                * Affine::translate(font.origin_displacement(code))
                * Affine::scale_non_uniform(font.glyph_stretch(glyph, code), 1.0);
            match font.glyph(glyph, code) {
                FontGlyph::Outline(glyph) if self.is_plainly_filled() => {
                    let (outline, offset) =
                        self.shared.glyphs.outline(&glyph, self.state.ctm * place);
                    // One more line closes even an empty path.
                    if outline.len() > 1 {
                        if !std::mem::replace(&mut is_noted, true) {
                            self.note_type(Part::Fill);
                        }
                        self.fill_outline((&outline, offset), Rule::NonZero, Part::Fill)?;
                    }
                }
                FontGlyph::Outline(glyph) => {
                    let path = glyph.outline();
                    if !path.elements().is_empty() {
                        self.glyph(&path, place)?;
                    }
                }
                FontGlyph::Type3(glyph) => self.drawn_glyph(&glyph, resources)?,
            }
            let advance = font.code_advance(code) / f64::from(UNITS_PER_EM);
            let is_blank = code == 32 && length == 1;
            self.advance(advance.x, advance.y, is_blank, font.is_horizontal());
        }
        self.what = "shapes";
        Ok(())
    }

    /// Whether glyphs are filled with a colour that is no pattern, and nothing else.
    fn is_plainly_filled(&self) -> bool {
        self.state.text.mode == 0 && self.state.fill.pattern.is_none()
    }

    fn text_scale(&self) -> Affine {
        let text = &self.state.text;
        Affine::new([text.size * text.scale, 0.0, 0.0, text.size, 0.0, text.rise])
    }

    fn advance(&mut self, x: f64, y: f64, is_blank: bool, is_horizontal: bool) {
        let text = &mut self.state.text;
        let space = text.character_space + if is_blank { text.word_space } else { 0.0 };
        let step = if is_horizontal {
            ((x * text.size + space) * text.scale, 0.0)
        } else {
            (0.0, y * text.size + space)
        };
        text.matrix *= Affine::translate(step);
    }

    /// Moves by thousandths of the size, against the direction of writing.
    pub(super) fn kern(&mut self, amount: f64) {
        let text = &mut self.state.text;
        let is_horizontal = text.font.as_ref().is_none_or(|font| font.is_horizontal());
        let step = -amount / 1000.0 * text.size;
        let step = if is_horizontal {
            (step * text.scale, 0.0)
        } else {
            (0.0, step)
        };
        text.matrix *= Affine::translate(step);
    }

    fn glyph(&mut self, outline: &BezPath, place: Affine) -> Result<(), ArtworkError> {
        let mode = self.state.text.mode;
        if matches!(mode, 0 | 2 | 4 | 6) {
            self.note_type(Part::Fill);
            let path = self.state.ctm * place * outline.clone();
            self.fill_path(&path, Rule::NonZero, Part::Fill)?;
        }
        if matches!(mode, 1 | 2 | 5 | 6) {
            self.note_type(Part::Stroke);
            self.stroke_path(&(place * outline.clone()))?;
        }
        if mode >= 4 {
            let path = self.state.ctm * place * outline.clone();
            self.state.text.clip.extend(path);
        }
        Ok(())
    }

    /// Size of the type in points of the page, if it is out of two or more inks.
    fn note_type(&mut self, part: Part) {
        let inks = self.inks_of(part);
        if inks.len() > 1 {
            let matrix = self.state.ctm * self.state.text.matrix;
            let size =
                self.state.text.size * matrix.determinant().abs().sqrt() / self.pixels_per_point;
            self.findings.small_type(size.abs(), inks);
        }
    }

    /// A glyph that is a content stream.
    fn drawn_glyph(
        &mut self,
        glyph: &Type3Glyph<'a>,
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let Some(program) = glyph.program() else {
            return Ok(());
        };
        if self.state.text.mode == 3 || !self.enter() {
            return Ok(());
        }
        let saved: State<'a> = self.state.clone();
        self.state.ctm = saved.ctm * saved.text.matrix * self.text_scale() * glyph.font().matrix();
        let resources = glyph
            .font()
            .resources()
            .map_or_else(|| resources.clone(), Resources::new);
        let bytes = super::unpack::unpacked(program, &self.shared.meter)?;
        let done = self.content(&bytes, &resources);
        self.state = saved;
        self.leave();
        self.what = "text";
        done
    }

    /// Clips to the text that was shown for it.
    pub(super) fn end_text(&mut self) -> Result<(), ArtworkError> {
        let path = std::mem::take(&mut self.state.text.clip);
        if path.elements().is_empty() {
            Ok(())
        } else {
            self.clip_path(&path, Rule::NonZero)
        }
    }
}

/// Whether the outlines of a font are in the file; type 3 fonts are content.
fn is_embedded(font: &Dict<'_>) -> bool {
    use hayro_syntax::object::{Array, Name};
    if font
        .get::<Name<'_>>(b"Subtype")
        .is_some_and(|kind| kind.as_ref() == b"Type3")
    {
        return true;
    }
    let below = font
        .get::<Array<'_>>(b"DescendantFonts")
        .and_then(|fonts| fonts.iter::<Dict<'_>>().next());
    let described = below
        .as_ref()
        .unwrap_or(font)
        .get::<Dict<'_>>(b"FontDescriptor");
    described.is_some_and(|descriptor| {
        [&b"FontFile"[..], b"FontFile2", b"FontFile3"]
            .iter()
            .any(|key| descriptor.contains_key(key))
    })
}
