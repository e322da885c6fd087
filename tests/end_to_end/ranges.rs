//! Rates given as ranges, from the card to the printed swings.

use std::path::PathBuf;

use crate::run::{Run, empty_folder, inkset, root};

/// The demo card with three ranges on the press that prints the demo flyer.
fn ranged_card(folder: &str) -> PathBuf {
    let mut card = std::fs::read_to_string(root().join("rates/metric.toml")).unwrap();
    for (plain, ranged) in [
        (
            "make_ready_minutes_per_ink = 2.5",
            "make_ready_minutes_per_ink = { low = 2, typical = 2.5, high = 4 }",
        ),
        (
            "hourly_rate = 270.00",
            "hourly_rate = { low = 255, typical = 270.00, high = 300 }",
        ),
        (
            "{ percent = 1.5 }",
            "{ percent = { low = 1, typical = 1.5, high = 2 } }",
        ),
    ] {
        assert!(card.contains(plain), "{plain}");
        card = card.replacen(plain, ranged, 1);
    }
    let path = empty_folder(folder).join("card.toml");
    std::fs::write(&path, card).unwrap();
    path
}

fn price(folder: &str, more: &[&str]) -> Run {
    let card = ranged_card(folder);
    let mut arguments = vec![
        "price",
        "jobs/flyer-orange.toml",
        "--rates",
        card.to_str().unwrap(),
    ];
    arguments.extend(more);
    let run = inkset(&arguments);
    assert_eq!(run.code, 0, "{}", run.shown());
    run
}

fn number(value: &serde_json::Value) -> f64 {
    value.as_str().unwrap().parse().unwrap()
}

#[test]
fn typical_prices_are_those_without_ranges() {
    let ranged = price("typical", &["--format", "json"]).json();
    let plain = inkset(&["price", "jobs/flyer-orange.toml", "--format", "json"]).json();
    for (ranged, plain) in ranged["options"]
        .as_array()
        .unwrap()
        .iter()
        .zip(plain["options"].as_array().unwrap())
    {
        for (ranged, plain) in ranged["quantities"]
            .as_array()
            .unwrap()
            .iter()
            .zip(plain["quantities"].as_array().unwrap())
        {
            assert_eq!(ranged["total"], plain["total"]);
            assert!(plain["range"].is_null());
            let range = &ranged["range"];
            let ends =
                ["lowest", "likely_low", "likely_high", "highest"].map(|key| number(&range[key]));
            assert!(ends.is_sorted(), "{range}");
            let total = number(&ranged["total"]);
            assert!(ends[1] <= total && total <= ends[2], "{range}");
        }
    }
    assert_eq!(ranged["ranges"].as_array().unwrap().len(), 3);
}

#[test]
fn every_swing_is_listed() {
    let table = price("swings", &["--sensitivity"]).stdout;
    for said in [
        "How low and how high",
        "make ready minutes per",
        "(line 30)",
    ] {
        assert!(table.contains(said), "{said}\n{table}");
    }
    assert!(
        table.lines().all(|line| line.chars().count() <= 80),
        "{table}"
    );
    let csv = price("swings-csv", &["--sensitivity", "--format", "csv"]).stdout;
    assert!(
        csv.starts_with("option,quantity,currency,rate,place,low,typical,high,at_low,at_high\n"),
        "{csv}"
    );
    assert!(csv.lines().count() > 3, "{csv}");
    let prices = price("swings-table", &[]).stdout;
    assert!(prices.contains("What moves the price most"), "{prices}");
}

#[test]
fn a_card_without_ranges_has_no_sensitivity() {
    let run = inkset(&["price", "jobs/flyer-orange.toml", "--sensitivity"]);
    assert_eq!(run.code, 2, "{}", run.shown());
    assert!(run.stderr.contains("has no range"), "{}", run.shown());
}
