//! Collects the notices of one file while it is read.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::ops::Range;

use super::range::{Pick, Written};
use crate::notice::Positions;
use crate::{FileRole, Notice, Place, Severity, codes};

/// More notices than this are only counted.
const MOST_NOTICES: usize = 1_000;
/// Longest piece of a file that a message repeats, characters.
const LONGEST_SHOWN: usize = 60;

/// The notices of one file, and the way from bytes to places.
pub(crate) struct Log<'t> {
    file: FileRole,
    positions: Positions<'t>,
    notices: RefCell<Vec<Notice>>,
    beyond: Cell<usize>,
    broken_lines: RefCell<BTreeSet<usize>>,
    pick: Pick,
    pub(super) ranges: RefCell<Vec<Written>>,
}

impl<'t> Log<'t> {
    pub(crate) fn new(file: FileRole, text: &'t str) -> Self {
        Self {
            file,
            positions: Positions::new(file, text),
            notices: RefCell::default(),
            beyond: Cell::new(0),
            broken_lines: RefCell::default(),
            pick: Pick::Typical,
            ranges: RefCell::default(),
        }
    }

    /// Says which ends of ranges are read.
    pub(super) fn picking(mut self, pick: Pick) -> Self {
        self.pick = pick;
        self
    }

    pub(super) fn pick(&self) -> Pick {
        self.pick
    }

    /// Rates of a card may be ranges.
    pub(super) fn takes_ranges(&self) -> bool {
        self.file == FileRole::Rates
    }

    pub(crate) fn place(&self, span: Range<usize>) -> Place {
        self.positions.place(span)
    }

    pub(crate) fn error(&self, code: &'static str, message: impl Into<String>) -> Notice {
        Notice::error(self.file, code, message)
    }

    pub(crate) fn warning(&self, code: &'static str, message: impl Into<String>) -> Notice {
        Notice::warning(self.file, code, message)
    }

    /// Records an assumption; `place` is the table that lacks the value.
    pub(crate) fn assume(&self, code: &'static str, place: Option<Place>, message: String) {
        self.report(Notice::assumption(self.file, code, message).at(place));
    }

    pub(crate) fn report(&self, notice: Notice) {
        if self.follows_from_syntax(&notice) {
            return;
        }
        self.keep(notice);
    }

    /// Records an error of syntax; what else is wrong on that line is then no news.
    pub(crate) fn report_syntax(&self, notice: Notice) {
        let line = notice.place.map_or(0, |p| p.line as usize - 1);
        self.broken_lines.borrow_mut().insert(line);
        self.keep(notice);
    }

    fn keep(&self, notice: Notice) {
        let mut notices = self.notices.borrow_mut();
        if notices.len() < MOST_NOTICES {
            notices.push(notice);
        } else {
            self.beyond.set(self.beyond.get() + 1);
        }
    }

    /// Whether the notice only repeats what a broken line already told.
    fn follows_from_syntax(&self, notice: &Notice) -> bool {
        let broken = self.broken_lines.borrow();
        if broken.is_empty() {
            return false;
        }
        let on_broken_line = notice
            .place
            .is_some_and(|p| broken.contains(&(p.line as usize - 1)));
        on_broken_line
            || notice.severity == Severity::Assumption
            || codes::DEPENDS_ON_OTHER_LINES.contains(&notice.code)
            || (notice.code == codes::UNKNOWN_KEY && self.header_broken(&broken))
    }

    fn header_broken(&self, broken: &BTreeSet<usize>) -> bool {
        broken
            .iter()
            .any(|line| self.positions.line(*line).trim_start().starts_with('['))
    }

    pub(crate) fn into_notices(self) -> Vec<Notice> {
        let mut notices = self.notices.into_inner();
        if self.beyond.get() > 0 {
            let message = format!("{} further problems are not listed", self.beyond.get());
            notices.push(Notice::error(self.file, codes::TOO_MANY_PROBLEMS, message));
        }
        notices
    }
}

/// A piece of the file as a message may repeat it: short, and without control characters.
pub(crate) fn shown(text: &str) -> String {
    let mut shown: String = text
        .chars()
        .take(LONGEST_SHOWN)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if text.chars().nth(LONGEST_SHOWN).is_some() {
        shown.push('…');
    }
    shown
}

/// The known word that `typed` was most likely meant to be.
pub(crate) fn nearest<'k>(
    typed: &str,
    known: impl IntoIterator<Item = &'k str>,
) -> Option<&'k str> {
    if typed.len() > 4 * LONGEST_SHOWN {
        return None;
    }
    let plain = |text: &str| text.to_lowercase().replace(['-', ' '], "_");
    known
        .into_iter()
        .map(|word| (strsim::jaro_winkler(&plain(typed), &plain(word)), word))
        .filter(|(likeness, _)| *likeness >= 0.8)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word)
}
