//! Reads which artwork lies on which pages.

use std::collections::BTreeSet;

use super::pages::spot;
use super::part::Parts;
use super::{Limits, TableReader, Value};
use crate::{Given, NamedArtwork, codes};

const FIRST: Limits = Limits::new(1.0, 100_000.0, "", "3");

pub(crate) fn artwork(root: &TableReader<'_>, parts: &Parts) -> Option<Vec<NamedArtwork>> {
    let Some(listed) = root.optional("artwork") else {
        return Some(Vec::new());
    };
    let entries = listed.list()?;
    let read: Vec<_> = entries.iter().map(|entry| one(entry, parts)).collect();
    let mut taken = BTreeSet::new();
    for (entry, artwork) in entries.iter().zip(&read) {
        let Some(artwork) = artwork else { continue };
        let mut pages = artwork.pages.iter();
        if let Some(page) = pages.find(|page| !taken.insert((artwork.part, **page))) {
            let message = format!("page {page} has two artworks");
            let hint = "say with `pages` which artwork lies on which page";
            return entry.refuse(codes::TWO_ARTWORKS, message, hint);
        }
    }
    read.into_iter().collect()
}

fn one(entry: &Value<'_>, parts: &Parts) -> Option<NamedArtwork> {
    let table = TableReader::of(entry, "an artwork")?;
    let file = table.name("file", "file = \"brochure.pdf\"");
    if let Some(file) = &file {
        table.call(format!("artwork `{}`", file.value));
    }
    let first = table.if_given("first", |v| v.count(FIRST));
    let spot = spot(&table, parts);
    let unprinted = table.if_given("unprinted", names);
    table.finish();
    let (part, pages) = spot?;
    Some(NamedArtwork {
        file: file?,
        first: first.ok()?.unwrap_or(Given::assumed(1)),
        part,
        pages,
        unprinted: unprinted.ok()?.unwrap_or_default(),
    })
}

fn names(value: &Value<'_>) -> Option<Vec<Given<String>>> {
    let entries = value.filled_list()?;
    let read: Vec<_> = entries.iter().map(Value::text).collect();
    read.into_iter().collect()
}
