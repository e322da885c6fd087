//! Price against colour: what is printed for the demo jobs, and the laws of its figures.

use serde_json::Value;

use crate::run::{empty_folder, inkset, root};

const JOBS: [&str; 4] = ["booklet", "flyer-orange", "poster-metallic", "stationery"];

fn weighed(job: &str) -> Value {
    let run = inkset(&["weigh", &format!("jobs/{job}.toml"), "--format", "json"]);
    assert_eq!(run.code, 0, "{}", run.shown());
    run.json()
}

fn cents(amount: &Value) -> i64 {
    amount.as_str().unwrap().replace('.', "").parse().unwrap()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

#[test]
fn printed_weighings_stay_as_they_are() {
    for job in JOBS {
        let file = format!("jobs/{job}.toml");
        let run = inkset(&["weigh", &file, "--budget", "1000"]);
        let wide: Vec<&str> = run
            .stdout
            .lines()
            .filter(|line| line.chars().count() > 80)
            .collect();
        assert!(wide.is_empty(), "{job}: wider than 80 columns: {wide:#?}");
        insta::assert_snapshot!(format!("weigh {job}"), run.shown());
    }
    let csv = inkset(&["weigh", "jobs/booklet.toml", "--format", "csv"]);
    insta::assert_snapshot!("weigh booklet csv", csv.stdout);
}

#[test]
fn weighing_fits_its_published_schema() {
    let schema = std::fs::read_to_string(root().join("docs/weigh.schema.json")).unwrap();
    let schema: Value = serde_json::from_str(&schema).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for job in JOBS {
        let json = weighed(job);
        let errors: Vec<String> = validator
            .iter_errors(&json)
            .map(|e| e.to_string())
            .collect();
        assert!(errors.is_empty(), "{job}: {errors:#?}");
    }
}

#[test]
fn price_tags_add_up_to_all_solids_less_none() {
    for job in JOBS {
        let json = weighed(job);
        for (at, quantity) in list(&json["quantities"]).iter().enumerate() {
            let tags = list(&json["price_tags"]).iter();
            let sum: i64 = tags.map(|solid| cents(&solid["tags"][at]["share"])).sum();
            assert_eq!(sum, cents(&quantity["all_solids_less_none"]), "{job}");
        }
    }
}

#[test]
fn price_tag_of_the_only_solid_is_the_step_of_the_price() {
    // On the letterhead the one solid replaces process inks, so that its tag is the difference of the two options.
    let json = weighed("stationery");
    let options = list(&json["options"]);
    let total = |name: &str, at: usize| {
        let option = options
            .iter()
            .find(|option| option["name"] == name)
            .unwrap();
        cents(&option["prices"][at]["total"])
    };
    for at in 0..3 {
        let tag = &json["price_tags"][0]["tags"][at];
        let step = total("K + Chancery green", at) - total("CYK", at);
        assert_eq!(cents(&tag["share"]), step);
        assert_eq!(
            (&tag["alone"], &tag["last"]),
            (&tag["share"], &tag["share"])
        );
    }
}

#[test]
fn budget_buys_no_more_than_it_holds() {
    let run = inkset(&[
        "weigh",
        "jobs/booklet.toml",
        "--budget",
        "1200",
        "--format",
        "json",
    ]);
    let json = run.json();
    let bought: Vec<Option<&str>> = list(&json["quantities"])
        .iter()
        .map(|quantity| quantity["best_within_budget"].as_str())
        .collect();
    assert_eq!(
        bought,
        [Some("CMYK + Kingfisher violet"), Some("CMYK"), None]
    );
}

#[test]
fn loosening_really_plans_again() {
    let json = weighed("booklet");
    let enough = list(&json["looser"])
        .iter()
        .find(|looser| looser["why"] == "four inks hold")
        .unwrap();
    let tolerance = enough["looser_tolerance"].as_f64().unwrap();
    // The same job, written with that tolerance, is planned and priced from the start.
    let text = std::fs::read_to_string(root().join("jobs/booklet.toml")).unwrap();
    let (before, after) = text.split_once("name = \"Kingfisher violet\"").unwrap();
    let after = after.replacen("tolerance = 2.0", &format!("tolerance = {tolerance}"), 1);
    let job = empty_folder("loosened").join("job.toml");
    std::fs::write(&job, format!("{before}name = \"Kingfisher violet\"{after}")).unwrap();
    let rates = root().join("rates/metric.toml");
    let priced = inkset(&[
        "price",
        job.to_str().unwrap(),
        "--rates",
        rates.to_str().unwrap(),
        "--format",
        "json",
    ]);
    let priced = priced.json();
    for (at, best) in list(&priced["best"]).iter().enumerate() {
        let options = list(&priced["options"]).iter();
        let mut named = options.filter(|option| option["name"] == best["name"]);
        let total = &named.next().unwrap()["quantities"][at]["total"];
        assert_eq!(total, &enough["savings"][at]["after"]);
        assert!(cents(&enough["savings"][at]["saves"]) > 0);
    }
}

#[test]
fn plain_words_have_no_trade_words() {
    let trade = [
        "solid",
        "build",
        "process",
        "ΔE",
        "Lab",
        "unit",
        "pass",
        "plate",
        "tint",
        "press",
        "spot",
        "CMYK",
        "hold",
        "drift",
        "miss",
        "make-ready",
        "coverage",
        "frontier",
    ];
    for job in JOBS {
        let json = weighed(job);
        let text: Vec<&str> = list(&json["plain_words"])
            .iter()
            .map(|paragraph| paragraph.as_str().unwrap())
            .collect();
        let text = text.join(" ");
        assert!(text.contains("copies cost EUR"), "{text}");
        for word in trade {
            assert!(!text.contains(word), "{job}: `{word}` in {text}");
        }
    }
}

#[test]
fn budget_that_is_no_amount_is_refused() {
    let run = inkset(&["weigh", "jobs/booklet.toml", "--budget", "12 EUR"]);
    assert_eq!(run.code, 2, "{}", run.shown());
    assert!(run.stderr.contains("is not an amount"), "{}", run.stderr);
}
