//! Writes the reference of the file forms and compares everything shipped with what the code says.
//!
//! With the variable `INKSET_BLESS` set, the files in `docs/` are written instead of compared.

use std::fmt::Write as _;
use std::path::PathBuf;

use super::{
    Default, Form, Key, Table, actuals, actuals_schema, buyer_schema, card, job, job_schema, offer,
    offer_schema, rate_card_schema,
};
use crate::{Notice, codes, read_actuals, read_buyer, read_job, read_offers, read_rate_card};

fn docs(name: &str) -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs")).join(name)
}

fn compare(name: &str, wanted: &str) {
    if std::env::var_os("INKSET_BLESS").is_some() {
        std::fs::write(docs(name), wanted).unwrap();
    }
    let shipped = std::fs::read_to_string(docs(name)).unwrap_or_default();
    assert!(
        shipped == wanted,
        "docs/{name} is not what the code says; run the test with INKSET_BLESS=1"
    );
}

#[test]
fn schemas_are_shipped() {
    let pretty = |schema| format!("{}\n", serde_json::to_string_pretty(&schema).unwrap());
    compare("job.schema.json", &pretty(job_schema()));
    compare("rate-card.schema.json", &pretty(rate_card_schema()));
    compare("offer.schema.json", &pretty(offer_schema()));
    compare("buyer.schema.json", &pretty(buyer_schema()));
    compare("actuals.schema.json", &pretty(actuals_schema()));
}

#[test]
fn references_are_shipped() {
    let job = include_str!("job.md");
    compare("job-file.md", &format!("{job}\n{}", reference(&job::JOB)));
    let card = include_str!("card.md");
    compare(
        "rate-card.md",
        &format!("{card}\n{}", reference(&card::RATE_CARD)),
    );
    let offer = include_str!("offer.md");
    let keys = reference(&offer::OFFER);
    compare("offer-file.md", &format!("{offer}\n{keys}"));
    let buyer = include_str!("buyer.md");
    let keys = reference(&offer::BUYER);
    compare("buyer-file.md", &format!("{buyer}\n{keys}"));
    let actuals = include_str!("actuals.md");
    let keys = reference(&actuals::ACTUALS);
    compare("actuals-file.md", &format!("{actuals}\n{keys}"));
}

fn reference(top: &Table) -> String {
    let mut text = String::new();
    for table in tables(top) {
        let header = if table.header.is_empty() {
            "Top of the file"
        } else {
            table.header
        };
        writeln!(text, "## {}\n\n{}\n", code_names(header), table.about).unwrap();
        text.push_str("| key | type, unit | allowed | default | example | meaning |\n|---|---|---|---|---|---|\n");
        for key in table.keys {
            text.push_str(&row(key));
        }
        text.push('\n');
    }
    format!("{}\n", text.trim_end())
}

fn code_names(header: &str) -> String {
    match header {
        "Top of the file" => header.to_owned(),
        names => names
            .split(", ")
            .map(|n| format!("`{n}`"))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

/// The table and those in it, each once.
fn tables(top: &Table) -> Vec<&Table> {
    let mut found = vec![top];
    for key in top.keys {
        let (Form::One(inner) | Form::Many(inner)) = key.form else {
            continue;
        };
        for table in tables(inner) {
            if !found.iter().any(|t| t.header == table.header) {
                found.push(table);
            }
        }
    }
    found
}

fn row(key: &Key) -> String {
    let (kind, allowed) = kind(key.form);
    let kind = if key.unit.is_empty() {
        kind.to_owned()
    } else {
        format!("{kind}, {}", key.unit)
    };
    let default = match key.default {
        Default::Required => "required",
        Default::None => "–",
        Default::Value(value) => value,
    };
    let example = match key.example {
        "" => String::new(),
        example => format!("`{} = {example}`", key.name),
    };
    format!(
        "| `{}` | {kind} | {allowed} | {default} | {example} | {} |\n",
        key.name, key.about
    )
}

fn kind(form: Form) -> (&'static str, String) {
    let words = |words: &[&str]| {
        words
            .iter()
            .map(|w| format!("`{w}`"))
            .collect::<Vec<_>>()
            .join(", ")
    };
    match form {
        Form::Text => ("text", "1 to 200 characters".to_owned()),
        Form::Words(allowed) => ("word", words(allowed)),
        Form::WordList(allowed) => ("list of words", words(allowed)),
        Form::TextList => ("list of texts", "each 1 to 200 characters".to_owned()),
        Form::Percent => ("percentage", "0 to 100".to_owned()),
        Form::Flag => ("flag", "`true`, `false`".to_owned()),
        Form::Count(low, high) => ("whole number", format!("{low} to {high}")),
        Form::Number(low, high) => ("number", format!("{low} to {high}")),
        Form::Amount => ("amount", "0 to 100000000".to_owned()),
        Form::Size => (
            "size",
            "a name, or width x height in mm, cm or in".to_owned(),
        ),
        Form::Length => ("length with unit", "mm, cm, in".to_owned()),
        Form::Share => ("share", "0 to 1, or `\"0 %\"` to `\"100 %\"`".to_owned()),
        Form::Date => ("date", "year-month-day".to_owned()),
        Form::Numbers(count, low, high) => (
            "list of numbers",
            format!("{count} numbers, {low} to {high}"),
        ),
        Form::LabOrPalette(table) => (
            "list of numbers or table",
            format!(
                "L, a, b: 3 numbers, -128 to 128; or see {}",
                code_names(table.header)
            ),
        ),
        Form::Hex => ("text", "`#RRGGBB` or `#RGB`".to_owned()),
        Form::Pages => ("pages", "pages of the part".to_owned()),
        Form::PictureInks => (
            "shares by ink",
            "`c`, `m`, `y`, `k`, or `\"typical\"`".to_owned(),
        ),
        Form::Counts(low, high) => ("list of whole numbers", format!("each {low} to {high}")),
        Form::Sizes => ("list of sizes", "at least one".to_owned()),
        Form::One(table) => ("table", format!("see {}", code_names(table.header))),
        Form::Many(table) => (
            "list of tables",
            format!("see {}", code_names(table.header)),
        ),
    }
}

#[test]
fn every_code_is_explained_once() {
    let text = include_str!("../../../../docs/errors.md");
    let explained: Vec<&str> = text
        .lines()
        .filter_map(|line| line.strip_prefix("### "))
        .collect();
    assert_eq!(
        explained,
        codes::ALL,
        "docs/errors.md must explain each code, in the order of codes.rs"
    );
    let mut unique = explained.clone();
    unique.sort_unstable();
    unique.dedup();
    assert_eq!(unique.len(), explained.len());
}

/// The keys that the reader says it knows, for a table with a key that it does not.
fn known_by_reader(notices: &[Notice]) -> Vec<String> {
    let unknown = notices
        .iter()
        .find(|n| n.code == codes::UNKNOWN_KEY)
        .unwrap();
    let hint = unknown
        .hint
        .as_deref()
        .unwrap()
        .strip_prefix("known: ")
        .unwrap();
    hint.split(", ")
        .map(|word| word.trim_matches('`').to_owned())
        .collect()
}

#[test]
fn readers_know_exactly_the_listed_keys() {
    let strange = "\"?\" = 1\n";
    let job = [
        ("", ""),
        ("[product]", "[product]\n"),
        ("[[part]]", "[[part]]\n"),
        ("[[override]]", "[[override]]\n"),
        ("[[colour]]", "[[colour]]\n"),
        (
            "uses",
            "[product]\nkind='flat'\nsize='A5'\npages=1\nstock='x'\n[[colour]]\n[[colour.uses]]\n",
        ),
        ("[[finish]]", "[[finish]]\n"),
        ("[proofs]", "[proofs]\n"),
        ("[[delivery]]", "[[delivery]]\n"),
        (
            "[[picture]]",
            "[product]\nkind='flat'\nsize='A5'\npages=1\nstock='x'\n[[picture]]\n",
        ),
    ];
    for (header, text) in job {
        let reading = read_job(&format!("{text}{strange}"));
        assert_eq!(
            known_by_reader(&reading.notices),
            sorted_keys(&job::JOB, header),
            "{header}"
        );
    }
    let card = [
        ("", ""),
        ("profit", "[profit]\n"),
        ("run_spoilage", "[[run_spoilage]]\n"),
        ("[[press]]", "[[press]]\n"),
        ("speeds", "[[press]]\n[[press.speeds]]\n"),
        ("[[stock]]", "[[stock]]\n"),
        ("[ink]", "[ink]\n"),
        ("[ink.process]", "[ink.process]\n"),
        ("[ink.solid]", "[ink.solid]\n"),
        ("[[ink.named]]", "[[ink.named]]\n"),
        ("[finishing]", "[finishing]\n"),
        ("[finishing.cut]", "[finishing.cut]\n"),
        ("[[operation]]", "[[operation]]\n"),
        ("[proof]", "[proof]\n"),
        ("[[carriage]]", "[[carriage]]\n"),
        ("[ink.metallic]", "[ink.metallic]\n"),
    ];
    for (header, text) in card {
        let reading = read_rate_card(&format!("{text}{strange}"));
        assert_eq!(
            known_by_reader(&reading.notices),
            sorted_keys(&card::RATE_CARD, header),
            "{header}"
        );
    }
}

#[test]
fn offers_know_exactly_the_listed_keys() {
    let strange = "\"?\" = 1\n";
    for (header, text) in [
        ("", ""),
        ("[includes]", "[includes]\n"),
        ("[overs]", "[overs]\n"),
        ("[discount]", "[discount]\n"),
        ("[[option]]", "[[option]]\n"),
        ("prices", "[[option]]\n[[option.prices]]\n"),
        ("schedule", "[[option]]\n[[option.schedule]]\n"),
    ] {
        let reading = read_offers(format!("{text}{strange}").as_bytes());
        let known = known_by_reader(&reading.notices);
        assert_eq!(known, sorted_keys(&offer::OFFER, header), "{header}");
    }
    for (header, text) in [
        ("", ""),
        ("[carriage]", "[carriage]\n"),
        ("[[exchange]]", "[[exchange]]\n"),
        ("[[basket]]", "[[basket]]\n"),
    ] {
        let reading = read_buyer(format!("{text}{strange}").as_bytes());
        let known = known_by_reader(&reading.notices);
        assert_eq!(known, sorted_keys(&offer::BUYER, header), "{header}");
    }
}

#[test]
fn actuals_know_exactly_the_listed_keys() {
    let strange = "\"?\" = 1\n";
    for (header, text) in [
        ("", ""),
        ("[[job]]", "[[job]]\n"),
        ("[[job.press]]", "[[job]]\n[[job.press]]\n"),
        ("[[job.ink]]", "[[job]]\n[[job.ink]]\n"),
        ("[[job.operation]]", "[[job]]\n[[job.operation]]\n"),
    ] {
        let text = format!("{text}{strange}");
        // The keys of a job depend on whether it has a file: both kinds together are the list.
        let with_file = text.replace("[[job]]\n", "[[job]]\nfile = \"a.toml\"\n");
        let mut known = Vec::new();
        for text in [text, with_file] {
            known.extend(known_by_reader(&read_actuals(text.as_bytes()).notices));
        }
        known.sort_unstable();
        known.dedup();
        assert_eq!(known, sorted_keys(&actuals::ACTUALS, header), "{header}");
    }
}

fn sorted_keys(top: &Table, header: &str) -> Vec<String> {
    let all = tables(top);
    let table = all
        .iter()
        .find(|t| t.header.split(", ").any(|h| h == header))
        .unwrap();
    let mut keys: Vec<String> = table.keys.iter().map(|k| k.name.to_owned()).collect();
    keys.sort_unstable();
    keys
}

#[test]
fn examples_of_the_reference_parse() {
    for table in tables(&job::JOB)
        .into_iter()
        .chain(tables(&card::RATE_CARD))
        .chain(tables(&offer::OFFER))
        .chain(tables(&offer::BUYER))
        .chain(tables(&actuals::ACTUALS))
    {
        for key in table.keys.iter().filter(|k| !k.example.is_empty()) {
            let line = format!("{} = {}", key.name, key.example);
            assert!(line.parse::<toml::Table>().is_ok(), "{line}");
        }
    }
}
