//! `inkset compare --rates-of`: the rate card that would reproduce an offer.

use std::path::Path;

use crate::run::{Run, empty_folder, inkset};

const JOB: &str = "jobs/flyer-orange.toml";

fn rates_of(supplier: &str, offer: &str, more: &[&str]) -> Run {
    let mut arguments = vec!["compare", JOB, offer, "--rates-of", supplier];
    arguments.extend(more);
    inkset(&arguments)
}

/// Lines of the comments that are about an ink set: its name, copies and the figures behind.
fn told(card: &str) -> Vec<(String, String, Vec<String>)> {
    let lines = card.lines().filter(|line| line.starts_with("# CMYK"));
    let told = lines.map(|line| {
        let figures = line.find("  ").unwrap();
        let name = line[2..figures].to_owned();
        let rest = line[figures..]
            .split("  ")
            .filter(|word| !word.trim().is_empty());
        let mut rest = rest.map(|word| word.trim().replace('\u{a0}', ""));
        (name, rest.next().unwrap(), rest.collect())
    });
    told.collect()
}

/// What `price` makes of an ink set by a card.
fn priced(card: &Path, name: &str, copies: &str) -> f64 {
    let card = card.to_string_lossy();
    let run = inkset(&[
        "price",
        JOB,
        "--rates",
        &card,
        "--quantity",
        copies,
        "--format",
        "json",
    ]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let json = run.json();
    let mut options = json["options"].as_array().unwrap().iter();
    let option = options.find(|option| option["name"] == name).unwrap();
    let total = option["quantities"][0]["total"].as_str().unwrap();
    total.parse().unwrap()
}

#[test]
fn card_of_an_offer_prices_as_it_says() {
    let run = rates_of("dune press", "jobs/offers/dune-press.toml", &[]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let path = empty_folder("rates-of").join("dune.toml");
    std::fs::write(&path, &run.stdout).unwrap();
    let told = told(&run.stdout);
    assert_eq!(told.len(), 8, "{}", run.stdout);
    for (name, copies, figures) in &told {
        let [asked, by_rates, difference] =
            [0, 1, 2].map(|at| figures[at].replace('−', "-").parse::<f64>().unwrap());
        assert!(
            (priced(&path, name, copies) - by_rates).abs() < 0.005,
            "{name} {copies}"
        );
        assert!(
            (by_rates - asked - difference).abs() < 0.015,
            "{name} {copies}"
        );
        assert!(
            (difference / asked).abs() < 0.04,
            "{name} {copies}: {difference}"
        );
    }
}

#[test]
fn unquoted_quantities_are_estimated() {
    let run = rates_of("Alder Lane Print", "jobs/offers/alder-lane.toml", &[]);
    assert_eq!(run.code, 0, "{}", run.shown());
    assert!(
        run.stdout.contains("without carriage, which the offer"),
        "{}",
        run.stdout
    );
    let told = told(&run.stdout);
    let estimated: Vec<_> = told
        .iter()
        .filter(|(_, copies, _)| copies == "25000")
        .collect();
    assert_eq!(estimated.len(), 2, "{}", run.stdout);
    for (_, _, figures) in estimated {
        let [price, by] = [0, 1].map(|at| figures[at].parse::<f64>().unwrap());
        assert!(by > 0.0 && by < price / 4.0, "{price} ± {by}");
        assert_eq!(figures[2], "beyond the quantities");
    }
    let comments = run.stdout.lines().take_while(|line| line.starts_with('#'));
    assert!(comments.clone().count() > 20);
    for line in comments {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn offer_by_the_card_changes_nothing() {
    let card = Path::new("rates/metric.toml");
    let totals = ["2000", "5000"].map(|copies| (copies, priced(card, "CMYK", copies)));
    let path = empty_folder("rates-of-own").join("offer.csv");
    let lines = totals.map(|(copies, total)| {
        format!("Own,Flyer for the pumpkin weeks,2026-11-20,EUR,process,{copies},{total}\n")
    });
    let head = "supplier,job,date,currency,inks,copies,total\n";
    std::fs::write(&path, format!("{head}{}", lines.concat())).unwrap();
    let run = rates_of("Own", &path.to_string_lossy(), &[]);
    assert!(
        run.stdout.contains("# No rate is changed"),
        "{}",
        run.shown()
    );
}

#[test]
fn rates_that_cannot_be_found_are_refused() {
    let unknown = rates_of("Nobody", "jobs/offers/dune-press.toml", &[]);
    assert_eq!((unknown.code, unknown.stdout.as_str()), (2, ""));
    assert!(
        unknown.stderr.contains("offers: Dune Press"),
        "{}",
        unknown.stderr
    );
    let offer = "jobs/offers/copper-court.toml";
    let no_rate = rates_of("Copper Court Printers", offer, &[]);
    assert_eq!((no_rate.code, no_rate.stdout.as_str()), (1, ""));
    assert!(
        no_rate.stderr.contains("offers in GBP"),
        "{}",
        no_rate.stderr
    );
    let both = rates_of("Dune Press", "jobs/offers/dune-press.toml", &["--lines"]);
    assert_eq!(both.code, 2, "{}", both.shown());
}
