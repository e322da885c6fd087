//! `inkset learn` with the demo actuals.

use crate::run::{Run, empty_folder, inkset, root};

const ACTUALS: [&str; 2] = [
    "jobs/actuals/spring.toml",
    "jobs/actuals/from-job-files.toml",
];
const CARD: &str = "rates/metric.toml";

fn learn(more: &[&str]) -> Run {
    let mut arguments = vec!["learn"];
    arguments.extend(ACTUALS);
    arguments.extend(more);
    inkset(&arguments)
}

#[test]
fn what_a_season_teaches_stays_as_it_is() {
    let run = learn(&[]);
    let wide: Vec<&str> = run
        .stdout
        .lines()
        .filter(|l| l.chars().count() > 80)
        .collect();
    assert!(wide.is_empty(), "{wide:#?}");
    insta::assert_snapshot!("learn table", run.shown());
    insta::assert_snapshot!("learn proposed", learn(&["--proposed"]).shown());
}

/// The card with the keys of the fragment put into its tables of the same name.
fn merged(card: &str, fragment: &str) -> String {
    let mut card: toml::Table = card.parse().unwrap();
    let fragment: toml::Table = fragment.parse().unwrap();
    put(&mut card, fragment);
    let line = |(key, value)| format!("{key} = {}", inline(value));
    card.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// A value on one line.
fn inline(value: &toml::Value) -> String {
    let joined = |all: Vec<String>| all.join(", ");
    match value {
        toml::Value::String(text) => format!("{text:?}"),
        toml::Value::Integer(whole) => whole.to_string(),
        toml::Value::Float(number) => format!("{number:?}"),
        toml::Value::Boolean(flag) => flag.to_string(),
        toml::Value::Datetime(date) => date.to_string(),
        toml::Value::Array(all) => format!("[{}]", joined(all.iter().map(inline).collect())),
        toml::Value::Table(all) => {
            let pair = |(key, value)| format!("{key} = {}", inline(value));
            format!("{{ {} }}", joined(all.iter().map(pair).collect()))
        }
    }
}

fn put(into: &mut toml::Table, from: toml::Table) {
    for (key, value) in from {
        match (into.get_mut(&key), value) {
            (Some(toml::Value::Table(old)), toml::Value::Table(new)) => put(old, new),
            (Some(toml::Value::Array(old)), toml::Value::Array(new)) if named(&new) => {
                for entry in new {
                    let toml::Value::Table(entry) = entry else {
                        panic!("named")
                    };
                    let same = |one: &&mut toml::Value| one.get("name") == entry.get("name");
                    let one = old.iter_mut().find(same).unwrap();
                    put(one.as_table_mut().unwrap(), entry);
                }
            }
            (_, value) => {
                into.insert(key, value);
            }
        }
    }
}

fn named(entries: &[toml::Value]) -> bool {
    entries.iter().all(|entry| entry.get("name").is_some())
}

#[test]
fn proposed_lines_fit_into_the_card() {
    let card = std::fs::read_to_string(root().join(CARD)).unwrap();
    let folder = empty_folder("learn-merged");
    for more in [&["--proposed"][..], &["--proposed", "--ranges"]] {
        let fragment = learn(more).stdout;
        for key in [
            "make_ready_minutes =",
            "speeds = [",
            "run_spoilage = [",
            "[ink.process]",
        ] {
            assert!(fragment.contains(key), "{key}\n{fragment}");
        }
        let path = folder.join("rates.toml");
        std::fs::write(&path, merged(&card, &fragment)).unwrap();
        let rates = path.to_str().unwrap();
        let before = inkset(&[
            "price",
            "jobs/flyer-orange.toml",
            "--rates",
            CARD,
            "--format",
            "json",
        ]);
        let after = inkset(&[
            "price",
            "jobs/flyer-orange.toml",
            "--rates",
            rates,
            "--format",
            "json",
        ]);
        assert_eq!(after.code, 0, "{}", after.shown());
        let total = |run: &Run| run.json()["options"][0]["quantities"][0]["total"].clone();
        assert_ne!(total(&before), total(&after));
    }
    let untouched = std::fs::read_to_string(root().join(CARD)).unwrap();
    assert_eq!(card, untouched, "the card itself is never changed");
}

#[test]
fn what_was_learned_explains_the_actuals() {
    let folder = empty_folder("learn-again");
    let card = std::fs::read_to_string(root().join(CARD)).unwrap();
    let path = folder.join("rates.toml");
    std::fs::write(&path, merged(&card, &learn(&["--proposed"]).stdout)).unwrap();
    let again = learn(&["--rates", path.to_str().unwrap(), "--format", "json"]).json();
    let groups = again["groups"].as_array().unwrap();
    let ratio = |measure: &str| {
        let is = |g: &&serde_json::Value| {
            g["subject"] == "B2, four units" && g["measure"].as_str().unwrap().starts_with(measure)
        };
        groups.iter().find(is).unwrap()["ratio"]["mean"]
            .as_f64()
            .unwrap()
    };
    for measure in ["make-ready, min", "running to 2\u{a0}000"] {
        let ratio = ratio(measure);
        assert!((ratio - 1.0).abs() < 0.02, "{measure}: {ratio}");
    }
}

#[test]
fn json_fits_its_schema_and_csv_its_header() {
    let schema = std::fs::read_to_string(root().join("docs/learn.schema.json")).unwrap();
    let schema: serde_json::Value = serde_json::from_str(&schema).unwrap();
    let json = learn(&["--format", "json"]).json();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let errors: Vec<String> = validator
        .iter_errors(&json)
        .map(|e| e.to_string())
        .collect();
    assert!(errors.is_empty(), "{errors:#?}");
    assert_eq!(json["jobs"], 19);
    let csv = learn(&["--format", "csv"]).stdout;
    let rates: usize = json["groups"]
        .as_array()
        .unwrap()
        .iter()
        .map(|group| 1 + group["rates"].as_array().unwrap().len())
        .sum();
    assert_eq!(csv.lines().count(), 1 + rates);
}

#[test]
fn actuals_that_do_not_fit_are_told() {
    let folder = empty_folder("learn-faults");
    let job = root().join("jobs/flyer-orange.toml");
    let text = format!(
        "rates = '{}'\n[[job]]\nname = \"1\"\nfile = '{}'\nquantity = 5000\noption = \"CMYK\"\n\
         [[job.press]]\npress = \"B2, four units\"\npart = \"cover\"\nsheets = 900\n\
         [[job.ink]]\nink = \"Pumpkin orange\"\nkg = 1.0\n\
         [[job]]\nname = \"2\"\nfile = '{}'\nquantity = 5000\noption = \"CMYKO\"\n\
         [[job.press]]\npress = \"B2, four units\"\nmake_ready_sheets = 800\nsheets = 1000\n",
        root().join(CARD).display(),
        job.display(),
        job.display(),
    );
    let path = folder.join("actuals.toml");
    std::fs::write(&path, text).unwrap();
    let run = inkset(&["learn", path.to_str().unwrap()]);
    assert_eq!((run.code, run.stdout.as_str()), (1, ""), "{}", run.shown());
    for told in [
        "error[unknown-part]: the job has no part `cover`",
        "error[unknown-ink]: the estimate prints nothing in `Pumpkin orange`",
        "error[unknown-word]: the job has no option `CMYKO`",
        "actuals.toml:9:8",
    ] {
        assert!(run.stderr.contains(told), "{told}\n{}", run.stderr);
    }
    // A sheet for the large presses, booked on the small one.
    let minimal = std::fs::read_to_string(root().join("jobs/minimal.toml")).unwrap();
    let large = minimal
        .lines()
        .map(|line| match line.split_once(" = ") {
            Some(("size", _)) => "size = \"650x950 mm\"",
            _ => line,
        })
        .collect::<Vec<_>>()
        .join("\n");
    std::fs::write(folder.join("large.toml"), large).unwrap();
    let text = "[[job]]\nname = \"3\"\nfile = \"large.toml\"\nquantity = 500\n\
        [[job.press]]\npress = \"B2, four units\"\nsheets = 600\n";
    std::fs::write(&path, text).unwrap();
    let run = inkset(&["learn", path.to_str().unwrap(), "--rates", CARD]);
    assert_eq!((run.code, run.stdout.as_str()), (1, ""), "{}", run.shown());
    let told = "error[not-as-printed]: job `3` cannot be estimated as it was printed: ";
    assert!(run.stderr.contains(told), "{}", run.shown());
    let none = inkset(&["learn", "jobs/minimal.toml"]);
    assert_eq!(
        (none.code, none.stdout.as_str()),
        (1, ""),
        "{}",
        none.shown()
    );
}
