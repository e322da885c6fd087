//! Coons and tensor-product patches as triangles. Source: ISO 32000-2, 8.7.4.5.7 and 8.7.4.5.8.
//!
//! A patch is cut into cells along u and v and every cell into four triangles round its middle, so that bilinear colours
//! keep their mean. How finely an edge is cut depends on that edge alone: neighbours share its points and leave no
//! gap, whatever they are cut into inside.

use kurbo::{Point, Rect, Vec2};

use super::super::area::Area;
use super::cover::Corner;

/// Farthest that an edge may be from its curve, and the inside from its surface, pixels.
const EDGE: f64 = 0.01;
const INSIDE: f64 = 0.2;
/// Cells are about as large, pixels, until there are as many along a side; curves need more.
const CELL: f64 = 16.0;
const MOST_FLAT: f64 = 16.0;
/// Most cells along a side.
const MOST: f64 = 128.0;

/// Places in `points[u][v]` of the points round the edge, as they follow each other in the data, and of those inside.
const ORDER: [(usize, usize); 16] = [
    (0, 0),
    (0, 1),
    (0, 2),
    (0, 3),
    (1, 3),
    (2, 3),
    (3, 3),
    (3, 2),
    (3, 1),
    (3, 0),
    (2, 0),
    (1, 0),
    (1, 1),
    (1, 2),
    (2, 2),
    (2, 1),
];

/// A bicubic patch in pixels; its colours are those of (u, v) = (0, 0), (0, 1), (1, 1) and (1, 0).
#[derive(Debug)]
pub(super) struct Patch {
    points: [[Point; 4]; 4],
    pub(super) colours: [Vec<f32>; 4],
}

impl Patch {
    /// Of 12 points round its edge, or of 16; four colours.
    pub(super) fn of(points: &[Point], colours: Vec<Vec<f32>>) -> Self {
        let mut grid = [[Point::ZERO; 4]; 4];
        for (&(u, v), &point) in ORDER.iter().zip(points) {
            grid[u][v] = point;
        }
        if points.len() < ORDER.len() {
            fill_inside(&mut grid);
        }
        let mut colours = colours.into_iter();
        Self {
            points: grid,
            colours: [(); 4].map(|()| colours.next().unwrap_or_default()),
        }
    }

    /// The four points and two colours that a patch shares whose flag is 1, 2 or 3.
    pub(super) fn edge(&self, flag: usize) -> (Vec<Point>, Vec<Vec<f32>>) {
        let point = |step: usize| {
            let (u, v) = ORDER[(3 * flag + step) % 12];
            self.points[u][v]
        };
        let colour = |at: usize| self.colours[at % 4].clone();
        (
            (0..4).map(point).collect(),
            vec![colour(flag), colour(flag + 1)],
        )
    }

    /// A rectangle that it lies within.
    pub(super) fn bounds(&self) -> Rect {
        let mut points = self.points.iter().flatten();
        let first = points.next().copied().unwrap_or_default();
        points.fold(Rect::from_points(first, first), |bounds, &point| {
            bounds.union_pt(point)
        })
    }

    /// Cells along u and v.
    pub(super) fn cells(&self) -> (usize, usize) {
        let (across, along) = (0..4).fold((0.0, 0.0), |(u, v): (f64, f64), at| {
            (
                u.max(inside_cells(self.along_u(at))),
                v.max(inside_cells(self.points[at])),
            )
        });
        let edge = |a, b| edge_cells(a).max(edge_cells(b));
        let u = across as usize;
        let v = along as usize;
        (
            u.next_power_of_two()
                .max(edge(self.along_u(0), self.along_u(3))),
            v.next_power_of_two()
                .max(edge(self.points[0], self.points[3])),
        )
    }

    fn along_u(&self, v: usize) -> [Point; 4] {
        self.points.map(|column| column[v])
    }

    /// Gives out its triangles, those of a larger v last and among these those of a larger u.
    ///
    /// `values` are what its colours are to be interpolated as; `cells` come from [`Patch::cells`].
    pub(super) fn triangles(
        &self,
        (cells, values): ((usize, usize), &[Vec<f32>; 4]),
        area: Area,
        found: &mut dyn FnMut([Corner<'_>; 3]),
    ) {
        let (mut above, mut middle) = (Line::default(), Line::default());
        let mut below = self.line((0, cells), values);
        for row in 0..cells.1 {
            std::mem::swap(&mut above, &mut below);
            below = self.line((row + 1, cells), values);
            self.middles((row, cells), values, &mut middle);
            for column in 0..cells.0 {
                let centre = middle.corner(column);
                let round = [
                    above.corner(column),
                    above.corner(column + 1),
                    below.corner(column + 1),
                    below.corner(column),
                ];
                if is_beyond(area, &round, centre) {
                    continue;
                }
                for at in 0..4 {
                    found([round[at], round[(at + 1) % 4], centre]);
                }
            }
        }
    }

    /// The points between cells along u, where v is `row` cells on.
    fn line(&self, (row, cells): (usize, (usize, usize)), values: &[Vec<f32>; 4]) -> Line {
        let v = row as f64 / cells.1 as f64;
        let curve = self.points.map(|column| on_curve(column, v));
        let is_edge = row == 0 || row == cells.1;
        let cuts = if is_edge { edge_cells(curve) } else { cells.0 };
        let mut line = Line::default();
        for column in 0..=cells.0 {
            let at = match column {
                0 => on_edge(self.points[0], (row, cells.1)),
                last if last == cells.0 => on_edge(self.points[3], (row, cells.1)),
                _ if cuts < cells.0 => on_edge(curve, (column, cells.0)),
                _ => on_curve(curve, column as f64 / cells.0 as f64),
            };
            line.push(at, values, (column as f64 / cells.0 as f64, v));
        }
        line
    }

    /// The middles of a row of cells.
    fn middles(
        &self,
        (row, cells): (usize, (usize, usize)),
        values: &[Vec<f32>; 4],
        line: &mut Line,
    ) {
        line.points.clear();
        line.values.clear();
        let v = (row as f64 + 0.5) / cells.1 as f64;
        let curve = self.points.map(|column| on_curve(column, v));
        for column in 0..cells.0 {
            let u = (column as f64 + 0.5) / cells.0 as f64;
            line.push(on_curve(curve, u), values, (u, v));
        }
    }
}

/// Points along u with what is interpolated at each.
#[derive(Default)]
struct Line {
    points: Vec<Point>,
    values: Vec<f32>,
}

impl Line {
    fn push(&mut self, at: Point, values: &[Vec<f32>; 4], (u, v): (f64, f64)) {
        let (u, v) = (u as f32, v as f32);
        self.points.push(at);
        let [c00, c01, c11, c10] = values;
        for (at, first) in c00.iter().enumerate() {
            let low = first + (c10[at] - first) * u;
            let high = c01[at] + (c11[at] - c01[at]) * u;
            self.values.push(low + (high - low) * v);
        }
    }

    fn corner(&self, column: usize) -> Corner<'_> {
        let count = self.values.len() / self.points.len();
        Corner {
            at: self.points[column],
            values: &self.values[column * count..(column + 1) * count],
        }
    }
}

fn is_beyond(area: Area, round: &[Corner<'_>; 4], centre: Corner<'_>) -> bool {
    let bounds = round
        .iter()
        .fold(Rect::from_points(centre.at, centre.at), |bounds, corner| {
            bounds.union_pt(corner.at)
        });
    area.touched(bounds).is_empty()
}

/// Control points inside that make a tensor-product patch of a Coons patch.
fn fill_inside(p: &mut [[Point; 4]; 4]) {
    let sum = |terms: [(f64, Point); 8]| {
        let sum = terms.iter().fold(Vec2::ZERO, |sum, (share, point)| {
            sum + point.to_vec2() * *share
        });
        (sum / 9.0).to_point()
    };
    // Each inside point from the corner that is nearest, its two neighbours, and so on across the patch.
    for (u, v) in [(1, 1), (1, 2), (2, 1), (2, 2)] {
        let (near_u, near_v) = (3 * (u / 2), 3 * (v / 2));
        let (far_u, far_v) = (3 - near_u, 3 - near_v);
        p[u][v] = sum([
            (-4.0, p[near_u][near_v]),
            (6.0, p[near_u][v]),
            (6.0, p[u][near_v]),
            (-2.0, p[near_u][far_v]),
            (-2.0, p[far_u][near_v]),
            (3.0, p[far_u][v]),
            (3.0, p[u][far_v]),
            (-1.0, p[far_u][far_v]),
        ]);
    }
}

/// Largest second difference of control points: how far a curve is from even steps along a line.
fn bend(curve: [Point; 4]) -> f64 {
    let bend =
        |a: Point, b: Point, c: Point| (a.to_vec2() + c.to_vec2() - 2.0 * b.to_vec2()).length();
    bend(curve[0], curve[1], curve[2]).max(bend(curve[1], curve[2], curve[3]))
}

/// Pieces of a curve that lie within a distance of it; the bound of the second derivative of a cubic.
fn pieces(curve: [Point; 4], within: f64) -> f64 {
    (0.75 * bend(curve) / within).sqrt().ceil().clamp(1.0, MOST)
}

/// Pieces of an edge, the same whichever end it is seen from.
fn edge_cells(curve: [Point; 4]) -> usize {
    (pieces(curve, EDGE) as usize).next_power_of_two()
}

/// Cells along a curve inside of a patch.
fn inside_cells(curve: [Point; 4]) -> f64 {
    let steps = curve.windows(2).map(|pair| pair[0].distance(pair[1]));
    let by_size = (steps.sum::<f64>() / CELL).clamp(1.0, MOST_FLAT);
    pieces(curve, INSIDE).max(by_size)
}

fn on_curve([a, b, c, d]: [Point; 4], t: f64) -> Point {
    if t <= 0.0 {
        return a;
    }
    if t >= 1.0 {
        return d;
    }
    let s = 1.0 - t;
    let sum = a.to_vec2() * (s * s * s)
        + b.to_vec2() * (3.0 * s * s * t)
        + c.to_vec2() * (3.0 * s * t * t)
        + d.to_vec2() * (t * t * t);
    sum.to_point()
}

/// A point on the polygon of an edge, at `step` of `steps`.
fn on_edge(curve: [Point; 4], (step, steps): (usize, usize)) -> Point {
    let cells = edge_cells(curve);
    let place = step * cells;
    let (piece, rest) = (place / steps, place % steps);
    let from = on_curve(curve, piece as f64 / cells as f64);
    if rest == 0 {
        return from;
    }
    let to = on_curve(curve, (piece + 1) as f64 / cells as f64);
    from.lerp(to, rest as f64 / steps as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn straight(from: Point, to: Point) -> [Point; 4] {
        [0.0, 1.0, 2.0, 3.0].map(|step| from.lerp(to, step / 3.0))
    }

    #[test]
    fn coons_patch_of_straight_edges_is_even_inside() {
        let corners = [(0.0, 0.0), (0.0, 9.0), (9.0, 9.0), (9.0, 0.0)].map(Point::from);
        let mut points = Vec::new();
        for at in 0..4 {
            points.extend(&straight(corners[at], corners[(at + 1) % 4])[..3]);
        }
        let patch = Patch::of(&points, vec![Vec::new(); 4]);
        for u in 0..4 {
            for v in 0..4 {
                let wanted = Point::new(3.0 * u as f64, 3.0 * v as f64);
                assert!(patch.points[u][v].distance(wanted) < 1e-9, "{u} {v}");
            }
        }
        let (points, _) = patch.edge(3);
        assert_eq!((points[0], points[3]), (corners[3], corners[0]));
    }

    #[test]
    fn an_edge_is_cut_alike_from_both_ends() {
        let curve = [(0.0, 0.0), (40.0, 90.0), (70.0, -30.0), (100.0, 20.0)].map(Point::from);
        let back = [curve[3], curve[2], curve[1], curve[0]];
        let steps = 4 * edge_cells(curve);
        assert_eq!(edge_cells(back), edge_cells(curve));
        for step in 0..=steps {
            let here = on_edge(curve, (step, steps));
            let there = on_edge(back, (steps - step, steps));
            assert!(here.distance(there) < 1e-9);
        }
    }
}
