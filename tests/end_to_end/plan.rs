//! `inkset plan` beyond the demo jobs.

use serde_json::Value;

use crate::run::{Run, empty_folder, inkset_in, root};

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
