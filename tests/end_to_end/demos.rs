//! Every demo job, priced: the answer that the project exists for, and the promises of its JSON.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::Value;

use crate::run::{inkset, inkset_with, root};

pub(crate) fn demo_jobs() -> Vec<String> {
    let mut jobs: Vec<String> = std::fs::read_dir(root().join("jobs"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| {
            Path::new(name)
                .extension()
                .is_some_and(|extension| extension == "toml")
        })
        .collect();
    jobs.sort();
    assert!(jobs.len() >= 6, "{jobs:?}");
    jobs
}

fn priced(job: &str) -> Value {
    let run = inkset(&["price", &format!("jobs/{job}"), "--format", "json"]);
    assert_eq!(run.code, 0, "{job}\n{}", run.shown());
    run.json()
}

/// Amount in hundredths.
fn cents(amount: &Value) -> i64 {
    let text = amount.as_str().unwrap();
    let (whole, decimals) = text.split_once('.').unwrap_or((text, "00"));
    assert_eq!(decimals.len(), 2, "{text}");
    let sign = if text.starts_with('-') { -1 } else { 1 };
    whole.parse::<i64>().unwrap() * 100 + sign * decimals.parse::<i64>().unwrap()
}

fn option<'a>(json: &'a Value, ink_set: &[&str]) -> &'a Value {
    json["options"]
        .as_array()
        .unwrap()
        .iter()
        .find(|option| option["ink_set"] == Value::from(ink_set.to_vec()))
        .unwrap_or_else(|| panic!("no option {ink_set:?} in {json:#}"))
}

fn colour<'a>(option: &'a Value, name: &str) -> &'a Value {
    option["colours"]
        .as_array()
        .unwrap()
        .iter()
        .find(|colour| colour["name"] == name)
        .unwrap()
}

#[test]
fn printed_tables_stay_as_they_are() {
    for job in demo_jobs() {
        let run = inkset(&["price", &format!("jobs/{job}")]);
        let wide: Vec<&str> = run
            .stdout
            .lines()
            .filter(|line| line.chars().count() > 80)
            .collect();
        assert!(wide.is_empty(), "{job}: wider than 80 columns: {wide:#?}");
        insta::assert_snapshot!(format!("price {job}"), run.shown());
    }
}

#[test]
fn colour_plans_stay_as_they_are() {
    for job in demo_jobs() {
        insta::assert_snapshot!(
            format!("plan {job}"),
            inkset(&["plan", &format!("jobs/{job}")]).shown()
        );
    }
}

#[test]
fn json_fits_the_published_schema() {
    let schema: Value = serde_json::from_str(
        &std::fs::read_to_string(root().join("docs/price.schema.json")).unwrap(),
    )
    .unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for job in demo_jobs() {
        let json = priced(&job);
        let errors: Vec<String> = validator
            .iter_errors(&json)
            .map(|error| error.to_string())
            .collect();
        assert!(errors.is_empty(), "{job}: {errors:#?}");
    }
}

#[test]
fn lines_sum_to_every_total() {
    let mut checked = 0;
    for job in demo_jobs() {
        let json = priced(&job);
        for option in json["options"].as_array().unwrap() {
            for quantity in option["quantities"].as_array().unwrap() {
                let sum: i64 = quantity["lines"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(|line| cents(&line["amount"]))
                    .sum();
                assert_eq!(
                    sum,
                    cents(&quantity["total"]),
                    "{job} {} {}",
                    option["name"],
                    quantity["quantity"]
                );
                checked += 1;
            }
        }
    }
    assert!(checked > 20);
}

#[test]
fn no_option_on_the_frontier_is_beaten() {
    for job in demo_jobs() {
        let json = priced(&job);
        let options = json["options"].as_array().unwrap();
        let mut named = BTreeSet::new();
        for (at, first) in options[0]["quantities"]
            .as_array()
            .unwrap()
            .iter()
            .enumerate()
        {
            for one in options
                .iter()
                .filter(|option| option["quantities"][at]["on_frontier"] == true)
            {
                named.insert(one["name"].as_str().unwrap());
                for other in options {
                    let cheaper = cents(&other["quantities"][at]["total"])
                        < cents(&one["quantities"][at]["total"]);
                    let better = other["worst_delta_e"].as_f64() < one["worst_delta_e"].as_f64()
                        && other["verdict"] == one["verdict"];
                    assert!(
                        !(cheaper && better),
                        "{job} at {}: {} beats {}",
                        first["quantity"],
                        other["name"],
                        one["name"]
                    );
                }
            }
        }
        let listed: BTreeSet<&str> = json["frontier"]
            .as_array()
            .unwrap()
            .iter()
            .map(|name| name.as_str().unwrap())
            .collect();
        assert_eq!(named, listed, "{job}");
    }
}

#[test]
fn a_vivid_orange_misses_with_four_inks_and_holds_as_a_solid() {
    let json = priced("flyer-orange.toml");
    let four = option(&json, &["C", "M", "Y", "K"]);
    let orange = four["colours"]
        .as_array()
        .unwrap()
        .iter()
        .find(|colour| colour["verdict"] == "misses")
        .unwrap();
    assert_eq!(orange["rendering"], "out of reach");
    let best = json["best"][0]["name"].as_str().unwrap();
    let best = json["options"]
        .as_array()
        .unwrap()
        .iter()
        .find(|option| option["name"] == best)
        .unwrap();
    let held = colour(best, orange["name"].as_str().unwrap());
    assert_eq!(
        (held["rendering"].as_str(), held["verdict"].as_str()),
        (Some("solid"), Some("holds"))
    );
}

#[test]
fn a_solid_replaces_process_inks_on_the_letterhead() {
    let json = priced("stationery.toml");
    let two = option(&json, &["K", "Chancery green"]);
    assert_eq!(two["units_needed"], 2);
    assert_eq!(two["verdict"], "holds");
    assert_eq!(json["best"][0]["name"], two["name"]);
    let process = json["options"]
        .as_array()
        .unwrap()
        .iter()
        .find(|option| option["name"] == json["four_ink"])
        .unwrap();
    assert_eq!(
        (
            process["units_needed"].as_u64(),
            process["verdict"].as_str()
        ),
        (Some(3), Some("misses")),
        "{process:#}"
    );
}

#[test]
fn a_metallic_is_never_built_from_process_inks() {
    let json = priced("poster-metallic.toml");
    let mut effects = 0;
    for option in json["options"].as_array().unwrap() {
        for colour in option["colours"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|colour| colour["rendering"] == "effect")
        {
            let build = colour["build"].as_object().unwrap();
            assert!(
                !["C", "M", "Y", "K"]
                    .iter()
                    .any(|ink| build.contains_key(*ink)),
                "{colour:#}"
            );
            effects += 1;
        }
    }
    assert_eq!(effects, json["options"].as_array().unwrap().len());
}

#[test]
fn a_fifth_ink_on_four_units_is_a_second_pass() {
    let json = priced("flyer-us.toml");
    let passes = |option: &Value| {
        (
            option["units_needed"].as_u64().unwrap(),
            option["passes"].as_u64().unwrap(),
        )
    };
    let seen: BTreeSet<(u64, u64)> = json["options"]
        .as_array()
        .unwrap()
        .iter()
        .map(passes)
        .collect();
    assert!(
        seen.iter()
            .all(|(units, passes)| *passes == units.div_ceil(4)),
        "{seen:?}"
    );
    assert!(seen.iter().any(|(units, _)| *units > 4), "{seen:?}");
}

#[test]
fn quantities_on_the_command_line_replace_those_of_the_job() {
    let run = inkset(&[
        "price",
        "jobs/minimal.toml",
        "--quantity",
        "700",
        "--quantity",
        "500",
        "--format",
        "json",
    ]);
    let json = run.json();
    let quantities: Vec<u64> = json["options"][0]["quantities"]
        .as_array()
        .unwrap()
        .iter()
        .map(|q| q["quantity"].as_u64().unwrap())
        .collect();
    assert_eq!(quantities, [500, 700]);
}

#[test]
fn csv_has_every_line_of_every_option() {
    let json = priced("minimal.toml");
    let lines: usize = json["options"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|option| option["quantities"].as_array().unwrap())
        .map(|quantity| quantity["lines"].as_array().unwrap().len())
        .sum();
    let csv = inkset(&["price", "jobs/minimal.toml", "--lines", "--format", "csv"]).stdout;
    assert_eq!(csv.lines().count(), lines + 1);
}

#[test]
fn results_do_not_depend_on_the_number_of_threads() {
    for job in demo_jobs() {
        let path = format!("jobs/{job}");
        let arguments = ["price", &path, "--format", "json"];
        let [one, two] = ["1", "2"]
            .map(|threads| inkset_with(&[("RAYON_NUM_THREADS", threads)], &arguments).stdout);
        assert!(!one.is_empty());
        assert_eq!(one, two, "{job}");
    }
}

#[test]
fn stages_are_explained_down_to_file_and_line() {
    let explain = |stage: &str, format: &str| {
        let arguments = ["price", "jobs/flyer-orange.toml", "--quantity", "2000"];
        let more = ["--explain", stage, "--format", format];
        let run = inkset(&[&arguments[..], &more[..]].concat());
        assert_eq!(run.code, 0, "{}", run.shown());
        run
    };
    for stage in ["paper", "ink"] {
        insta::assert_snapshot!(format!("explain {stage}"), explain(stage, "table").stdout);
    }
    let json = explain("plates", "json").json();
    let from = json[0]["lines"][0]["inputs"][0]["from"].as_str().unwrap();
    assert!(from.starts_with("rates/metric.toml:"), "{from}");
    let csv = explain("press", "csv").stdout;
    assert!(csv.lines().count() > 2, "{csv}");
    assert_eq!(csv.lines().next(), Some("option,quantity,stage,item,step"));
}

#[test]
fn unknown_stages_are_listed() {
    let run = inkset(&["price", "jobs/minimal.toml", "--explain", "glue"]);
    assert_eq!(run.code, 2, "{}", run.shown());
    assert!(run.stderr.contains("make-ready"), "{}", run.stderr);
}

#[test]
fn larger_demo_checks_clean() {
    let run = inkset(&["check", "jobs/books/field-guide.toml"]);
    assert_eq!(run.code, 0, "{}", run.shown());
}
