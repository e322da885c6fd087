//! Reads what the copies become: kind, size, grain, folding, allowances.

use inkset_units::{Millimetres, Size};

use super::{TableReader, Value};
use crate::{
    Allowances, FoldScheme, Given, GrainWish, Product, ProductKind, USUAL_MILLING_MM,
    USUAL_TRIM_MM, codes,
};

/// Widest allowance, mm.
const WIDEST_ALLOWANCE: f64 = 50.0;

/// The product as far as it could be read, with its table for a job of one part.
pub(crate) struct ProductOutline<'a> {
    pub(crate) table: TableReader<'a>,
    pub(crate) kind: Option<Given<ProductKind>>,
    trim: Option<Given<Size>>,
    grain: Option<Given<GrainWish>>,
    pub(crate) fold: Option<Given<FoldScheme>>,
    allowances: Option<Allowances>,
}

impl ProductOutline<'_> {
    /// The product, if all of it was right.
    pub(crate) fn complete(self) -> Option<Product> {
        Some(Product {
            kind: self.kind?,
            trim: self.trim?,
            grain: self.grain?,
            fold: self.fold?,
            allowances: self.allowances?,
        })
    }
}

pub(crate) fn product<'a>(root: &TableReader<'a>) -> Option<ProductOutline<'a>> {
    let value = root.required("product", "[product]")?;
    let table = TableReader::of(&value, "the product")?;
    let kinds = ProductKind::ALL.map(|kind| (kind.word(), kind));
    let kind = table
        .required("kind", "kind = \"flat\"")
        .and_then(|v| v.choice(&kinds));
    let trim = table
        .required("size", "size = \"A5\"")
        .and_then(|v| v.size());
    let known = kind.map(|k| k.value);
    let grain = grain(&table, known);
    let fold = fold(&table, known);
    let allowances = allowances(&table, known);
    Some(ProductOutline {
        table,
        kind,
        trim,
        grain,
        fold,
        allowances,
    })
}

fn grain(table: &TableReader<'_>, kind: Option<ProductKind>) -> Option<Given<GrainWish>> {
    let wishes = [
        ("any", GrainWish::Any),
        ("spine", GrainWish::Spine),
        ("along", GrainWish::Along),
        ("across", GrainWish::Across),
    ];
    let Some(value) = table.optional("grain") else {
        return Some(usual_grain(table, kind));
    };
    let wish = value.choice(&wishes)?;
    let unfolded = kind.is_some_and(|kind| !kind.is_folded());
    if unfolded && wish.value == GrainWish::Spine {
        let message = format!("{}: a flat sheet has no spine", value.subject());
        let hint = "write `along` or `across`: along the longer edge of the page or across it";
        return value.refuse(codes::KEY_OF_OTHER_KIND, message, hint);
    }
    Some(wish)
}

fn usual_grain(table: &TableReader<'_>, kind: Option<ProductKind>) -> Given<GrainWish> {
    let (wish, sentence) = match kind {
        Some(kind) if kind.is_gathered() => (
            GrainWish::Spine,
            "no grain given; it runs parallel to the spine (common practice, no source)",
        ),
        Some(ProductKind::SaddleStitched) => (
            GrainWish::Any,
            "no grain given; it may run either way (parallel to the spine opens better)",
        ),
        _ => return Given::assumed(GrainWish::Any),
    };
    table.assume(wish, (codes::ASSUMED_GRAIN, sentence.to_owned()))
}

fn fold(table: &TableReader<'_>, kind: Option<ProductKind>) -> Option<Given<FoldScheme>> {
    let schemes = [
        ("parallel", FoldScheme::Parallel),
        ("right-angle", FoldScheme::RightAngle),
    ];
    let is_folded = |kind| kind == ProductKind::Folded;
    match table.optional("fold") {
        Some(value) => fits(&value, kind, ("folded", is_folded))?.choice(&schemes),
        None => Some(Given::assumed(FoldScheme::Parallel)),
    }
}

fn allowances(table: &TableReader<'_>, kind: Option<ProductKind>) -> Option<Allowances> {
    let trim = allowance(table, ("trim_allowance", "bound"), kind, |kind| {
        kind.is_bound().then_some((
            USUAL_TRIM_MM,
            "no trim allowance given; {} off head, foot and fore-edge",
        ))
    });
    let milling = allowance(table, ("spine_milling", "perfect-bound"), kind, |kind| {
        let said = "no milling given; {} off the spine side of each page";
        (kind == ProductKind::PerfectBound).then_some((USUAL_MILLING_MM, said))
    });
    let lap = allowance(table, ("lap", "saddle-stitched"), kind, |kind| {
        (kind == ProductKind::SaddleStitched).then_some((0.0, ""))
    });
    let gap = allowance(table, ("gap", "flat and folded"), kind, |kind| {
        matches!(kind, ProductKind::Flat | ProductKind::Folded).then_some((0.0, ""))
    });
    Some(Allowances {
        trim: trim?,
        milling: milling?,
        lap: lap?,
        gap: gap?,
    })
}

/// An allowance that only some kinds of product have; `usual` tells its default and how to tell it.
fn allowance(
    table: &TableReader<'_>,
    (key, kinds): (&'static str, &str),
    kind: Option<ProductKind>,
    usual: impl Fn(ProductKind) -> Option<(f64, &'static str)>,
) -> Option<Given<Millimetres>> {
    if let Some(value) = table.optional(key) {
        return fits(&value, kind, (kinds, |kind| usual(kind).is_some()))?.length(WIDEST_ALLOWANCE);
    }
    let (mm, said) = kind.and_then(usual).unwrap_or((0.0, ""));
    let length = Millimetres::new(mm)?;
    if said.is_empty() {
        return Some(Given::assumed(length));
    }
    let sentence = said.replace("{}", &length.to_string()) + " (common practice, no source)";
    Some(table.assume(length, (codes::ASSUMED_ALLOWANCE, sentence)))
}

/// The value, unless the kind of product has no use for it.
fn fits<'v, 'a>(
    value: &'v Value<'a>,
    kind: Option<ProductKind>,
    (kinds, has): (&str, impl Fn(ProductKind) -> bool),
) -> Option<&'v Value<'a>> {
    let Some(other) = kind.filter(|kind| !has(*kind)) else {
        return Some(value);
    };
    let message = format!(
        "{} is for {kinds} products; this one is {}",
        value.subject(),
        other.word()
    );
    value.refuse(codes::KEY_OF_OTHER_KIND, message, "leave it out")
}
