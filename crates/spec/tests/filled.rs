//! Measured coverage written into jobs: comments and order stay, and what is written reads as what was measured.
#![expect(
    clippy::expect_used,
    reason = "a test may stop at the first thing that is missing"
)]

use std::collections::BTreeSet;

use inkset_spec::{
    FoundColour, Given, Job, Picture, Target, Use, UseKind, read_job, with_colours, with_coverage,
};
use inkset_units::{Coverage, ToneValue};

/// A job in inline tables and in tables of their own, with comments everywhere.
const JOB: &str = r#"# A flyer.
title = "Example"   # invented
currency = "EUR"
quantities = [1000]
overs = 0
variation = "controlled"

[product] # flat
kind = "flat"
part = "flyer"
size = "A5"
pages = 2
stock = "gloss-150"
bleed = "3 mm"

# The house's orange.
[[colour]]
name = "Orange"
lab = [66, 58, 78]
importance = "brand"
tolerance = 2
solid_match = 1
uses = [
  { side = "both", coverage = "20 %", tint = 100, as = "panel" }, # guessed
  { side = "front", coverage = 0.1, tint = 30, as = "panel" },
]

[[colour]]
name = "Black"
cmyk = [0, 0, 0, 100]
condition = "coated-fogra39"
importance = "decorative"
solid = "refused"

[[colour.uses]]
side = "back"
coverage = 0.05 # a guess
tint = 100
as = "type"

# What the camera saw.
[[picture]]
side = "both"
area = 0.3
inks = { c = 0.2, m = 0.2, y = 0.2, k = 0.1 } # guessed too
"#;

fn read(text: &str) -> Job {
    let reading = read_job(text);
    reading
        .value
        .unwrap_or_else(|| panic!("{:#?}", reading.notices))
}

fn place(page: u32, share: f64, tint: f64) -> Use {
    Use {
        part: 0,
        pages: vec![page],
        coverage: Given::assumed(Coverage::from_fraction(share).expect("a share")),
        tint: Given::assumed(ToneValue::from_percent(tint).expect("a tint")),
        kind: Given::assumed(UseKind::Panel),
    }
}

fn picture(page: u32, inks: [f64; 4]) -> Picture {
    Picture {
        part: 0,
        pages: vec![page],
        area: Given::assumed(Coverage::FULL),
        inks: Given::assumed(inks),
    }
}

/// What both pages were measured to show.
fn measured() -> Job {
    let mut job = read(JOB);
    job.colours[0].uses = vec![
        place(1, 0.37, 100.0),
        place(1, 0.12, 30.0),
        place(2, 0.08, 100.0),
    ];
    job.colours[1].uses = vec![place(1, 0.01, 100.0), place(2, 0.045, 100.0)];
    job.pictures = vec![
        picture(1, [0.1, 0.2, 0.3, 0.04]),
        picture(2, [0.0, 0.0, 0.0, 0.002]),
    ];
    job
}

fn both() -> BTreeSet<(usize, u32)> {
    [(0, 1), (0, 2)].into()
}

#[test]
fn comments_and_order_stay() {
    let filled = with_coverage(JOB, (&read(JOB), &measured()), &both()).expect("laid out plainly");
    insta::assert_snapshot!("a job filled in", filled.text);
    insta::assert_snapshot!("what was filled in", filled.changes.join("\n"));
    let comments = |text: &str| -> Vec<String> {
        text.lines()
            .filter_map(|line| Some(line.split_once('#')?.1.to_owned()))
            .collect()
    };
    assert_eq!(comments(&filled.text), comments(JOB));
}

#[test]
fn filling_in_again_changes_nothing() {
    let filled = with_coverage(JOB, (&read(JOB), &measured()), &both()).expect("laid out plainly");
    let again = with_coverage(&filled.text, (&read(&filled.text), &measured()), &both());
    let again = again.expect("laid out by ourselves");
    assert_eq!(again.text, filled.text);
}

#[test]
fn pages_that_were_not_measured_stay() {
    let mut job = measured();
    let before = read(JOB);
    job.colours[0].uses.retain(|place| place.pages == [1]);
    job.colours[0].uses.push(place(2, 0.2, 100.0));
    job.colours[1] = before.colours[1].clone();
    job.pictures = vec![
        picture(1, [0.1, 0.2, 0.3, 0.04]),
        Picture {
            pages: vec![2],
            ..before.pictures[0].clone()
        },
    ];
    let filled = with_coverage(JOB, (&before, &job), &[(0, 1)].into()).expect("laid out plainly");
    let again = read(&filled.text);
    assert_eq!(
        again.colours[1].uses[0].coverage.value,
        before.colours[1].uses[0].coverage.value
    );
    let kept = again
        .pictures
        .iter()
        .find(|picture| picture.pages == [2])
        .expect("still there");
    assert_eq!(kept.area.value, before.pictures[0].area.value);
}

#[test]
fn colours_of_the_artwork_are_added() {
    let found = [
        FoundColour {
            name: "Copper".to_owned(),
            look: Target::Lab {
                l: 55.04,
                a: 20.0,
                b: 30.0,
            },
            is_solid: true,
            part: 0,
            pages: vec![1, 2],
        },
        FoundColour {
            name: "Build C80 M10".to_owned(),
            look: Target::Cmyk {
                tones: [80.0, 10.0, 0.0, 0.0],
                condition: Some("coated-fogra39".to_owned()),
            },
            is_solid: false,
            part: 0,
            pages: vec![2],
        },
    ];
    let filled = with_colours(JOB, &read(JOB), &found).expect("laid out plainly");
    insta::assert_snapshot!("a job with the colours of its artwork", filled.text);
    let job = read(&filled.text);
    let names: Vec<&str> = job
        .colours
        .iter()
        .map(|colour| colour.name.value.as_str())
        .collect();
    assert_eq!(names, ["Orange", "Black", "Copper", "Build C80 M10"]);
    assert_eq!(job.colours[1].uses.len(), 1, "its uses stay its own");
}

#[test]
fn colours_may_be_added_to_a_list_in_brackets() {
    let text = r#"title = "Example"
currency = "EUR"
quantities = [1000]
product = { kind = "flat", part = "flyer", size = "A5", pages = 1, stock = "gloss-150", bleed = "3 mm" }
colour = [ { name = "Orange", lab = [66, 58, 78], uses = [ { coverage = 0.1 } ] } ] # one
"#;
    let found = FoundColour {
        name: "Copper".to_owned(),
        look: Target::Srgb([180, 110, 60]),
        is_solid: true,
        part: 0,
        pages: vec![1],
    };
    let filled = with_colours(text, &read(text), &[found]).expect("laid out plainly");
    assert_eq!(read(&filled.text).colours.len(), 2, "{}", filled.text);
    assert!(filled.text.contains("# one"), "{}", filled.text);
}
