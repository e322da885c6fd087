//! What is left of a triangle once it is cut to rows and columns of pixels.

use kurbo::{Point, Vec2};

/// Smallest area that counts, pixels.
pub(super) const LEAST: f64 = 1e-9;

#[derive(Clone, Copy)]
pub(super) enum Axis {
    X,
    Y,
}

impl Axis {
    fn of(self, point: Point) -> f64 {
        match self {
            Self::X => point.x,
            Self::Y => point.y,
        }
    }

    /// Where a line from one point to another meets a border.
    fn met(self, from: Point, to: Point, border: f64) -> Point {
        let share = (border - self.of(from)) / (self.of(to) - self.of(from));
        let met = from.lerp(to, share);
        match self {
            Self::X => Point::new(border, met.y),
            Self::Y => Point::new(met.x, border),
        }
    }
}

/// A polygon without bays: seven corners at most once a triangle is cut to a pixel.
#[derive(Clone, Copy)]
pub(super) struct Polygon {
    points: [Point; 8],
    count: usize,
}

impl Polygon {
    /// A triangle.
    pub(super) fn of([a, b, c]: [Point; 3]) -> Self {
        let mut points = [Point::ZERO; 8];
        points[..3].copy_from_slice(&[a, b, c]);
        Self { points, count: 3 }
    }

    fn points(&self) -> &[Point] {
        &self.points[..self.count]
    }

    fn push(&mut self, point: Point) {
        if let Some(place) = self.points.get_mut(self.count) {
            *place = point;
            self.count += 1;
        }
    }

    /// The part from a border up to one pixel on.
    pub(super) fn between(mut self, axis: Axis, border: f64) -> Self {
        let points = self.points().iter();
        let (least, most) = points
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), &point| {
                (low.min(axis.of(point)), high.max(axis.of(point)))
            });
        if least < border {
            self = self.cut(axis, border, 1.0);
        }
        if most > border + 1.0 {
            self = self.cut(axis, border + 1.0, -1.0);
        }
        self
    }

    /// The part beyond a border, or before it where the sign is negative.
    fn cut(&self, axis: Axis, border: f64, sign: f64) -> Self {
        let mut kept = Self {
            points: [Point::ZERO; 8],
            count: 0,
        };
        let Some(&(mut last)) = self.points().last() else {
            return kept;
        };
        let beyond = |point: Point| (axis.of(point) - border) * sign;
        for &point in self.points() {
            let (before, here) = (beyond(last), beyond(point));
            if (before < 0.0 && here > 0.0) || (before > 0.0 && here < 0.0) {
                // From the lower end, so that both sides of an edge meet the border in the same point.
                let (from, to) = if (last.y, last.x) <= (point.y, point.x) {
                    (last, point)
                } else {
                    (point, last)
                };
                kept.push(axis.met(from, to, border));
            }
            if here >= 0.0 {
                kept.push(point);
            }
            last = point;
        }
        kept
    }

    /// The first and the last place along a row.
    pub(super) fn extent(&self) -> (f64, f64) {
        let points = self.points().iter();
        points.fold(
            (f64::INFINITY, f64::NEG_INFINITY),
            |(left, right), point| (left.min(point.x), right.max(point.x)),
        )
    }

    /// From where to where the strip is as high as a row that starts at `y`.
    pub(super) fn whole(&self, y: f64) -> (f64, f64) {
        let along = |border: f64| {
            // Cutting puts points on the border exactly.
            let points = self.points().iter();
            let points = points.filter(|point| point.y.total_cmp(&border).is_eq());
            points.fold(
                (f64::INFINITY, f64::NEG_INFINITY),
                |(left, right), point| (left.min(point.x), right.max(point.x)),
            )
        };
        let (top, bottom) = (along(y), along(y + 1.0));
        (top.0.max(bottom.0), top.1.min(bottom.1))
    }

    /// Area and centre.
    pub(super) fn mass(&self) -> (f64, Point) {
        let [first, rest @ ..] = self.points() else {
            return (0.0, Point::ZERO);
        };
        let (mut area, mut moment) = (0.0, Vec2::ZERO);
        for pair in rest.windows(2) {
            let (a, b) = (pair[0] - *first, pair[1] - *first);
            let part = a.cross(b) / 2.0;
            area += part;
            moment += (a + b) * (part / 3.0);
        }
        if area.abs() <= LEAST {
            return (0.0, *first);
        }
        (area.abs(), *first + moment / area)
    }
}
