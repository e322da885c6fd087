//! Artwork that a job names.

use std::fs;
use std::path::PathBuf;

use serde_json::Value;

use crate::run::{Run, empty_folder, inkset, inkset_in, root};

const JOB: &str = "jobs/flyer-artwork.toml";

/// A folder with the demo job, its artwork and its rate card, the job changed.
fn copied(name: &str, change: impl Fn(String) -> String) -> PathBuf {
    let folder = empty_folder(name);
    fs::create_dir_all(folder.join("jobs/artwork")).unwrap();
    let artwork = "jobs/artwork/night-market.pdf";
    fs::copy(root().join(artwork), folder.join(artwork)).unwrap();
    let rates = root().join("rates/metric.toml");
    let job = fs::read_to_string(root().join(JOB)).unwrap();
    let job = job.replace("../rates/metric.toml", rates.to_str().unwrap());
    fs::write(folder.join("jobs/job.toml"), change(job)).unwrap();
    folder
}

fn checked(folder: &std::path::Path) -> Run {
    inkset_in(folder, &["check", "jobs/job.toml"])
}

/// Mean of an ink on a side of the sheet, percent.
fn on_side(layout: &Value, side: usize, ink: &str) -> f64 {
    let inks = layout["sections"][0]["sides"][side]["inks"]
        .as_array()
        .unwrap();
    let known = inks.iter().find(|known| known["ink"] == ink);
    known.map_or(0.0, |known| known["mean_percent"].as_f64().unwrap())
}

#[test]
fn every_command_says_that_it_measured() {
    for arguments in [
        &["plan", JOB][..],
        &["price", JOB],
        &["weigh", JOB],
        &["layout", JOB],
    ] {
        let run = inkset(arguments);
        assert_eq!(run.code, 0, "{}", run.shown());
        let said =
            "coverage measured: pages 1-2 of `flyer` from pages 1-2 of artwork/night-market.pdf";
        assert!(run.stderr.contains(said), "{}", run.shown());
    }
    let json = inkset(&["price", JOB, "--format", "json"]).json();
    let assumed = json["assumptions"].as_array().unwrap();
    assert!(
        assumed
            .iter()
            .any(|a| a.as_str().unwrap().starts_with("coverage measured: "))
    );
}

#[test]
fn forms_carry_what_was_measured() {
    let file = "jobs/artwork/night-market.pdf";
    let measured = inkset(&["coverage", file, "--format", "json"]).json();
    let option = ["--option", "CMYK + Lantern orange", "--format", "json"];
    let layout = inkset(&[&["layout", JOB][..], &option].concat()).json();
    // Both pages lie on the one form.
    let style = &layout["sections"][0]["work_style"];
    assert_eq!(style, "work-and-turn", "{layout:#}");
    for name in ["cyan", "magenta", "yellow", "black", "Lantern orange"] {
        let pages = measured["files"][0]["pages"].as_array().unwrap();
        let mean = |page: &Value| {
            let inks = page["inks"].as_array().unwrap().iter();
            let own = |ink: &&Value| ink["ink"].as_str().unwrap().eq_ignore_ascii_case(name);
            let mut own = inks.filter(own);
            own.next().unwrap()["mean_percent"].as_f64().unwrap()
        };
        let wanted = pages.iter().map(mean).sum::<f64>() / 2.0;
        let found = on_side(&layout, 0, name);
        assert!(
            (found - wanted).abs() < 0.06,
            "{name}: {found}, measured {wanted}"
        );
    }
}

#[test]
fn prices_follow_the_artwork() {
    let guessed = copied("artwork-guessed", |job| {
        let (head, rest) = job.split_once("[[artwork]]").unwrap();
        format!("{head}{}", &rest[rest.find("[[colour]]").unwrap()..])
    });
    let option = ["--option", "CMYK + Lantern orange", "--format", "json"];
    let layout = inkset_in(
        &guessed,
        &[&["layout", "jobs/job.toml"][..], &option].concat(),
    );
    // A quarter in full and a tenth in a tint of 30 % are written of the front, a twentieth of the back.
    assert!((on_side(&layout.json(), 0, "Lantern orange") - 16.5).abs() < 1e-6);
    let prices = |run: Run| {
        let json = run.json();
        let options = json["options"].as_array().unwrap();
        let five = options
            .iter()
            .find(|option| option["name"] == "CMYK + Lantern orange");
        five.unwrap()["quantities"][1]["total"].clone()
    };
    let price = ["price", "jobs/job.toml", "--format", "json"];
    let guess = prices(inkset_in(&guessed, &price));
    assert_ne!(guess, prices(inkset(&["price", JOB, "--format", "json"])));
}

#[test]
fn explanations_name_the_line_of_the_artwork() {
    let run = inkset(&["price", JOB, "--explain", "ink"]);
    assert!(
        run.stdout.contains("measured coverage of"),
        "{}",
        run.shown()
    );
    insta::assert_snapshot!("price artwork explained", run.shown());
}

#[test]
fn artwork_outside_the_folder_is_refused() {
    let change = |job: String| job.replace("artwork/night-market.pdf", "../away/night-market.pdf");
    let folder = copied("artwork-outside", change);
    fs::create_dir_all(folder.join("away")).unwrap();
    let away = folder.join("away/night-market.pdf");
    fs::copy(root().join("jobs/artwork/night-market.pdf"), &away).unwrap();
    let run = checked(&folder);
    assert_eq!(run.code, 1, "{}", run.shown());
    assert!(
        run.stderr.contains("error[artwork-outside]"),
        "{}",
        run.shown()
    );
    assert!(run.stderr.contains("jobs/job.toml:21:8"), "{}", run.shown());
    let allowed = inkset_in(&folder, &["check", "jobs/job.toml", "--outside-artwork"]);
    assert_eq!(allowed.code, 0, "{}", allowed.shown());
    // A link that leads out is no better than a path.
    #[cfg(unix)]
    {
        let folder = copied("artwork-linked", |job| {
            job.replace("night-market.pdf", "linked.pdf")
        });
        std::os::unix::fs::symlink(&away, folder.join("jobs/artwork/linked.pdf")).unwrap();
        let run = checked(&folder);
        assert!(
            run.stderr.contains("error[artwork-outside]"),
            "{}",
            run.shown()
        );
    }
}

#[test]
fn absent_and_damaged_artwork_is_refused() {
    let absent = copied("artwork-absent", |job| {
        job.replace("night-market.pdf", "none.pdf")
    });
    let run = checked(&absent);
    assert_eq!(run.code, 1, "{}", run.shown());
    assert!(
        run.stderr.contains("error[artwork-unread]"),
        "{}",
        run.shown()
    );
    let damaged = copied("artwork-damaged", |job| job);
    fs::write(
        damaged.join("jobs/artwork/night-market.pdf"),
        "%PDF-1.7 and no more",
    )
    .unwrap();
    let run = checked(&damaged);
    assert_eq!(run.code, 1, "{}", run.shown());
    assert!(run.stderr.contains("`artwork-damaged`"), "{}", run.shown());
}

#[test]
fn artwork_that_ends_too_early_is_refused() {
    let folder = copied("artwork-short", |job| job.replace("first = 1", "first = 2"));
    let run = checked(&folder);
    assert_eq!(run.code, 1, "{}", run.shown());
    assert!(
        run.stderr.contains("error[artwork-pages]"),
        "{}",
        run.shown()
    );
    assert!(run.stderr.contains("has 2 pages"), "{}", run.shown());
}

#[test]
fn an_ink_that_the_job_lacks_is_refused() {
    let folder = copied("artwork-ink", |job| {
        job.replace("unprinted = [\"Punched hole\"]", "")
    });
    let run = checked(&folder);
    assert_eq!(run.code, 1, "{}", run.shown());
    assert!(
        run.stderr
            .contains("page 1 of `flyer` prints the ink `Punched hole`"),
        "{}",
        run.shown()
    );
}

#[test]
fn a_page_of_another_size_is_cautioned() {
    let folder = copied("artwork-size", |job| {
        job.replace("size = \"A5\"", "size = \"A6\"")
    });
    let run = checked(&folder);
    assert_eq!(run.code, 0, "{}", run.shown());
    assert!(
        run.stderr
            .contains("warning: artwork/night-market.pdf: 148.0 × 210.0 mm"),
        "{}",
        run.shown()
    );
}

/// Coverage of every use and the inks of every picture that `price` works from.
fn total(folder: &std::path::Path) -> Value {
    let run = inkset_in(folder, &["price", "jobs/job.toml", "--format", "json"]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let json = run.json();
    let options = json["options"].as_array().unwrap().iter();
    options
        .map(|option| option["quantities"][0]["total"].clone())
        .collect()
}

#[test]
fn measured_coverage_is_written_into_the_job() {
    let folder = copied("artwork-written", |job| job);
    let before = total(&folder);
    let run = inkset_in(&folder, &["coverage", "--write", "jobs/job.toml"]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let told = run.stdout.replace("jobs/job.toml", "JOB");
    insta::assert_snapshot!("coverage written", told);
    let path = folder.join("jobs/job.toml");
    let written = fs::read_to_string(&path).unwrap();
    assert!(
        written.starts_with("# Example job. The night market"),
        "{written}"
    );
    assert!(
        written.contains("# the line of the hole; no ink"),
        "{written}"
    );
    // Without its artwork, the job now says itself what was measured.
    let (head, rest) = written.split_once("[[artwork]]").unwrap();
    let alone = format!("{head}{}", &rest[rest.find("[[colour]]").unwrap()..]);
    fs::write(&path, alone).unwrap();
    assert_eq!(total(&folder), before);
    let left: Vec<_> = fs::read_dir(folder.join("jobs")).unwrap().collect();
    assert_eq!(left.len(), 2, "{left:?}");
}

#[test]
fn a_job_without_colours_takes_those_of_the_artwork() {
    let folder = copied("artwork-found", |job| {
        job[..job.find("[[artwork]]").unwrap()].to_owned()
    });
    let arguments = [
        "coverage",
        "jobs/artwork/night-market.pdf",
        "--write",
        "jobs/job.toml",
    ];
    let run = inkset_in(&folder, &arguments);
    assert_eq!(run.code, 0, "{}", run.shown());
    let written = fs::read_to_string(folder.join("jobs/job.toml")).unwrap();
    for name in [
        "Lantern orange",
        "Punched hole",
        "Build C85 M20 Y60 K20",
        "Build K100",
    ] {
        assert!(written.contains(&format!("name = \"{name}\"")), "{written}");
    }
    assert_eq!(checked(&folder).code, 0);
    let again = inkset_in(&folder, &arguments);
    assert!(
        again.stdout.contains("nothing to change"),
        "{}",
        again.shown()
    );
}

#[test]
fn a_job_that_cannot_be_filled_in_stays() {
    let folder = copied("artwork-kept", |job| job.replace("first = 1", "first = 2"));
    let path = folder.join("jobs/job.toml");
    let before = fs::read_to_string(&path).unwrap();
    let run = inkset_in(&folder, &["coverage", "--write", "jobs/job.toml"]);
    assert_eq!(run.code, 1, "{}", run.shown());
    assert!(run.stdout.is_empty() && fs::read_to_string(&path).unwrap() == before);
    let bare = copied("artwork-none", |job| {
        job[..job.find("[[artwork]]").unwrap()].to_owned()
    });
    let run = inkset_in(&bare, &["coverage", "--write", "jobs/job.toml"]);
    assert_eq!(run.code, 2, "{}", run.shown());
    assert!(run.stderr.contains("names no artwork"), "{}", run.shown());
}
