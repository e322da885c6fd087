//! Every shipped file reads without an error and agrees with its schema.

#![expect(
    clippy::expect_used,
    reason = "a test may stop at the first thing that is missing"
)]

mod support;

use inkset_spec::{
    Severity, Sources, check_against, job_schema, rate_card_schema, read_job, read_rate_card,
    render_notices, starter_job, starter_rate_card,
};
use serde_json::Value;
use support::files;

const CONDITIONS: [&str; 5] = [
    "coated-tr006",
    "coated-fogra39",
    "magazine-tr003",
    "uncoated-fogra29",
    "newsprint-tr002",
];

#[test]
fn demo_rate_cards_need_no_assumption() {
    for (name, text) in files("rates") {
        let reading = read_rate_card(&text);
        assert_eq!(reading.notices, [], "{name}");
        assert!(reading.value.is_some_and(|card| card.example), "{name}");
    }
}

#[test]
fn demo_jobs_read_without_error() {
    for (name, text) in files("jobs") {
        let reading = read_job(&text);
        let assumed = reading
            .notices
            .iter()
            .all(|n| n.severity == Severity::Assumption);
        assert!(assumed, "{name}: {:?}", reading.notices);
        assert!(reading.value.is_some(), "{name}");
        assert!(
            reading.notices.is_empty() || name == "minimal",
            "{name}: {:?}",
            reading.notices
        );
    }
}

#[test]
fn demo_jobs_fit_their_rate_cards() {
    let cards = files("rates");
    for (name, text) in files("jobs") {
        let job = read_job(&text).value.expect("read above");
        let named = job
            .rates
            .clone()
            .expect("every demo job names its card")
            .value;
        let (_, card) = cards
            .iter()
            .find(|(card, _)| named == format!("../rates/{card}.toml"))
            .expect("the card is shipped");
        let card = read_rate_card(card).value.expect("read above");
        assert_eq!(check_against(&job, &card, &CONDITIONS), [], "{name}");
    }
}

#[test]
fn starter_files_are_complete_and_fit() {
    let (job, card) = (read_job(starter_job()), read_rate_card(starter_rate_card()));
    assert_eq!(job.notices, []);
    assert_eq!(card.notices, []);
    let (job, card) = (
        job.value.expect("no errors"),
        card.value.expect("no errors"),
    );
    assert_eq!(check_against(&job, &card, &CONDITIONS), []);
}

#[test]
fn every_way_to_write_a_value_is_read() {
    for (name, text) in files("tests/jobs/valid") {
        let reading = read_job(&text);
        insta::assert_snapshot!(format!("valid_{name}_notices"), tell_job(&name, &text));
        insta::assert_debug_snapshot!(
            format!("valid_{name}"),
            summary(&reading.value.expect("valid"))
        );
    }
}

/// The parts of a job that show how its values were understood.
fn summary(job: &inkset_spec::Job) -> Vec<String> {
    let mut lines = vec![format!(
        "{:?}",
        job.quantities.iter().map(|q| q.value).collect::<Vec<_>>()
    )];
    for colour in &job.colours {
        lines.push(format!(
            "{}: {:?} {:?}",
            colour.name, colour.target.value, colour.solid.value
        ));
        for one in &colour.uses {
            let (coverage, tint) = (one.coverage.fraction(), one.tint.percent());
            lines.push(format!(
                "  pages {:?} {coverage} at {tint} as {:?}",
                one.pages, one.kind.value
            ));
        }
    }
    let pictures = job.pictures.iter();
    lines.extend(pictures.map(|p| {
        format!(
            "picture {:?} {} {:?}",
            p.pages,
            p.area.fraction(),
            p.inks.value
        )
    }));
    lines
}

fn tell_job(name: &str, text: &str) -> String {
    let file = format!("{name}.toml");
    let sources = Sources {
        job: Some((&file, text)),
        ..Sources::default()
    };
    render_notices(&read_job(text).notices, &sources)
}

#[test]
fn the_minimal_job_lists_what_it_assumes() {
    let jobs = files("jobs");
    let (_, text) = jobs
        .iter()
        .find(|(name, _)| name == "minimal")
        .expect("shipped");
    assert!(text.lines().count() <= 15);
    insta::assert_snapshot!(tell_job("minimal", text));
}

#[test]
fn shipped_files_agree_with_their_schemas() {
    let jobs = jsonschema::validator_for(&job_schema()).expect("a schema");
    let cards = jsonschema::validator_for(&rate_card_schema()).expect("a schema");
    let mut job_files = files("jobs");
    job_files.extend(files("tests/jobs/valid"));
    job_files.push(("starter".to_owned(), starter_job().to_owned()));
    for (name, text) in job_files {
        let faults: Vec<String> = jobs
            .iter_errors(&json(&text))
            .map(|e| e.to_string())
            .collect();
        assert!(faults.is_empty(), "{name}: {faults:?}");
    }
    let mut card_files = files("rates");
    card_files.push(("starter".to_owned(), starter_rate_card().to_owned()));
    for (name, text) in card_files {
        let faults: Vec<String> = cards
            .iter_errors(&json(&text))
            .map(|e| e.to_string())
            .collect();
        assert!(faults.is_empty(), "{name}: {faults:?}");
    }
}

/// The same values as JSON; dates become text.
fn json(text: &str) -> Value {
    let table: toml::Table = text.parse().expect("TOML");
    json_of(&toml::Value::Table(table))
}

fn json_of(value: &toml::Value) -> Value {
    match value {
        toml::Value::String(text) => text.as_str().into(),
        toml::Value::Integer(whole) => (*whole).into(),
        toml::Value::Float(number) => (*number).into(),
        toml::Value::Boolean(flag) => (*flag).into(),
        toml::Value::Datetime(date) => date.to_string().into(),
        toml::Value::Array(entries) => entries.iter().map(json_of).collect(),
        toml::Value::Table(table) => table.iter().map(|(k, v)| (k.clone(), json_of(v))).collect(),
    }
}
