//! Enquiries and delivery sheets: what is printed, and that offers come back.

use std::fs;

use crate::run::{empty_folder, inkset, inkset_in, root};

const FLYER: &str = "jobs/flyer-orange.toml";

#[test]
fn enquiries_are_printed_as_ever() {
    for job in ["booklet", "flyer-us"] {
        let file = format!("jobs/{job}.toml");
        let run = inkset(&[
            "enquire",
            &file,
            "--date",
            "2026-11-25",
            "--reply-by",
            "2026-12-04",
        ]);
        let wide = run.stdout.lines().filter(|line| line.chars().count() > 80);
        assert_eq!(wide.count(), 0, "{job}: wider than 80 columns");
        insta::assert_snapshot!(format!("enquire {job}"), run.shown());
    }
}

#[test]
fn offers_come_back_filled_in() {
    let folder = empty_folder("enquire-offer");
    let file = folder.join("offer.toml");
    let path = file.to_str().unwrap();
    let asked = ["enquire", FLYER, "--date", "2026-11-25", "-o", path];
    let run = inkset(&asked);
    assert_eq!(run.code, 0, "{}", run.shown());
    let blank = fs::read_to_string(&file).unwrap();
    insta::assert_snapshot!("enquire offer file", blank);

    let unfilled = inkset(&["compare", FLYER, path]);
    assert_eq!(unfilled.code, 1, "blanks are told: {}", unfilled.shown());
    assert!(
        unfilled.stderr.contains("offer.toml:"),
        "{}",
        unfilled.shown()
    );
    let again = inkset(&asked);
    assert_eq!(again.code, 2, "an offer file is never overwritten");
    assert_eq!(fs::read_to_string(&file).unwrap(), blank);

    let mut price = 150;
    let mut filled = Vec::new();
    for line in blank.lines() {
        let line = match line.split(" = ").next().unwrap() {
            "supplier" => "supplier = \"Fern Press\"".to_owned(),
            "number" => "number = \"17\"".to_owned(),
            "date" => "date = 2026-11-28".to_owned(),
            "valid_until" => "valid_until = 2026-12-31".to_owned(),
            "lead_days" => "lead_days = 6".to_owned(),
            "run_on_per_thousand" => "run_on_per_thousand = 22.50".to_owned(),
            _ if line.contains("total = \"?\"") => {
                price += 50;
                line.replace("\"?\"", &format!("{price}.00"))
            }
            _ => line.to_owned(),
        };
        assert!(line.starts_with('#') || !line.contains("\"?\""), "{line}");
        filled.push(line);
    }
    fs::write(&file, filled.join("\n")).unwrap();
    let compared = inkset(&["compare", FLYER, path, "--format", "json"]);
    assert_eq!(compared.code, 0, "{}", compared.shown());
    for said in ["Fern Press", "200.00", "Pumpkin orange"] {
        assert!(
            compared.stdout.contains(said),
            "{said} in {}",
            compared.shown()
        );
    }
}

#[test]
fn every_ink_set_can_be_offered() {
    // Four extended inks and solids, single process inks, names with quotes.
    let folder = empty_folder("enquire-names");
    for job in [
        "tea-cards",
        "poster-metallic",
        "stationery",
        "delivery-note",
    ] {
        let file = folder.join(format!("{job}.toml"));
        let path = format!("jobs/{job}.toml");
        let run = inkset(&[
            "enquire",
            &path,
            "--date",
            "2026-11-25",
            "-o",
            file.to_str().unwrap(),
        ]);
        assert_eq!(run.code, 0, "{}", run.shown());
        let filled = fs::read_to_string(&file).unwrap();
        let filled = filled
            .replace("supplier = \"?\"", "supplier = \"Fern Press\"")
            .replace("date = \"?\"", "date = 2026-11-28")
            .replace("valid_until = \"?\"", "valid_until = 2026-12-31")
            .replace("lead_days = \"?\"", "lead_days = 6")
            .replace("\"?\"", "900.00");
        let filled = filled.replace("number = 900.00", "number = \"17\"");
        fs::write(&file, filled).unwrap();
        let compared = inkset(&["compare", &path, file.to_str().unwrap(), "--format", "csv"]);
        assert_eq!(compared.code, 0, "{job}: {}", compared.shown());
    }
}

#[test]
fn names_with_quotes_keep_in_offer_files() {
    let folder = empty_folder("enquire-quotes");
    let job = fs::read_to_string(root().join(FLYER)).unwrap();
    let rates = root().join("rates");
    let job = job
        .replace("\"Pumpkin orange\"", "\"a \\\"b\\\" \\\\ <i> أخضر 🦊\"")
        .replace("../rates", rates.to_str().unwrap());
    fs::write(folder.join("job.toml"), job).unwrap();
    let asked = [
        "enquire",
        "job.toml",
        "--date",
        "2026-11-25",
        "-o",
        "offer.toml",
        "-o",
        "ask.html",
    ];
    let run = inkset_in(&folder, &asked);
    assert_eq!(run.code, 0, "{}", run.shown());
    let offer = fs::read_to_string(folder.join("offer.toml")).unwrap();
    assert!(offer.contains("a \\\"b\\\" \\\\ <i> أخضر 🦊"), "{offer}");
    assert!(
        !fs::read_to_string(folder.join("ask.html"))
            .unwrap()
            .contains("<i>")
    );
    let filled = offer
        .replace("supplier = \"?\"", "supplier = \"Fern Press\"")
        .replace("number = \"?\"", "number = \"17\"")
        .replace("lead_days = \"?\"", "lead_days = 6")
        .replace("date = \"?\"", "date = 2026-11-28")
        .replace("valid_until = \"?\"", "valid_until = 2026-12-31")
        .replace("\"?\"", "900.00");
    fs::write(folder.join("offer.toml"), filled).unwrap();
    let compared = inkset_in(&folder, &["compare", "job.toml", "offer.toml"]);
    assert_eq!(compared.code, 0, "{}", compared.shown());
}

#[test]
fn enquiries_refuse_what_cannot_be() {
    for (more, says) in [
        (["--option", "CMYK + Gold"], "has no such option"),
        (["-o", "ask.doc"], "`.toml`"),
        (
            ["--reply-by", "2026-11-24"],
            "before the day of the enquiry",
        ),
    ] {
        let run = inkset(&[&["enquire", FLYER, "--date", "2026-11-25"][..], &more].concat());
        assert_eq!(run.code, 2, "{}", run.shown());
        assert!(run.stderr.contains(says), "{}", run.shown());
    }
}

#[test]
fn delivery_sheets_are_printed_as_ever() {
    for (job, option) in [
        ("booklet", "CMYK + Kingfisher violet"),
        ("poster-metallic", "CMYK + Mint silver"),
    ] {
        let run = inkset(&["delivery", &format!("jobs/{job}.toml"), "--option", option]);
        let wide = run.stdout.lines().filter(|line| line.chars().count() > 80);
        assert_eq!(wide.count(), 0, "{job}: wider than 80 columns");
        insta::assert_snapshot!(format!("delivery {job}"), run.shown());
    }
}

#[test]
fn delivery_pages_show_loupe_views() {
    let folder = empty_folder("delivery-page");
    let file = folder.join("sheet.html");
    let run = inkset(&[
        "delivery",
        "jobs/booklet.toml",
        "--option",
        "CMYK",
        "-o",
        file.to_str().unwrap(),
    ]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let page = fs::read_to_string(&file).unwrap();
    assert_eq!(page.matches("<svg class=\"loupe\"").count(), 4);
    assert!(page.contains("River slate 40 %"), "every row has its view");
}

#[test]
fn one_image_on_several_papers_is_said() {
    let run = inkset(&["enquire", "jobs/delivery-note.toml"]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let text = run.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    let said = "same image as white, from its plates, but with another plate for black";
    assert_eq!(text.matches(said).count(), 2, "{}", run.shown());
    let layout = inkset(&["layout", "jobs/delivery-note.toml"]);
    let text = layout
        .stdout
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    let said = "plates of white stay on, 1 changed; paper changed, 6 min";
    assert_eq!(text.matches(said).count(), 2, "{}", layout.shown());
    for stage in ["plates", "make-ready", "ink"] {
        let explained = inkset(&["price", "jobs/delivery-note.toml", "--explain", stage]);
        let file = "jobs/delivery-note.toml:";
        assert!(explained.stdout.contains(file), "{}", explained.shown());
        assert!(explained.stdout.contains("white"), "{}", explained.shown());
    }
}
