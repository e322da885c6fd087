//! Where every page of a section lies on its press sheet, seen from both sides, with folds, cuts and grippers.
//!
//! Lengths in mm from the upper left corner of the whole sheet as it is seen; the long edge is its width. The front is
//! seen with the gripper edge below. The back is seen after turning the sheet sideways, so the same edge stays below.

use inkset_spec::{Press, SheetGrain};
use inkset_units::Size;

use crate::section::{Format, Section};
use crate::sheet::printed_area;
use crate::{
    CutLine, LayoutError, PlacedPiece, PressSheet, Turning, WorkStyle, guillotine_turning,
    printable_with_gap,
};

/// Which way the head of a page points on the sheet as seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Head {
    /// To the upper edge.
    Up,
    /// To the right edge.
    Right,
    /// To the lower edge.
    Down,
    /// To the left edge.
    Left,
}

impl Head {
    /// An arrow that points to the head.
    pub const fn arrow(self) -> char {
        match self {
            Self::Up => '↑',
            Self::Right => '→',
            Self::Down => '↓',
            Self::Left => '←',
        }
    }

    /// A quarter turn clockwise.
    const fn quarter(self) -> Self {
        match self {
            Self::Up => Self::Right,
            Self::Right => Self::Down,
            Self::Down => Self::Left,
            Self::Left => Self::Up,
        }
    }

    /// As seen in a mirror whose axis is upright.
    const fn mirrored(self) -> Self {
        match self {
            Self::Right => Self::Left,
            Self::Left => Self::Right,
            other => other,
        }
    }

    /// As seen in a mirror whose axis lies level.
    const fn upside_down(self) -> Self {
        match self {
            Self::Up => Self::Down,
            Self::Down => Self::Up,
            other => other,
        }
    }
}

/// One leaf on the sheet, seen from the front.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ImposedLeaf {
    /// Its place.
    pub place: PlacedPiece,
    /// Page of the part on the side that is seen; `None` where the part has no such page.
    pub front: Option<u32>,
    /// Page on the other side.
    pub back: Option<u32>,
    /// Where the heads of both point.
    pub head: Head,
}

/// A line along which the sections are folded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoldLine {
    /// From one end to the other.
    pub line: CutLine,
    /// Place in the order of the folds, from 1.
    pub number: u32,
}

/// How sections come out of their sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parting {
    /// They are cut apart, or are alone on it.
    Cut,
    /// A die strikes them out; nothing is cut.
    Die,
}

/// A press sheet with the pages of a section on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Imposition {
    /// The sheet, long edge first.
    pub sheet: Size,
    /// Edge along which the grain runs.
    pub grain: SheetGrain,
    /// Work style.
    pub style: WorkStyle,
    /// What the press prints on.
    pub printed: PlacedPiece,
    /// Sections on the sheet, seen from the front.
    pub pieces: Vec<PlacedPiece>,
    /// Leaves of all sections, seen from the front.
    pub leaves: Vec<ImposedLeaf>,
    /// Folds of all sections, seen from the front.
    pub folds: Vec<FoldLine>,
    /// How the sections come out of the sheet.
    pub parting: Parting,
    /// Cuts between sections, in the order in which each runs from edge to edge; none where a die strikes them out.
    pub cuts: Vec<CutLine>,
}

/// One side of a sheet, as it is seen.
#[derive(Debug, Clone, PartialEq)]
pub struct ImposedSide {
    /// Sections.
    pub pieces: Vec<PlacedPiece>,
    /// Places of the leaves with the page seen and where its head points.
    pub pages: Vec<(PlacedPiece, Option<u32>, Head)>,
    /// Folds.
    pub folds: Vec<FoldLine>,
    /// Cuts.
    pub cuts: Vec<CutLine>,
}

/// What lies where in one piece before it is placed: cells of columns × rows.
#[derive(Clone)]
struct Grid {
    columns: u32,
    rows: u32,
    leaves: Vec<(Option<u32>, Option<u32>, Head)>,
    column_folds: Vec<u32>,
    row_folds: Vec<u32>,
}

/// Lays a section on a sheet as often as it fits, but no more than `up` times, both halves of a turned sheet counted.
///
/// `turning` says how the grain lets pieces lie, see [`PressSheet::turning`]. The errors are those of
/// [`guillotine_turning`]; a section that does not fit gives a sheet without pieces.
pub fn impose(
    press: &Press,
    (sheet, style, up): (PressSheet, WorkStyle, u32),
    (section, format): (&Section, &Format),
    turning: Turning,
) -> Result<Imposition, LayoutError> {
    let mut imposition = Imposition {
        sheet: sheet.size,
        grain: sheet.grain,
        style,
        printed: printed_area(sheet.size, press, style),
        pieces: Vec::new(),
        leaves: Vec::new(),
        folds: Vec::new(),
        parting: Parting::Cut,
        cuts: Vec::new(),
    };
    let area = printable_with_gap((sheet.size, press), style, format.gap);
    let Some(area) = area else {
        return Ok(imposition);
    };
    let cut = guillotine_turning(area, format.size, format.gap, turning)?;
    let grid = Grid::of(section, format);
    let PlacedPiece { x, y, .. } = imposition.printed;
    let placed = if style.is_half_sheet() { up / 2 } else { up };
    for piece in cut.pieces.into_iter().take(placed as usize) {
        let lies = (piece.width - format.size.width.mm()).abs() > 1e-3;
        let piece = PlacedPiece {
            x: piece.x + x,
            y: piece.y + y,
            ..piece
        };
        imposition.place(piece, &if lies { grid.quarter() } else { grid.clone() });
    }
    let shifted = |c: &CutLine| CutLine {
        x1: c.x1 + x,
        y1: c.y1 + y,
        x2: c.x2 + x,
        y2: c.y2 + y,
    };
    imposition.cuts = cut.cuts.iter().map(shifted).collect();
    imposition.add_half();
    Ok(imposition)
}

impl Grid {
    fn of(section: &Section, format: &Format) -> Self {
        let folding = &format.folding;
        let (columns, rows) = (folding.columns, folding.rows);
        let page = |local: u32| section.pages.get(local as usize - 1).copied();
        let cells = (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row)));
        let leaf = |(column, row)| {
            let front = folding.front[(row * columns + column) as usize];
            let back = folding.back[(row * columns + columns - 1 - column) as usize];
            let head = if front.head_up { Head::Up } else { Head::Down };
            (page(front.page), page(back.page), head)
        };
        Self {
            columns,
            rows,
            leaves: cells.map(leaf).collect(),
            column_folds: folding.column_folds.clone(),
            row_folds: folding.row_folds.clone(),
        }
    }

    /// Turned clockwise by a quarter.
    fn quarter(&self) -> Self {
        let (columns, rows) = (self.rows, self.columns);
        let cells = (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row)));
        let from = |(column, row): (u32, u32)| {
            let at = (self.rows - 1 - column) * self.columns + row;
            let (front, back, head) = self.leaves[at as usize];
            (front, back, head.quarter())
        };
        Self {
            columns,
            rows,
            leaves: cells.map(from).collect(),
            column_folds: self.row_folds.iter().rev().copied().collect(),
            row_folds: self.column_folds.clone(),
        }
    }
}

impl Imposition {
    /// The same sheet with sections that a die strikes out.
    #[must_use]
    pub fn struck_out(self) -> Self {
        Self {
            parting: Parting::Die,
            cuts: Vec::new(),
            ..self
        }
    }

    fn place(&mut self, piece: PlacedPiece, grid: &Grid) {
        let width = piece.width / f64::from(grid.columns);
        let height = piece.height / f64::from(grid.rows);
        let cells = (0..grid.rows).flat_map(|row| (0..grid.columns).map(move |c| (c, row)));
        for ((column, row), (front, back, head)) in cells.zip(&grid.leaves) {
            let place = PlacedPiece {
                x: piece.x + width * f64::from(column),
                y: piece.y + height * f64::from(row),
                width,
                height,
            };
            self.leaves.push(ImposedLeaf {
                place,
                front: *front,
                back: *back,
                head: *head,
            });
        }
        for (at, number) in (1_u32..).zip(&grid.column_folds) {
            let x = piece.x + width * f64::from(at);
            let (y1, y2) = (piece.y, piece.y + piece.height);
            let line = CutLine {
                x1: x,
                y1,
                x2: x,
                y2,
            };
            self.folds.push(FoldLine {
                line,
                number: *number,
            });
        }
        for (at, number) in (1_u32..).zip(&grid.row_folds) {
            let y = piece.y + height * f64::from(at);
            let (x1, x2) = (piece.x, piece.x + piece.width);
            let line = CutLine {
                x1,
                y1: y,
                x2,
                y2: y,
            };
            self.folds.push(FoldLine {
                line,
                number: *number,
            });
        }
        self.pieces.push(piece);
    }

    /// The other half of a sheet that is turned or tumbled: the first as seen from behind, and the cut between both.
    fn add_half(&mut self) {
        let (width, height) = (self.sheet.width.mm(), self.sheet.height.mm());
        let (mirror, between) = match self.style {
            WorkStyle::WorkAndTurn => {
                let x = width / 2.0;
                (
                    Mirror::Upright(width),
                    CutLine {
                        x1: x,
                        y1: 0.0,
                        x2: x,
                        y2: height,
                    },
                )
            }
            WorkStyle::WorkAndTumble => {
                let y = height / 2.0;
                (
                    Mirror::Level(height),
                    CutLine {
                        x1: 0.0,
                        y1: y,
                        x2: width,
                        y2: y,
                    },
                )
            }
            _ => return,
        };
        let other = |leaf: &ImposedLeaf| ImposedLeaf {
            place: mirror.piece(leaf.place),
            front: leaf.back,
            back: leaf.front,
            head: mirror.head(leaf.head),
        };
        let leaves: Vec<_> = self.leaves.iter().map(other).collect();
        self.leaves.extend(leaves);
        let pieces: Vec<_> = self.pieces.iter().map(|p| mirror.piece(*p)).collect();
        self.pieces.extend(pieces);
        let folds: Vec<_> = self.folds.iter().map(|f| mirror.fold(*f)).collect();
        self.folds.extend(folds);
        let cuts: Vec<_> = self.cuts.iter().map(|c| mirror.line(*c)).collect();
        self.cuts.extend(cuts);
        self.cuts.insert(0, between);
    }

    /// The front of the sheet.
    pub fn front(&self) -> ImposedSide {
        let page = |leaf: &ImposedLeaf| (leaf.place, leaf.front, leaf.head);
        ImposedSide {
            pieces: self.pieces.clone(),
            pages: self.leaves.iter().map(page).collect(),
            folds: self.folds.clone(),
            cuts: self.cuts.clone(),
        }
    }

    /// The back of the sheet, turned over sideways.
    pub fn back(&self) -> ImposedSide {
        let mirror = Mirror::Upright(self.sheet.width.mm());
        let page = |leaf: &ImposedLeaf| {
            let head = mirror.head(leaf.head);
            (mirror.piece(leaf.place), leaf.back, head)
        };
        ImposedSide {
            pieces: self.pieces.iter().map(|p| mirror.piece(*p)).collect(),
            pages: self.leaves.iter().map(page).collect(),
            folds: self.folds.iter().map(|f| mirror.fold(*f)).collect(),
            cuts: self.cuts.iter().map(|c| mirror.line(*c)).collect(),
        }
    }

    /// Whether the gripper edge of the second printing is the upper one, as the sheet is seen.
    pub fn grips_both_edges(&self) -> bool {
        matches!(self.style, WorkStyle::WorkAndTumble | WorkStyle::Perfecting)
    }
}

/// A mirror across the sheet, with the extent of the sheet across its axis.
#[derive(Clone, Copy)]
enum Mirror {
    Upright(f64),
    Level(f64),
}

impl Mirror {
    fn piece(self, p: PlacedPiece) -> PlacedPiece {
        match self {
            Self::Upright(width) => PlacedPiece {
                x: width - p.x - p.width,
                ..p
            },
            Self::Level(height) => PlacedPiece {
                y: height - p.y - p.height,
                ..p
            },
        }
    }

    fn line(self, c: CutLine) -> CutLine {
        match self {
            Self::Upright(width) => CutLine {
                x1: width - c.x1,
                x2: width - c.x2,
                ..c
            },
            Self::Level(height) => CutLine {
                y1: height - c.y1,
                y2: height - c.y2,
                ..c
            },
        }
    }

    fn fold(self, fold: FoldLine) -> FoldLine {
        FoldLine {
            line: self.line(fold.line),
            ..fold
        }
    }

    fn head(self, head: Head) -> Head {
        match self {
            Self::Upright(_) => head.mirrored(),
            Self::Level(_) => head.upside_down(),
        }
    }
}
