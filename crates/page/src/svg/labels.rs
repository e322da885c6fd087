//! Puts labels where they cover nothing.

/// A rectangle by its corners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rect {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Rect {
    /// Around a centre.
    pub(crate) fn around(centre: (f64, f64), size: (f64, f64)) -> Self {
        Self {
            left: centre.0 - size.0 / 2.0,
            top: centre.1 - size.1 / 2.0,
            right: centre.0 + size.0 / 2.0,
            bottom: centre.1 + size.1 / 2.0,
        }
    }

    /// Its centre.
    pub(crate) fn centre(self) -> (f64, f64) {
        (
            f64::midpoint(self.left, self.right),
            f64::midpoint(self.top, self.bottom),
        )
    }

    fn overlap(self, other: Self) -> f64 {
        let wide = self.right.min(other.right) - self.left.max(other.left);
        let high = self.bottom.min(other.bottom) - self.top.max(other.top);
        if wide > 0.0 && high > 0.0 {
            wide * high
        } else {
            0.0
        }
    }

    fn outside(self, bounds: Self) -> bool {
        self.left < bounds.left
            || self.right > bounds.right
            || self.top < bounds.top
            || self.bottom > bounds.bottom
    }
}

/// Remembers what is taken.
#[derive(Debug)]
pub(crate) struct Placer {
    bounds: Rect,
    taken: Vec<Rect>,
}

/// Directions that are tried, best first: right above, right below, left above, left below, then the four straight ones.
const DIRECTIONS: [(f64, f64); 8] = [
    (0.8, -0.8),
    (0.8, 0.8),
    (-0.8, -0.8),
    (-0.8, 0.8),
    (0.0, -1.0),
    (1.0, 0.0),
    (0.0, 1.0),
    (-1.0, 0.0),
];

/// Distances from the anchor to the label's edge that are tried.
const DISTANCES: [f64; 6] = [5.0, 10.0, 18.0, 28.0, 40.0, 55.0];

/// Free space kept around a label.
const APART: f64 = 2.0;

impl Placer {
    /// Nothing is taken yet.
    pub(crate) fn within(bounds: Rect) -> Self {
        Self {
            bounds,
            taken: Vec::new(),
        }
    }

    /// Keeps labels off a rectangle.
    pub(crate) fn take(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Keeps labels off a line.
    pub(crate) fn take_line(&mut self, points: &[(f64, f64)]) {
        for pair in points.windows(2) {
            let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
            let steps = ((x2 - x1).abs().max((y2 - y1).abs()) / 4.0).ceil().max(1.0);
            for step in 0..=steps as usize {
                let share = step as f64 / steps;
                let at = (x1 + (x2 - x1) * share, y1 + (y2 - y1) * share);
                self.taken.push(Rect::around(at, (3.0, 3.0)));
            }
        }
    }

    /// A place for a label near an anchor: the first that is free, else the one that covers least. It is taken from then on.
    pub(crate) fn near(&mut self, anchor: (f64, f64), size: (f64, f64)) -> Rect {
        let tried = DISTANCES.iter().flat_map(|distance| {
            DIRECTIONS.iter().map(move |(dx, dy)| {
                let centre = (
                    anchor.0 + dx * (distance + size.0 / 2.0),
                    anchor.1 + dy * (distance + size.1 / 2.0),
                );
                Rect::around(centre, size)
            })
        });
        let rect = self.best(tried).unwrap_or(Rect::around(anchor, size));
        self.take(rect);
        rect
    }

    /// A place in the column right of an anchor, moved up or down as little as possible.
    pub(crate) fn beside(&mut self, anchor: (f64, f64), size: (f64, f64)) -> Rect {
        let shifts = (0..60).map(|n| {
            let step = f64::from((n + 1) / 2) * 4.0;
            if n % 2 == 0 { step } else { -step }
        });
        let tried = shifts
            .map(|shift| Rect::around((anchor.0 + 6.0 + size.0 / 2.0, anchor.1 + shift), size));
        let rect = self.best(tried).unwrap_or(Rect::around(anchor, size));
        self.take(rect);
        rect
    }

    fn best(&self, tried: impl Iterator<Item = Rect>) -> Option<Rect> {
        let mut best: Option<(f64, Rect)> = None;
        for rect in tried.filter(|rect| !rect.outside(self.bounds)) {
            let apart = Rect {
                left: rect.left - APART,
                top: rect.top - APART,
                right: rect.right + APART,
                bottom: rect.bottom + APART,
            };
            let covered: f64 = self.taken.iter().map(|other| apart.overlap(*other)).sum();
            if covered == 0.0 {
                return Some(rect);
            }
            if best.is_none_or(|(least, _)| covered < least) {
                best = Some((covered, rect));
            }
        }
        best.map(|(_, rect)| rect)
    }
}

/// Width of text of a drawing, in its units, a little on the wide side for the usual sans-serif faces.
pub(crate) fn text_width(text: &str) -> f64 {
    let width = |c: char| match c {
        '.' | ',' | ':' | ';' | 'i' | 'j' | 'l' | '|' | '\'' | 'I' | 't' | 'f' | 'r' | '\u{a0}'
        | ' ' | '(' | ')' | '/' => 0.34,
        'm' | 'w' | 'M' | 'W' | '%' | '@' => 0.92,
        c if c.is_ascii_uppercase() => 0.72,
        c if c.is_ascii() => 0.58,
        _ => 0.9,
    };
    super::LETTERS_HIGH * text.chars().map(width).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn crowded_labels_stay_apart() {
        let bounds = Rect::around((100.0, 100.0), (200.0, 200.0));
        let mut placer = Placer::within(bounds);
        let placed: Vec<Rect> = (0..12)
            .map(|n| placer.near((100.0 + f64::from(n % 3), 100.0), (16.0, 14.0)))
            .collect();
        for (at, one) in placed.iter().enumerate() {
            assert!(!one.outside(bounds));
            for other in &placed[at + 1..] {
                assert!(one.overlap(*other) <= 0.0, "{one:?} {other:?}");
            }
        }
    }

    #[test]
    fn labels_keep_off_lines() {
        let mut placer = Placer::within(Rect::around((50.0, 50.0), (100.0, 100.0)));
        placer.take_line(&[(0.0, 50.0), (100.0, 50.0)]);
        let rect = placer.near((50.0, 50.0), (20.0, 14.0));
        assert!(rect.bottom < 49.0 || rect.top > 51.0, "{rect:?}");
    }
}
