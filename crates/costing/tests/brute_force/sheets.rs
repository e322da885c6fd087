//! Pieces on a press sheet.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use inkset_spec::{Job, Press, RateCard, SheetGrain, Stock};
use inkset_units::Size;

use crate::sections::Class;

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

/// A sheet cut off a reel.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OffReel {
    /// Share of the reel that becomes no sheet.
    pub(crate) waste: f64,
    /// Whether the sheeter cuts it, not the press.
    pub(crate) by_sheeter: bool,
}

/// A sheet on a press: its edges in mm, long one first, and how pieces may lie on it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sheet {
    pub(crate) off_reel: Option<OffReel>,
    pub(crate) edges: (f64, f64),
    pub(crate) per_parent: u64,
    pub(crate) parent_m2: f64,
    /// Whether heights of pieces lie along the short edge of the sheet; `None` where both will do.
    pub(crate) upright: Option<bool>,
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
                    off_reel: None,
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

/// Sheets of every whole millimetre that a press takes off the reels of a stock, but those that hold no more than a
/// shorter one: they only take more paper. `holds` counts what a sheet holds, which never falls as it gets longer.
pub(crate) fn off_reels(
    (job, card): (&Job, &RateCard),
    press: &Press,
    holds: impl Fn(&Sheet) -> Vec<u32>,
) -> Vec<Sheet> {
    let mut all = Vec::new();
    if !press.sheeter.value && card.sheeter.is_none() {
        return all;
    }
    for reel in &card.stocks[0].reels {
        let width = reel.width.mm();
        let sheet = |length: u32| {
            let length = f64::from(length);
            let along = length >= width;
            Sheet {
                off_reel: Some(OffReel {
                    waste: reel.waste.fraction(),
                    by_sheeter: !press.sheeter.value,
                }),
                edges: (length.max(width), length.min(width)),
                per_parent: 1,
                parent_m2: length * width / 1e6,
                // The grain runs along the reel: the edge cut off is the long one, or it is not.
                upright: job
                    .product
                    .grain_along_height()
                    .map(|height| height != along),
            }
        };
        let turns = width.ceil() as u32;
        // A square and longer has its long edge along the reel, and other margins there.
        for lengths in [1..=turns - 1, turns..=1_100] {
            let taken = lengths.filter(|length| goes_through(press, sheet(*length).edges));
            let taken: Vec<u32> = taken.collect();
            if let (Some(first), Some(last)) = (taken.first(), taken.last()) {
                shortest(
                    (*first, *last),
                    &|length| holds(&sheet(length)),
                    &mut |length| {
                        all.push(sheet(length));
                    },
                );
            }
        }
    }
    all
}

/// The shortest length for each that holds something else, between two and with them.
fn shortest(
    (first, last): (u32, u32),
    holds: &impl Fn(u32) -> Vec<u32>,
    found: &mut impl FnMut(u32),
) {
    let same = |one: u32, other: u32| holds(one) == holds(other);
    found(first);
    let mut from = first;
    while !same(from, last) {
        // The first length that holds something else than `from`, by halving.
        let (mut low, mut high) = (from, last);
        while high - low > 1 {
            let middle = low.midpoint(high);
            if same(from, middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        found(high);
        from = high;
    }
}

fn edges_of(size: Size) -> (f64, f64) {
    let (w, h) = (size.width.mm(), size.height.mm());
    (w.max(h), w.min(h))
}

pub(crate) fn goes_through(press: &Press, sheet: (f64, f64)) -> bool {
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
        class: &Class,
    ) -> u32 {
        let long = sheet.edges.0 - 2.0 * press.side.mm();
        let short = sheet.edges.1 - press.gripper.mm() - press.tail.mm();
        let gripped_twice = sheet.edges.1 - 2.0 * press.gripper.mm().max(press.tail.mm());
        // Every piece takes its gap along; the last one in a row borrows it from beyond the edge. In the middle of a
        // turned sheet both halves share one.
        let gap = class.gap;
        let grown = |(w, h): &Shape| (w + gap, h + gap);
        let shapes: Vec<Shape> = class.shapes.iter().map(grown).collect();
        let up = |w: f64, h: f64, (x, y): Shape| {
            let area = (length(w) + x, length(h) + y);
            self.most(area, &shapes, sheet.upright)
        };
        match style {
            Style::Sheetwise => up(long, short, (gap, gap)),
            Style::Turn => 2 * up(long / 2.0, short, (gap / 2, gap)),
            Style::Tumble => 2 * up(long, gripped_twice / 2.0, (gap, gap / 2)),
            Style::Perfecting => up(long, gripped_twice, (gap, gap)),
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
