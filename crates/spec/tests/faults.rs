//! One file for each fault; what is told about it is kept as a snapshot.

#![expect(
    clippy::expect_used,
    reason = "a test may stop at the first thing that is missing"
)]

mod support;

use std::collections::BTreeSet;

use inkset_spec::{
    Notice, Severity, Sources, check_against, codes, read_job, read_job_bytes, read_rate_card,
    read_rate_card_bytes, render_notices,
};
use support::{files, workspace};

fn only_grave(notices: Vec<Notice>) -> Vec<Notice> {
    notices
        .into_iter()
        .filter(|n| n.severity != Severity::Assumption)
        .collect()
}

#[test]
fn faulty_jobs_are_told() {
    for (name, text) in files("tests/jobs/invalid") {
        let reading = read_job(&text);
        assert_eq!(reading.value, None, "{name}");
        let file = format!("{name}.toml");
        let sources = Sources {
            job: Some((&file, &text)),
            ..Sources::default()
        };
        let told = render_notices(&only_grave(reading.notices), &sources);
        insta::assert_snapshot!(format!("job_{name}"), told);
    }
}

#[test]
fn faulty_rate_cards_are_told() {
    for (name, text) in files("tests/rates/invalid") {
        let reading = read_rate_card(&text);
        assert_eq!(reading.value, None, "{name}");
        let file = format!("{name}.toml");
        let sources = Sources {
            rates: Some((&file, &text)),
            ..Sources::default()
        };
        let told = render_notices(&only_grave(reading.notices), &sources);
        insta::assert_snapshot!(format!("card_{name}"), told);
    }
}

#[test]
fn jobs_that_do_not_fit_their_card_are_told() {
    let cards = files("tests/rates");
    let (_, card_text) = cards
        .iter()
        .find(|(name, _)| name == "unfit")
        .expect("shipped");
    let card = read_rate_card(card_text).value.expect("right by itself");
    for (name, text) in files("tests/jobs/unfit") {
        let reading = read_job(&text);
        let job = reading.value.expect("right by itself");
        let conditions = ["coated-fogra39", "newsprint-tr002"];
        let mut notices = only_grave(reading.notices);
        notices.extend(check_against(&job, &card, &conditions));
        let file = format!("{name}.toml");
        let sources = Sources {
            job: Some((&file, &text)),
            rates: Some(("unfit.toml", card_text)),
            ..Sources::default()
        };
        insta::assert_snapshot!(format!("unfit_{name}"), render_notices(&notices, &sources));
    }
}

#[test]
fn bytes_that_are_no_text_are_told_with_their_place() {
    let reading = read_job_bytes(b"title = \"\xC3\xA9\xC3\"\n");
    let told: Vec<(&str, u32, u32)> = reading
        .notices
        .iter()
        .filter_map(|n| n.place.map(|p| (n.code, p.line, p.column)))
        .collect();
    assert_eq!(told, [(codes::NOT_UTF_8, 1, 11)]);
    assert_eq!(
        read_rate_card_bytes(&[0xFF]).notices[0].code,
        codes::NOT_UTF_8
    );
}

#[test]
fn every_error_can_be_provoked() {
    // All but the first are told by commands, and tested there.
    let mut told: BTreeSet<&str> = [
        codes::NOT_UTF_8,
        codes::PALETTE_UNREAD,
        codes::UNKNOWN_PALETTE_COLOUR,
        codes::OVERRIDE_UNUSED,
        codes::PRINTING_IMPOSSIBLE,
        codes::ARTWORK_OUTSIDE,
        codes::ARTWORK_UNREAD,
        codes::ARTWORK_PAGES,
        codes::ARTWORK_INK,
        codes::NOT_AS_PRINTED,
    ]
    .into();
    let mut note = |notices: Vec<Notice>| told.extend(notices.iter().map(|n| n.code));
    note(read_job(&" ".repeat(inkset_spec::LONGEST_FILE + 1)).notices);
    note(read_job(&"x = [\n".repeat(3_000)).notices);
    note(read_job(&"?\n".repeat(3_000)).notices);
    note(inkset_spec::read_palette(b"name,L,a\n").notices);
    note(inkset_spec::read_palette("<a>".repeat(100).as_bytes()).notices);
    for entry in std::fs::read_dir(workspace().join("tests/palettes/invalid")).expect("shipped") {
        let bytes = std::fs::read(entry.expect("listed").path()).expect("readable");
        note(inkset_spec::read_palette(&bytes).notices);
    }
    for folder in ["tests/jobs/invalid", "tests/jobs/unfit", "jobs"] {
        for (_, text) in files(folder) {
            note(read_job(&text).notices);
        }
    }
    for folder in ["tests/rates/invalid", "tests/rates"] {
        for (_, text) in files(folder) {
            note(read_rate_card(&text).notices);
        }
    }
    let cards = files("tests/rates");
    let card = read_rate_card(&cards[0].1).value.expect("right by itself");
    for (_, text) in files("tests/jobs/unfit") {
        let job = read_job(&text).value.expect("right by itself");
        note(check_against(&job, &card, &[]));
    }
    for entry in std::fs::read_dir(workspace().join("tests/offers/invalid")).expect("shipped") {
        let bytes = std::fs::read(entry.expect("listed").path()).expect("readable");
        note(inkset_spec::read_offers(&bytes).notices);
    }
    note(misplaced_offers());
    note(inkset_spec::read_actuals(b"[[job]]\nname = '1'\n").notices);
    let press = "[[job]]\nname = '1'\n[[job.press]]\npress = 'none'\nsheets = 9\n\
        runs = [ { inks = 4, good_sheets = 8 } ]\n";
    let actuals = inkset_spec::read_actuals(press.as_bytes()).value;
    note(inkset_spec::check_actuals(
        &actuals.expect("right by itself"),
        &card,
    ));
    let silent: Vec<&str> = codes::ALL
        .iter()
        .copied()
        .filter(|code| !code.starts_with("assumed-") && !told.contains(code))
        .collect();
    assert_eq!(silent, [""; 0]);
}

/// Offers that are right by themselves and not for the job.
fn misplaced_offers() -> Vec<Notice> {
    let text = "supplier,job,date,currency,inks,copies,total\n\
        Alder,Leaflet,2026-11-20,EUR,process + Moss,2000,189\n";
    let offers = inkset_spec::read_offers(text.as_bytes())
        .value
        .expect("right by itself");
    let (_, job) = &files("jobs")[0];
    let job = read_job(job).value.expect("right by itself");
    let twice = [offers.clone(), offers.clone()].concat();
    let many = vec![offers[0].clone(); inkset_spec::MOST_OFFERS + 1];
    let (_, card) = &files("rates")[0];
    let card = inkset_spec::read_rate_card(card).value.expect("right");
    let told = [twice, many].map(|offers| inkset_spec::check_offers(&job, &card, &offers));
    told.into_iter()
        .flatten()
        .map(|(_, notice)| notice)
        .collect()
}
