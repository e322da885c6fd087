//! `inkset reach --near` and `inkset reach --build`.

use crate::run::{Run, empty_folder, inkset, inkset_in};

fn near(name: &str, arguments: &[&str]) -> Run {
    let folder = empty_folder(name);
    let palette = "name,L,a,b\nBrick,45,38,30\nBright orange,66,60,80\nViolet,28,50,-65\n";
    std::fs::write(folder.join("palette.csv"), palette).unwrap();
    let start = [
        "reach",
        "palette.csv",
        "--condition",
        "coated-fogra39",
        "--near",
    ];
    inkset_in(&folder, &[&start[..], arguments].concat())
}

#[test]
fn neighbours_are_told_for_colours_that_miss() {
    insta::assert_snapshot!("reach near table", near("near", &[]).shown());
    insta::assert_snapshot!(
        "reach near csv",
        near("near-csv", &["--format", "csv"]).shown()
    );
    let json = near("near-json", &["--format", "json"]).json();
    assert_eq!(json[0]["misses"], false);
    assert_eq!(json[0]["neighbours"].as_array().unwrap().len(), 0);
    let orange = json[1]["neighbours"].as_array().unwrap();
    assert_eq!(orange[0]["kept"], "nearest");
    for neighbour in &orange[1..] {
        assert!(neighbour["delta_e"].as_f64() >= orange[0]["delta_e"].as_f64());
        let kept = match neighbour["kept"].as_str().unwrap() {
            "same hue" => "hue_difference",
            "same lightness" => "lightness_difference",
            other => panic!("{other}"),
        };
        assert!(neighbour[kept].as_f64().unwrap().abs() <= 1.0, "{json:#}");
    }
}

#[test]
fn a_wide_tolerance_leaves_nothing_missed() {
    let run = near("near-wide", &["--tolerance", "40", "--format", "csv"]);
    assert_eq!(run.stdout.lines().count(), 1, "{}", run.shown());
}

#[test]
fn a_build_is_shown_on_every_paper() {
    insta::assert_snapshot!(
        "reach build table",
        inkset(&["reach", "--build", "C80 M10"]).shown()
    );
    let json = inkset(&[
        "reach",
        "--build",
        "c100,m100,y100,k60",
        "--condition",
        "coated-fogra39",
        "--condition",
        "newsprint-tr002",
        "--format",
        "json",
    ])
    .json();
    assert_eq!(json.as_array().unwrap().len(), 2);
    assert_eq!(json[0]["within_ink_limit"], false);
    assert_eq!(json[0]["remarks"].as_array().unwrap().len(), 1);
    let csv = inkset(&["reach", "--build", "K50", "--format", "csv"]).stdout;
    assert_eq!(csv.lines().count(), 6, "{csv}");
}

#[test]
fn nonsense_is_refused_with_what_is_allowed() {
    let on = ["--condition", "coated-fogra39"];
    for wrong in [
        &["reach"][..],
        &["reach", "palette.csv"],
        &["reach", "--build", ""],
        &["reach", "--build", "C80 C10"],
        &["reach", "--build", "O80"],
        &["reach", "--build", "C101"],
        &["reach", "--build", "Cnan"],
        &["reach", "--build", "C-5"],
        &["reach", "--build", "C80", "--condition", "no-such"],
        &["reach", "palette.csv", "--build", "C80"],
        &["reach", "--build", "C80", "--near"],
        &["reach", "palette.csv", on[0], on[1], "--tolerance", "3"],
        &["reach", "palette.csv", on[0], on[1], on[0], on[1]],
    ] {
        let run = inkset(wrong);
        assert_eq!(run.code, 2, "{wrong:?} {}", run.shown());
        assert!(run.stdout.is_empty() && run.stderr.starts_with("error"));
    }
}
