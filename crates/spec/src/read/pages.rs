//! Reads where a colour or picture stands: its part, and its side or pages.

use super::job::known_names;
use super::part::Parts;
use super::{TableReader, Value, shown};
use crate::{Given, Part, ProductKind, Side, codes};

/// The part, as an index, and the pages within it, ascending.
pub(crate) fn spot(table: &TableReader<'_>, parts: &Parts) -> Option<(usize, Vec<u32>)> {
    let part = part_index(table, parts);
    let (side, pages) = (table.optional("side"), table.optional("pages"));
    let part = part?;
    let known = parts.get(part)?;
    let pages = match (side, pages) {
        (Some(side), Some(_)) => both_given(&side),
        (Some(side), None) => side_pages(&side, known, parts.kind()),
        (None, Some(pages)) => numbered_pages(&pages, (&known.name, known.pages.value)),
        (None, None) => Some(every_page(table, known)),
    };
    Some((part, pages?))
}

fn part_index(table: &TableReader<'_>, parts: &Parts) -> Option<usize> {
    if parts.len() == 1 && !table.has("part") {
        table.optional("part");
        return Some(0);
    }
    let value = table.required("part", "part = \"cover\"")?;
    named_part(&value, parts)
}

/// The part of this name, as an index.
pub(crate) fn named_part(value: &Value<'_>, parts: &Parts) -> Option<usize> {
    let name = value.raw_text()?;
    let index = parts.position(name);
    // A part that could not be read may be the one that is meant.
    if index.is_none() && parts.all_known() {
        let message = format!(
            "{} is `{}`, which the job does not have",
            value.subject(),
            shown(name)
        );
        return value.refuse(
            codes::UNKNOWN_PART,
            message,
            known_names(name, parts.names()),
        );
    }
    index
}

fn both_given<T>(side: &Value<'_>) -> Option<T> {
    let message = format!("{} is given together with `pages`", side.subject());
    side.refuse(codes::SIDE_AND_PAGES, message, "keep one of the two")
}

fn side_pages(side: &Value<'_>, part: &Part, kind: Option<ProductKind>) -> Option<Vec<u32>> {
    let sides = [
        ("front", Some(Side::Front)),
        ("back", Some(Side::Back)),
        ("both", None),
    ];
    let chosen = side.choice(&sides)?;
    if kind.is_some_and(ProductKind::is_bound) && part.pages.value > 2 {
        let message = format!(
            "{}: a bound product has pages, not two sides",
            side.subject()
        );
        return side.refuse(
            codes::SIDE_OF_BOOKLET,
            message,
            "write `pages = [1, 4]` or `pages = \"2-5\"`",
        );
    }
    let pages = match chosen.value {
        Some(side) => part.side_pages(side),
        None => (1..=part.pages.value).collect(),
    };
    if pages.is_empty() {
        let message = format!(
            "{}: part `{}` is printed on the front only",
            side.subject(),
            part.name.value
        );
        return side.refuse(
            codes::PAGE_BEYOND_PART,
            message,
            "a sheet printed on both sides has 2 pages",
        );
    }
    Some(pages)
}

fn every_page(table: &TableReader<'_>, part: &Part) -> Vec<u32> {
    if part.pages.value > 1 {
        let sentence = format!(
            "{}: neither side nor pages given; taking all {} pages of part `{}`",
            table.subject(),
            part.pages.value,
            part.name.value
        );
        table
            .log()
            .assume(codes::ASSUMED_PAGES, table.place(), sentence);
    }
    (1..=part.pages.value).collect()
}

/// A part by its name and its number of pages.
type PagedPart<'p> = (&'p Given<String>, u32);

/// Pages of a part by their numbers, ascending.
pub(crate) fn numbered_pages(value: &Value<'_>, part: PagedPart<'_>) -> Option<Vec<u32>> {
    use toml::de::DeValue;
    let mut pages = match value.raw() {
        DeValue::String(text) => written_pages(value, text, part)?,
        DeValue::Integer(_) => vec![page(value, part)?],
        DeValue::Array(_) => {
            let entries = value.filled_list()?;
            let read: Vec<Option<u32>> = entries.iter().map(|entry| page(entry, part)).collect();
            read.into_iter().collect::<Option<_>>()?
        }
        _ => return value.wrong_type("`\"all\"`, a list of pages or a range such as `\"2-5\"`"),
    };
    pages.sort_unstable();
    pages.dedup();
    Some(pages)
}

fn page(value: &Value<'_>, part: PagedPart<'_>) -> Option<u32> {
    let number = value.whole()?;
    within(value, number, part)
}

fn within(value: &Value<'_>, number: i128, part: PagedPart<'_>) -> Option<u32> {
    let (name, last) = part;
    if (1..=i128::from(last)).contains(&number) {
        return u32::try_from(number).ok();
    }
    let message = format!(
        "{}: part `{}` has pages 1 to {last}, no page {number}",
        value.subject(),
        name.value
    );
    value.refuse(
        codes::PAGE_BEYOND_PART,
        message,
        "pages are counted from 1 within their part",
    )
}

/// Reads `all`, or numbers and ranges with commas between: `1, 4-6`.
fn written_pages(value: &Value<'_>, text: &str, part: PagedPart<'_>) -> Option<Vec<u32>> {
    if text.trim() == "all" {
        return Some((1..=part.1).collect());
    }
    let mut pages = Vec::new();
    for piece in text.split(',') {
        let Some((first, last)) = range(piece) else {
            let message = format!("{}: `{}` names no pages", value.subject(), shown(text));
            return value.refuse(
                codes::NOT_PAGES,
                message,
                "write `\"all\"`, `[1, 4]` or `\"2-5\"`",
            );
        };
        let (first, last) = (within(value, first, part)?, within(value, last, part)?);
        pages.extend(first..=last);
        if pages.len() > part.1 as usize {
            pages.sort_unstable();
            pages.dedup();
        }
    }
    Some(pages)
}

/// A page or an ascending range of pages.
fn range(piece: &str) -> Option<(i128, i128)> {
    let number = |text: &str| text.trim().parse::<u32>().ok().map(i128::from);
    match piece.split_once(['-', '–']) {
        Some((first, last)) => Some((number(first)?, number(last)?)).filter(|(f, l)| f <= l),
        None => number(piece).map(|n| (n, n)),
    }
}
