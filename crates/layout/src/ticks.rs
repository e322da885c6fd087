//! Lengths as whole numbers, so that a fit is a fit.

use inkset_units::{Millimetres, Size};

/// Tenths of a micrometre in a millimetre: the finest that lengths are read to (1/16 in is 1.5875 mm).
const PER_MM: f64 = 1e4;

/// A length in tenths of a micrometre.
pub(crate) fn ticks(length: Millimetres) -> i64 {
    (length.mm() * PER_MM).round() as i64
}

/// A length in millimetres.
pub(crate) fn mm(ticks: i64) -> f64 {
    ticks as f64 / PER_MM
}

/// Width and height in tenths of a micrometre.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Rect {
    pub(crate) w: i64,
    pub(crate) h: i64,
}

impl Rect {
    pub(crate) fn of(size: Size) -> Self {
        Self {
            w: ticks(size.width),
            h: ticks(size.height),
        }
    }

    /// Grown by the gap on one side, so that a row of n pieces with gaps is n grown pieces.
    pub(crate) fn padded(self, gap: i64) -> Self {
        Self {
            w: self.w + gap,
            h: self.h + gap,
        }
    }

    pub(crate) fn turned(self) -> Self {
        Self {
            w: self.h,
            h: self.w,
        }
    }

    /// Pieces of `piece` in a regular grid, not turned.
    pub(crate) fn grid(self, piece: Self) -> i64 {
        if self.w < 0 || self.h < 0 {
            return 0;
        }
        (self.w / piece.w) * (self.h / piece.h)
    }
}
