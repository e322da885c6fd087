//! Imposed sheets, cut and folded as drawn: every section reads from its first page to its last.
//!
//! This test knows nothing of how places were found. It takes the places, the pages on both sides, the heads and the numbered
//! fold lines of a sheet, folds one line after the other, the side without the first page to the back, and leafs through.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use inkset_layout::{
    Folding, Format, ImposedLeaf, Imposition, PlacedPiece, PressSheet, Section, Turning, WorkStyle,
    impose,
};
use inkset_spec::{Given, Press, SheetGrain};
use inkset_units::{Gsm, Millimetres, Money, Size};

const BOUND: [(u32, u32); 12] = [
    (1, 1),
    (2, 1),
    (3, 1),
    (2, 2),
    (4, 1),
    (2, 3),
    (6, 1),
    (4, 2),
    (4, 3),
    (6, 2),
    (4, 4),
    (8, 2),
];
const LEAFLETS: [(u32, u32); 7] = [(1, 1), (2, 1), (3, 1), (4, 1), (5, 1), (2, 2), (3, 2)];
const STYLES: [WorkStyle; 4] = [
    WorkStyle::Sheetwise,
    WorkStyle::WorkAndTurn,
    WorkStyle::WorkAndTumble,
    WorkStyle::Perfecting,
];

fn press() -> Press {
    let given = Given::assumed;
    let mm = |mm| Given::assumed(Millimetres::new(mm).unwrap());
    Press {
        name: Given::assumed("example".to_owned()),
        units: Given::assumed(4),
        perfecting: Given::assumed(true),
        coater: Given::assumed(false),
        sheeter: Given::assumed(false),
        largest_sheet: given(Size::from_mm(1020.0, 720.0).unwrap()),
        smallest_sheet: given(Size::from_mm(300.0, 200.0).unwrap()),
        lightest: Given::assumed(Gsm::new(60.0).unwrap()),
        heaviest: Given::assumed(Gsm::new(350.0).unwrap()),
        gripper: mm(10.0),
        tail: mm(5.0),
        side: mm(6.0),
        hourly_rate: Given::assumed(Money::ZERO),
        make_ready_minutes: Given::assumed(0.0),
        make_ready_minutes_per_ink: Given::assumed(0.0),
        make_ready_sheets: Given::assumed(0),
        make_ready_sheets_per_ink: Given::assumed(0),
        plate_change_minutes: Given::assumed(0.0),
        plate_change_sheets: Given::assumed(0),
        paper_change_minutes: None,
        paper_change_sheets: None,
        wash_up_minutes: Given::assumed(0.0),
        wash_up_minutes_effect: Given::assumed(0.0),
        plate_price: Given::assumed(Money::ZERO),
        speeds: Vec::new(),
        digital: None,
    }
}

/// A section of pages 1 to n, of small pages, so that several fit in every style.
fn imposed(folding: Folding, style: WorkStyle, turning: Turning) -> Imposition {
    let pages: Vec<u32> = (1..=2 * folding.columns * folding.rows).collect();
    let size = Size::from_mm(
        52.0 * f64::from(folding.columns),
        74.0 * f64::from(folding.rows),
    );
    let format = Format {
        size: size.unwrap(),
        gap: inkset_units::Millimetres::ZERO,
        folding,
    };
    let section = Section {
        outer: Vec::new(),
        inner: Vec::new(),
        pages,
    };
    let sheet = PressSheet {
        size: Size::from_mm(1000.0, 700.0).unwrap(),
        per_parent: 1,
        grain: SheetGrain::Long,
    };
    impose(
        &press(),
        (sheet, style, u32::MAX),
        (&section, &format),
        turning,
    )
    .unwrap()
}

/// A leaf while the section is folded.
#[derive(Clone, Copy)]
struct Leaf {
    x: f64,
    y: f64,
    /// Where the head points: right and down.
    head: (f64, f64),
    /// The smaller, the nearer to the eye.
    depth: i64,
    over: bool,
    seen: u32,
    hidden: u32,
}

fn leaf(leaf: &ImposedLeaf) -> Leaf {
    use inkset_layout::Head::{Down, Left, Right, Up};
    Leaf {
        x: leaf.place.x + leaf.place.width / 2.0,
        y: leaf.place.y + leaf.place.height / 2.0,
        head: match leaf.head {
            Up => (0.0, -1.0),
            Right => (1.0, 0.0),
            Down => (0.0, 1.0),
            Left => (-1.0, 0.0),
        },
        depth: 0,
        over: false,
        seen: leaf.front.unwrap(),
        hidden: leaf.back.unwrap(),
    }
}

fn within(piece: &PlacedPiece, x: f64, y: f64) -> bool {
    let past = |at: f64, from: f64, extent: f64| at > from - 1e-6 && at < from + extent + 1e-6;
    past(x, piece.x, piece.width) && past(y, piece.y, piece.height)
}

/// Two leaves that hang together at a fold, and its number.
type Hinge = (usize, usize, u32);

/// Leaves and hinges of one section cut out of the sheet; turned so that page 1 is seen.
fn cut_out(sheet: &Imposition, piece: &PlacedPiece) -> (Vec<Leaf>, Vec<Hinge>) {
    let mut leaves: Vec<Leaf> = sheet
        .leaves
        .iter()
        .map(leaf)
        .filter(|l| within(piece, l.x, l.y))
        .collect();
    let mut hinges = Vec::new();
    for fold in &sheet.folds {
        let (x, y) = (
            f64::midpoint(fold.line.x1, fold.line.x2),
            f64::midpoint(fold.line.y1, fold.line.y2),
        );
        if !within(piece, x, y) {
            continue;
        }
        let upright = (fold.line.x1 - fold.line.x2).abs() < 1e-6;
        for one in 0..leaves.len() {
            for other in 0..leaves.len() {
                let (a, b) = (leaves[one], leaves[other]);
                let hangs = if upright {
                    a.x < x
                        && b.x > x
                        && (a.x + b.x - 2.0 * x).abs() < 1e-6
                        && (a.y - b.y).abs() < 1e-6
                } else {
                    a.y < y
                        && b.y > y
                        && (a.y + b.y - 2.0 * y).abs() < 1e-6
                        && (a.x - b.x).abs() < 1e-6
                };
                // Only neighbours meet at the line.
                let apart = (a.x - b.x).abs().max((a.y - b.y).abs());
                if hangs && apart < 80.0 {
                    hinges.push((one, other, fold.number));
                }
            }
        }
    }
    if leaves.iter().any(|l| l.hidden == 1) {
        for leaf in &mut leaves {
            leaf.x = -leaf.x;
            leaf.head.0 = -leaf.head.0;
            std::mem::swap(&mut leaf.seen, &mut leaf.hidden);
        }
    }
    (leaves, hinges)
}

/// Folds at the hinges of one number: all lie on one line, and what is beyond it goes behind.
fn fold(leaves: &mut [Leaf], hinges: &[Hinge], number: u32) {
    let mut at: Option<(bool, f64)> = None;
    for (one, other, _) in hinges.iter().filter(|h| h.2 == number) {
        let (a, b) = (leaves[*one], leaves[*other]);
        let upright = (a.x - b.x).abs() > 1e-6;
        let middle = if upright {
            f64::midpoint(a.x, b.x)
        } else {
            f64::midpoint(a.y, b.y)
        };
        let (same, line) = *at.get_or_insert((upright, middle));
        assert_eq!(upright, same, "fold {number} runs two ways");
        assert!(
            (line - middle).abs() < 1e-6,
            "fold {number} lies on two lines"
        );
    }
    let (upright, line) = at.unwrap_or_else(|| panic!("no fold {number}"));
    let first = leaves.iter().find(|l| l.seen == 1).unwrap();
    let first_before = (if upright { first.x } else { first.y }) < line;
    let deepest = leaves.iter().map(|l| l.depth).max().unwrap();
    for leaf in leaves {
        let along = if upright { &mut leaf.x } else { &mut leaf.y };
        if (*along < line) == first_before {
            continue;
        }
        *along = 2.0 * line - *along;
        if upright {
            leaf.head.0 = -leaf.head.0;
        } else {
            leaf.head.1 = -leaf.head.1;
        }
        leaf.over = !leaf.over;
        leaf.depth = 2 * deepest + 1 - leaf.depth;
    }
}

/// Leafs through: pages in order, all heads one way. Returns where the head of page 1 points.
fn read(leaves: &mut [Leaf], what: &str) -> (f64, f64) {
    leaves.sort_by_key(|leaf| leaf.depth);
    let first = leaves[0];
    let mut pages = Vec::new();
    for leaf in leaves.iter() {
        assert!((leaf.x - first.x).abs() < 1e-6, "{what}: one stack");
        assert!((leaf.y - first.y).abs() < 1e-6, "{what}: one stack");
        assert_eq!(leaf.head, first.head, "{what}: page {}", leaf.seen);
        let turned = if leaf.over {
            [leaf.hidden, leaf.seen]
        } else {
            [leaf.seen, leaf.hidden]
        };
        pages.extend(turned);
    }
    let wanted: Vec<u32> = (1..=pages.len() as u32).collect();
    assert_eq!(pages, wanted, "{what}");
    first.head
}

fn fold_all(sheet: &Imposition, what: &str, spine: bool) -> usize {
    for piece in &sheet.pieces {
        let (mut leaves, hinges) = cut_out(sheet, piece);
        let last = hinges.iter().map(|h| h.2).max().unwrap_or(0);
        let mut spine_at = None;
        for number in 1..=last {
            if number == last {
                let (one, other, _) = hinges.iter().find(|h| h.2 == number).unwrap();
                let (a, b) = (leaves[*one], leaves[*other]);
                spine_at = Some((f64::midpoint(a.x, b.x), f64::midpoint(a.y, b.y)));
            }
            fold(&mut leaves, &hinges, number);
        }
        let head = read(&mut leaves, what);
        if let (true, Some((x, y))) = (spine, spine_at) {
            // With the head up, the last fold is on the left: a quarter turn against the clock from the head.
            let (dx, dy) = (x - leaves[0].x, y - leaves[0].y);
            assert!(
                dx * head.1 - dy * head.0 > 1.0,
                "{what}: the spine is on the left"
            );
        }
    }
    sheet.pieces.len()
}

#[test]
fn folded_sections_read_in_order() {
    let mut folded = 0;
    for style in STYLES {
        for turning in [Turning::Free, Turning::Fixed, Turning::Crosswise] {
            for (columns, rows) in BOUND {
                let what = format!("bound {columns} × {rows}, {style:?}, {turning:?}");
                let sheet = imposed(Folding::bound(columns, rows), style, turning);
                folded += fold_all(&sheet, &what, columns.is_multiple_of(2));
            }
            for (columns, rows) in LEAFLETS {
                let what = format!("leaflet {columns} × {rows}, {style:?}, {turning:?}");
                let sheet = imposed(Folding::leaflet(columns, rows), style, turning);
                folded += fold_all(&sheet, &what, false);
            }
        }
    }
    assert!(folded > 2_000, "{folded}");
}

#[test]
fn turned_sheets_print_themselves_on_the_back() {
    // One set of plates prints both sides, so the back shows what the front shows.
    let sides = |style| {
        let sheet = imposed(Folding::bound(2, 2), style, Turning::Free);
        let seen = |side: inkset_layout::ImposedSide, tumbled: bool| {
            let mut pages: Vec<(i64, i64, u32, char)> = side
                .pages
                .iter()
                .map(|(place, page, head)| {
                    let (x, y) = (place.x + place.width / 2.0, place.y + place.height / 2.0);
                    // The press sees a tumbled back the other way up.
                    let (x, y) = if tumbled {
                        (1000.0 - x, 700.0 - y)
                    } else {
                        (x, y)
                    };
                    let head = if tumbled {
                        opposite(head.arrow())
                    } else {
                        head.arrow()
                    };
                    (
                        (x * 10.0).round() as i64,
                        (y * 10.0).round() as i64,
                        page.unwrap(),
                        head,
                    )
                })
                .collect();
            pages.sort_unstable();
            pages
        };
        let tumbled = style == WorkStyle::WorkAndTumble;
        (seen(sheet.front(), false), seen(sheet.back(), tumbled))
    };
    for style in [WorkStyle::WorkAndTurn, WorkStyle::WorkAndTumble] {
        let (front, back) = sides(style);
        assert!(!front.is_empty());
        assert_eq!(front, back, "{style:?}");
    }
}

fn opposite(arrow: char) -> char {
    match arrow {
        '↑' => '↓',
        '↓' => '↑',
        '←' => '→',
        _ => '←',
    }
}

#[test]
fn sixteen_pages_lie_as_published() {
    // The common sheetwise scheme of 16 pages in three right-angle folds, heads together, as handbooks of binding show it: outer
    // form 5 12 9 8 above 4 13 16 1, inner form 7 10 11 6 above 2 15 14 3, the upper rows upside down. From memory.
    let sixteen = Folding::bound(4, 2);
    let pages = |side: &[inkset_layout::PagePlace]| -> Vec<u32> {
        side.iter().map(|place| place.page).collect()
    };
    assert_eq!(pages(&sixteen.front), [5, 12, 9, 8, 4, 13, 16, 1]);
    assert_eq!(pages(&sixteen.back), [7, 10, 11, 6, 2, 15, 14, 3]);
    assert!(sixteen.front[..4].iter().all(|place| !place.head_up));
    assert!(sixteen.front[4..].iter().all(|place| place.head_up));
}
