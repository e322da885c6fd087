//! `inkset layout`.

use crate::run::{inkset, root};

#[test]
fn counts_are_exact_and_pieces_lie_apart() {
    let run = inkset(&["layout", "890x625", "303x216", "--format", "json"]);
    let json = run.json();
    assert_eq!(json["count"], 8, "{}", run.shown());
    let number = |value: &serde_json::Value| value.as_f64().unwrap();
    let pieces: Vec<[f64; 4]> = json["pieces"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| {
            [
                number(&p["x"]),
                number(&p["y"]),
                number(&p["x"]) + number(&p["width"]),
                number(&p["y"]) + number(&p["height"]),
            ]
        })
        .collect();
    assert_eq!(pieces.len(), 8);
    for (at, a) in pieces.iter().enumerate() {
        assert!(
            a[0] >= 0.0 && a[1] >= 0.0 && a[2] <= 890.0 && a[3] <= 625.0,
            "{a:?}"
        );
        for b in &pieces[at + 1..] {
            let apart = a[2] <= b[0] + 1e-6
                || b[2] <= a[0] + 1e-6
                || a[3] <= b[1] + 1e-6
                || b[3] <= a[1] + 1e-6;
            assert!(apart, "{a:?} {b:?}");
        }
    }
}

#[test]
fn sheets_may_be_named_and_in_inches() {
    let json = inkset(&[
        "layout",
        "SRA1",
        "A4",
        "--margins",
        "5,5,10,5",
        "--gap",
        "3 mm",
        "--format",
        "json",
    ])
    .json();
    assert_eq!(json["count"], 8);
    let inches = inkset(&["layout", "23x35in", "9x12in", "--format", "json"]).json();
    assert_eq!(inches["count"], 5);
}

#[test]
fn table_and_csv_are_readable() {
    insta::assert_snapshot!(
        "layout table",
        inkset(&["layout", "SRA3", "A6 landscape"]).shown()
    );
    insta::assert_snapshot!(
        "layout csv",
        inkset(&["layout", "SRA3", "A6 landscape", "--format", "csv"]).shown()
    );
}

#[test]
fn nonsense_is_refused_with_what_is_allowed() {
    for arguments in [
        ["layout", "big", "A4"],
        ["layout", "A4", "0x10"],
        ["layout", "A4", "0.001x0.001"],
        ["layout", "99999999x99999999", "1x1"],
    ] {
        let run = inkset(&arguments);
        assert_eq!(run.code, 2, "{arguments:?} {}", run.shown());
        assert!(
            run.stdout.is_empty() && run.stderr.starts_with("error: "),
            "{}",
            run.shown()
        );
    }
    let margins = inkset(&["layout", "A4", "A6", "--margins", "200"]);
    assert_eq!(margins.code, 2, "{}", margins.shown());
}

#[test]
fn sheets_of_a_job_are_drawn() {
    let run = inkset(&["layout", "tests/worked/08-leaflet.toml"]);
    insta::assert_snapshot!("layout leaflet", run.shown());
    let run = inkset(&["layout", "tests/worked/07-book.toml", "--format", "json"]);
    let json = run.json();
    let sections = json["sections"].as_array().unwrap();
    // A cover and two sections of 32 pages; each page of the text lies on one side of one sheet.
    assert_eq!(sections.len(), 3, "{}", run.shown());
    let sides = sections[1..]
        .iter()
        .flat_map(|section| section["sides"].as_array().unwrap());
    let pages = sides.flat_map(|side| side["pages"].as_array().unwrap());
    let mut pages: Vec<u64> = pages.map(|page| page["page"].as_u64().unwrap()).collect();
    pages.sort_unstable();
    assert_eq!(pages, (1..=64).collect::<Vec<_>>());
}

#[test]
fn unknown_option_is_refused() {
    let run = inkset(&["layout", "tests/worked/08-leaflet.toml", "--option", "gold"]);
    assert_eq!(run.code, 2, "{}", run.shown());
    assert!(run.stderr.contains("`CMYK`"), "{}", run.shown());
    assert!(run.stdout.is_empty());
}

#[test]
fn pictures_never_replace_a_file() {
    let there = root().join("tests/worked/b2.toml");
    let before = std::fs::read(&there).unwrap();
    let path = there.to_str().unwrap();
    let run = inkset(&["layout", "tests/worked/08-leaflet.toml", "--svg", path]);
    assert_eq!(run.code, 2, "{}", run.shown());
    assert_eq!(std::fs::read(&there).unwrap(), before);
}
