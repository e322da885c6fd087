//! Sheets of paper: what stands where, before it is written as PDF. Lengths in points, from the upper left corner.

use super::letters::{Letters, Line, Weight};

/// Left and right edge.
pub(super) const EDGE: f32 = 51.0;
/// Upper edge.
const TOP: f32 = 51.0;
/// Lower edge, with the foot in it.
const BOTTOM: f32 = 64.0;
/// Height of a line over the size of its letters.
pub(super) const LEADING: f32 = 1.36;

/// What fills an area or a letter.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Ink {
    /// 0 = black, 255 = white.
    Grey(u8),
    /// sRGB.
    Screen([u8; 3]),
    /// A separation: name, tone in percent, full tone in sRGB.
    Own(String, f64, [u8; 3]),
}

/// Something on a sheet.
pub(super) enum Mark {
    /// A line of text: left end of its base line.
    Text {
        at: (f32, f32),
        size: f32,
        weight: Weight,
        ink: Ink,
        line: Line,
    },
    /// A filled rectangle: left, top, width, height.
    Area([f32; 4], Ink),
    /// A straight stroke: from, to, width.
    Rule((f32, f32), (f32, f32), f32),
}

/// How text looks.
#[derive(Clone, Copy)]
pub(super) struct Look {
    pub(super) size: f32,
    pub(super) weight: Weight,
    pub(super) grey: u8,
}

impl Look {
    pub(super) const fn new(size: f32) -> Self {
        Self {
            size,
            weight: Weight::Regular,
            grey: 0,
        }
    }

    pub(super) const fn bold(self) -> Self {
        Self {
            weight: Weight::Bold,
            ..self
        }
    }

    pub(super) const fn quiet(self) -> Self {
        Self { grey: 85, ..self }
    }

    pub(super) fn line_height(self) -> f32 {
        self.size * LEADING
    }
}

/// Sheets while they are filled from top to bottom.
pub(super) struct Sheets<'l> {
    pub(super) letters: &'l Letters,
    pub(super) width: f32,
    pub(super) height: f32,
    pub(super) pages: Vec<Vec<Mark>>,
    /// Where the next thing goes.
    pub(super) y: f32,
}

impl<'l> Sheets<'l> {
    pub(super) fn new(letters: &'l Letters, (width, height): (f32, f32)) -> Self {
        Self {
            letters,
            width,
            height,
            pages: vec![Vec::new()],
            y: TOP,
        }
    }

    /// Width between the edges.
    pub(super) fn measure(&self) -> f32 {
        self.width - 2.0 * EDGE
    }

    /// Room that one sheet has.
    pub(super) fn depth(&self) -> f32 {
        self.height - TOP - BOTTOM
    }

    /// Begins a new sheet unless so much room is left; whether it did.
    pub(super) fn need(&mut self, room: f32) -> bool {
        let full = self.y + room > self.height - BOTTOM && self.y > TOP;
        if full {
            self.pages.push(Vec::new());
            self.y = TOP;
        }
        full
    }

    pub(super) fn mark(&mut self, mark: Mark) {
        let page = self.pages.last_mut().expect("there is always a sheet");
        page.push(mark);
    }

    /// Puts lines under each other, the first one's top at `top`; returns the height that they take.
    pub(super) fn put(&mut self, lines: &[Line], (left, top): (f32, f32), look: Look) -> f32 {
        for (at, line) in lines.iter().enumerate() {
            let base = top + at as f32 * look.line_height() + look.size;
            self.mark(Mark::Text {
                at: (left, base),
                size: look.size,
                weight: look.weight,
                ink: Ink::Grey(look.grey),
                line: line.clone(),
            });
        }
        lines.len() as f32 * look.line_height()
    }

    /// Text broken to a width in points.
    pub(super) fn broken(&self, text: &str, width: f32, look: Look) -> Vec<Line> {
        self.letters.cut(look.weight).lines(text, width / look.size)
    }

    /// A paragraph over the whole measure, `indent` from the left, broken over sheets line by line.
    pub(super) fn paragraph(&mut self, text: &str, indent: f32, look: Look) {
        let lines = self.broken(text, self.measure() - indent, look);
        for line in &lines {
            self.need(look.line_height());
            let y = self.y;
            self.y += self.put(std::slice::from_ref(line), (EDGE + indent, y), look);
        }
    }

    pub(super) fn rule(&mut self, y: f32, width: f32) {
        let right = self.width - EDGE;
        self.mark(Mark::Rule((EDGE, y), (right, y), width));
    }
}
