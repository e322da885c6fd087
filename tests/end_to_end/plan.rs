//! `inkset plan` beyond the demo jobs.

use serde_json::Value;

use crate::run::{Run, empty_folder, inkset, inkset_in, root};

/// The demo booklet with its text on uncoated paper.
fn two_papers(name: &str, format: &str) -> Run {
    let folder = empty_folder(name);
    let job = std::fs::read_to_string(root().join("jobs/booklet.toml"))
        .unwrap()
        .replace("stock = \"matt-135\"", "stock = \"offset-90\"");
    std::fs::write(folder.join("job.toml"), job).unwrap();
    let card = root().join("rates/metric.toml");
    let card = card.to_str().unwrap();
    inkset_in(
        &folder,
        &["plan", "job.toml", "--rates", card, "--format", format],
    )
}

#[test]
fn a_colour_on_two_papers_is_compared() {
    let table = two_papers("two-papers", "table");
    insta::assert_snapshot!("plan two papers", table.shown());
    let json = two_papers("two-papers-json", "json").json();
    for set in json["ink_sets"].as_array().unwrap() {
        let papers = set["papers"].as_array().unwrap();
        assert!(!papers.is_empty(), "{set:#}");
        for pair in papers {
            let within = pair["delta_e"].as_f64() <= pair["tolerance"].as_f64();
            assert_eq!(pair["within_tolerance"], Value::from(within), "{pair}");
        }
    }
}

/// The minimal job, judged by the plant's variation; the card says what `variation` does.
fn plant(name: &str, variation: &str, readings: &str) -> Run {
    let folder = empty_folder(name);
    let job = std::fs::read_to_string(root().join("jobs/flyer-orange.toml"))
        .unwrap()
        .replace("variation = \"controlled\"", "variation = \"plant\"");
    std::fs::write(folder.join("job.toml"), job).unwrap();
    let card = std::fs::read_to_string(root().join("rates/metric.toml")).unwrap();
    std::fs::write(folder.join("card.toml"), format!("{card}\n{variation}")).unwrap();
    std::fs::write(folder.join("strip.csv"), readings).unwrap();
    inkset_in(
        &folder,
        &[
            "plan",
            "job.toml",
            "--rates",
            "card.toml",
            "--format",
            "json",
        ],
    )
}

/// Readings of one ink whose density and tone value swing by so much.
fn swinging(ink: &str, density: f64, tone: f64) -> String {
    let line = |at: i32| {
        let swing = f64::from(at % 3 - 1);
        format!(
            "{ink},{:.3},{:.2}\n",
            1.4 + density * swing,
            64.0 + tone * swing
        )
    };
    (0..30).map(line).collect()
}

#[test]
fn a_plant_brings_its_own_variation_and_learns_which_ink_drifts() {
    let green = |run: Run| {
        let json = run.json();
        let press = &json["ink_sets"][0]["press"];
        let row = press.as_array().unwrap().iter();
        let green = row.into_iter().find(|r| r["name"] == "Leaf green").unwrap();
        (green.clone(), json["variation_source"].clone())
    };
    let (calm, _) = green(plant(
        "calm",
        "[variation]\ndensity = 0.01\ntone = 0.2\n",
        "",
    ));
    let (wild, source) = green(plant(
        "wild",
        "[variation]\ndensity = 0.01\ntone = 0.2\nyellow = { density = 0.3, tone = 8 }\n",
        "",
    ));
    assert!(wild["p95"].as_f64() > calm["p95"].as_f64(), "{wild} {calm}");
    assert_eq!(
        (wild["causes_most"].as_str(), source.as_str()),
        (
            Some("Y"),
            Some("the plant's own figures, from its rate card")
        )
    );
    let readings = format!("ink,density,tone50\n{}", swinging("cyan", 0.15, 5.0));
    let card = "[variation]\ndensity = 0.01\ntone = 0.2\nreadings = \"strip.csv\"\n";
    let (measured, source) = green(plant("measured", card, &readings));
    assert_eq!(measured["causes_most"], "C", "{measured}");
    assert_eq!(source, "measured: 30 control-strip readings");
    let faulty = plant("faulty", card, "ink,density,tone50\nteal,1,50\n");
    assert_eq!(faulty.code, 1, "{}", faulty.shown());
    assert!(faulty.stderr.contains("strip.csv:2"), "{}", faulty.shown());
}

#[test]
fn a_plant_without_figures_is_refused() {
    let run = plant("no-figures", "", "");
    assert_eq!(run.code, 1);
    assert!(
        run.stderr.contains("variation-without-figures"),
        "{}",
        run.shown()
    );
}

#[test]
fn every_ink_set_goes_by_its_own_name() {
    for job in ["jobs/books/field-guide.toml", "jobs/tea-cards.toml"] {
        let json = inkset(&["plan", job, "--format", "json"]).json();
        let sets = json["ink_sets"].as_array().unwrap().iter();
        let all: Vec<&str> = sets.map(|set| set["name"].as_str().unwrap()).collect();
        let mut names = all.clone();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), all.len(), "{job}: {all:?}");
        let told: Vec<&&str> = all.iter().filter(|name| name.contains(", with ")).collect();
        assert!(!told.is_empty(), "{job} prints some inks in two ways");
        // Both are addressed: by the plain name, and by the one that says more.
        let plain = told[0].split(", with ").next().unwrap();
        let drawn = |name: &str| {
            let run = inkset(&["layout", job, "--option", name, "--format", "json"]);
            assert_eq!(run.code, 0, "{name}\n{}", run.shown());
            run.stdout
        };
        assert!(all.contains(&plain), "{plain}");
        assert_ne!(drawn(plain), drawn(told[0]), "{job}");
    }
}

#[test]
fn offers_of_inks_printed_in_two_ways_are_told() {
    let path = empty_folder("two-ways").join("offers.csv");
    let lines = "supplier,job,date,currency,inks,copies,total\n\
        Alder,A field guide to hedgerows,2026-11-20,EUR,process + Hawthorn red,800,4000\n";
    std::fs::write(&path, lines).unwrap();
    let name = path.to_string_lossy();
    let run = inkset(&[
        "compare",
        "jobs/books/field-guide.toml",
        &name,
        "--format",
        "json",
    ]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let cautions = run.json()["cautions"].to_string();
    assert!(
        cautions.contains(
            "`CMYK + Hawthorn red, with Hawthorn red (cover) as build` hangs the same inks"
        ),
        "{cautions}"
    );
}
