//! Where the sections of a chosen way lie on its press sheet.

use inkset_layout::{
    CutLine, Format, PlacedPiece, PressSheet, SectionClass, Turning, WorkStyle, guillotine_turning,
    printable, schemes,
};
use inkset_spec::{Job, Press, RateCard};
use inkset_units::{Millimetres, Size};

use crate::estimate::{PartChoice, SectionChoice};

/// Sections of one size on a press sheet. Lengths in mm from the sheet's upper left corner; the gripper edge is below.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedSections {
    /// Pages of each section.
    pub pages: u32,
    /// Number of such sections in a copy.
    pub count: u32,
    /// How the two sides are printed.
    pub style: WorkStyle,
    /// The press sheet, long edge first.
    pub sheet: Size,
    /// Corner and extent of what the press can print on.
    pub printable: PlacedPiece,
    /// Every section; those of the other half of a half-sheet style too.
    pub pieces: Vec<PlacedPiece>,
    /// Cuts between the sections.
    pub cuts: Vec<CutLine>,
}

/// Lays out the sections of a part as it was chosen to be printed; classes whose number up differs from what these
/// pieces give are left out.
pub fn placed_sections(job: &Job, card: &RateCard, choice: &PartChoice) -> Vec<PlacedSections> {
    let press = &card.presses[choice.press_index];
    let schemes = schemes(job, card, &job.parts[choice.part]);
    let turning = choice.sheet.turning(job.product.grain_along_height());
    let placed = |section: &SectionChoice| {
        let mut classes = schemes.iter().flat_map(|scheme| &scheme.classes);
        let class = classes.find(|class| class.pages == section.pages)?;
        place(press, (choice.sheet, turning), (section, class))
    };
    choice.sections.iter().filter_map(placed).collect()
}

fn place(
    press: &Press,
    (sheet, turning): (PressSheet, Turning),
    (section, class): (&SectionChoice, &SectionClass),
) -> Option<PlacedSections> {
    let sheet = sheet.size;
    let area = printable(sheet, press, section.style)?;
    let halves = if section.style.is_half_sheet() { 2 } else { 1 };
    let fits = |format: &Format| {
        let cut = guillotine_turning(area, format.size, Millimetres::ZERO, turning).ok()?;
        (cut.count * halves == section.up).then_some(cut)
    };
    let cut = class.formats.iter().find_map(fits)?;
    let whole = whole_area(sheet, press, section.style);
    let mut pieces: Vec<PlacedPiece> = cut.pieces.iter().map(|p| moved(*p, whole)).collect();
    let mut cuts: Vec<CutLine> = cut.cuts.iter().map(|c| moved_cut(*c, whole)).collect();
    let fold = Mirror::of(section.style, sheet);
    pieces.extend(
        fold.iter()
            .flat_map(|fold| fold.pieces(&pieces))
            .collect::<Vec<_>>(),
    );
    cuts.extend(
        fold.iter()
            .flat_map(|fold| fold.cuts(&cuts))
            .collect::<Vec<_>>(),
    );
    Some(PlacedSections {
        pages: section.pages,
        count: section.count,
        style: section.style,
        sheet,
        printable: whole,
        pieces,
        cuts,
    })
}

/// What of the whole sheet is printed on; where both long edges are gripped, the wider edge is kept free on both.
fn whole_area(sheet: Size, press: &Press, style: WorkStyle) -> PlacedPiece {
    let (gripper, tail) = (press.gripper.mm(), press.tail.mm());
    let gripped_twice = matches!(style, WorkStyle::WorkAndTumble | WorkStyle::Perfecting);
    let (top, bottom) = if gripped_twice {
        (gripper.max(tail), gripper.max(tail))
    } else {
        (tail, gripper)
    };
    PlacedPiece {
        x: press.side.mm(),
        y: top,
        width: sheet.width.mm() - 2.0 * press.side.mm(),
        height: sheet.height.mm() - top - bottom,
    }
}

fn moved(piece: PlacedPiece, area: PlacedPiece) -> PlacedPiece {
    PlacedPiece {
        x: piece.x + area.x,
        y: piece.y + area.y,
        ..piece
    }
}

fn moved_cut(cut: CutLine, area: PlacedPiece) -> CutLine {
    CutLine {
        x1: cut.x1 + area.x,
        y1: cut.y1 + area.y,
        x2: cut.x2 + area.x,
        y2: cut.y2 + area.y,
    }
}

/// The line in which the second half of a turned sheet mirrors the first.
enum Mirror {
    Upright(f64),
    Level(f64),
}

impl Mirror {
    fn of(style: WorkStyle, sheet: Size) -> Option<Self> {
        match style {
            WorkStyle::WorkAndTurn => Some(Self::Upright(sheet.width.mm())),
            WorkStyle::WorkAndTumble => Some(Self::Level(sheet.height.mm())),
            _ => None,
        }
    }

    fn pieces(&self, pieces: &[PlacedPiece]) -> Vec<PlacedPiece> {
        let mirrored = |piece: &PlacedPiece| match self {
            Self::Upright(width) => PlacedPiece {
                x: width - piece.x - piece.width,
                ..*piece
            },
            Self::Level(height) => PlacedPiece {
                y: height - piece.y - piece.height,
                ..*piece
            },
        };
        pieces.iter().map(mirrored).collect()
    }

    fn cuts(&self, cuts: &[CutLine]) -> Vec<CutLine> {
        let mirrored = |cut: &CutLine| match self {
            Self::Upright(width) => CutLine {
                x1: width - cut.x1,
                x2: width - cut.x2,
                ..*cut
            },
            Self::Level(height) => CutLine {
                y1: height - cut.y1,
                y2: height - cut.y2,
                ..*cut
            },
        };
        cuts.iter().map(mirrored).collect()
    }
}
