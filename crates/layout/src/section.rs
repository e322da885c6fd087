//! Sections: the pieces of printed paper that one copy of a part consists of, and the pages on their sides.

use inkset_spec::{
    Job, Part, ProductKind, RateCard, Role, cover_size, leaflet_panels, open_leaflet, page_cell,
};
use inkset_units::{Millimetres, Size};

use crate::folding::{Folding, PagePlace};
use crate::split::splits;

/// One piece of printed paper of a copy: a flat sheet, a leaflet, a cover, or a signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// Pages of the part by their number within the section, from 1.
    pub pages: Vec<u32>,
    /// Pages on the front, or on the outer form.
    pub outer: Vec<u32>,
    /// Pages on the back, or on the inner form.
    pub inner: Vec<u32>,
}

/// One way in which a section lies unfolded.
#[derive(Debug, Clone, PartialEq)]
pub struct Format {
    /// Size with trims, bleed and allowances.
    pub size: Size,
    /// Left between it and its neighbours on the sheet.
    pub gap: Millimetres,
    /// Pages on it and folds.
    pub folding: Folding,
}

/// Sections of one size; all of them are printed in one work style.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionClass {
    /// Pages of each section.
    pub pages: u32,
    /// How the section may lie unfolded; any of them will do.
    pub formats: Vec<Format>,
    /// The sections, from the outside of the product to the inside, or from the first to the last.
    pub sections: Vec<Section>,
}

/// One way to divide a part into sections.
#[derive(Debug, Clone, PartialEq)]
pub struct Scheme {
    /// By size, largest first; never empty.
    pub classes: Vec<SectionClass>,
}

/// The ways to divide a part into sections: one for a flat, folded or glued-on part, one per split for a bound one.
pub fn schemes(job: &Job, card: &RateCard, part: &Part) -> Vec<Scheme> {
    let kind = job.product.kind.value;
    let cell = page_cell(job, part);
    let lap = job.product.allowances.lap.value;
    match (kind, part.role.value) {
        (ProductKind::Flat | ProductKind::Folded | ProductKind::Pad | ProductKind::Set, _)
        | (_, Role::LooseInsert) => {
            vec![leaflet(job, part)]
        }
        (ProductKind::PerfectBound | ProductKind::SectionSewn, Role::Cover) => {
            vec![glued_cover(cover_size(job, card, part), part)]
        }
        (ProductKind::PerfectBound, _) => bound(part, Order::Gathered, |columns, rows| {
            size(cell, (columns, rows), 0.0)
        }),
        (ProductKind::SectionSewn, _) => bound(part, Order::Gathered, |columns, rows| {
            size(cell, (columns, rows), 0.0).filter(|_| columns.is_multiple_of(2))
        }),
        (ProductKind::SaddleStitched, _) => bound(part, Order::Nested, |columns, rows| {
            size(cell, (columns, rows), lap.mm()).filter(|_| columns.is_multiple_of(2))
        }),
    }
}

/// How the sections of a part lie together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Order {
    /// One within the other.
    Nested,
    /// One upon the other.
    Gathered,
}

/// So many cells, each spread wider by the lap.
fn size(cell: Size, (columns, rows): (u32, u32), lap: f64) -> Option<Size> {
    let spreads = f64::from(columns / 2);
    Size::from_mm(
        cell.width.mm() * f64::from(columns) + lap * spreads,
        cell.height.mm() * f64::from(rows),
    )
}

fn leaflet(job: &Job, part: &Part) -> Scheme {
    let (columns, rows) = leaflet_panels(job, part);
    let folding = Folding::leaflet(columns, rows);
    let section = section((1..=part.pages.value).collect(), &folding);
    let mut scheme = one_section(part, (open_leaflet(job, part), folding), section);
    scheme.classes[0].formats[0].gap = job.product.allowances.gap.value;
    scheme
}

/// Back, spine and front outside; their insides on the other side.
fn glued_cover(size: Size, part: &Part) -> Scheme {
    let folding = Folding::leaflet(2, 1);
    let section = Section {
        pages: vec![1, 2, 3, 4],
        outer: vec![1, 4],
        inner: vec![2, 3],
    };
    one_section(part, (size, folding), section)
}

fn one_section(part: &Part, (size, folding): (Size, Folding), section: Section) -> Scheme {
    Scheme {
        classes: vec![SectionClass {
            pages: part.pages.value,
            formats: vec![Format {
                size,
                gap: Millimetres::ZERO,
                folding,
            }],
            sections: vec![section],
        }],
    }
}

/// Pages of a section on the sides on which its folding puts them.
fn section(pages: Vec<u32>, folding: &Folding) -> Section {
    let on = |places: &[PagePlace]| {
        let local = places.iter().map(|place| place.page as usize - 1);
        // A sheet printed on one side has no second page.
        let mut all: Vec<u32> = local.filter_map(|at| pages.get(at)).copied().collect();
        all.sort_unstable();
        all
    };
    Section {
        outer: on(&folding.front),
        inner: on(&folding.back),
        pages,
    }
}

/// A scheme for each split of the pages, the larger sections outside or first.
fn bound(part: &Part, order: Order, size: impl Fn(u32, u32) -> Option<Size>) -> Vec<Scheme> {
    let all = part.pages.value;
    let formats = |pages: u32| -> Vec<Format> {
        let format = |&(columns, rows): &(u32, u32)| {
            Some(Format {
                size: size(columns, rows)?,
                gap: Millimetres::ZERO,
                folding: Folding::bound(columns, rows),
            })
        };
        grids(pages).iter().filter_map(format).collect()
    };
    let scheme = |split: Vec<u32>| {
        let mut classes: Vec<SectionClass> = Vec::new();
        let mut before = 0;
        for pages in split {
            let numbers = match order {
                Order::Nested => nested(pages, before / 2, all),
                Order::Gathered => (before + 1..=before + pages).collect(),
            };
            before += pages;
            if classes.last().is_none_or(|class| class.pages != pages) {
                classes.push(SectionClass {
                    pages,
                    formats: formats(pages),
                    sections: Vec::new(),
                });
            }
            if let Some(class) = classes.last_mut() {
                // All formats of a section have the same pages on their sides, see the test.
                class
                    .sections
                    .push(section(numbers, &class.formats[0].folding));
            }
        }
        Scheme { classes }
    };
    let foldable = |split: &Vec<u32>| split.iter().all(|pages| !formats(*pages).is_empty());
    splits(all)
        .into_iter()
        .filter(foldable)
        .map(scheme)
        .collect()
}

/// Columns and rows of pages in which a section can be folded: spreads side by side and head to head.
fn grids(pages: u32) -> &'static [(u32, u32)] {
    match pages {
        2 => &[(1, 1)],
        4 => &[(2, 1)],
        6 => &[(3, 1)],
        8 => &[(2, 2), (4, 1)],
        12 => &[(2, 3), (6, 1)],
        16 => &[(4, 2)],
        24 => &[(4, 3), (6, 2)],
        32 => &[(4, 4), (8, 2)],
        _ => &[],
    }
}

/// Pages of a section that has `before` pages of the part in front of it and as many behind.
fn nested(pages: u32, before: u32, all: u32) -> Vec<u32> {
    let page = |local: u32| {
        if local <= pages / 2 {
            before + local
        } else {
            all - before - pages + local
        }
    };
    (1..=pages).map(page).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formats_of_a_section_agree_on_its_sides() {
        for pages in [4, 6, 8, 12, 16, 24, 32] {
            let sides: Vec<Section> = grids(pages)
                .iter()
                .map(|&(columns, rows)| {
                    section((1..=pages).collect(), &Folding::bound(columns, rows))
                })
                .collect();
            for other in &sides {
                assert_eq!(&sides[0], other, "{pages}");
            }
            let outside: Vec<u32> = (1..=pages).filter(|p| matches!(p % 4, 0 | 1)).collect();
            assert_eq!(sides[0].outer, outside);
        }
    }

    #[test]
    fn nested_signatures_take_pages_from_both_ends() {
        assert_eq!(nested(8, 8, 28), [9, 10, 11, 12, 17, 18, 19, 20]);
        assert_eq!(nested(4, 12, 28), [13, 14, 15, 16]);
    }
}
