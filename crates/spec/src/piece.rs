//! Sizes that follow from job and rate card together: the open sheet of a part, its thickness, the spine.

use inkset_units::{Millimetres, Size};

use crate::{
    FoldScheme, Job, PaperKind, Part, Press, ProductKind, RateCard, Role, SheetGrain, Stock,
};

/// Specific volume where a stock gives none, cm³/g. Common practice, no source.
const fn usual_bulk(kind: PaperKind) -> f64 {
    match kind {
        PaperKind::Coated => 0.85,
        PaperKind::Uncoated => 1.25,
        PaperKind::Newsprint => 1.5,
    }
}

impl Stock {
    /// Specific volume in cm³/g: given, or usual for the kind of paper.
    pub fn specific_volume(&self) -> f64 {
        self.bulk
            .map_or_else(|| usual_bulk(self.kind.value), |bulk| bulk.value)
    }

    /// Thickness of one sheet, mm: weight × specific volume.
    pub fn caliper_mm(&self) -> f64 {
        self.gsm.value.value() * self.specific_volume() / 1_000.0
    }
}

/// Thickness of so many pages of a stock, mm: two pages are one leaf.
pub fn thickness_mm(pages: u32, stock: &Stock) -> f64 {
    f64::from(pages) / 2.0 * stock.caliper_mm()
}

/// Stock of a part.
pub(crate) fn stock_of<'c>(card: &'c RateCard, part: &Part) -> Option<&'c Stock> {
    let named = |stock: &&Stock| stock.name.value == part.stock.value;
    card.stocks.iter().find(named)
}

/// Thickness of the block at the spine, mm: all that is bound in, without a cover that is glued on.
///
/// `None` when a stock is not on the card.
pub fn spine_mm(job: &Job, card: &RateCard) -> Option<f64> {
    let gathered = job.product.kind.value.is_gathered();
    let bound = job.parts.iter().filter(|part| match part.role.value {
        Role::LooseInsert => false,
        Role::Cover => !gathered,
        Role::Text | Role::Endpapers | Role::Insert => true,
    });
    let of_part = |part: &Part| Some(thickness_mm(part.pages.value, stock_of(card, part)?));
    bound.map(of_part).sum()
}

/// Width of a page with what the binding takes beside it, and height with head and foot trim.
pub fn page_cell(job: &Job, part: &Part) -> Size {
    let (trim, taken) = (job.product.trim.value, &job.product.allowances);
    let edge = Millimetres::new(taken.trim.mm().max(part.bleed.mm())).unwrap_or_default();
    Size {
        width: trim.width + edge + taken.milling.value,
        height: trim.height + edge * 2.0,
    }
}

/// The smallest printed piece that a part can be made of, with bleed and allowances: the whole of a flat or folded
/// part, a glued-on cover with its spine, a spread of a bound part, or its single leaf.
pub fn smallest_piece(job: &Job, card: &RateCard, part: &Part) -> Size {
    let (kind, role) = (job.product.kind.value, part.role.value);
    if kind.is_gathered() && role == Role::Cover {
        return cover_size(job, card, part);
    }
    if kind.is_bound() && role != Role::LooseInsert {
        let cell = page_cell(job, part);
        let pages_wide = if part.pages.value == 2 { 1.0 } else { 2.0 };
        return Size {
            width: cell.width * pages_wide + job.product.allowances.lap.value,
            height: cell.height,
        };
    }
    open_leaflet(job, part)
}

/// A cover that is glued on: back, spine and front side by side, with bleed.
pub fn cover_size(job: &Job, card: &RateCard, part: &Part) -> Size {
    let trim = job.product.trim.value;
    let spine = spine_mm(job, card).and_then(Millimetres::new);
    let open = Size {
        width: trim.width * 2.0 + spine.unwrap_or_default(),
        height: trim.height,
    };
    open.grown_by(part.bleed.value)
}

/// Columns and rows of the panels of a flat or folded part: one row, or two where it is folded at right angles.
pub fn leaflet_panels(job: &Job, part: &Part) -> (u32, u32) {
    let panels = part.pages.value.div_ceil(2);
    let right_angle = job.product.kind.value == ProductKind::Folded
        && job.product.fold.value == FoldScheme::RightAngle;
    if right_angle {
        (panels / 2, 2)
    } else {
        (panels, 1)
    }
}

/// A flat or folded part opened, with bleed: its panels in one row, or in two where it is folded at right angles.
pub fn open_leaflet(job: &Job, part: &Part) -> Size {
    let trim = job.product.trim.value;
    let (columns, rows) = leaflet_panels(job, part);
    let open = Size {
        width: trim.width * f64::from(columns),
        height: trim.height * f64::from(rows),
    };
    open.grown_by(part.bleed.value)
}

/// How near a piece comes to being printed on the sheets of a stock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Fit {
    /// It is printed.
    Fits,
    /// It would be printed if the grain ran the other way.
    GrainOnly,
    /// By how many mm it is too long for the printable area that takes most of it.
    Over(f64),
    /// No sheet goes through a press.
    NoSheet,
}

/// Tries a piece on every sheet of a stock, whole, halved or quartered, on a press; grippers hold the long edge.
///
/// `along_height` says whether the grain must run along the piece's height, along its width, or either way.
pub(crate) fn fit_on(
    piece: Size,
    (stock, press): (&Stock, &Press),
    along_height: Option<bool>,
) -> Fit {
    let mut best = Fit::NoSheet;
    for parent in &stock.sheets {
        for cut in parent.cut_down() {
            let grain_on_width = (stock.grain.value == SheetGrain::Long) != cut.turned;
            let sheet = cut.size;
            if sheet.fits_on(press.largest_sheet.value) && press.smallest_sheet.fits_on(sheet) {
                let fit = fit_on_sheet(
                    piece,
                    (sheet, press),
                    along_height.map(|h| h != grain_on_width),
                );
                best = nearer(best, fit);
            }
        }
    }
    for (sheet, along) in longest_cuts(stock, press) {
        let upright = along_height.map(|height| height != along);
        best = nearer(best, fit_on_sheet(piece, (sheet, press), upright));
    }
    best
}

/// The longest sheets that a press takes off each reel, long edge first, and whether the grain runs along that edge.
fn longest_cuts(stock: &Stock, press: &Press) -> Vec<(Size, bool)> {
    let largest = &press.largest_sheet;
    let ends = [largest.long_edge(), largest.short_edge()];
    let cuts = stock
        .reels
        .iter()
        .flat_map(|reel| ends.map(|length| (reel.width.value, length)));
    let sheets = cuts.map(|(width, length)| {
        let along = length >= width;
        let (width, height) = if along {
            (length, width)
        } else {
            (width, length)
        };
        (Size { width, height }, along)
    });
    let takes = |(sheet, _): &(Size, bool)| {
        sheet.fits_on(largest.value) && press.smallest_sheet.fits_on(*sheet)
    };
    sheets.filter(takes).collect()
}

/// `upright` says whether the piece has to lie with its width along the long edge, across it, or either way.
fn fit_on_sheet(piece: Size, (sheet, press): (Size, &Press), upright: Option<bool>) -> Fit {
    let over = |piece: Size| {
        let across = piece.width.mm() + 2.0 * press.side.mm() - sheet.width.mm();
        let down = piece.height.mm() + press.gripper.mm() + press.tail.mm() - sheet.height.mm();
        across.max(down).max(0.0)
    };
    let (lying, turned) = (over(piece), over(piece.turned()));
    // Less than a tenth of a micrometre is the dust of adding lengths.
    let fits = |over: f64| over < 1e-4;
    match upright {
        None | Some(true) if fits(lying) => Fit::Fits,
        None | Some(false) if fits(turned) => Fit::Fits,
        Some(_) if fits(lying) || fits(turned) => Fit::GrainOnly,
        _ => Fit::Over(lying.min(turned)),
    }
}

/// The better of two.
pub(crate) fn nearer(one: Fit, other: Fit) -> Fit {
    let rank = |fit: Fit| match fit {
        Fit::Fits => (0, 0.0),
        Fit::GrainOnly => (1, 0.0),
        Fit::Over(mm) => (2, mm),
        Fit::NoSheet => (3, 0.0),
    };
    if rank(other) < rank(one) { other } else { one }
}

#[cfg(test)]
mod tests {
    use inkset_units::Gsm;

    use super::*;
    use crate::{Given, PaperPrice};

    fn stock(gsm: f64, bulk: Option<f64>) -> Stock {
        Stock {
            name: Given::assumed("paper".to_owned()),
            kind: Given::assumed(PaperKind::Coated),
            gsm: Given::assumed(Gsm::new(gsm).unwrap()),
            bulk: bulk.map(Given::assumed),
            condition: Given::assumed("any".to_owned()),
            sheets: Vec::new(),
            reels: Vec::new(),
            grain: Given::assumed(SheetGrain::Long),
            pack: Given::assumed(1),
            price: Given::assumed(PaperPrice::Tonne(inkset_units::Money::ZERO)),
        }
    }

    #[test]
    fn published_pages_per_inch_are_met() {
        // Row P4 of tests/reference/costing: a caliper of 0.0095 in gives 211 pages per inch (210.53). The paper has that
        // caliper of 0.2413 mm at 241.3 g/m² and 1 cm³/g.
        let paper = stock(241.3, Some(1.0));
        assert!((paper.caliper_mm() - 0.241_3).abs() < 1e-12);
        let inches = |pages| thickness_mm(pages, &paper) / 25.4;
        assert!((1_000.0 / inches(1_000) - 210.53).abs() < 0.005);
    }

    #[test]
    fn bulk_is_usual_unless_given() {
        assert!((stock(100.0, None).caliper_mm() - 0.085).abs() < 1e-12);
        assert!((thickness_mm(160, &stock(100.0, Some(1.2))) - 9.6).abs() < 1e-9);
    }
}
