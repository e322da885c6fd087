//! Paths to coverage: the exact area of each pixel that a path covers.
//!
//! Every edge adds its signed area to the cells it crosses; a running sum along the row gives the winding, averaged
//! over the pixel. Where edges of one path overlap inside a pixel the average is not exact; inside shapes it is.

use kurbo::{BezPath, PathEl, Point, Rect, Vec2};

use super::area::Area;
use crate::coverage::FULL;

/// Farthest a curve may be from its polygon, pixels.
const FLATNESS: f64 = 0.01;

/// Which points are inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rule {
    NonZero,
    EvenOdd,
}

/// A path as a polygon, in pixels; may be filled at several places.
#[derive(Debug)]
pub(super) struct Outline {
    lines: Vec<(Point, Point)>,
    bounds: Rect,
}

impl Outline {
    pub(super) fn of(path: &BezPath) -> Self {
        let bounds = path.control_box();
        let mut lines = Vec::new();
        if bounds.is_finite() {
            let (mut start, mut last) = (Point::ZERO, Point::ZERO);
            kurbo::flatten(path, FLATNESS, |element| match element {
                PathEl::MoveTo(point) => {
                    lines.push((last, start));
                    (start, last) = (point, point);
                }
                PathEl::LineTo(point) => {
                    lines.push((last, point));
                    last = point;
                }
                PathEl::ClosePath => {
                    lines.push((last, start));
                    last = start;
                }
                // Flattening leaves no curves.
                _ => {}
            });
            lines.push((last, start));
        }
        Self { lines, bounds }
    }

    /// How many lines the polygon has.
    pub(super) fn len(&self) -> usize {
        self.lines.len()
    }
}

/// Turns outlines into rows of coverage; keeps its buffer.
#[derive(Debug, Default)]
pub(super) struct Filler {
    cells: Vec<f32>,
    spans: Vec<(u32, u32)>,
    row: Vec<u16>,
}

/// A row of coverage: its line, its first column, and the share of each pixel.
pub(super) type Row<'a> = (i32, i32, &'a mut [u16]);

impl Filler {
    /// Calls `emit` for every row that an outline, moved by `offset`, covers inside the area; returns the cells that
    /// were visited.
    pub(super) fn fill(
        &mut self,
        (outline, offset): (&Outline, Vec2),
        rule: Rule,
        area: Area,
        mut emit: impl FnMut(Row<'_>),
    ) -> u64 {
        let bounds = outline.bounds + offset;
        if !bounds.is_finite() {
            return 0;
        }
        let area = area.touched(bounds);
        if area.is_empty() {
            return 0;
        }
        let stride = area.width() + 2;
        self.cells.clear();
        self.cells.resize(stride * area.height(), 0.0);
        self.spans.clear();
        self.spans.resize(area.height(), (u32::MAX, 0));
        let moved = offset - Vec2::new(f64::from(area.x0), f64::from(area.y0));
        for (from, to) in &outline.lines {
            self.edge(*from + moved, *to + moved, area);
        }
        let mut visited = stride as u64;
        for line in 0..area.height() {
            let (first, last) = self.spans[line];
            if first > last {
                continue;
            }
            let (first, last) = (first as usize, (last as usize).min(area.width() - 1));
            let cells = &self.cells[line * stride..(line + 1) * stride];
            self.row.clear();
            let mut sum = 0.0;
            for (x, cell) in cells.iter().enumerate().take(area.width()).skip(first) {
                sum += cell;
                if x > last && sum.abs() < 1e-4 {
                    break;
                }
                self.row.push(share(sum, rule));
            }
            visited += self.row.len() as u64;
            if !self.row.is_empty() {
                emit((area.y0 + line as i32, area.x0 + first as i32, &mut self.row));
            }
        }
        visited
    }

    /// Splits an edge where it leaves the area; left of it counts as its left side, right of it not at all.
    fn edge(&mut self, from: Point, to: Point, area: Area) {
        if !(from.is_finite() && to.is_finite()) || (from.y - to.y).abs() <= 0.0 {
            return;
        }
        let (height, width) = (area.height() as f64, area.width() as f64);
        let (sign, top, bottom) = if from.y < to.y {
            (1.0, from, to)
        } else {
            (-1.0, to, from)
        };
        let slope = (bottom.x - top.x) / (bottom.y - top.y);
        let at = |y: f64| top.x + (y - top.y) * slope;
        let (y0, y1) = (top.y.max(0.0), bottom.y.min(height));
        if y0 >= y1 {
            return;
        }
        let mut cuts = [y0, y1, y0, y0];
        let mut n = 2;
        for border in [0.0, width] {
            let y = top.y + (border - top.x) / slope;
            if y > y0 && y < y1 {
                cuts[n] = y;
                n += 1;
            }
        }
        let cuts = &mut cuts[..n];
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.windows(2) {
            let middle = at(f64::midpoint(pair[0], pair[1]));
            if middle < width {
                let (x0, x1) = (at(pair[0]).clamp(0.0, width), at(pair[1]).clamp(0.0, width));
                let x = if middle < 0.0 { (0.0, 0.0) } else { (x0, x1) };
                self.piece(sign, x, (pair[0], pair[1]), area.width() + 2);
            }
        }
    }

    /// An edge inside the area, row by row.
    fn piece(&mut self, sign: f64, (x0, x1): (f64, f64), (y0, y1): (f64, f64), stride: usize) {
        let slope = (x1 - x0) / (y1 - y0);
        let mut y = y0;
        let mut x = x0;
        while y < y1 {
            let line = y as usize;
            if line >= self.spans.len() {
                break;
            }
            let next = (line as f64 + 1.0).min(y1);
            let height = next - y;
            let end = (x + slope * height).clamp(x0.min(x1), x0.max(x1));
            self.cross(line * stride, line, sign * height, (x.min(end), x.max(end)));
            (x, y) = (end, next);
        }
    }

    /// Spreads the signed height of an edge between two columns over the cells of one row.
    fn cross(&mut self, from: usize, line: usize, height: f64, (left, right): (f64, f64)) {
        let (first, last) = (left as usize, right as usize);
        let span = &mut self.spans[line];
        *span = (span.0.min(first as u32), span.1.max(last as u32 + 1));
        let cells = &mut self.cells[from..];
        if first == last {
            let inside = height * (1.0 - (f64::midpoint(left, right) - first as f64));
            cells[first] += inside as f32;
            cells[first + 1] += (height - inside) as f32;
            return;
        }
        // The covered area right of the edge grows as a parabola, a line, and a parabola.
        let per_column = height / (right - left);
        let mut before = 0.0;
        for (column, cell) in cells.iter_mut().enumerate().take(last + 1).skip(first) {
            let edge = column as f64 + 1.0;
            let (begin, end) = ((column as f64).max(left), edge.min(right));
            let inside = per_column * (end - begin) * (edge - f64::midpoint(begin, end));
            let passed = per_column * (begin - left);
            *cell += (inside + passed - before) as f32;
            before = inside + passed;
        }
        cells[last + 1] += (height - before) as f32;
    }
}

fn share(winding: f32, rule: Rule) -> u16 {
    let winding = winding.abs();
    let share = match rule {
        Rule::NonZero => winding.min(1.0),
        Rule::EvenOdd => {
            let rest = winding % 2.0;
            if rest > 1.0 { 2.0 - rest } else { rest }
        }
    };
    (share * f32::from(FULL) + 0.5) as u16
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Affine, Circle, Rect, Shape as _};

    fn covered(path: &BezPath, rule: Rule) -> f64 {
        let mut sum = 0.0;
        let outline = (&Outline::of(path), Vec2::ZERO);
        Filler::default().fill(outline, rule, Area::new(40, 30), |(_, _, row)| {
            sum += row.iter().map(|&v| f64::from(v)).sum::<f64>();
        });
        sum / f64::from(FULL)
    }

    #[test]
    fn rectangles_are_exact() {
        let path = Rect::new(1.25, 2.5, 11.75, 9.125).to_path(0.1);
        assert!((covered(&path, Rule::NonZero) - 10.5 * 6.625).abs() < 1e-3);
    }

    #[test]
    fn slanted_shapes_are_exact() {
        let turned = Affine::rotate_about(0.3, Point::new(20.0, 15.0));
        let path = turned * Rect::new(10.0, 10.0, 30.0, 20.0).to_path(0.1);
        assert!((covered(&path, Rule::NonZero) - 200.0).abs() < 0.01);
        let circle = Circle::new((20.0, 15.0), 10.0).to_path(0.001);
        assert!((covered(&circle, Rule::NonZero) - std::f64::consts::PI * 100.0).abs() < 1.0);
    }

    #[test]
    fn shapes_beyond_the_page_are_cut() {
        let path = Rect::new(-1e7, -1e7, 1e7, 1e7).to_path(0.1);
        assert!((covered(&path, Rule::NonZero) - 1200.0).abs() < 1e-3);
        let diamond = BezPath::from_svg("M -20 15 L 20 -25 L 60 15 L 20 55 Z").unwrap();
        assert!((covered(&diamond, Rule::NonZero) - 1200.0).abs() < 0.01);
    }

    #[test]
    fn holes_follow_the_rule() {
        let mut path = Rect::new(5.0, 5.0, 25.0, 25.0).to_path(0.1);
        path.extend(Rect::new(10.0, 10.0, 20.0, 20.0).to_path(0.1));
        assert!((covered(&path, Rule::EvenOdd) - 300.0).abs() < 1e-2);
        assert!((covered(&path, Rule::NonZero) - 400.0).abs() < 1e-2);
    }
}
