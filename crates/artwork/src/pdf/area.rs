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

    pub(super) fn rect(self) -> kurbo::Rect {
        let [x0, y0, x1, y1] = [self.x0, self.y0, self.x1, self.y1].map(f64::from);
        kurbo::Rect::new(x0, y0, x1, y1)
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
        let area = self.area;
        let x1 = x0 + row.len() as i32;
        let (from, to) = (x0.max(area.x0).min(x1), x1.min(area.x1).max(x0));
        if y < area.y0 || y >= area.y1 || from >= to {
            return thin_by(row, self.outside);
        }
        let (before, rest) = row.split_at_mut((from - x0) as usize);
        let (inside, after) = rest.split_at_mut((to - from) as usize);
        thin_by(before, self.outside);
        thin_by(after, self.outside);
        let at = area.at(from, y);
        for (value, &mask) in inside.iter_mut().zip(&self.values[at..]) {
            *value = scaled(*value, mask);
        }
    }
}

fn thin_by(row: &mut [u16], mask: u16) {
    if mask < FULL {
        for value in row {
            *value = scaled(*value, mask);
        }
    }
}

/// Rounded division by the whole of 16 bits, for products of two shares.
///
/// Shifts in place of a division; a test compares them.
pub(super) fn by_full(product: u32) -> u32 {
    let rounded = product + (1 << 15);
    (rounded + (rounded >> 16)) >> 16
}

/// Product of two shares of the whole.
pub(super) fn scaled(a: u16, b: u16) -> u16 {
    by_full(u32::from(a) * u32::from(b)) as u16
}

/// What may be painted on.
#[derive(Debug, Clone)]
pub(super) struct Clip {
    pub(super) area: Area,
    pub(super) mask: Option<Rc<Mask>>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shifts_divide_exactly() {
        let full = u32::from(FULL);
        let edges = (0..=full).flat_map(|n| [n * full, (n * full).saturating_sub(full / 2)]);
        let spread = (0..=full * 64).map(|n| n.wrapping_mul(65_521) % (full * full + 1));
        for product in edges.chain(spread) {
            let exact = (u64::from(product) + u64::from(full / 2)) / u64::from(full);
            assert_eq!(u64::from(by_full(product)), exact, "{product}");
        }
    }

    #[test]
    fn mask_hides_beyond_itself() {
        let area = Area {
            x0: 2,
            y0: 1,
            x1: 4,
            y1: 2,
        };
        let mask = Mask {
            area,
            values: vec![FULL, FULL / 2],
            outside: 0,
        };
        let mut row = [FULL; 6];
        mask.thin(1, 0, &mut row);
        assert_eq!(row, [0, 0, FULL, FULL / 2, 0, 0]);
        mask.thin(0, 0, &mut row);
        assert_eq!(row, [0; 6]);
    }
}
