//! Collects what is told about a palette, and the names met so far.

use std::collections::HashSet;
use std::ops::Range;

use super::MOST_COLOURS;
use crate::notice::Positions;
use crate::{FileRole, Notice, Place, codes};

/// Most problems told before reading stops.
const MOST_PROBLEMS: usize = 200;
/// CIELAB ranges: L 0..=100 (paper may measure a little over), a and b as far as any surface goes.
const LAB: [(&str, f64, f64); 3] = [
    ("L", 0.0, 101.0),
    ("a", -160.0, 160.0),
    ("b", -160.0, 160.0),
];
/// CIEXYZ ranges; fluorescent surfaces go beyond 100.
const XYZ: [(&str, f64, f64); 3] = [("X", 0.0, 200.0), ("Y", 0.0, 200.0), ("Z", 0.0, 200.0)];

/// The notices of a palette.
pub(super) struct Notes<'t> {
    positions: Positions<'t>,
    notices: Vec<Notice>,
    names: HashSet<String>,
    full: bool,
}

/// What a figure is and in which range it makes sense.
#[derive(Clone, Copy)]
pub(super) struct Figure {
    pub(super) title: &'static str,
    pub(super) least: f64,
    pub(super) most: f64,
}

impl Figure {
    /// L, a or b.
    pub(super) fn lab(axis: usize) -> Self {
        Self::from(LAB[axis])
    }

    /// X, Y or Z.
    pub(super) fn xyz(axis: usize) -> Self {
        Self::from(XYZ[axis])
    }

    /// A reflectance, as factor or in percent.
    pub(super) const REFLECTANCE: Self = Self {
        title: "the reflectance",
        least: -1.0,
        most: 500.0,
    };

    /// The tone of a tint, percent.
    pub(super) const TONE: Self = Self {
        title: "the tint",
        least: 0.0,
        most: 100.0,
    };

    fn from((title, least, most): (&'static str, f64, f64)) -> Self {
        Self { title, least, most }
    }
}

impl<'t> Notes<'t> {
    pub(super) fn of(text: &'t str) -> Self {
        Self {
            positions: Positions::new(FileRole::Palette, text),
            notices: Vec::new(),
            names: HashSet::new(),
            full: false,
        }
    }

    pub(super) fn place(&self, span: Range<usize>) -> Place {
        self.positions.place(span)
    }

    /// An error at a place.
    pub(super) fn tell(
        &mut self,
        code: &'static str,
        message: impl Into<String>,
        span: Range<usize>,
    ) {
        let notice = Notice::error(FileRole::Palette, code, message);
        self.keep(notice.at(Some(self.positions.place(span))));
    }

    /// An error at a place, with a hint.
    pub(super) fn tell_with(
        &mut self,
        code: &'static str,
        message: impl Into<String>,
        span: Range<usize>,
        hint: &str,
    ) {
        let notice = Notice::error(FileRole::Palette, code, message).hint(hint);
        self.keep(notice.at(Some(self.positions.place(span))));
    }

    /// An assumption about the whole file.
    pub(super) fn assume(&mut self, code: &'static str, sentence: impl Into<String>) {
        let notice = Notice::assumption(FileRole::Palette, code, sentence);
        self.notices.push(notice);
    }

    /// Whether anything is wrong so far.
    pub(super) fn is_clean(&self) -> bool {
        self.notices
            .iter()
            .all(|notice| notice.severity != crate::Severity::Error)
    }

    /// Whether reading should stop: too many problems were told, or too many colours read.
    pub(super) fn is_full(&self) -> bool {
        self.full
    }

    fn keep(&mut self, notice: Notice) {
        if self.full {
            return;
        }
        let place = notice.place;
        self.notices.push(notice);
        if self.notices.len() >= MOST_PROBLEMS {
            let message = format!("{MOST_PROBLEMS} problems told; reading stops here");
            let last = Notice::error(FileRole::Palette, codes::TOO_MANY_PROBLEMS, message);
            self.notices.push(last.at(place));
            self.full = true;
        }
    }

    /// Notes a name; told when it is empty, met before or one too many.
    pub(super) fn name(&mut self, name: &str, span: Range<usize>) -> bool {
        if name.is_empty() {
            self.tell(codes::EMPTY_TEXT, "the colour has no name", span);
            return false;
        }
        if self.names.len() >= MOST_COLOURS {
            let message = format!("the palette has more than {MOST_COLOURS} colours");
            self.tell(codes::PALETTE_TOO_LARGE, message, span);
            self.full = true;
            return false;
        }
        if !self.names.insert(name.to_lowercase()) {
            let name = crate::read::shown(name);
            let message = format!("`{name}` is in the palette twice");
            self.tell(codes::DUPLICATE_NAME, message, span);
        }
        true
    }

    /// Reads a number; told when it is none or out of range. A comma may stand for the point where the format allows it.
    pub(super) fn number(
        &mut self,
        written: &str,
        figure: Figure,
        span: Range<usize>,
    ) -> Option<f64> {
        let Figure { title, least, most } = figure;
        let shown = crate::read::shown(written);
        let Some(number) = plain_number(written) else {
            let message = format!("{title} is `{shown}`, which is no number");
            self.tell(codes::WRONG_TYPE, message, span);
            return None;
        };
        if (least..=most).contains(&number) {
            return Some(number);
        }
        let message = format!("{title} is {shown}; allowed are {least} to {most}");
        self.tell(codes::OUT_OF_RANGE, message, span);
        None
    }

    /// Everything told, once nothing more is read.
    pub(super) fn finish(self) -> Vec<Notice> {
        self.notices
    }
}

/// Digits with at most a sign, a point and an exponent; never `nan` or `inf`.
fn plain_number(written: &str) -> Option<f64> {
    let plain = |c: char| c.is_ascii_digit() || "+-.eE".contains(c);
    let number: f64 = written.parse().ok()?;
    (written.chars().all(plain) && number.is_finite()).then_some(number)
}

/// A number with a single decimal comma, written with a point.
pub(super) fn with_point(written: &str) -> String {
    written.replacen(',', ".", 1)
}
