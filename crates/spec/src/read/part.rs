//! Reads the product and its parts.

use inkset_units::{Millimetres, Size};

use super::job::{PAGES, report_duplicate_names};
use super::{TableReader, Value};
use crate::{Given, Part, Product, ProductKind, codes};

/// Widest bleed, mm.
const WIDEST_BLEED: f64 = 50.0;
/// Bleed unless given, mm. Common practice, no source.
const USUAL_BLEED: f64 = 3.0;
/// Most panels of a folded sheet, twice.
const MOST_FOLDED_PAGES: u32 = 32;

/// The product as far as it could be read, with its table for a job of one part.
pub(crate) struct ProductOutline<'a> {
    table: TableReader<'a>,
    kind: Option<Given<ProductKind>>,
    trim: Option<Given<Size>>,
}

impl ProductOutline<'_> {
    /// The product, if all of it was right.
    pub(crate) fn complete(self) -> Option<Product> {
        Some(Product {
            kind: self.kind?,
            trim: self.trim?,
        })
    }
}

pub(crate) fn product<'a>(root: &TableReader<'a>) -> Option<ProductOutline<'a>> {
    let value = root.required("product", "[product]")?;
    let table = TableReader::of(&value, "the product")?;
    let kinds = [
        ("flat", ProductKind::Flat),
        ("folded", ProductKind::Folded),
        ("saddle-stitched", ProductKind::SaddleStitched),
    ];
    let kind = table
        .required("kind", "kind = \"flat\"")
        .and_then(|v| v.choice(&kinds));
    let trim = table
        .required("size", "size = \"A5\"")
        .and_then(|v| v.size());
    Some(ProductOutline { table, kind, trim })
}

/// The parts as far as they could be read; one that could not keeps its place.
pub(crate) struct Parts {
    parts: Vec<Option<Part>>,
    kind: Option<ProductKind>,
}

impl Parts {
    /// All parts, if all of them were right.
    pub(crate) fn complete(self) -> Option<Vec<Part>> {
        self.parts.into_iter().collect()
    }

    pub(crate) fn all_known(&self) -> bool {
        !self.parts.is_empty() && self.parts.iter().all(Option::is_some)
    }

    pub(crate) fn get(&self, index: usize) -> Option<&Part> {
        self.parts.get(index)?.as_ref()
    }

    pub(crate) fn len(&self) -> usize {
        self.parts.len()
    }

    pub(crate) fn kind(&self) -> Option<ProductKind> {
        self.kind
    }

    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        self.parts.iter().flatten().map(|p| p.name.value.as_str())
    }

    pub(crate) fn position(&self, name: &str) -> Option<usize> {
        let is_it = |part: &Option<Part>| {
            part.as_ref()
                .is_some_and(|p| p.name.to_lowercase() == name.to_lowercase())
        };
        self.parts.iter().position(is_it)
    }
}

pub(crate) fn parts(root: &TableReader<'_>, product: Option<&ProductOutline<'_>>) -> Parts {
    let listed = root.optional("part");
    let kind = product.and_then(|p| p.kind.map(|k| k.value));
    let parts = match (listed, product) {
        (Some(listed), _) => {
            if let Some(product) = product {
                refuse_part_keys(product);
            }
            listed_parts(root, &listed, kind)
        }
        (None, Some(product)) => vec![only_part(product, kind)],
        (None, None) => Vec::new(),
    };
    if let Some(product) = product {
        product.table.finish();
    }
    Parts { parts, kind }
}

/// Keys that belong to a part may stand under the product only when there is no `[[part]]`.
fn refuse_part_keys(product: &ProductOutline<'_>) {
    for key in ["part", "pages", "stock", "bleed"] {
        if let Some(value) = product.table.optional(key) {
            let message = format!(
                "{} is given although the job has `[[part]]`",
                value.subject()
            );
            let hint = format!("write `{key}` in each `[[part]]`, or leave `[[part]]` out");
            value.refuse::<()>(codes::PART_GIVEN_TWICE, message, hint);
        }
    }
}

fn listed_parts(
    root: &TableReader<'_>,
    listed: &Value<'_>,
    kind: Option<ProductKind>,
) -> Vec<Option<Part>> {
    let entries = listed.filled_list().unwrap_or_default();
    let parts: Vec<Option<Part>> = entries
        .iter()
        .map(|entry| listed_part(entry, kind))
        .collect();
    report_duplicate_names(
        root,
        "parts",
        parts.iter().flatten().map(|p| p.name.clone()),
    );
    let single = matches!(kind, Some(ProductKind::Flat | ProductKind::Folded));
    if let Some(second) = entries.get(1).filter(|_| single) {
        let message = format!(
            "the job has {} parts; a flat or folded product has one",
            entries.len()
        );
        let hint = "make it `kind = \"saddle-stitched\"`, or write a job file for each sheet";
        second.refuse::<()>(codes::TOO_MANY_PARTS, message, hint);
    }
    parts
}

fn listed_part(entry: &Value<'_>, kind: Option<ProductKind>) -> Option<Part> {
    let table = TableReader::of(entry, "a part")?;
    let name = table.name("name", "name = \"cover\"");
    if let Some(name) = &name {
        table.call(format!("part `{}`", name.value));
    }
    let part = part(&table, name, kind);
    table.finish();
    part
}

/// The part of a job without `[[part]]`, named by `part` or after the kind of product.
fn only_part(product: &ProductOutline<'_>, kind: Option<ProductKind>) -> Option<Part> {
    let table = &product.table;
    let name = match table.optional("part") {
        Some(written) => written.text(),
        None => table
            .place()
            .map(|place| Given::at(usual_name(kind).to_owned(), place)),
    };
    part(table, name, kind)
}

fn usual_name(kind: Option<ProductKind>) -> &'static str {
    match kind {
        Some(ProductKind::Folded) => "leaflet",
        Some(ProductKind::SaddleStitched) => "booklet",
        Some(ProductKind::Flat) | None => "sheet",
    }
}

fn part(
    table: &TableReader<'_>,
    name: Option<Given<String>>,
    kind: Option<ProductKind>,
) -> Option<Part> {
    let pages = pages(table, kind);
    let stock = table.name("stock", "stock = \"gloss-150\"");
    let bleed = bleed(table);
    Some(Part {
        name: name?,
        stock: stock?,
        pages: pages?,
        bleed: bleed?,
    })
}

fn bleed(table: &TableReader<'_>) -> Option<Given<Millimetres>> {
    let sentence = format!(
        "no bleed given; using {USUAL_BLEED} mm on every edge (common practice, no source)"
    );
    table.or_assume(
        "bleed",
        |v| v.length(WIDEST_BLEED),
        Millimetres::new(USUAL_BLEED)?,
        (codes::ASSUMED_BLEED, sentence),
    )
}

fn pages(table: &TableReader<'_>, kind: Option<ProductKind>) -> Option<Given<u32>> {
    let value = table.required("pages", "pages = 2")?;
    let pages = value.count(PAGES)?.map(|n| n as u32);
    let Some(kind) = kind else {
        return Some(pages);
    };
    if pages_allowed(kind, *pages) {
        return Some(pages);
    }
    let message = format!(
        "{} is {}, must be {}",
        value.subject(),
        *pages,
        pages_wanted(kind)
    );
    value.refuse(
        codes::PAGES_NOT_ALLOWED,
        message,
        nearest_pages(kind, *pages),
    )
}

fn pages_allowed(kind: ProductKind, pages: u32) -> bool {
    match kind {
        ProductKind::Flat => pages <= 2,
        ProductKind::Folded => pages.is_multiple_of(2) && (4..=MOST_FOLDED_PAGES).contains(&pages),
        ProductKind::SaddleStitched => pages.is_multiple_of(4),
    }
}

fn pages_wanted(kind: ProductKind) -> &'static str {
    match kind {
        ProductKind::Flat => "1 or 2 for a flat sheet",
        ProductKind::Folded => {
            "an even number from 4 to 32 for a folded sheet: two pages for each panel"
        }
        ProductKind::SaddleStitched => "a multiple of 4 for saddle-stitching",
    }
}

fn nearest_pages(kind: ProductKind, pages: u32) -> String {
    let (step, least, most) = match kind {
        ProductKind::Flat => {
            return "a sheet with more pages is `folded` or `saddle-stitched`".to_owned();
        }
        ProductKind::Folded => (2, 4, MOST_FOLDED_PAGES),
        ProductKind::SaddleStitched => (4, 4, PAGES.high as u32),
    };
    let below = (pages / step * step).clamp(least, most);
    let above = pages.next_multiple_of(step).clamp(least, most);
    if below == above {
        return format!("nearest allowed: {below}");
    }
    format!("nearest allowed: {below} or {above}")
}
