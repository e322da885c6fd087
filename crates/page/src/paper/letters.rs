//! Text as glyphs: shaped, in reading order, broken into lines.

use inkset_report::printable;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use rustybuzz::{Direction, Face, UnicodeBuffer};
use unicode_bidi::{BidiInfo, Level};

static REGULAR: &[u8] = include_bytes!("../../fonts/DejaVuSansCondensed.ttf");
static BOLD: &[u8] = include_bytes!("../../fonts/DejaVuSansCondensed-Bold.ttf");

/// How heavy letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    Regular,
    Bold,
}

/// The two fonts of a paper.
pub(super) struct Letters {
    regular: Cut,
    bold: Cut,
}

/// One font.
pub(super) struct Cut {
    pub(super) font: Font,
    face: Face<'static>,
}

/// One line of text; widths are shares of the font size.
#[derive(Debug, Clone)]
pub(super) struct Line {
    /// From left to right.
    pub(super) runs: Vec<Run>,
    pub(super) width: f32,
}

/// Neighbouring letters of one reading direction.
#[derive(Debug, Clone)]
pub(super) struct Run {
    pub(super) text: String,
    pub(super) glyphs: Vec<KrillaGlyph>,
    pub(super) width: f32,
}

impl Letters {
    /// `None` only if the fonts in the program were damaged.
    pub(super) fn new() -> Option<Self> {
        Some(Self {
            regular: Cut::new(REGULAR)?,
            bold: Cut::new(BOLD)?,
        })
    }

    pub(super) fn cut(&self, weight: Weight) -> &Cut {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Bold => &self.bold,
        }
    }
}

impl Cut {
    fn new(file: &'static [u8]) -> Option<Self> {
        Some(Self {
            font: Font::new(file.into(), 0)?,
            face: Face::from_slice(file, 0)?,
        })
    }

    /// Text on one line.
    pub(super) fn line(&self, text: &str) -> Line {
        let text = plain(text);
        self.line_at(&text, base_level(&text))
    }

    fn line_at(&self, text: &str, base: Level) -> Line {
        let order = BidiInfo::new(text, Some(base));
        let mut runs = Vec::new();
        if let Some(paragraph) = order.paragraphs.first() {
            let (levels, ranges) = order.visual_runs(paragraph, paragraph.range.clone());
            for range in ranges {
                let direction = if levels[range.start].is_rtl() {
                    Direction::RightToLeft
                } else {
                    Direction::LeftToRight
                };
                runs.push(self.run(&text[range], direction));
            }
        }
        let width = runs.iter().map(|run: &Run| run.width).sum();
        Line { runs, width }
    }

    fn run(&self, text: &str, direction: Direction) -> Run {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        buffer.set_direction(direction);
        let shaped = rustybuzz::shape(&self.face, &[], buffer);
        let per_em = self.font.units_per_em();
        let mut starts: Vec<usize> = shaped
            .glyph_infos()
            .iter()
            .map(|g| g.cluster as usize)
            .collect();
        starts.sort_unstable();
        let end_of = |start: usize| {
            let next = starts.iter().find(|other| **other > start);
            next.copied().unwrap_or(text.len())
        };
        let glyphs: Vec<KrillaGlyph> = shaped
            .glyph_infos()
            .iter()
            .zip(shaped.glyph_positions())
            .map(|(info, at)| {
                let start = info.cluster as usize;
                let share = |units: i32| units as f32 / per_em;
                KrillaGlyph::new(
                    GlyphId::new(info.glyph_id),
                    share(at.x_advance),
                    share(at.x_offset),
                    share(at.y_offset),
                    share(at.y_advance),
                    start..end_of(start),
                    None,
                )
            })
            .collect();
        let width = shaped
            .glyph_positions()
            .iter()
            .map(|at| at.x_advance as f32 / per_em)
            .sum();
        Run {
            text: text.to_owned(),
            glyphs,
            width,
        }
    }

    /// Text in lines that are at most so wide; a word that is wider is broken.
    pub(super) fn lines(&self, text: &str, widest: f32) -> Vec<Line> {
        let text = plain(text);
        let base = base_level(&text);
        let width = |text: &str| self.line_at(text, base).width;
        let mut lines: Vec<String> = vec![String::new()];
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            for piece in self.pieces(word, widest) {
                let last = lines.last_mut().expect("there is always a line");
                let longer = if last.is_empty() {
                    piece.clone()
                } else {
                    format!("{last} {piece}")
                };
                if last.is_empty() || width(&longer) <= widest {
                    *last = longer;
                } else {
                    lines.push(piece);
                }
            }
        }
        lines.iter().map(|line| self.line_at(line, base)).collect()
    }

    /// The word itself, or as many letters at a time as fit.
    fn pieces(&self, word: &str, widest: f32) -> Vec<String> {
        if self.line(word).width <= widest {
            return vec![word.to_owned()];
        }
        let mut pieces = vec![String::new()];
        for letter in word.chars() {
            let last = pieces.last_mut().expect("there is always a piece");
            last.push(letter);
            if last.chars().count() > 1 && self.line(last).width > widest {
                last.pop();
                pieces.push(letter.to_string());
            }
        }
        pieces
    }
}

/// One line without what a page must not carry; breaks between paragraphs are spaces.
fn plain(text: &str) -> String {
    printable(text).replace(['\n', '\u{2028}', '\u{2029}', '\u{85}'], " ")
}

/// Reading direction of the first letter that has one.
fn base_level(text: &str) -> Level {
    let order = BidiInfo::new(text, None);
    order.paragraphs.first().map_or(Level::ltr(), |p| p.level)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_within_their_width() {
        let letters = Letters::new().unwrap();
        let cut = letters.cut(Weight::Regular);
        let text = format!("one two three {} four", "W".repeat(60));
        let lines = cut.lines(&text, 12.0);
        assert!(lines.len() > 4, "{}", lines.len());
        assert!(lines.iter().all(|line| line.width <= 12.0));
        let back: String = lines
            .iter()
            .flat_map(|l| &l.runs)
            .map(|r| r.text.as_str())
            .collect();
        assert_eq!(back.replace(' ', ""), text.replace(' ', ""));
    }

    #[test]
    fn hebrew_stands_right_to_left() {
        let letters = Letters::new().unwrap();
        let line = letters.cut(Weight::Bold).line("ink אבג");
        let words: Vec<&str> = line.runs.iter().map(|run| run.text.as_str()).collect();
        assert_eq!(words, ["ink ", "אבג"]);
        let ranges: Vec<usize> = line.runs[1]
            .glyphs
            .iter()
            .map(|g| krilla::text::Glyph::text_range(g).start)
            .collect();
        assert_eq!(ranges, [4, 2, 0], "the last letter stands leftmost");
    }
}
