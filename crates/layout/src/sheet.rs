//! Press sheets from parent sheets, and what of them can be printed.

use inkset_spec::{Given, Press, SheetGrain};
use inkset_units::{Millimetres, Size};

use crate::{PlacedPiece, Turning, WorkStyle};

/// A sheet as it goes through the press, cut from a parent sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressSheet {
    /// Size, long edge first; the long edge lies in the grippers.
    pub size: Size,
    /// Press sheets from one parent: 1 whole, 2 halved across the long edge, 4 quartered.
    pub per_parent: u32,
    /// Edge of this sheet along which the grain runs.
    pub grain: SheetGrain,
}

impl PressSheet {
    /// How a piece may lie whose grain must run along its height, along its width, or either way (`None`).
    pub fn turning(&self, along_height: Option<bool>) -> Turning {
        let along_long_edge = self.grain == SheetGrain::Long;
        match along_height {
            None => Turning::Free,
            // The long edge of the sheet is its width.
            Some(height) if height != along_long_edge => Turning::Fixed,
            Some(_) => Turning::Crosswise,
        }
    }
}

/// Ways to bring a parent sheet to a press: whole, halved, quartered, as far as the press takes the size.
///
/// `grain` is that of the parent; halving turns the edge along which it runs from the long to the short one, unless the
/// parent is more than twice as long as wide.
pub fn press_sheets(parent: Size, grain: SheetGrain, press: &Press) -> Vec<PressSheet> {
    let cuts = parent.cut_down().into_iter();
    cuts.map(|cut| PressSheet {
        size: cut.size,
        per_parent: cut.number,
        grain: match (grain, cut.turned) {
            (SheetGrain::Long, false) | (SheetGrain::Short, true) => SheetGrain::Long,
            _ => SheetGrain::Short,
        },
    })
    .filter(|sheet| takes(press, sheet.size))
    .collect()
}

/// Whether a sheet of this size goes through a press.
pub fn takes(press: &Press, sheet: Size) -> bool {
    sheet.fits_on(press.largest_sheet.value) && press.smallest_sheet.fits_on(sheet)
}

/// The first of two presses that print a sheet one after the other, with the wider margins of both.
///
/// Where the second one perfects, gripper and tail both get the widest of the four.
pub fn with_margins_of(first: &Press, second: &Press, second_perfects: bool) -> Press {
    let wider =
        |a: Given<Millimetres>, b: Given<Millimetres>| if b.value > a.value { b } else { a };
    let mut both = first.clone();
    both.gripper = wider(first.gripper, second.gripper);
    both.tail = wider(first.tail, second.tail);
    both.side = wider(first.side, second.side);
    if second_perfects {
        let widest = wider(both.gripper, both.tail);
        (both.gripper, both.tail) = (widest, widest);
    }
    both
}

/// The area on which pieces are counted for a work style; `None` if the margins leave nothing.
///
/// For work-and-turn and work-and-tumble it is one half of the sheet, of which the other is the mirror image. Where the
/// sheet is gripped at both long edges in turn (tumbling, perfecting), both get the wider of gripper and tail.
pub fn printable(sheet: Size, press: &Press, style: WorkStyle) -> Option<Size> {
    let long = sheet.long_edge().mm() - 2.0 * press.side.mm();
    let short = sheet.short_edge().mm() - press.gripper.mm() - press.tail.mm();
    let gripped_twice = sheet.short_edge().mm() - 2.0 * press.gripper.mm().max(press.tail.mm());
    match style {
        WorkStyle::OneSided | WorkStyle::Sheetwise => Size::from_mm(long, short),
        WorkStyle::WorkAndTurn => Size::from_mm(long / 2.0, short),
        WorkStyle::WorkAndTumble => Size::from_mm(long, gripped_twice / 2.0),
        WorkStyle::Perfecting => Size::from_mm(long, gripped_twice),
    }
}

/// The printable area on which pieces with a gap are counted: of a half sheet, half the gap stays free along the line
/// between the halves, whose other side is its mirror image. `None` if nothing is left.
pub fn printable_with_gap(
    (sheet, press): (Size, &Press),
    style: WorkStyle,
    gap: Millimetres,
) -> Option<Size> {
    let area = printable(sheet, press, style)?;
    let free = gap.mm() / 2.0;
    match style {
        WorkStyle::WorkAndTurn => Size::from_mm(area.width.mm() - free, area.height.mm()),
        WorkStyle::WorkAndTumble => Size::from_mm(area.width.mm(), area.height.mm() - free),
        WorkStyle::OneSided | WorkStyle::Sheetwise | WorkStyle::Perfecting => Some(area),
    }
}

/// What of a whole sheet is printed on, in mm from its upper left corner; the gripper edge is below.
///
/// Of a sheet that is turned or tumbled it holds both halves. Narrower than its margins, a sheet has an area below zero.
pub(crate) fn printed_area(sheet: Size, press: &Press, style: WorkStyle) -> PlacedPiece {
    let (gripper, tail) = (press.gripper.mm(), press.tail.mm());
    let (top, bottom) = match style {
        WorkStyle::WorkAndTumble | WorkStyle::Perfecting => (gripper.max(tail), gripper.max(tail)),
        WorkStyle::OneSided | WorkStyle::Sheetwise | WorkStyle::WorkAndTurn => (tail, gripper),
    };
    PlacedPiece {
        x: press.side.mm(),
        y: top,
        width: sheet.width.mm() - 2.0 * press.side.mm(),
        height: sheet.height.mm() - top - bottom,
    }
}

/// By how many mm a piece is too big for an area in its better orientation; 0 if it fits.
pub fn shortfall_mm(piece: Size, area: Size) -> f64 {
    let over = |p: Size| {
        let width = p.width.mm() - area.width.mm();
        let height = p.height.mm() - area.height.mm();
        width.max(height).max(0.0)
    };
    over(piece).min(over(piece.turned()))
}
