//! Press sheets cut off a reel: as wide as the reel, as long as the pieces need.

use std::collections::BTreeSet;

use inkset_spec::{Press, SheetGrain};
use inkset_units::{Millimetres, Size};

use crate::sheet::takes;
use crate::{CountCache, LayoutError, PressSheet, WorkStyle, printable_with_gap};

const STYLES: [WorkStyle; 4] = [
    WorkStyle::Sheetwise,
    WorkStyle::WorkAndTurn,
    WorkStyle::WorkAndTumble,
    WorkStyle::Perfecting,
];

/// Lengths worth cutting off a reel for a press, ascending, with the sheets that they give.
///
/// Pieces come with the gap between them. The grain runs along the reel. Lengths are whole millimetres; a length is
/// worth cutting when it holds more pieces of some size in some work style than every shorter one
/// does. Errors: those of [`CountCache::count`].
pub fn reel_sheets(
    width: Millimetres,
    press: &Press,
    (pieces, along_height): (&[(Size, Millimetres)], Option<bool>),
    counts: &mut CountCache,
) -> Result<Vec<PressSheet>, LayoutError> {
    let lengths = lengths(width.mm(), press, pieces);
    let sheets = lengths
        .into_iter()
        .filter_map(|length| cut_off(width, length));
    let mut most = vec![[0; 2]; STYLES.len() * pieces.len()];
    let mut worth = Vec::new();
    for sheet in sheets.filter(|sheet| takes(press, sheet.size)) {
        let mut gains = false;
        for (n, style) in STYLES.into_iter().enumerate() {
            for (m, piece) in pieces.iter().enumerate() {
                let Some(area) = printable_with_gap((sheet.size, press), style, piece.1) else {
                    continue;
                };
                let up = counts.count(area, *piece, sheet.turning(along_height))?;
                // Beyond a square the long edge is the one cut, and other edges of it are lost.
                let lies = usize::from(sheet.grain == SheetGrain::Long);
                let known = &mut most[n * pieces.len() + m][lies];
                gains |= up > *known;
                *known = up.max(*known);
            }
        }
        if gains {
            worth.push(sheet);
        }
    }
    Ok(worth)
}

/// The sheet that a length cut off a reel gives, long edge first.
fn cut_off(width: Millimetres, length: u32) -> Option<PressSheet> {
    let length = Millimetres::new(f64::from(length))?;
    let along = length >= width;
    let (long, short) = if along {
        (length, width)
    } else {
        (width, length)
    };
    Some(PressSheet {
        size: Size {
            width: long,
            height: short,
        },
        per_parent: 1,
        grain: if along {
            SheetGrain::Long
        } else {
            SheetGrain::Short
        },
    })
}

/// Whole millimetres at which one more row of pieces may fit, and the shortest that the press takes.
fn lengths(width: f64, press: &Press, pieces: &[(Size, Millimetres)]) -> BTreeSet<u32> {
    let longest = press.largest_sheet.long_edge().mm();
    let (smallest, side) = (&press.smallest_sheet, press.side.mm());
    let grip = press.gripper.mm() + press.tail.mm();
    let twice = 2.0 * press.gripper.mm().max(press.tail.mm());
    let mut all: BTreeSet<u32> = [smallest.short_edge(), smallest.long_edge()]
        .map(|edge| edge.mm().ceil() as u32)
        .into();
    all.insert(width.ceil() as u32);
    for (piece, gap) in pieces {
        // Each piece brings its gap along; the last one needs none. Between the halves of a turned sheet lies one gap.
        let gap = gap.mm();
        let padded = (piece.width.mm() + gap, piece.height.mm() + gap);
        for row in rows(longest + gap, padded) {
            let (once, both) = (row - gap, 2.0 * row - gap);
            let short = [once + grip, once + twice, both + twice];
            let long = [once + 2.0 * side, both + 2.0 * side];
            let ends = short.into_iter().chain(long);
            // Binary dust is no further millimetre.
            all.extend(
                ends.filter(|l| *l <= longest)
                    .map(|l| (l - 1e-6).ceil() as u32),
            );
        }
    }
    all
}

/// Lengths that whole pieces add up to, lying either way; at most 100 of them side by side.
fn rows(longest: f64, (a, b): (f64, f64)) -> Vec<f64> {
    let fit = |length: f64, edge: f64| (length / edge).floor().clamp(0.0, 100.0) as u32;
    let lying = (0..=fit(longest, a)).map(|n| f64::from(n) * a);
    let both = lying.flat_map(|first| {
        let turned = 0..=fit(longest - first, b);
        turned.map(move |m| first + f64::from(m) * b)
    });
    both.filter(|length| *length > 0.0).collect()
}
