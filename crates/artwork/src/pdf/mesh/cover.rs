//! Triangles to the exact share of each pixel that they cover, later ones over earlier ones.
//!
//! Shares of triangles that lie beside each other in a pixel add up, without gap and without counting twice; where they lie
//! over each other is told by 8 x 8 places of the pixel, of which neighbours never share one.

use kurbo::{Point, Rect};

use super::super::area::Area;
use super::polygon::{Axis, LEAST, Polygon};
use crate::coverage::FULL;

/// Places along a side of a pixel.
const PLACES: usize = 8;
/// How far the first place of each line is from the left, in steps between places: each line its own, so that slivers
/// meet some of them.
const ASIDE: [f64; PLACES] = [
    0.0625, 0.5625, 0.3125, 0.8125, 0.1875, 0.6875, 0.4375, 0.9375,
];
/// Weights of the corners at the middle of a triangle.
const ALIKE: [f32; 3] = [1.0 / 3.0; 3];
/// Work for a triangle, for each of its rows, and for each pixel across its edge, in painted pixels.
const PER_TRIANGLE: u64 = 80;
const PER_ROW: u64 = 200;
const PER_CUT: u64 = 150;

/// A corner in pixels, with the values that are interpolated between corners.
#[derive(Debug, Clone, Copy)]
pub(super) struct Corner<'v> {
    pub(super) at: Point,
    pub(super) values: &'v [f32],
}

/// Turns interpolated values into tones of 0 to all of 16 bits.
pub(super) type Colour<'c> = dyn FnMut(&[f32], &mut [f32]) + 'c;

/// What lies on each pixel.
#[derive(Debug, Default)]
struct Layer {
    /// Share of each pixel that is covered.
    cover: Vec<f32>,
    /// Places of each pixel that are covered.
    places: Vec<u64>,
    /// Tones times the share, ink by ink for each pixel.
    sums: Vec<f32>,
}

impl Layer {
    fn of(pixels: usize, inks: usize) -> Self {
        Self {
            cover: vec![0.0; pixels],
            places: vec![0; pixels],
            sums: vec![0.0; pixels * inks],
        }
    }
}

/// Rows of pixels that triangles are painted on.
#[derive(Debug)]
pub(super) struct Canvas {
    pub(super) area: Area,
    inks: usize,
    /// What lies beside each other in a pixel.
    over: Layer,
    /// What that lies on; empty until triangles lie on each other.
    under: Layer,
    tones: Vec<f32>,
    values: Vec<f32>,
}

impl Canvas {
    /// Bytes that it takes for each pixel.
    pub(super) fn bytes_a_pixel(inks: usize) -> usize {
        2 * (4 + 8 + 4 * inks)
    }

    /// Blank rows.
    pub(super) fn new(area: Area, inks: usize) -> Self {
        Self {
            area,
            inks,
            over: Layer::of(area.pixels(), inks),
            under: Layer::default(),
            tones: vec![0.0; inks],
            values: Vec::new(),
        }
    }

    /// Share and tones of a pixel; `None` where nothing is.
    pub(super) fn pixel(
        &mut self,
        x: i32,
        y: i32,
    ) -> Option<(u16, impl Iterator<Item = u16> + use<'_>)> {
        let area = self.area;
        if !(area.x0..area.x1).contains(&x) || !(area.y0..area.y1).contains(&y) {
            return None;
        }
        let at = area.at(x, y);
        let shown = if self.under.cover.get(at).is_some_and(|&cover| cover > 0.0) {
            self.flatten(at);
            &self.under
        } else {
            &self.over
        };
        let cover = shown.cover[at];
        let sums = &shown.sums[at * self.inks..(at + 1) * self.inks];
        let full = f32::from(FULL);
        let share = (cover * full + 0.5) as u16;
        (share > 0).then(|| {
            let tones = sums
                .iter()
                .map(move |sum| (sum / cover + 0.5).min(full) as u16);
            (share, tones)
        })
    }

    /// Paints a triangle; returns the work.
    pub(super) fn triangle(&mut self, corners: &[Corner<'_>; 3], colour: &mut Colour<'_>) -> u64 {
        let Some(triangle) = Triangle::of(corners.map(|corner| corner.at)) else {
            return PER_TRIANGLE;
        };
        let area = self.area.touched(triangle.bounds);
        let mut work = PER_TRIANGLE;
        if area.pixels() == 1 && triangle.is_within(area) {
            self.mix(ALIKE, corners, colour);
            let places = places(&triangle.spans(area.y0), area.x0);
            let share = (triangle.double.abs() / 2.0) as f32;
            self.add(self.area.at(area.x0, area.y0), share, places);
            work += PER_ROW;
        } else if !area.is_empty() {
            for y in area.y0..area.y1 {
                work += PER_ROW + self.row((&triangle, corners), (area, y), colour);
            }
        }
        work
    }

    fn row(
        &mut self,
        (triangle, corners): (&Triangle, &[Corner<'_>; 3]),
        (area, y): (Area, i32),
        colour: &mut Colour<'_>,
    ) -> u64 {
        let strip = Polygon::of(triangle.corners).between(Axis::Y, f64::from(y));
        let (left, right) = strip.extent();
        let (from, to) = (
            (left.floor() as i32).max(area.x0),
            (right.ceil() as i32).min(area.x1),
        );
        let whole = strip.whole(f64::from(y));
        let spans = triangle.spans(y);
        let mut work = 0;
        for x in from..to {
            let (share, centre, places) =
                if f64::from(x) >= whole.0 && f64::from(x) + 1.0 <= whole.1 {
                    work += 2 + self.inks as u64;
                    let centre = Point::new(f64::from(x) + 0.5, f64::from(y) + 0.5);
                    (1.0, centre, u64::MAX)
                } else {
                    work += PER_CUT + self.inks as u64;
                    let (share, centre) = strip.between(Axis::X, f64::from(x)).mass();
                    (share, centre, places(&spans, x))
                };
            if share > LEAST {
                self.mix(triangle.weights(centre), corners, colour);
                self.add(self.area.at(x, y), share as f32, places);
            }
        }
        work
    }

    /// Tones of a point that lies so near to each corner.
    fn mix(&mut self, weights: [f32; 3], corners: &[Corner<'_>; 3], colour: &mut Colour<'_>) {
        self.values.clear();
        let [a, b, c] = corners.each_ref().map(|corner| corner.values);
        for (at, first) in a.iter().enumerate() {
            self.values
                .push(first * weights[0] + b[at] * weights[1] + c[at] * weights[2]);
        }
        colour(&self.values, &mut self.tones);
    }

    /// Lays the mixed tones over a share of a pixel.
    fn add(&mut self, at: usize, share: f32, places: u64) {
        let is_whole = places == u64::MAX && share >= 1.0;
        if is_whole {
            self.over.cover[at] = 0.0;
            if let Some(cover) = self.under.cover.get_mut(at) {
                *cover = 0.0;
                self.under.places[at] = 0;
            }
        } else if self.over.places[at] & places != 0 {
            self.flatten(at);
        }
        let over = &mut self.over;
        let before = over.cover[at];
        // Slivers without a place may lie over each other; what does not fit beside the rest does.
        let hidden = (before + share - 1.0).clamp(0.0, before);
        let kept = kept(before, hidden);
        let sums = &mut over.sums[at * self.inks..(at + 1) * self.inks];
        for (sum, tone) in sums.iter_mut().zip(&self.tones) {
            *sum = *sum * kept + tone * share;
        }
        over.cover[at] = (before - hidden + share).min(1.0);
        over.places[at] |= places;
    }

    /// Lays what is on top of a pixel down on the rest, and leaves nothing on top.
    fn flatten(&mut self, at: usize) {
        let (inks, pixels) = (self.inks, self.area.pixels());
        if self.under.cover.is_empty() {
            self.under = Layer::of(pixels, inks);
        }
        let (over, under) = (&mut self.over, &mut self.under);
        let (share, places) = (over.cover[at], over.places[at]);
        let before = under.cover[at];
        let common = (places & under.places[at]).count_ones() as f32;
        let count = places.count_ones().max(1) as f32;
        let hidden = (share * common / count).max(before + share - 1.0);
        let hidden = hidden.clamp(0.0, before);
        let kept = kept(before, hidden);
        let sums = at * inks..(at + 1) * inks;
        let top = &mut over.sums[sums.clone()];
        for (sum, top) in under.sums[sums].iter_mut().zip(top) {
            *sum = *sum * kept + *top;
            *top = 0.0;
        }
        under.cover[at] = (before - hidden + share).min(1.0);
        under.places[at] |= places;
        (over.cover[at], over.places[at]) = (0.0, 0);
    }
}

/// What is left of a share of which some is hidden.
fn kept(before: f32, hidden: f32) -> f32 {
    if before > 0.0 {
        (before - hidden) / before
    } else {
        0.0
    }
}

/// A triangle that covers something.
struct Triangle {
    corners: [Point; 3],
    bounds: Rect,
    /// Twice its area, with its sign.
    double: f64,
}

impl Triangle {
    fn of(corners: [Point; 3]) -> Option<Self> {
        let [a, b, c] = corners;
        let double = (b - a).cross(c - a);
        let is_sound = double.is_finite() && double.abs() > LEAST;
        is_sound.then(|| Self {
            corners,
            bounds: Rect::from_points(a, b).union_pt(c),
            double,
        })
    }

    /// Whether it lies within the pixels of an area.
    fn is_within(&self, area: Area) -> bool {
        area.rect().union(self.bounds) == area.rect()
    }

    /// How near a point lies to each corner, together 1.
    fn weights(&self, point: Point) -> [f32; 3] {
        let [a, b, c] = self.corners;
        let to = point - a;
        let second = (to.cross(c - a) / self.double).clamp(0.0, 1.0);
        let third = ((b - a).cross(to) / self.double).clamp(0.0, 1.0 - second);
        [1.0 - second - third, second, third].map(|weight| weight as f32)
    }

    /// The places that it reaches along each line of places of a row: the first, and the one after the last.
    ///
    /// An edge is reckoned the same way from both of its sides, so that each place is on one of them.
    fn spans(&self, y: i32) -> [(i32, i32); PLACES] {
        let [a, b, c] = self.corners;
        let edges = [(a, b), (b, c), (c, a)].map(|(from, to)| {
            let (top, bottom) = if (from.y, from.x) <= (to.y, to.x) {
                (from, to)
            } else {
                (to, from)
            };
            (top, bottom.y, (bottom.x - top.x) / (bottom.y - top.y))
        });
        let mut spans = [(0, 0); PLACES];
        for (line, (span, aside)) in spans.iter_mut().zip(ASIDE).enumerate() {
            let y = f64::from(y) + (line as f64 + 0.5) / PLACES as f64;
            let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
            for (top, bottom, slope) in edges {
                if top.y <= y && y < bottom {
                    let x = top.x + (y - top.y) * slope;
                    (left, right) = (left.min(x), right.max(x));
                }
            }
            if left < right {
                let place = |x: f64| (x * PLACES as f64 - aside).ceil() as i32;
                *span = (place(left), place(right));
            }
        }
        spans
    }
}

/// Places of a pixel that lie in the spans, a bit each.
fn places(spans: &[(i32, i32); PLACES], x: i32) -> u64 {
    let most = PLACES as i32;
    let before = x.saturating_mul(most);
    let below = |place: i32| (1_u64 << place.saturating_sub(before).clamp(0, most)) - 1;
    spans.iter().fold(0, |held, &(first, end)| {
        held << PLACES | (below(end) & !below(first))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn painted(canvas: &mut Canvas, corners: [(f64, f64); 3], tone: f32) {
        let values = [tone];
        let corners = corners.map(|at| Corner {
            at: at.into(),
            values: &values,
        });
        canvas.triangle(&corners, &mut |values, tones| tones.copy_from_slice(values));
    }

    /// The share that is covered, and tones times shares, of all pixels together.
    fn sums(canvas: &mut Canvas) -> (f64, f64) {
        let layer = if canvas.under.cover.is_empty() {
            &canvas.over
        } else {
            (0..canvas.area.pixels()).for_each(|at| canvas.flatten(at));
            &canvas.under
        };
        let sum = |shares: &[f32]| shares.iter().map(|&share| f64::from(share)).sum();
        (sum(&layer.cover), sum(&layer.sums))
    }

    #[test]
    fn a_fan_of_slivers_leaves_no_seam() {
        let mut canvas = Canvas::new(Area::new(20, 20), 1);
        let rim: Vec<(f64, f64)> = (0..=400)
            .map(|step| {
                let place = f64::from(step) / 100.0;
                let along = place.fract() * 20.0;
                match place as u32 {
                    0 => (along, 0.0),
                    1 => (20.0, along),
                    2 => (20.0 - along, 20.0),
                    3 => (0.0, 20.0 - along),
                    _ => (0.0, 0.0),
                }
            })
            .collect();
        for pair in rim.windows(2) {
            painted(&mut canvas, [(7.3, 11.9), pair[0], pair[1]], 1.0);
        }
        for (at, &share) in canvas.over.cover.iter().enumerate() {
            assert!((share - 1.0).abs() < 1e-4, "{at}: {share}");
        }
        assert!((sums(&mut canvas).1 - 400.0).abs() < 1e-2);
    }

    #[test]
    fn what_lies_over_the_rest_replaces_it() {
        let mut canvas = Canvas::new(Area::new(20, 20), 1);
        let shape = [(1.3, 2.7), (17.1, 4.2), (6.6, 18.9)];
        let area = (15.8 * 16.2 - 1.5 * 5.3) / 2.0;
        painted(&mut canvas, shape, 1.0);
        assert!((sums(&mut canvas).0 - area).abs() < 1e-3);
        painted(&mut canvas, shape, 3.0);
        let (cover, tones) = sums(&mut canvas);
        // Corners of pixels too small for a place may count twice.
        assert!((cover - area).abs() < 0.1, "{cover}");
        assert!((tones - 3.0 * area).abs() < 0.003 * area, "{tones}");
        // The other way round it is the same triangle.
        let [a, b, c] = shape;
        painted(&mut canvas, [b, a, c], 2.0);
        assert!((sums(&mut canvas).0 - area).abs() < 0.1);
    }

    #[test]
    fn tones_are_exact_over_cut_pixels() {
        let mut canvas = Canvas::new(Area::new(9, 9), 1);
        let places = [(0.4, 0.7), (8.2, 1.1), (3.3, 7.6)];
        let values = [[3.0], [6.0], [9.0]];
        let corners = [0, 1, 2].map(|at| Corner {
            at: places[at].into(),
            values: &values[at],
        });
        canvas.triangle(&corners, &mut |values, tones| tones.copy_from_slice(values));
        let (cover, tones) = sums(&mut canvas);
        assert!((tones / cover - 6.0).abs() < 1e-4, "{}", tones / cover);
    }
}
