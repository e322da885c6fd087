//! Rectangles of pixels, and masks over them.

use std::rc::Rc;

use crate::coverage::FULL;

/// Pixels from (`x0`, `y0`) up to but without (`x1`, `y1`).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Area {
    pub(super) x0: i32,
    pub(super) y0: i32,
    pub(super) x1: i32,
    pub(super) y1: i32,
}

impl Area {
    pub(super) fn new(width: u32, height: u32) -> Self {
        Self {
            x0: 0,
            y0: 0,
            x1: width as i32,
            y1: height as i32,
        }
    }

    /// The pixels that a rectangle touches, as far as they lie in `self`.
    pub(super) fn touched(self, rect: kurbo::Rect) -> Self {
        // Casts from floats saturate, and the result is kept inside the area.
        self.both(Self {
            x0: rect.x0.floor() as i32,
            y0: rect.y0.floor() as i32,
            x1: rect.x1.ceil() as i32,
            y1: rect.y1.ceil() as i32,
        })
    }

    pub(super) fn both(self, other: Self) -> Self {
        let x0 = self.x0.max(other.x0);
        let y0 = self.y0.max(other.y0);
        Self {
            x0,
            y0,
            x1: self.x1.min(other.x1).max(x0),
            y1: self.y1.min(other.y1).max(y0),
        }
    }

    pub(super) fn width(self) -> usize {
        (self.x1 - self.x0) as usize
    }

    pub(super) fn height(self) -> usize {
        (self.y1 - self.y0) as usize
    }

    pub(super) fn pixels(self) -> usize {
        self.width() * self.height()
    }

    pub(super) fn is_empty(self) -> bool {
        self.pixels() == 0
    }

    /// Place of a pixel of the area in a buffer of its rows.
    pub(super) fn at(self, x: i32, y: i32) -> usize {
        (y - self.y0) as usize * self.width() + (x - self.x0) as usize
    }
}

/// How much of each pixel is there.
#[derive(Debug)]
pub(super) struct Mask {
    pub(super) area: Area,
    pub(super) values: Vec<u16>,
    /// The value of pixels beyond the area.
    pub(super) outside: u16,
}

impl Mask {
    /// Takes from a row of coverage what the mask hides.
    pub(super) fn thin(&self, y: i32, x0: i32, row: &mut [u16]) {
        for (x, value) in (x0..).zip(row) {
            let inside =
                y >= self.area.y0 && y < self.area.y1 && x >= self.area.x0 && x < self.area.x1;
            let mask = if inside {
                self.values[self.area.at(x, y)]
            } else {
                self.outside
            };
            *value = scaled(*value, mask);
        }
    }
}

/// Product of two shares of the whole.
pub(super) fn scaled(a: u16, b: u16) -> u16 {
    let full = u32::from(FULL);
    ((u32::from(a) * u32::from(b) + full / 2) / full) as u16
}

/// What may be painted on.
#[derive(Debug, Clone)]
pub(super) struct Clip {
    pub(super) area: Area,
    pub(super) mask: Option<Rc<Mask>>,
}
