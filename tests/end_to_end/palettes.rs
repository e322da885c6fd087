//! Palettes of every format, through `reach` and from within a job.

use std::path::Path;

use crate::run::{Run, empty_folder, inkset, inkset_in, root};

fn reach(palette: &str) -> Run {
    let arguments = [
        "reach",
        palette,
        "--condition",
        "coated-fogra39",
        "--format",
        "json",
    ];
    inkset(&arguments)
}

fn delta_e(rows: &serde_json::Value, name: &str) -> f64 {
    let rows = rows.as_array().unwrap();
    let row = rows.iter().find(|row| row["name"] == name).unwrap();
    row["delta_e_unrounded"].as_f64().unwrap()
}

/// A job beside copies of the demo palettes.
fn job(folder: &Path, palette: &str) {
    std::fs::create_dir_all(folder.join("palettes")).unwrap();
    for name in ["harbour.csv", "harbour-inks.cxf"] {
        let from = root().join("jobs/palettes").join(name);
        std::fs::copy(from, folder.join("palettes").join(name)).unwrap();
    }
    std::fs::copy(root().join("rates/metric.toml"), folder.join("rates.toml")).unwrap();
    let text = std::fs::read_to_string(root().join("jobs/minimal.toml")).unwrap();
    let text = text
        .replace("../rates/metric.toml", "rates.toml")
        .replace("srgb = \"#D6341D\"", palette);
    std::fs::write(folder.join("job.toml"), text).unwrap();
}

#[test]
fn every_format_reaches() {
    let inks = reach("jobs/palettes/harbour-inks.cxf");
    assert_eq!(inks.code, 0, "{}", inks.shown());
    let inks = inks.json();
    assert_eq!(inks.as_array().unwrap().len(), 16);
    assert!(delta_e(&inks, "Harbour blue 0 %") < 3.0);
    assert!(delta_e(&inks, "Lantern orange") > 5.0);
    let csv = reach("jobs/palettes/harbour.csv").json();
    let objects = reach("tests/palettes/valid/objects.cxf").json();
    let table = reach("tests/palettes/valid/lab.txt").json();
    let percent = reach("tests/palettes/valid/percent.txt").json();
    for (found, name) in [(&objects, "Quay grey & salt"), (&table, "Quay grey")] {
        let off = delta_e(found, name) - delta_e(&csv, "Quay grey");
        assert!(off.abs() < 1e-9, "{name}");
    }
    let off = delta_e(&percent, "Harbour blue") - delta_e(&inks, "Harbour blue");
    assert!(off.abs() < 0.02, "{off}");
}

#[test]
fn a_job_takes_its_colours_from_a_palette() {
    let folder = empty_folder("palette-job");
    let plan = |palette: &str| {
        job(&folder, palette);
        let run = inkset_in(&folder, &["plan", "job.toml", "--format", "csv"]);
        assert_eq!(run.code, 0, "{}", run.shown());
        run.stdout
    };
    let named = plan("palette = { file = \"palettes/harbour.csv\", name = \"buoy RED\" }");
    assert_eq!(named, plan("lab = [44, 62, 42]"));
    let measured =
        "palette = { file = \"palettes/harbour-inks.cxf\", name = \"Lantern orange 75 %\" }";
    assert_ne!(plan(measured), named);
}

#[test]
fn the_palette_demo_checks_and_reaches() {
    let check = inkset(&["check", "jobs/leaflet-palette.toml"]);
    insta::assert_snapshot!("palette demo check", check.shown());
    for palette in ["harbour.csv", "harbour-inks.cxf"] {
        let path = format!("jobs/palettes/{palette}");
        let reach = inkset(&["reach", &path, "--condition", "coated-fogra39"]);
        insta::assert_snapshot!(format!("palette reach {palette}"), reach.shown());
    }
}

#[test]
fn the_palette_demo_plans_what_its_palettes_say() {
    let arguments = ["plan", "jobs/leaflet-palette.toml", "--format", "json"];
    let planned = inkset(&arguments).json();
    let colours = planned["ink_sets"][0]["colours"].as_array().unwrap();
    let colour = |name: &str| colours.iter().find(|c| c["name"] == name).unwrap();
    let of_csv = serde_json::json!([38.0, -24.0, 18.0]);
    assert_eq!(colour("Seaweed")["target_lab"], of_csv);
    let reached = reach("jobs/palettes/harbour-inks.cxf").json();
    let orange = colour("Lantern orange")["delta_e"].as_f64().unwrap();
    // Whole percents of three inks in the plan, any of four in the search.
    assert!((orange - delta_e(&reached, "Lantern orange")).abs() < 0.1);
}

#[test]
fn what_a_job_asks_in_vain_is_told() {
    let folder = empty_folder("palette-vain");
    let told = |palette: &str| {
        job(&folder, palette);
        inkset_in(&folder, &["check", "job.toml"]).shown()
    };
    insta::assert_snapshot!(
        "palette colour unknown",
        told("palette = { file = \"palettes/harbour.csv\", name = \"Boy red\" }")
    );
    insta::assert_snapshot!(
        "palette not there",
        told("palette = { file = \"harbour.cxf\", name = \"Buoy red\" }")
    );
    std::fs::write(folder.join("short.txt"), "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID NM400 NM410 NM420\nEND_DATA_FORMAT\nBEGIN_DATA\nMoss .1 .2 .3\nEND_DATA\n").unwrap();
    insta::assert_snapshot!(
        "palette with a short spectrum",
        told("palette = { file = \"short.txt\", name = \"Moss\" }")
    );
    insta::assert_snapshot!(
        "palette and lab",
        told("lab = [44, 62, 42]\npalette = { file = \"palettes/harbour.csv\" }")
    );
}

/// The demo of extended process inks, its orange written so.
fn seven_inks(folder: &Path, coated: &str) -> Run {
    std::fs::create_dir_all(folder).unwrap();
    let palette = root().join("jobs/palettes/harbour-inks.cxf");
    std::fs::copy(palette, folder.join("inks.cxf")).unwrap();
    let read = |name: &str| std::fs::read_to_string(root().join(name)).unwrap();
    let card = read("rates/seven-inks.toml");
    let orange = "coated = [66.0, 58.0, 90.0], opacity = 0,";
    assert!(card.contains(orange));
    let card = card.replace(orange, coated);
    std::fs::write(folder.join("rates.toml"), card).unwrap();
    let job = read("jobs/tea-cards.toml").replace("../rates/seven-inks.toml", "rates.toml");
    std::fs::write(folder.join("job.toml"), job).unwrap();
    inkset_in(folder, &["plan", "job.toml", "--format", "csv"])
}

#[test]
fn an_extended_ink_is_a_colour_of_a_palette() {
    let folder = empty_folder("palette-extended");
    let measured = "coated = { file = \"inks.cxf\", name = \"Lantern orange\" },";
    let measured = seven_inks(&folder, measured);
    assert_eq!(measured.code, 0, "{}", measured.shown());
    // The same colour without its measured tints, spectrum and opacity prints its builds otherwise.
    let plain = seven_inks(
        &folder,
        "coated = [70.18547203084474, 49.64406726395726, 79.3478631979432], opacity = 0,",
    );
    assert_eq!(plain.code, 0, "{}", plain.shown());
    assert_ne!(measured.stdout, plain.stdout);
    let unknown = "coated = { file = \"inks.cxf\", name = \"Lantern orang\" },";
    let unknown = seven_inks(&folder, unknown);
    assert_eq!((unknown.code, unknown.stdout.as_str()), (1, ""));
    assert!(
        unknown
            .stderr
            .contains("`inks.cxf` has no colour `Lantern orang`")
            && unknown.stderr.contains("rates.toml:")
            && unknown.stderr.contains("`Lantern orange`"),
        "{}",
        unknown.stderr
    );
}
