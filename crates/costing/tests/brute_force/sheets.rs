//! Pieces on a press sheet.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use inkset_spec::{Job, Press, SheetGrain, Stock};
use inkset_units::Size;

/// Whole thousandths of a millimetre, in which every size of these jobs is whole.
pub(crate) type Length = i64;

pub(crate) fn length(mm: f64) -> Length {
    (mm * 1_000.0).round() as Length
}

/// Width and height of a piece or an area.
pub(crate) type Shape = (Length, Length);

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Style {
    Sheetwise,
    Turn,
    Tumble,
    Perfecting,
}

pub(crate) const STYLES: [Style; 4] = [
    Style::Sheetwise,
    Style::Turn,
    Style::Tumble,
    Style::Perfecting,
];

/// A sheet on a press: its edges in mm, long one first, and how pieces may lie on it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sheet {
    pub(crate) edges: (f64, f64),
    pub(crate) per_parent: u64,
    pub(crate) parent_m2: f64,
    /// Whether heights of pieces lie along the short edge of the sheet; `None` where both will do.
    upright: Option<bool>,
}

/// Whole, halved and quartered sheets of a stock that go through a press.
pub(crate) fn sheets(job: &Job, stock: &Stock, press: &Press) -> Vec<Sheet> {
    let mut all = Vec::new();
    for parent in &stock.sheets {
        let (long, short) = edges_of(parent.value);
        let cuts = [
            (1, long, short),
            (2, long / 2.0, short),
            (4, long / 2.0, short / 2.0),
        ];
        for (per_parent, w, h) in cuts {
            let edges = (w.max(h), w.min(h));
            // `w` is what is left of the long edge of the parent, `h` of its short one.
            let grain_on_w = stock.grain.value == SheetGrain::Long;
            let grain_on_long = grain_on_w == (w >= h);
            let along_height = job.product.grain_along_height();
            if goes_through(press, edges) {
                all.push(Sheet {
                    edges,
                    per_parent,
                    parent_m2: long * short / 1e6,
                    upright: along_height.map(|height| height != grain_on_long),
                });
            }
        }
    }
    all
}

fn edges_of(size: Size) -> (f64, f64) {
    let (w, h) = (size.width.mm(), size.height.mm());
    (w.max(h), w.min(h))
}

fn goes_through(press: &Press, sheet: (f64, f64)) -> bool {
    let largest = edges_of(press.largest_sheet.value);
    let smallest = edges_of(press.smallest_sheet.value);
    sheet.0 <= largest.0 && sheet.1 <= largest.1 && sheet.0 >= smallest.0 && sheet.1 >= smallest.1
}

/// Counts pieces, and remembers what it counted.
#[derive(Default)]
pub(crate) struct Counter {
    known: RefCell<BTreeMap<(Shape, Shape), u32>>,
}

impl Counter {
    /// Number up on a sheet whose long edge lies in the grippers.
    pub(crate) fn number_up(
        &self,
        style: Style,
        (sheet, press): (&Sheet, &Press),
        shapes: &[Shape],
    ) -> u32 {
        let long = sheet.edges.0 - 2.0 * press.side.mm();
        let short = sheet.edges.1 - press.gripper.mm() - press.tail.mm();
        let gripped_twice = sheet.edges.1 - 2.0 * press.gripper.mm().max(press.tail.mm());
        let up = |w: f64, h: f64| self.most((length(w), length(h)), shapes, sheet.upright);
        match style {
            Style::Sheetwise => up(long, short),
            Style::Turn => 2 * up(long / 2.0, short),
            Style::Tumble => 2 * up(long, gripped_twice / 2.0),
            Style::Perfecting => up(long, gripped_twice),
        }
    }

    fn most(&self, area: Shape, shapes: &[Shape], upright: Option<bool>) -> u32 {
        let rows = |(a, b): Shape| ((area.0 / a) * (area.1 / b)) as u32;
        let count = |&(w, h): &Shape| match upright {
            None => self.free(area, (w, h)),
            Some(true) => rows((w, h)),
            Some(false) => rows((h, w)),
        };
        shapes.iter().map(count).max().unwrap_or(0)
    }

    fn free(&self, area: Shape, piece: Shape) -> u32 {
        let known = self.known.borrow().get(&(area, piece)).copied();
        known.unwrap_or_else(|| {
            let count = pieces(area.0, area.1, piece, &mut BTreeMap::new());
            self.known.borrow_mut().insert((area, piece), count);
            count
        })
    }
}

/// Most pieces `a` × `b`, turned or not, that straight through cuts get out of `w` × `h`: every first cut is tried.
fn pieces(w: Length, h: Length, (a, b): Shape, known: &mut BTreeMap<Shape, u32>) -> u32 {
    if w < a.min(b) || h < a.min(b) {
        return 0;
    }
    if let Some(count) = known.get(&(w, h)) {
        return *count;
    }
    let fits = (w >= a && h >= b) || (w >= b && h >= a);
    let mut best = u32::from(fits);
    // Pieces can be pushed together until every cut is at a sum of whole edges; the smaller half comes first.
    for cut in edges(w / 2, (a, b)) {
        best = best.max(pieces(cut, h, (a, b), known) + pieces(w - cut, h, (a, b), known));
    }
    for cut in edges(h / 2, (a, b)) {
        best = best.max(pieces(w, cut, (a, b), known) + pieces(w, h - cut, (a, b), known));
    }
    known.insert((w, h), best);
    best
}

fn edges(most: Length, (a, b): Shape) -> BTreeSet<Length> {
    let along = (0..=most / a).flat_map(|n| (0..=(most - n * a) / b).map(move |m| n * a + m * b));
    along.filter(|cut| *cut > 0).collect()
}
