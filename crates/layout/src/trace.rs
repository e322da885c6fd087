//! Positions of the pieces and order of the cuts, read back from the table of counts.

use crate::guillotine::{Problem, Table};
use crate::ticks::{Rect, mm};

/// Pieces on one sheet and the cuts that separate them. Lengths in mm from the sheet's first corner.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetCut {
    /// Number of pieces: the most that guillotine cuts give.
    pub count: u32,
    /// Where each piece lies.
    pub pieces: Vec<PlacedPiece>,
    /// The cuts between pieces, in an order in which each runs through the part that it cuts from edge to edge.
    pub cuts: Vec<CutLine>,
    /// Growth of the sheet's width that gains one more piece; `None` if no width does.
    pub slack_width_mm: Option<f64>,
    /// Growth of the sheet's height that gains one more piece; `None` if no height does.
    pub slack_height_mm: Option<f64>,
}

impl SheetCut {
    /// The smaller growth of one edge that gains one more piece, in mm.
    pub fn slack_mm(&self) -> Option<f64> {
        match (self.slack_width_mm, self.slack_height_mm) {
            (Some(width), Some(height)) => Some(width.min(height)),
            (one, other) => one.or(other),
        }
    }
}

/// One piece on the sheet, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedPiece {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Extent along the sheet's width.
    pub width: f64,
    /// Extent along the sheet's height.
    pub height: f64,
}

/// One cut from edge to edge of the part that it divides, in mm; in the middle of the gap where there is one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutLine {
    /// Start, along the width.
    pub x1: f64,
    /// Start, along the height.
    pub y1: f64,
    /// End, along the width.
    pub x2: f64,
    /// End, along the height.
    pub y2: f64,
}

/// Reads the best layout of the problem's sheet back from a table that reaches beyond it.
pub(crate) fn trace(table: &Table, problem: &Problem) -> SheetCut {
    let mut tracer = Tracer {
        table,
        problem,
        pieces: Vec::new(),
        cuts: Vec::new(),
    };
    tracer.divide(Corner { x: 0, y: 0 }, problem.sheet);
    SheetCut {
        count: table.count(problem.sheet),
        pieces: tracer.pieces,
        cuts: tracer.cuts,
        slack_width_mm: table.slack_width(problem.sheet),
        slack_height_mm: table.slack_height(problem.sheet),
    }
}

#[derive(Clone, Copy)]
struct Corner {
    x: i64,
    y: i64,
}

struct Tracer<'a> {
    table: &'a Table,
    problem: &'a Problem,
    pieces: Vec<PlacedPiece>,
    cuts: Vec<CutLine>,
}

impl Tracer<'_> {
    /// A part that a plain grid fills as well is cut as a grid; any other is cut in two.
    fn divide(&mut self, at: Corner, part: Rect) {
        let Some((i, j)) = self.table.place(part) else {
            return;
        };
        let best = self.table.cell(i, j);
        let (grid, piece) = self.problem.grid(part);
        if best == 0 {
            return;
        }
        if grid == i64::from(best) {
            self.cut_grid(at, part, piece);
        } else if let Some(first) = self.width_of_first(i, j, best) {
            self.cut_across(at, part, first);
        } else if let Some(first) = self.height_of_first(i, j, best) {
            self.cut_down(at, part, first);
        }
    }

    fn width_of_first(&self, i: usize, j: usize, best: u32) -> Option<i64> {
        let pairs = self.table.across.at(i).iter();
        pairs
            .map(|(a, b)| (*a as usize, *b as usize))
            .find(|(a, b)| self.table.cell(*a, j) + self.table.cell(*b, j) == best)
            .map(|(a, _)| self.table.widths[a])
    }

    fn height_of_first(&self, i: usize, j: usize, best: u32) -> Option<i64> {
        let pairs = self.table.down.at(j).iter();
        pairs
            .map(|(a, b)| (*a as usize, *b as usize))
            .find(|(a, b)| self.table.cell(i, *a) + self.table.cell(i, *b) == best)
            .map(|(a, _)| self.table.heights[a])
    }

    fn cut_across(&mut self, at: Corner, part: Rect, first: i64) {
        self.line_across(at, part, first);
        self.divide(at, Rect { w: first, ..part });
        let beyond = Corner {
            x: at.x + first,
            ..at
        };
        let rest = Rect {
            w: part.w - first,
            ..part
        };
        self.divide(beyond, rest);
    }

    fn cut_down(&mut self, at: Corner, part: Rect, first: i64) {
        self.line_down(at, part, first);
        self.divide(at, Rect { h: first, ..part });
        let beyond = Corner {
            y: at.y + first,
            ..at
        };
        let rest = Rect {
            h: part.h - first,
            ..part
        };
        self.divide(beyond, rest);
    }

    fn cut_grid(&mut self, at: Corner, part: Rect, piece: Rect) {
        let (columns, rows) = (part.w / piece.w, part.h / piece.h);
        for column in 1..columns {
            self.line_across(at, part, column * piece.w);
        }
        for column in 0..columns {
            let strip = Corner {
                x: at.x + column * piece.w,
                ..at
            };
            for row in 1..rows {
                self.line_down(strip, Rect { w: piece.w, ..part }, row * piece.h);
            }
            for row in 0..rows {
                self.put(strip.x, strip.y + row * piece.h, piece);
            }
        }
    }

    fn put(&mut self, x: i64, y: i64, piece: Rect) {
        self.pieces.push(PlacedPiece {
            x: mm(x),
            y: mm(y),
            width: mm(piece.w - self.problem.gap),
            height: mm(piece.h - self.problem.gap),
        });
    }

    fn line_across(&mut self, at: Corner, part: Rect, offset: i64) {
        let x = mm(at.x + offset) - mm(self.problem.gap) / 2.0;
        self.cuts.push(CutLine {
            x1: x,
            y1: mm(at.y),
            x2: x,
            y2: mm(at.y + part.h - self.problem.gap),
        });
    }

    fn line_down(&mut self, at: Corner, part: Rect, offset: i64) {
        let y = mm(at.y + offset) - mm(self.problem.gap) / 2.0;
        self.cuts.push(CutLine {
            x1: mm(at.x),
            y1: y,
            x2: mm(at.x + part.w - self.problem.gap),
            y2: y,
        });
    }
}
