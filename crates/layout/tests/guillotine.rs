//! Counts of the guillotine search against published and independently computed figures.

#![expect(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a test fails by panicking, and these lengths are exact"
)]

use std::collections::HashMap;

use inkset_layout::{LayoutError, SheetCut, Turning, count_pieces, guillotine, guillotine_turning};
use inkset_units::{Millimetres, Size};
use proptest::prelude::*;

const PRESS_SHEETS: &str = include_str!("../../../tests/reference/costing/nup_press_sheets.csv");
const PALLETS: &str = include_str!("../../../tests/reference/costing/pallet_instances.csv");

fn size(width: f64, height: f64) -> Size {
    Size::from_mm(width, height).unwrap()
}

fn lay(sheet: (f64, f64), piece: (f64, f64)) -> SheetCut {
    guillotine(
        size(sheet.0, sheet.1),
        size(piece.0, piece.1),
        Millimetres::ZERO,
    )
    .unwrap()
}

fn rows(table: &str) -> Vec<Vec<&str>> {
    table
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect())
        .collect()
}

fn number(text: &str) -> f64 {
    text.parse().unwrap()
}

/// Every piece inside the sheet, none overlapping, none of another size, as many as said.
fn assert_sound(cut: &SheetCut, sheet: (f64, f64), piece: (f64, f64)) {
    assert_eq!(cut.pieces.len(), cut.count as usize);
    for (n, p) in cut.pieces.iter().enumerate() {
        let same = |a: f64, b: f64| (a - b).abs() < 1e-6;
        let upright = same(p.width, piece.0) && same(p.height, piece.1);
        let turned = same(p.width, piece.1) && same(p.height, piece.0);
        assert!(upright || turned, "{p:?}");
        assert!(p.x >= 0.0 && p.x + p.width <= sheet.0 + 1e-6, "{p:?}");
        assert!(p.y >= 0.0 && p.y + p.height <= sheet.1 + 1e-6, "{p:?}");
        for q in &cut.pieces[..n] {
            let apart = p.x + p.width <= q.x + 1e-6
                || q.x + q.width <= p.x + 1e-6
                || p.y + p.height <= q.y + 1e-6
                || q.y + q.height <= p.y + 1e-6;
            assert!(apart, "{p:?} over {q:?}");
        }
        let crossed = cut.cuts.iter().any(|c| {
            let inside = |a: f64, from: f64, to: f64| a > from + 1e-6 && a < to - 1e-6;
            (same(c.x1, c.x2)
                && inside(c.x1, p.x, p.x + p.width)
                && c.y1 < p.y + p.height - 1e-6
                && c.y2 > p.y + 1e-6)
                || (same(c.y1, c.y2)
                    && inside(c.y1, p.y, p.y + p.height)
                    && c.x1 < p.x + p.width - 1e-6
                    && c.x2 > p.x + 1e-6)
        });
        assert!(!crossed, "a cut runs through {p:?}");
    }
}

#[test]
fn press_sheet_counts_are_met() {
    let mut seen = 0;
    for row in rows(PRESS_SHEETS) {
        let sheet = (number(row[3]), number(row[4]));
        let piece = (number(row[6]), number(row[7]));
        let cut = lay(sheet, piece);
        assert_eq!(cut.count, row[10].parse::<u32>().unwrap(), "{row:?}");
        assert_sound(&cut, sheet, piece);
        seen += 1;
    }
    assert_eq!(seen, 33);
}

#[test]
fn pallet_counts_are_met() {
    let mut seen = 0;
    for row in rows(PALLETS) {
        let sheet = (number(row[0]), number(row[1]));
        let piece = (number(row[2]), number(row[3]));
        let cut = lay(sheet, piece);
        assert_eq!(cut.count, row[6].parse::<u32>().unwrap(), "{row:?}");
        assert_sound(&cut, sheet, piece);
        seen += 1;
    }
    assert_eq!(seen, 28);
}

#[test]
fn worked_examples_in_inches_are_met() {
    // N1 to N5 of tests/reference/costing/worked_examples.csv.
    for (id, sheet, piece, count) in [
        ("N1", (23.0, 35.0), (8.5, 11.0), 8),
        ("N2", (23.0, 35.0), (9.0, 12.0), 5),
        ("N3", (25.0, 35.5), (5.0, 8.0), 21),
        ("N4", (31.0, 43.0), (14.0, 18.0), 4),
        ("N5", (17.0, 22.0), (5.5, 5.5), 12),
    ] {
        let inches = |(w, h): (f64, f64)| {
            (
                Millimetres::from_inches(w).unwrap().mm(),
                Millimetres::from_inches(h).unwrap().mm(),
            )
        };
        assert_eq!(lay(inches(sheet), inches(piece)).count, count, "{id}");
    }
}

#[test]
fn waste_of_the_published_examples_is_met() {
    let waste = |sheet: (f64, f64), piece: (f64, f64)| {
        let used = f64::from(lay(sheet, piece).count) * piece.0 * piece.1;
        100.0 * (1.0 - used / (sheet.0 * sheet.1))
    };
    assert!((waste((23.0, 35.0), (8.5, 11.0)) - 7.08).abs() <= 0.1);
    assert!((waste((23.0, 35.0), (9.0, 12.0)) - 32.92).abs() <= 0.1);
}

#[test]
fn slack_is_what_one_more_piece_needs() {
    let cut = lay((890.0, 625.0), (303.0, 216.0));
    assert_eq!(cut.count, 8);
    let width = cut.slack_width_mm.unwrap();
    assert!(lay((890.0 + width, 625.0), (303.0, 216.0)).count > 8);
    assert_eq!(lay((890.0 + width - 0.01, 625.0), (303.0, 216.0)).count, 8);
    let height = cut.slack_height_mm.unwrap();
    assert!(lay((890.0, 625.0 + height), (303.0, 216.0)).count > 8);
    assert_eq!(lay((890.0, 625.0 + height - 0.01), (303.0, 216.0)).count, 8);
    assert_eq!(cut.slack_mm().unwrap(), width.min(height));
}

#[test]
fn sheet_too_low_never_gains_by_width() {
    let cut = lay((890.0, 200.0), (303.0, 216.0));
    assert_eq!((cut.count, cut.slack_width_mm), (0, None));
    assert_eq!(cut.slack_mm(), Some(16.0));
}

#[test]
fn exact_fits_survive_decimals() {
    assert_eq!(lay((0.3, 0.1), (0.1, 0.1)).count, 3);
    assert_eq!(lay((1.1, 2.2), (0.55, 1.1)).count, 4);
}

#[test]
fn gap_lies_between_pieces_only() {
    let gap = Millimetres::new(4.0).unwrap();
    let cut = guillotine(size(104.0, 50.0), size(50.0, 50.0), gap).unwrap();
    assert_eq!(cut.count, 2);
    assert_eq!(cut.pieces[1].x, 54.0);
    assert_eq!(cut.cuts.len(), 1);
    assert_eq!((cut.cuts[0].x1, cut.cuts[0].y2), (52.0, 50.0));
    let tight = guillotine(size(103.9, 50.0), size(50.0, 50.0), gap).unwrap();
    assert_eq!(tight.count, 1);
}

#[test]
fn fixed_grain_keeps_one_orientation() {
    let fixed = |w, h| {
        guillotine_turning(
            size(35.0, 23.0),
            size(w, h),
            Millimetres::ZERO,
            Turning::Fixed,
        )
        .unwrap()
    };
    assert_eq!(fixed(12.0, 9.0).count, 4);
    assert_eq!(fixed(9.0, 12.0).count, 3);
    assert_eq!(fixed(9.0, 12.0).slack_mm(), Some(1.0));
}

#[test]
fn absurd_input_is_refused() {
    let answer = guillotine(size(10_000.0, 10_000.0), size(1.0, 1.0), Millimetres::ZERO);
    assert!(matches!(answer, Err(LayoutError::TooManyPieces { .. })));
    let answer = guillotine(
        size(1020.37, 719.91),
        size(20.013, 7.0171),
        Millimetres::ZERO,
    );
    assert!(
        matches!(answer, Err(LayoutError::TooFine { .. })),
        "{answer:?}"
    );
}

/// Tries every whole cut of every part, with no idea which sizes are useful.
fn by_trying_all(w: u32, h: u32, a: u32, b: u32, known: &mut HashMap<(u32, u32), u32>) -> u32 {
    if let Some(best) = known.get(&(w, h)) {
        return *best;
    }
    let fits = (w >= a && h >= b) || (w >= b && h >= a);
    let mut best = u32::from(fits);
    for x in 1..w {
        best = best.max(by_trying_all(x, h, a, b, known) + by_trying_all(w - x, h, a, b, known));
    }
    for y in 1..h {
        best = best.max(by_trying_all(w, y, a, b, known) + by_trying_all(w, h - y, a, b, known));
    }
    known.insert((w, h), best);
    best
}

proptest! {
    #[test]
    fn nothing_beats_the_search(w in 1u32..40, h in 1u32..40, a in 1u32..12, b in 1u32..12) {
        let best = by_trying_all(w, h, a, b, &mut HashMap::new());
        let (sheet, piece) = ((f64::from(w), f64::from(h)), (f64::from(a), f64::from(b)));
        let cut = lay(sheet, piece);
        prop_assert_eq!(cut.count, best);
        prop_assert_eq!(count_pieces(size(sheet.0, sheet.1), size(piece.0, piece.1), Millimetres::ZERO, Turning::Free).unwrap(), best);
        assert_sound(&cut, sheet, piece);
    }

    #[test]
    fn larger_sheets_never_hold_less(
        w in 50.0f64..400.0, h in 50.0f64..400.0, more in 0.0f64..60.0, a in 20.0f64..90.0, b in 20.0f64..90.0,
    ) {
        let before = lay((w, h), (a, b)).count;
        prop_assert!(lay((w + more, h), (a, b)).count >= before);
        prop_assert_eq!(lay((h, w), (b, a)).count, before);
    }
}
