//! The most equal pieces that guillotine cuts give from a sheet, both orientations mixed.
//!
//! Exact, by dynamic programming over the sizes that whole pieces can add up to. Lengths are whole tenths of a
//! micrometre, so that a sheet which holds the pieces exactly holds them. When the work would be too much and no simple
//! pattern reaches the area bound, the answer is an error, never a guess.

use std::collections::BTreeMap;

use inkset_units::{Millimetres, Size};

use crate::error::LayoutError;
use crate::reach::{Splits, floor_index, reachable};
use crate::ticks::{Rect, mm, ticks};
use crate::trace::{SheetCut, trace};

/// Most pieces that are laid out on one sheet.
const MOST_PIECES: u64 = 20_000;

/// Most additions of the search, about half a second of one core.
const MOST_WORK: u64 = 400_000_000;

/// Most lengths along one edge; beyond it the table alone would be too large.
const MOST_LENGTHS: usize = 20_000;

/// Whether pieces may lie both ways.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Turning {
    /// Pieces lie either way, mixed on one sheet.
    #[default]
    Free,
    /// All pieces lie as written, because the grain must run one way.
    Fixed,
    /// All pieces lie turned by a quarter, because the grain must run the other way.
    Crosswise,
}

/// Lays equal pieces out on a sheet for the guillotine: the most pieces, both orientations mixed.
///
/// `gap` is kept between neighbouring pieces, not at the edge of the sheet.
pub fn guillotine(sheet: Size, piece: Size, gap: Millimetres) -> Result<SheetCut, LayoutError> {
    guillotine_turning(sheet, piece, gap, Turning::Free)
}

/// As [`guillotine`], with the choice whether pieces may be turned.
pub fn guillotine_turning(
    sheet: Size,
    piece: Size,
    gap: Millimetres,
    turning: Turning,
) -> Result<SheetCut, LayoutError> {
    let problem = Problem::new(sheet, piece, gap, turning);
    problem.check_count(sheet, piece)?;
    // One more piece is gained at the latest when an edge grows by the longer edge of a piece.
    let reach = problem.piece.w.max(problem.piece.h);
    let grown = Rect {
        w: problem.sheet.w + reach,
        h: problem.sheet.h + reach,
    };
    let too_fine = || LayoutError::TooFine { sheet, piece };
    let table = Table::fill(&problem, grown).ok_or_else(too_fine)?;
    Ok(trace(&table, &problem))
}

/// Counts the pieces only: the number of [`guillotine_turning`] without the positions.
pub fn count_pieces(
    sheet: Size,
    piece: Size,
    gap: Millimetres,
    turning: Turning,
) -> Result<u32, LayoutError> {
    let problem = Problem::new(sheet, piece, gap, turning);
    problem.check_count(sheet, piece)?;
    if let Some(count) = problem.simple_count() {
        return Ok(count);
    }
    let too_fine = || LayoutError::TooFine { sheet, piece };
    let table = Table::fill(&problem, problem.sheet).ok_or_else(too_fine)?;
    Ok(table.count(problem.sheet))
}

/// Remembers counts, because presses, parents and ink sets ask for the same ones again.
#[derive(Debug, Default)]
pub struct CountCache {
    counts: BTreeMap<(Rect, Rect, i64, Turning), Result<u32, LayoutError>>,
}

impl CountCache {
    /// As [`count_pieces`].
    pub fn count(
        &mut self,
        sheet: Size,
        (piece, gap): (Size, Millimetres),
        turning: Turning,
    ) -> Result<u32, LayoutError> {
        self.counts
            .entry((Rect::of(sheet), Rect::of(piece), ticks(gap), turning))
            .or_insert_with(|| count_pieces(sheet, piece, gap, turning))
            .clone()
    }
}

/// Sheet and piece, both padded by the gap.
pub(crate) struct Problem {
    pub(crate) sheet: Rect,
    pub(crate) piece: Rect,
    pub(crate) gap: i64,
    pub(crate) turning: Turning,
}

impl Problem {
    fn new(sheet: Size, piece: Size, gap: Millimetres, turning: Turning) -> Self {
        let gap = ticks(gap).max(0);
        let piece = Rect::of(piece).padded(gap);
        // Crosswise is the turned piece as it lies.
        let (piece, turning) = match turning {
            Turning::Crosswise => (piece.turned(), Turning::Fixed),
            other => (piece, other),
        };
        Self {
            sheet: Rect::of(sheet).padded(gap),
            piece,
            gap,
            turning,
        }
    }

    fn area_bound(&self, w: i64, h: i64) -> i64 {
        let areas = i128::from(w) * i128::from(h)
            / (i128::from(self.piece.w) * i128::from(self.piece.h)).max(1);
        i64::try_from(areas).unwrap_or(i64::MAX)
    }

    fn check_count(&self, sheet: Size, piece: Size) -> Result<(), LayoutError> {
        let bound = self.area_bound(self.sheet.w, self.sheet.h) as u64;
        if bound > MOST_PIECES || self.piece.w <= 0 || self.piece.h <= 0 {
            return Err(LayoutError::TooManyPieces {
                sheet,
                piece,
                bound,
                limit: MOST_PIECES,
            });
        }
        Ok(())
    }

    /// A grid that reaches the area bound of the useful part of the sheet is proved to be the best; where no piece may be
    /// turned, the grid always is.
    fn simple_count(&self) -> Option<u32> {
        if self.turning != Turning::Free {
            return Some(self.sheet.grid(self.piece) as u32);
        }
        let grids = [
            self.sheet.grid(self.piece),
            self.sheet.grid(self.piece.turned()),
        ];
        let best = grids[0].max(grids[1]);
        (best == self.area_bound(self.sheet.w, self.sheet.h)).then_some(best as u32)
    }

    /// Pieces in the best regular grid on a rectangle.
    pub(crate) fn grid(&self, rect: Rect) -> (i64, Rect) {
        let upright = (rect.grid(self.piece), self.piece);
        let turned = (rect.grid(self.piece.turned()), self.piece.turned());
        if self.turning == Turning::Free && turned.0 > upright.0 {
            turned
        } else {
            upright
        }
    }
}

/// Most pieces for every pair of reachable lengths.
pub(crate) struct Table {
    pub(crate) widths: Vec<i64>,
    pub(crate) heights: Vec<i64>,
    pub(crate) across: Splits,
    pub(crate) down: Splits,
    counts: Vec<u32>,
}

impl Table {
    /// `None` when the search would be too long.
    fn fill(problem: &Problem, up_to: Rect) -> Option<Self> {
        let Rect { w, h } = problem.piece;
        let (widths, heights) = match problem.turning {
            Turning::Free => (
                reachable(w, h, up_to.w, MOST_LENGTHS)?,
                reachable(w, h, up_to.h, MOST_LENGTHS)?,
            ),
            _ => (
                reachable(w, w, up_to.w, MOST_LENGTHS)?,
                reachable(h, h, up_to.h, MOST_LENGTHS)?,
            ),
        };
        let cells = widths.len() as u64 * heights.len() as u64;
        if cells * (widths.len() + heights.len()) as u64 / 4 > MOST_WORK {
            return None;
        }
        let mut table = Self {
            across: Splits::of(&widths),
            down: Splits::of(&heights),
            counts: vec![0; widths.len() * heights.len()],
            widths,
            heights,
        };
        for i in 0..table.widths.len() {
            table.fill_column(problem, i);
        }
        Some(table)
    }

    /// Fills all heights of one width. Cuts across come first for the whole column, because they only need
    /// narrower columns and run over it in one sweep.
    fn fill_column(&mut self, problem: &Problem, i: usize) {
        let rows = self.heights.len();
        let (narrower, rest) = self.counts.split_at_mut(i * rows);
        let column = &mut rest[..rows];
        for (best, height) in column.iter_mut().zip(&self.heights) {
            let rect = Rect {
                w: self.widths[i],
                h: *height,
            };
            *best = problem.grid(rect).0 as u32;
        }
        for (first, second) in self.across.at(i) {
            let left = &narrower[*first as usize * rows..][..rows];
            let right = &narrower[*second as usize * rows..][..rows];
            for (best, (a, b)) in column.iter_mut().zip(left.iter().zip(right)) {
                *best = (*best).max(a + b);
            }
        }
        for j in 0..rows {
            let cuts = self.down.at(j).iter();
            let best = cuts.map(|(a, b)| column[*a as usize] + column[*b as usize]);
            column[j] = best.max().unwrap_or(0).max(column[j]);
        }
    }

    pub(crate) fn cell(&self, i: usize, j: usize) -> u32 {
        self.counts[i * self.heights.len() + j]
    }

    pub(crate) fn place(&self, rect: Rect) -> Option<(usize, usize)> {
        Some((
            floor_index(&self.widths, rect.w)?,
            floor_index(&self.heights, rect.h)?,
        ))
    }

    pub(crate) fn count(&self, rect: Rect) -> u32 {
        self.place(rect).map_or(0, |(i, j)| self.cell(i, j))
    }

    /// Growth of the width that gains one piece, in mm.
    pub(crate) fn slack_width(&self, sheet: Rect) -> Option<f64> {
        let j = floor_index(&self.heights, sheet.h)?;
        let now = self.count(sheet);
        let from = self.widths.partition_point(|w| *w <= sheet.w);
        (from..self.widths.len())
            .find(|i| self.cell(*i, j) > now)
            .map(|i| mm(self.widths[i] - sheet.w))
    }

    /// Growth of the height that gains one piece, in mm.
    pub(crate) fn slack_height(&self, sheet: Rect) -> Option<f64> {
        let i = floor_index(&self.widths, sheet.w)?;
        let now = self.count(sheet);
        let from = self.heights.partition_point(|h| *h <= sheet.h);
        (from..self.heights.len())
            .find(|j| self.cell(i, *j) > now)
            .map(|j| mm(self.heights[j] - sheet.h))
    }
}
