//! Sections: the pieces of printed paper that one copy of a part consists of, and the pages on their sides.

use inkset_spec::{Part, Product, ProductKind, Side};
use inkset_units::{Millimetres, Size};

/// Least trim at head, foot and fore-edge of a stitched product, mm. Common practice (3 mm, 1/8 in), no source.
const STITCHED_TRIM_MM: f64 = 3.0;

/// Pages of the signatures that are folded, largest first.
const SIGNATURES: [u32; 4] = [32, 16, 8, 4];

/// One piece of printed paper of a copy: a flat sheet, a leaflet, or a signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// Pages on the front, or on the outer form.
    pub outer: Vec<u32>,
    /// Pages on the back, or on the inner form.
    pub inner: Vec<u32>,
}

/// Sections of one size; all of them are printed in one work style.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionClass {
    /// Pages of each section.
    pub pages: u32,
    /// Sizes, trims included, that the section may take unfolded; any of them will do.
    pub shapes: Vec<Size>,
    /// The sections, from the outside of the product to the inside.
    pub sections: Vec<Section>,
}

/// One way to divide a part into sections.
#[derive(Debug, Clone, PartialEq)]
pub struct Scheme {
    /// By size, largest first; never empty.
    pub classes: Vec<SectionClass>,
}

/// The ways to divide a part into sections: one for a flat or folded part, one per largest signature for a stitched one.
pub fn schemes(product: &Product, part: &Part) -> Vec<Scheme> {
    match product.kind.value {
        ProductKind::Flat => vec![flat(product.trim.value, part)],
        ProductKind::Folded => vec![flat(open_size(product.trim.value, part), part)],
        ProductKind::SaddleStitched => SIGNATURES
            .into_iter()
            .filter(|largest| *largest <= part.pages.value)
            .map(|largest| stitched(product.trim.value, part, largest))
            .collect(),
    }
}

/// A parallel-folded part opened: its panels side by side.
fn open_size(trim: Size, part: &Part) -> Size {
    Size {
        width: trim.width * f64::from(part.pages.div_ceil(2)),
        height: trim.height,
    }
}

fn flat(open: Size, part: &Part) -> Scheme {
    let section = Section {
        outer: part.side_pages(Side::Front),
        inner: part.side_pages(Side::Back),
    };
    Scheme {
        classes: vec![SectionClass {
            pages: part.pages.value,
            shapes: vec![open.grown_by(part.bleed.value)],
            sections: vec![section],
        }],
    }
}

/// Fills the pages with the largest signature allowed, the remainder with smaller ones, the larger outside.
fn stitched(trim: Size, part: &Part, largest: u32) -> Scheme {
    let mut classes: Vec<SectionClass> = Vec::new();
    let mut done = 0;
    while done < part.pages.value {
        let left = part.pages.value - done;
        let fits = |pages: &u32| *pages <= largest && *pages <= left;
        // The pages of a stitched part are a multiple of 4, so the smallest signature always fits.
        let pages = SIGNATURES.into_iter().find(fits).unwrap_or(4);
        let section = signature(pages, done / 2, part.pages.value);
        match classes.last_mut().filter(|class| class.pages == pages) {
            Some(class) => class.sections.push(section),
            None => classes.push(SectionClass {
                pages,
                shapes: signature_shapes(trim, part.bleed.value, pages),
                sections: vec![section],
            }),
        }
        done += pages;
    }
    Scheme { classes }
}

/// Pages of a signature that has `before` pages of the part in front of it and as many behind.
///
/// Counted within the signature, the outer form carries the pages 4n and 4n + 1, the inner form the others.
fn signature(pages: u32, before: u32, all: u32) -> Section {
    let page = |local: u32| {
        if local <= pages / 2 {
            before + local
        } else {
            all - before - pages + local
        }
    };
    let outside = |local: &u32| matches!(local % 4, 0 | 1);
    let (outer, inner): (Vec<u32>, Vec<u32>) = (1..=pages).partition(outside);
    Section {
        outer: outer.into_iter().map(page).collect(),
        inner: inner.into_iter().map(page).collect(),
    }
}

/// Unfolded sizes of a signature: spreads of two pages side by side and head to head.
fn signature_shapes(trim: Size, bleed: Millimetres, pages: u32) -> Vec<Size> {
    let allowance = 2.0 * bleed.mm().max(STITCHED_TRIM_MM);
    let width = 2.0 * trim.width.mm() + allowance;
    let height = trim.height.mm() + allowance;
    let across_and_down: &[(f64, f64)] = match pages {
        32 => &[(2.0, 4.0), (4.0, 2.0)],
        16 => &[(2.0, 2.0)],
        8 => &[(1.0, 2.0), (2.0, 1.0)],
        _ => &[(1.0, 1.0)],
    };
    across_and_down
        .iter()
        .filter_map(|(across, down)| Size::from_mm(width * across, height * down))
        .collect()
}

#[cfg(test)]
mod tests {
    use inkset_spec::Given;

    use super::*;

    fn product(kind: ProductKind) -> Product {
        Product {
            kind: Given::assumed(kind),
            trim: Given::assumed(Size::from_mm(210.0, 297.0).unwrap()),
        }
    }

    fn part(pages: u32) -> Part {
        Part {
            name: Given::assumed("text".to_owned()),
            stock: Given::assumed("any".to_owned()),
            pages: Given::assumed(pages),
            bleed: Given::assumed(Millimetres::new(3.0).unwrap()),
        }
    }

    #[test]
    fn sixteen_pages_fold_to_the_known_forms() {
        // The classic sixteen-page sheet: 1, 4, 5, 8, 9, 12, 13, 16 outside.
        let scheme = &schemes(&product(ProductKind::SaddleStitched), &part(16))[0];
        let section = &scheme.classes[0].sections[0];
        assert_eq!(section.outer, [1, 4, 5, 8, 9, 12, 13, 16]);
        assert_eq!(section.inner, [2, 3, 6, 7, 10, 11, 14, 15]);
    }

    #[test]
    fn nested_signatures_take_pages_from_both_ends() {
        let scheme = &schemes(&product(ProductKind::SaddleStitched), &part(28))[0];
        let sizes: Vec<u32> = scheme.classes.iter().map(|c| c.pages).collect();
        assert_eq!(sizes, [16, 8, 4]);
        assert_eq!(
            scheme.classes[1].sections[0].outer,
            [9, 12, 17, 20],
            "8 pages within 16"
        );
        assert_eq!(scheme.classes[2].sections[0].outer, [13, 16]);
        assert_eq!(scheme.classes[2].sections[0].inner, [14, 15]);
    }

    #[test]
    fn every_page_is_printed_once() {
        for pages in (4..=96).step_by(4) {
            for scheme in schemes(&product(ProductKind::SaddleStitched), &part(pages)) {
                let sections = scheme.classes.iter().flat_map(|c| &c.sections);
                let mut seen: Vec<u32> = sections
                    .flat_map(|s| s.outer.iter().chain(&s.inner).copied())
                    .collect();
                seen.sort_unstable();
                assert_eq!(seen, (1..=pages).collect::<Vec<_>>());
            }
        }
    }

    #[test]
    fn leaflets_open_to_their_panels() {
        let scheme = &schemes(&product(ProductKind::Folded), &part(6))[0];
        assert_eq!(
            scheme.classes[0].shapes,
            [Size::from_mm(636.0, 303.0).unwrap()]
        );
    }
}
