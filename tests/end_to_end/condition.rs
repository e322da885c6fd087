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

/// A job whose stock is printed to a profile that lies beside its rate card.
fn job_on_profile(folder: &Path, file: &str) {
    std::fs::copy(profile(file), folder.join("press.icc")).unwrap();
    let card = std::fs::read_to_string(root().join("rates/metric.toml")).unwrap();
    let by_name = "condition = \"coated-fogra39\"";
    assert!(card.contains(by_name));
    let card = card.replace(by_name, "condition = \"press.icc\"");
    std::fs::write(folder.join("rates.toml"), card).unwrap();
    let job = std::fs::read_to_string(root().join("jobs/flyer-orange.toml")).unwrap();
    let job = job.replace("../rates/metric.toml", "rates.toml");
    std::fs::write(folder.join("job.toml"), job).unwrap();
}

#[test]
fn a_stock_names_a_profile() {
    let folder = empty_folder("condition-stock");
    job_on_profile(&folder, "ISOcoated_v2_300_bas.icc");
    let assumption = "ink limit 300 % for `press.icc`";
    for command in ["plan", "price"] {
        let run = inkset_in(&folder, &[command, "job.toml", "--format", "json"]);
        assert_eq!(run.code, 0, "{}", run.shown());
        assert!(run.stderr.contains(&format!("assumed: {assumption}")));
        let json = run.json();
        let told = json["assumptions"].as_array().unwrap().iter();
        let told = told.filter(|a| a.as_str().unwrap().starts_with(assumption));
        assert_eq!(told.count(), 1, "{command}: {}", json["assumptions"]);
        assert!(json.to_string().contains("press.icc"), "{command}");
    }
    let check = inkset_in(&folder, &["check", "job.toml"]);
    assert_eq!(check.code, 0, "{}", check.shown());
    assert!(
        check.stdout.contains("Values assumed 1."),
        "{}",
        check.shown()
    );
}

#[test]
fn a_profile_plans_as_its_table_does() {
    let folder = empty_folder("condition-agrees");
    job_on_profile(&folder, "ISOcoated_v2_300_bas.icc");
    let by_table = inkset(&["plan", "jobs/flyer-orange.toml", "--format", "json"]).json();
    let by_profile = inkset_in(&folder, &["plan", "job.toml", "--format", "json"]).json();
    let set = |json: &serde_json::Value| {
        let sets = json["ink_sets"].as_array().unwrap().clone();
        let all = sets.into_iter().find(|set| set["name"] == "CMYK").unwrap();
        all["colours"].as_array().unwrap().clone()
    };
    let colours = set(&by_table);
    assert!(!colours.is_empty());
    for (table, profile) in colours.iter().zip(set(&by_profile)) {
        let of = |row: &serde_json::Value| row["delta_e"].as_f64().unwrap();
        assert!((of(table) - of(&profile)).abs() < 0.5, "{table} {profile}");
    }
}

#[test]
fn an_unreadable_profile_ends_the_plan() {
    let folder = empty_folder("condition-stock-cut");
    job_on_profile(&folder, "ISOcoated_v2_300_bas.icc");
    let whole = std::fs::read(folder.join("press.icc")).unwrap();
    std::fs::write(folder.join("press.icc"), &whole[..whole.len() / 2]).unwrap();
    for command in ["check", "plan", "price"] {
        let run = inkset_in(&folder, &[command, "job.toml"]);
        assert_eq!((run.code, run.stdout.as_str()), (1, ""), "{}", run.shown());
        assert!(run.stderr.contains("press.icc"), "{}", run.shown());
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
