//! The shipped printing conditions.

use inkset_colour::ConditionInfo;
use serde::Serialize;

use crate::document::{Cell, Column, Document, Table};

/// For people.
pub fn listed_document(infos: &[ConditionInfo]) -> Document {
    let mut document = Document::default();
    document.heading("Shipped printing conditions");
    let mut table = Table::new(vec![
        Column::words("Name"),
        Column::words("Title"),
        Column::words("Paper"),
        Column::figures("Ink limit %"),
        Column::words("Also called"),
    ]);
    for info in infos {
        table.row(vec![
            Cell::text(&info.name),
            Cell::text(&info.title),
            Cell::text(&info.paper_kind),
            Cell::Number(info.ink_limit, 0),
            Cell::text(info.aliases.join(", ")),
        ]);
    }
    document.table(table);
    document.list(
        infos
            .iter()
            .map(|info| format!("{}: {}. {}", info.name, info.source, info.licence))
            .collect(),
    );
    document.text(
        "A characterisation table (CGATS.17 text) or an ICC output profile with CMYK can be named by its file instead.",
    );
    document
}

#[derive(Serialize)]
struct ListedJson<'a> {
    name: &'a str,
    title: &'a str,
    aliases: &'a [String],
    paper_kind: &'a str,
    process: &'a str,
    ink_limit: f64,
    black_limit: f64,
    smallest_dot: f64,
    source: &'a str,
    licence: &'a str,
}

/// For programs: one object a condition.
pub fn listed_json(infos: &[ConditionInfo]) -> String {
    let rows: Vec<ListedJson<'_>> = infos
        .iter()
        .map(|info| ListedJson {
            name: &info.name,
            title: &info.title,
            aliases: &info.aliases,
            paper_kind: &info.paper_kind,
            process: &info.process,
            ink_limit: info.ink_limit,
            black_limit: info.black_limit,
            smallest_dot: info.smallest_dot,
            source: &info.source,
            licence: &info.licence,
        })
        .collect();
    crate::json::pretty(&rows)
}

/// For spreadsheets.
pub fn listed_csv(infos: &[ConditionInfo]) -> String {
    let header = [
        "name",
        "title",
        "aliases",
        "paper_kind",
        "process",
        "ink_limit",
        "black_limit",
        "smallest_dot",
        "source",
        "licence",
    ];
    let rows = infos.iter().map(|info| {
        vec![
            info.name.clone(),
            info.title.clone(),
            info.aliases.join(" "),
            info.paper_kind.clone(),
            info.process.clone(),
            info.ink_limit.to_string(),
            info.black_limit.to_string(),
            info.smallest_dot.to_string(),
            info.source.clone(),
            info.licence.clone(),
        ]
    });
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}
