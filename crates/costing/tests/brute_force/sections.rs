//! Sections of a part: every sensible division, and the pages on both sides of each.

use inkset_spec::{FoldScheme, Job, PaperKind, Part, ProductKind, RateCard, Role};

use crate::sheets::{Length, Shape, length};

/// Sections of one size: the shapes that they may have, and the pages outside and inside of every one.
pub(crate) struct Class {
    pub(crate) pages: u32,
    pub(crate) shapes: Vec<Shape>,
    /// Left between neighbours on the sheet.
    pub(crate) gap: Length,
    pub(crate) sections: Vec<[Vec<u32>; 2]>,
}

impl Class {
    /// The class in one of its shapes, without its sections.
    pub(crate) fn only(&self, shape: usize) -> Self {
        Self {
            pages: self.pages,
            shapes: vec![self.shapes[shape]],
            gap: self.gap,
            sections: Vec::new(),
        }
    }
}

/// Whether sections or a cover are held together at a spine.
pub(crate) fn is_bound_in(job: &Job, part: &Part) -> bool {
    let bound = matches!(
        job.product.kind.value,
        ProductKind::SaddleStitched | ProductKind::PerfectBound | ProductKind::SectionSewn
    );
    bound && part.role.value != Role::LooseInsert
}

/// Whether a part is gathered, so neither nested nor glued around the others.
pub(crate) fn is_gathered(job: &Job, part: &Part) -> bool {
    is_bound_in(job, part)
        && job.product.kind.value != ProductKind::SaddleStitched
        && part.role.value != Role::Cover
}

/// Every division of a part into sections.
pub(crate) fn divisions(job: &Job, card: &RateCard, part: &Part) -> Vec<Vec<Class>> {
    if is_gathered(job, part) {
        return bound(job, part, |pages, before| {
            (before + 1..=before + pages).collect()
        });
    }
    if !is_bound_in(job, part) {
        return vec![vec![leaflet(job, part)]];
    }
    if job.product.kind.value == ProductKind::SaddleStitched {
        let all = part.pages.value;
        return bound(job, part, |pages, before| {
            let half = pages / 2;
            let outside = before / 2;
            let first = outside + 1..=outside + half;
            first
                .chain(all - outside - half + 1..=all - outside)
                .collect()
        });
    }
    vec![vec![glued_cover(job, card, part)]]
}

fn leaflet(job: &Job, part: &Part) -> Class {
    let pages = part.pages.value;
    let panels = f64::from(pages.div_ceil(2));
    let right_angle = job.product.kind.value == ProductKind::Folded
        && job.product.fold.value == FoldScheme::RightAngle;
    let (wide, high) = if right_angle {
        (panels / 2.0, 2.0)
    } else {
        (panels, 1.0)
    };
    let (w, h) = (job.product.trim.width.mm(), job.product.trim.height.mm());
    let bleed = 2.0 * part.bleed.mm();
    Class {
        pages,
        shapes: vec![(length(w * wide + bleed), length(h * high + bleed))],
        gap: length(job.product.allowances.gap.mm()),
        sections: vec![sides(&(1..=pages).collect::<Vec<_>>())],
    }
}

/// Two pages and the spine of all that is bound in, and bleed.
fn glued_cover(job: &Job, card: &RateCard, part: &Part) -> Class {
    let stock = &card.stocks[0];
    let volume = stock.bulk.map_or_else(
        || match stock.kind.value {
            PaperKind::Coated => 0.85,
            PaperKind::Uncoated => 1.25,
            PaperKind::Newsprint => 1.5,
        },
        |bulk| bulk.value,
    );
    let inside = job.parts.iter().filter(|part| is_gathered(job, part));
    let leaves = inside.map(|part| part.pages.value / 2).sum::<u32>();
    let spine = f64::from(leaves) * stock.gsm.value.value() * volume / 1_000.0;
    let (w, h) = (job.product.trim.width.mm(), job.product.trim.height.mm());
    let bleed = 2.0 * part.bleed.mm();
    Class {
        pages: 4,
        shapes: vec![(length(2.0 * w + spine + bleed), length(h + bleed))],
        gap: 0,
        sections: vec![[vec![1, 4], vec![2, 3]]],
    }
}

/// The outer form has the first page of a section, its pages 4n and those after them.
fn sides(pages: &[u32]) -> [Vec<u32>; 2] {
    let on = |outer: bool| {
        let local = (1..).zip(pages);
        local
            .filter(|(n, _)| matches!(n % 4, 0 | 1) == outer)
            .map(|(_, page)| *page)
            .collect()
    };
    // One leaf is a front and a back.
    [on(true), on(false)]
}

fn bound(job: &Job, part: &Part, numbers: impl Fn(u32, u32) -> Vec<u32>) -> Vec<Vec<Class>> {
    let class = |pages| Class {
        pages,
        shapes: shapes(job, part, pages),
        gap: 0,
        sections: Vec::new(),
    };
    let divided = |split: Vec<u32>| {
        let mut classes: Vec<Class> = Vec::new();
        let mut before = 0;
        for pages in split {
            if classes.last().is_none_or(|c| c.pages != pages) {
                classes.push(class(pages));
            }
            let section = sides(&numbers(pages, before));
            classes.last_mut().unwrap().sections.push(section);
            before += pages;
        }
        classes
    };
    let all = splits(part.pages.value).into_iter().map(divided);
    all.filter(|classes| classes.iter().all(|c| !c.shapes.is_empty()))
        .collect()
}

/// Columns and rows of pages, see the table of `docs/costing.md`.
const GRIDS: [(u32, &[(u32, u32)]); 8] = [
    (2, &[(1, 1)]),
    (4, &[(2, 1)]),
    (6, &[(3, 1)]),
    (8, &[(2, 2), (4, 1)]),
    (12, &[(2, 3), (6, 1)]),
    (16, &[(4, 2)]),
    (24, &[(4, 3), (6, 2)]),
    (32, &[(4, 4), (8, 2)]),
];

fn shapes(job: &Job, part: &Part, pages: u32) -> Vec<Shape> {
    let (w, h) = (job.product.trim.width.mm(), job.product.trim.height.mm());
    let taken = &job.product.allowances;
    let edge = taken.trim.mm().max(part.bleed.mm());
    let (wide, high) = (w + edge + taken.milling.mm(), h + 2.0 * edge);
    let milled = job.product.kind.value == ProductKind::PerfectBound;
    let (_, grids) = GRIDS.iter().find(|(size, _)| *size == pages).unwrap();
    let stitched = job.product.kind.value == ProductKind::SaddleStitched;
    // An odd column is a loose leaf, which only glue holds.
    let held = grids.iter().filter(|(x, _)| x % 2 == 0 || milled);
    held.map(|(x, y)| {
        let lap = if stitched { taken.lap.mm() } else { 0.0 };
        let width = wide * f64::from(*x) + lap * f64::from(x / 2);
        (length(width), length(high * f64::from(*y)))
    })
    .collect()
}

/// Of all ways to add signatures up to the pages, those that `docs/costing.md` calls sensible.
fn splits(pages: u32) -> Vec<Vec<u32>> {
    if pages == 2 {
        return vec![vec![2]];
    }
    let mut all = Vec::new();
    add_up(pages, 32, &mut Vec::new(), &mut all);
    let sensible = |split: &Vec<u32>| {
        let large = split.iter().filter(|s| **s == split[0]).count();
        let most = (pages / split[0]) as usize;
        let sixes = split.contains(&6) && pages.is_multiple_of(4);
        large + 1 >= most && split.len() - large <= 2 && !sixes
    };
    all.retain(sensible);
    all
}

fn add_up(rest: u32, largest: u32, chosen: &mut Vec<u32>, all: &mut Vec<Vec<u32>>) {
    if rest == 0 {
        all.push(chosen.clone());
    }
    for size in [32, 24, 16, 12, 8, 6, 4] {
        if size <= largest && size <= rest {
            chosen.push(size);
            add_up(rest - size, size, chosen, all);
            chosen.pop();
        }
    }
}
