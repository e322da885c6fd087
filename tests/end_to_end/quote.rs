//! Quotations: what is printed and written, that records keep, and that nothing in a job can do harm.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use crate::run::{Run, empty_folder, inkset, inkset_in, root};

const VIOLET: &str = "CMYK + Kingfisher violet";

fn quote(job: &str, option: &str, more: &[&str]) -> Run {
    let start = ["quote", job, "--option", option, "--date", "2026-11-25"];
    inkset(&[&start, more].concat())
}

/// What a program of poppler or Ghostscript prints.
fn reads(program: &str, arguments: &[&str]) -> String {
    let output = Command::new(program).args(arguments).output().unwrap();
    assert!(output.status.success(), "{program} {arguments:?}");
    String::from_utf8(output.stdout).unwrap()
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// The demo job with a rate card whose figures are the plant's own.
fn issued_from(folder: &Path) -> [PathBuf; 2] {
    let card = fs::read_to_string(root().join("rates/metric.toml")).unwrap();
    let rates = folder.join("rates.toml");
    fs::write(&rates, card.replace("example = true\n", "")).unwrap();
    let job = fs::read_to_string(root().join("jobs/booklet.toml")).unwrap();
    let file = folder.join("job.toml");
    fs::write(&file, job.replace("../rates/metric.toml", "rates.toml")).unwrap();
    [file, rates]
}

fn issue(folder: &Path, number: &str) -> Run {
    let more = [
        "quote",
        "job.toml",
        "--option",
        VIOLET,
        "--date",
        "2026-11-25",
        "--number",
        number,
        "--issue",
        ".",
        "--checked-by",
        "Ada Rowan",
    ];
    inkset_in(folder, &more)
}

#[test]
fn drafts_are_printed_as_ever() {
    for (job, option) in [
        ("booklet", VIOLET),
        ("flyer-us", "CMYK"),
        ("poster-metallic", "CMYK + Mint silver"),
    ] {
        let run = quote(&format!("jobs/{job}.toml"), option, &[]);
        let wide = run.stdout.lines().filter(|line| line.chars().count() > 80);
        assert_eq!(wide.count(), 0, "{job}: wider than 80 columns");
        insta::assert_snapshot!(format!("quote {job}"), run.shown());
    }
}

#[test]
fn figures_are_those_of_price() {
    let quoted = quote("jobs/booklet.toml", VIOLET, &["--format", "json"]).json();
    let priced = inkset(&["price", "jobs/booklet.toml", "--format", "json"]).json();
    let options = priced["options"].as_array().unwrap();
    let option = options.iter().find(|o| o["name"] == VIOLET).unwrap();
    let prices = quoted["prices"].as_array().unwrap();
    assert_eq!(prices.len(), 3);
    for (quoted, priced) in prices.iter().zip(option["quantities"].as_array().unwrap()) {
        assert_eq!(quoted["total"], priced["total"]);
        assert_eq!(quoted["copies"], priced["quantity"]);
    }
    let csv = quote("jobs/booklet.toml", VIOLET, &["--format", "csv"]).stdout;
    assert_eq!(csv.lines().count(), 4, "{csv}");
}

#[test]
fn options_are_named_when_unknown() {
    let run = quote("jobs/booklet.toml", "CMYK + Gold", &[]);
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains(VIOLET), "{}", run.shown());
    let other = quote("jobs/booklet.toml", VIOLET, &["-o", "quotation.doc"]);
    assert_eq!(other.code, 2);
    assert!(
        other.stderr.contains("`.html` or `.pdf`"),
        "{}",
        other.shown()
    );
}

#[test]
fn pdf_is_read_back() {
    let folder = empty_folder("quote-pdf");
    for (sheet, size) in [("a4", "595.276 x 841.89 pts"), ("letter", "612 x 792 pts")] {
        let file = folder.join(format!("{sheet}.pdf"));
        let more = ["-o", text(&file), "--sheet", sheet, "--number", "2611-07"];
        let run = quote("jobs/booklet.toml", VIOLET, &more);
        assert_eq!(run.code, 0, "{}", run.shown());
        assert_eq!(run.stdout, "");
        let read = reads("pdftotext", &["-layout", text(&file), "-"]).replace('\u{a0}', " ");
        let json = quote("jobs/booklet.toml", VIOLET, &["--format", "json"]).json();
        for price in json["prices"].as_array().unwrap() {
            let total = price["total"].as_str().unwrap();
            let (whole, cents) = total.split_at(total.len() - 6);
            let shown = format!("{whole} {cents}").trim_start().to_owned();
            assert!(read.contains(&shown), "{shown} in\n{read}");
        }
        for said in [
            "2611-07",
            "2026-12-25",
            "Weir Street Printing Works",
            "Draft.",
        ] {
            assert!(read.contains(said), "{said} in\n{read}");
        }
        let fonts = reads("pdffonts", &[text(&file)]);
        assert_eq!(fonts.lines().count(), 4, "two fonts\n{fonts}");
        for font in fonts.lines().skip(2) {
            assert!(
                font.contains("Condensed") && font.contains("yes yes yes"),
                "{font}"
            );
        }
        assert!(reads("pdfinfo", &[text(&file)]).contains(size));
    }
    let again = folder.join("again.pdf");
    quote(
        "jobs/booklet.toml",
        VIOLET,
        &["-o", text(&again), "--number", "2611-07"],
    );
    let same = fs::read(folder.join("a4.pdf")).unwrap() == fs::read(again).unwrap();
    assert!(same, "the same quotation is the same file");
}

#[test]
fn solids_are_separations() {
    let folder = empty_folder("quote-separations");
    let file = folder.join("poster.pdf");
    quote(
        "jobs/poster-metallic.toml",
        "CMYK + Mint silver",
        &["-o", text(&file)],
    );
    let plates = folder.join("plate.tif");
    let output = format!("-sOutputFile={}", text(&plates));
    let gs = [
        "-q",
        "-dBATCH",
        "-dNOPAUSE",
        "-dSAFER",
        "-sDEVICE=tiffsep",
        "-r36",
        &output,
    ];
    reads("gs", &[&gs[..], &[text(&file)]].concat());
    let names = fs::read_dir(&folder).unwrap();
    let names: Vec<String> = names
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert!(
        names.iter().any(|name| name.contains("(Mint silver)")),
        "{names:?}"
    );
    let seen = inkset(&["coverage", text(&file), "--format", "json"]);
    assert!(seen.stdout.contains("Mint silver"), "{}", seen.shown());
}

#[test]
fn example_rates_are_not_issued() {
    let folder = empty_folder("quote-example");
    let more = [
        "--issue",
        text(&folder),
        "--number",
        "1",
        "--checked-by",
        "Ada Rowan",
    ];
    let run = quote("jobs/booklet.toml", VIOLET, &more);
    assert_eq!(run.code, 1);
    assert!(
        run.stderr.contains("holds example rates"),
        "{}",
        run.shown()
    );
    assert_eq!(
        fs::read_dir(&folder).unwrap().count(),
        0,
        "nothing is written"
    );
    let bad = [
        "--issue",
        text(&folder),
        "--number",
        "../1",
        "--checked-by",
        "Ada Rowan",
    ];
    assert_eq!(quote("jobs/booklet.toml", VIOLET, &bad).code, 2);
}

#[test]
fn issued_quotations_keep() {
    let folder = empty_folder("quote-issued");
    issued_from(&folder);
    let run = issue(&folder, "2611-07");
    assert_eq!(run.code, 0, "{}", run.shown());
    assert!(!run.stdout.contains("Draft"), "{}", run.shown());
    assert!(run.stdout.contains("Signature"), "{}", run.shown());
    let record = folder.join("2611-07.json");
    let sealed = fs::read_to_string(&record).unwrap();
    let digest = serde_json::from_str::<Value>(&sealed).unwrap()["sha256"].clone();
    assert_eq!(digest.as_str().unwrap().len(), 64);

    let second = issue(&folder, "2611-07");
    assert_eq!(second.code, 2, "{}", second.shown());
    assert!(
        second.stderr.contains("never overwritten"),
        "{}",
        second.shown()
    );
    assert_eq!(fs::read_to_string(&record).unwrap(), sealed);
    let names = fs::read_dir(&folder).unwrap().count();
    assert_eq!(names, 3, "job, rates, record and no half of one");

    // The record holds all that it needs: the files may go.
    fs::remove_file(folder.join("job.toml")).unwrap();
    fs::remove_file(folder.join("rates.toml")).unwrap();
    let verified = inkset(&["quote", "--verify", text(&record)]);
    assert_eq!(verified.code, 0, "{}", verified.shown());
    assert!(verified.stdout.contains("the same"), "{}", verified.shown());
    assert!(verified.stdout.contains(digest.as_str().unwrap()));
}

#[test]
fn altered_records_are_told() {
    let folder = empty_folder("quote-altered");
    issued_from(&folder);
    issue(&folder, "A-1");
    issue(&folder, "A-2");
    let record = folder.join("A-2.json");
    let sealed = fs::read_to_string(&record).unwrap();
    fs::write(
        &record,
        sealed.replacen("\"total\": \"1", "\"total\": \"2", 1),
    )
    .unwrap();
    let run = inkset(&["quote", "--verify", text(&record)]);
    assert_eq!(run.code, 1, "{}", run.shown());
    assert!(
        run.stderr.contains("altered since it was issued"),
        "{}",
        run.shown()
    );
    fs::write(folder.join("B.json"), "{ \"record\": [").unwrap();
    let list = inkset_in(&folder, &["quote", "--list", "."]);
    insta::assert_snapshot!(
        "quote list",
        list.stdout.lines().take(6).collect::<Vec<_>>().join("\n")
    );
    assert!(
        list.stdout.contains("A-2.json: altered since"),
        "{}",
        list.shown()
    );
    assert!(
        list.stdout.contains("B.json: no whole record"),
        "{}",
        list.shown()
    );
    let json = inkset_in(&folder, &["quote", "--list", ".", "--format", "json"]).json();
    assert_eq!(json.as_array().unwrap().len(), 3);
    let csv = inkset_in(&folder, &["quote", "--list", ".", "--format", "csv"]).stdout;
    assert_eq!(csv.lines().count(), 1 + 3 + 1 + 1, "{csv}");
}

#[test]
fn records_keep_every_file() {
    let folder = empty_folder("quote-palette");
    fs::create_dir(folder.join("jobs")).unwrap();
    fs::create_dir(folder.join("palettes")).unwrap();
    let job = fs::read_to_string(root().join("jobs/leaflet-palette.toml")).unwrap();
    for entry in fs::read_dir(root().join("jobs/palettes")).unwrap() {
        let path = entry.unwrap().path();
        let to = folder.join("jobs/palettes");
        fs::create_dir_all(&to).unwrap();
        fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
    }
    issued_from(&folder);
    fs::write(folder.join("jobs/leaflet.toml"), job).unwrap();
    let options = inkset_in(
        &folder,
        &[
            "price",
            "jobs/leaflet.toml",
            "--rates",
            "rates.toml",
            "--format",
            "json",
        ],
    );
    let option = options.json()["options"][0]["name"]
        .as_str()
        .unwrap()
        .to_owned();
    let run = inkset_in(
        &folder,
        &[
            "quote",
            "jobs/leaflet.toml",
            "--rates",
            "rates.toml",
            "--option",
            &option,
            "--date",
            "2026-11-25",
            "--number",
            "P-1",
            "--issue",
            "palettes",
            "--checked-by",
            "Ada Rowan",
        ],
    );
    assert_eq!(run.code, 0, "{}", run.shown());
    fs::remove_dir_all(folder.join("jobs")).unwrap();
    let verified = inkset_in(&folder, &["quote", "--verify", "palettes/P-1.json"]);
    assert_eq!(verified.code, 0, "{}", verified.shown());
}

#[test]
fn records_keep_artwork() {
    let folder = empty_folder("quote-artwork");
    let [_, rates] = issued_from(&folder);
    fs::create_dir(folder.join("artwork")).unwrap();
    let artwork = folder.join("artwork/night-market.pdf");
    fs::copy(root().join("jobs/artwork/night-market.pdf"), &artwork).unwrap();
    let job = fs::read_to_string(root().join("jobs/flyer-artwork.toml")).unwrap();
    fs::write(
        folder.join("job.toml"),
        job.replace("../rates/metric.toml", "rates.toml"),
    )
    .unwrap();
    let options = inkset_in(&folder, &["price", "job.toml", "--format", "json"]).json();
    let option = options["options"][0]["name"].as_str().unwrap().to_owned();
    let issued = [
        "quote",
        "job.toml",
        "--option",
        &option,
        "--date",
        "2026-11-25",
        "--number",
        "W-1",
        "--issue",
        ".",
        "--checked-by",
        "Ada Rowan",
    ];
    let run = inkset_in(&folder, &issued);
    assert_eq!(run.code, 0, "{}", run.shown());
    for file in [&artwork, &rates, &folder.join("job.toml")] {
        fs::remove_file(file).unwrap();
    }
    let verified = inkset_in(&folder, &["quote", "--verify", "W-1.json"]);
    assert_eq!(verified.code, 0, "{}", verified.shown());
}

#[test]
fn names_do_no_harm_on_paper() {
    let folder = empty_folder("quote-harm");
    let job = fs::read_to_string(root().join("jobs/flyer-orange.toml")).unwrap();
    let long = "W".repeat(190);
    let job = job
        .replace("\"Pumpkin orange\"", &format!("\"{long}\""))
        .replace("\"Leaf green\"", "\"أخضر <b onclick=alert(1)> \\\"'\"")
        .replace("\"Text black\"", "\"🌈🦊👩🏽‍🎨 \u{202e}black\"")
        .replace("../rates/", &format!("{}/", text(&root().join("rates"))));
    let title = "title = \"</title><script>alert('x')</script> مطبعة\"\nclient = \"O'Neill & <i>sons</i>\"\n";
    let rest: Vec<&str> = job
        .lines()
        .filter(|l| !l.starts_with("title") && !l.starts_with("client"))
        .collect();
    let file = folder.join("harm.toml");
    fs::write(&file, format!("{title}{}", rest.join("\n"))).unwrap();
    let option = format!("CMYK + {long}");
    let (html, pdf) = (folder.join("harm.html"), folder.join("harm.pdf"));
    let run = quote(text(&file), &option, &["-o", text(&html), "-o", text(&pdf)]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let page = fs::read_to_string(&html).unwrap();
    for bad in ["<script", "<b onclick", "<i>", "\u{202e}"] {
        assert!(!page.contains(bad), "{bad}");
    }
    let read = reads("pdftotext", &["-raw", text(&pdf), "-"]);
    assert!(read.contains("<script>alert"), "{read}");
    let letters: usize = read.matches('W').count();
    assert!(
        letters > 190 * 3,
        "the long name is there in whole, {letters}"
    );
    assert!(reads("pdffonts", &[text(&pdf)]).contains("yes yes yes"));
}
