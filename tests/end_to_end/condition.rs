//! `inkset condition`, and ICC profiles wherever a condition is named.

use std::path::Path;

use crate::run::{empty_folder, inkset, inkset_in, root};

/// A real profile that the test command fetches.
fn profile(name: &str) -> String {
    let path = root().join("target/test-data").join(name);
    assert!(
        path.is_file(),
        "{}: missing; `cargo xtask test-data` fetches it",
        path.display()
    );
    path.display().to_string()
}

#[test]
fn shipped_conditions_are_listed() {
    insta::assert_snapshot!("condition list", inkset(&["condition", "list"]).shown());
    let json = inkset(&["condition", "list", "--format", "json"]).json();
    assert_eq!(json.as_array().unwrap().len(), 5);
    let csv = inkset(&["condition", "list", "--format", "csv"]);
    assert_eq!(csv.stdout.lines().count(), 6);
}

#[test]
fn condition_is_shown() {
    let table = inkset(&["condition", "show", "FOGRA39"]);
    insta::assert_snapshot!("condition show", table.shown());
    let json = inkset(&["condition", "show", "coated-fogra39", "--format", "json"]).json();
    assert_eq!(json["solids"][0]["inks"], "paper");
    let volume = json["gamut_volume"].as_f64().unwrap();
    assert!((volume / 402_057.0 - 1.0).abs() < 0.03, "{volume}");
    let csv = inkset(&["condition", "show", "coated-fogra39", "--format", "csv"]);
    assert!(
        csv.stdout.contains("tints,K50,increase,"),
        "{}",
        csv.shown()
    );
}

#[test]
fn table_is_checked() {
    insta::assert_snapshot!(
        "condition check",
        inkset(&["condition", "check", "newsprint-tr002"]).shown()
    );
    let json = inkset(&["condition", "check", "uncoated-fogra29", "--format", "json"]).json();
    assert!(json["left_out"]["mean"].as_f64().unwrap() < 0.25, "{json}");
    assert_eq!(json["aims"]["solids"].as_array().unwrap().len(), 4);
    assert!(json["aims"]["source"].as_str().unwrap().contains("memory"));
}

#[test]
fn profile_is_a_condition() {
    let file = profile("ISOcoated_v2_300_bas.icc");
    let shown = inkset(&["condition", "show", &file, "--format", "json"]);
    let json = shown.json();
    assert_eq!(json["ink_limit"], 300.0);
    assert!(
        shown.stderr.contains("assumed: ink limit 300 %"),
        "{}",
        shown.shown()
    );
    let again = inkset(&["condition", "show", &file, "--format", "json"]);
    assert_eq!((shown.stdout, shown.stderr), (again.stdout, again.stderr));
    let checked = inkset(&["condition", "check", &file, "--format", "json"]).json();
    assert!(checked["left_out"].is_null() && checked["chart"].is_null());
    assert!(checked["grid"]["mean"].as_f64().unwrap() < 0.1, "{checked}");
}

#[test]
fn reach_takes_a_profile() {
    let file = profile("ISOcoated_v2_300_bas.icc");
    let folder = empty_folder("condition-reach");
    std::fs::write(
        folder.join("palette.csv"),
        "name,L,a,b\nBrick,45,38,30\nOrange,66,60,80\n",
    )
    .unwrap();
    let found = |condition: &str| -> Vec<f64> {
        let arguments = [
            "reach",
            "palette.csv",
            "--condition",
            condition,
            "--format",
            "json",
        ];
        let json = inkset_in(&folder, &arguments).json();
        let rows = json.as_array().unwrap().iter();
        rows.map(|row| row["delta_e_unrounded"].as_f64().unwrap())
            .collect()
    };
    for (by_profile, by_table) in found(&file).iter().zip(found("coated-fogra39")) {
        assert!(
            (by_profile - by_table).abs() < 0.5,
            "{by_profile} {by_table}"
        );
    }
}

#[test]
fn damaged_profiles_are_told_with_their_byte() {
    let folder = empty_folder("condition-damaged");
    let sound = std::fs::read(profile("FOGRA39L_coated.icc")).unwrap();
    let mut screen = sound.clone();
    screen[12..20].copy_from_slice(b"mntrRGB ");
    for (name, bytes) in [
        ("cut.icc", sound[..50_000].to_vec()),
        ("screen.icc", screen),
        ("packed.icm", vec![0x91; 4096]),
    ] {
        std::fs::write(folder.join(name), bytes).unwrap();
        let run = inkset_in(&folder, &["condition", "show", name]);
        assert_eq!(run.code, 1, "{}", run.shown());
        insta::assert_snapshot!(format!("condition {name}"), run.shown());
    }
    let unknown = inkset(&["condition", "show", "glossy"]);
    assert_eq!(unknown.code, 2, "{}", unknown.shown());
    assert!(!Path::new("glossy").exists());
}
