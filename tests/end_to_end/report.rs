//! The page of `report`: whole, self-contained, harmless, and with the figures of `price` and `plan`.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::demos::demo_jobs;
use crate::run::{Run, empty_folder, inkset, inkset_in, root};

/// Elements without an end tag (HTML, 13.1.2).
const VOID: [&str; 4] = ["meta", "br", "link", "img"];

fn written(job: &str, page: &Path) -> Run {
    inkset(&["report", job, "-o", page.to_str().unwrap()])
}

fn page_of(job: &str, folder: &Path) -> String {
    let page = folder.join(job.replace(".toml", ".html"));
    let run = written(&format!("jobs/{job}"), &page);
    assert_eq!(run.code, 0, "{job}\n{}", run.shown());
    assert_eq!(run.stdout, "", "the page goes to its file");
    fs::read_to_string(page).unwrap()
}

/// Every element is closed in its turn, every attribute quoted, no id given twice.
pub(crate) fn well_formed(page: &str) {
    let body = page.strip_prefix("<!DOCTYPE html>").unwrap();
    let style_end = body.find("</style>").unwrap();
    let style = body.find("<style>").unwrap();
    let mut open: Vec<&str> = Vec::new();
    let mut ids: Vec<&str> = Vec::new();
    let text = [&body[..style + 7], &body[style_end..]].concat();
    let mut rest = text.as_str();
    while let Some(at) = rest.find('<') {
        assert!(
            !rest[..at].contains('>'),
            "stray > before {}",
            &rest[at..at + 40]
        );
        let end = at + rest[at..].find('>').unwrap();
        let tag = &rest[at + 1..end];
        rest = &rest[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name));
            continue;
        }
        let name = tag.split([' ', '\n']).next().unwrap();
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
        if let Some(id) = tag.split(" id=\"").nth(1) {
            let id = id.split('"').next().unwrap();
            assert!(!ids.contains(&id), "id {id} twice");
            // The text lives as long as the ids that are taken from it.
            ids.push(Box::leak(id.to_owned().into_boxed_str()));
        }
        if !VOID.contains(&name) {
            open.push(Box::leak(name.to_owned().into_boxed_str()));
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
}

pub(crate) fn needs_nothing(page: &str) {
    for reference in [
        "<script", "http:", "https:", "src=", "@import", "<link", "onload", "<iframe",
    ] {
        assert!(!page.contains(reference), "{reference}");
    }
    for reference in page.split("url(").skip(1) {
        assert!(reference.starts_with('#'), "{}", &reference[..20]);
    }
    assert!(page.len() < 1_000_000, "{} bytes", page.len());
}

/// As the page writes figures: thousands apart.
pub(crate) fn grouped(amount: &str) -> String {
    let (whole, decimals) = amount.split_once('.').unwrap_or((amount, ""));
    let mut out = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at) % 3 == 0 {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    if decimals.is_empty() {
        out
    } else {
        format!("{out}.{decimals}")
    }
}

fn escaped(text: &str) -> String {
    let text = text.replace('&', "&amp;").replace('<', "&lt;");
    text.replace('>', "&gt;").replace('"', "&quot;")
}

/// Totals and prices per 1,000 of every option shown stand in one row of the tables of prices.
fn prices_agree(job: &str, page: &str) {
    let json = inkset(&["price", &format!("jobs/{job}"), "--format", "json"]).json();
    let best: Vec<&str> = names(&json["best"]);
    let frontier: Vec<&str> = json["frontier"]
        .as_array()
        .unwrap()
        .iter()
        .map(|n| n.as_str().unwrap())
        .collect();
    let rows: Vec<&str> = page
        .split("<table class=\"options\">")
        .skip(1)
        .flat_map(|table| table.split("</table>").next().unwrap().split("<tr>"))
        .collect();
    let mut seen = 0;
    for option in json["options"].as_array().unwrap() {
        let name = option["name"].as_str().unwrap();
        if !best.contains(&name) && !frontier.contains(&name) && json["four_ink"] != option["name"]
        {
            continue;
        }
        let own: String = rows
            .iter()
            .filter(|row| row.contains(&format!("<bdi>{}</bdi>", escaped(name))))
            .copied()
            .collect();
        for quantity in option["quantities"].as_array().unwrap() {
            let total = grouped(quantity["total"].as_str().unwrap());
            let thousand = grouped(quantity["per_thousand"].as_str().unwrap());
            assert!(
                own.contains(&format!("<span class=\"total\">{total}</span>")),
                "{job} {name} {total}"
            );
            assert!(
                own.contains(&format!("<span class=\"fine\">{thousand}</span>")),
                "{job} {name} {thousand}"
            );
            seen += 1;
        }
    }
    assert!(seen > 0, "{job} shows no price");
}

/// The stages of the suggested options add up to their totals at the smallest and the largest quantity.
fn stages_add_up(job: &str, page: &str) {
    let json = inkset(&["price", &format!("jobs/{job}"), "--format", "json"]).json();
    let table = page
        .split("Stages of the suggested options")
        .nth(1)
        .unwrap();
    let table = table.split("</table>").next().unwrap();
    let total = table.split("<tr class=\"total\">").nth(1).unwrap();
    let shown: Vec<&str> = total
        .split("<td class=\"figures\">")
        .skip(1)
        .map(|cell| cell.split("</td>").next().unwrap())
        .collect();
    let best = names(&json["best"]);
    let options = json["options"].as_array().unwrap();
    let quantities = json["best"].as_array().unwrap().len();
    let mut told = vec![0, quantities - 1];
    told.dedup();
    let wanted: Vec<String> = told
        .into_iter()
        .map(|at| {
            let option = options.iter().find(|option| option["name"] == best[at]);
            let total = &option.unwrap()["quantities"][at]["total"];
            grouped(total.as_str().unwrap())
        })
        .collect();
    assert_eq!(shown, wanted, "{job}");
}

fn names(best: &Value) -> Vec<&str> {
    best.as_array()
        .unwrap()
        .iter()
        .map(|one| one["name"].as_str().unwrap())
        .collect()
}

/// Colours, their prints in the suggested options, and their figures, as `price` tells them.
fn colours_agree(job: &str, page: &str) {
    let json = inkset(&["price", &format!("jobs/{job}"), "--format", "json"]).json();
    let best = names(&json["best"]);
    let options = json["options"].as_array().unwrap().iter();
    for option in options.filter(|option| best.contains(&option["name"].as_str().unwrap())) {
        for colour in option["colours"].as_array().unwrap() {
            let patch = |rgb: &Value| {
                let rgb = rgb.as_str().unwrap();
                format!("data-srgb=\"{rgb}\" style=\"background-color:{rgb}\"")
            };
            assert!(
                page.contains(&patch(&colour["target_srgb"])),
                "{job} {colour}"
            );
            if colour["printed_srgb"].is_string() {
                assert!(
                    page.contains(&patch(&colour["printed_srgb"])),
                    "{job} {colour}"
                );
            }
            let name = escaped(colour["name"].as_str().unwrap());
            assert!(
                page.contains(&format!("<h3><bdi>{name}</bdi></h3>")),
                "{job} {name}"
            );
        }
    }
}

#[test]
fn pages_of_demos_are_whole_and_agree() {
    let folder = empty_folder("report-demos");
    fs::create_dir(folder.join("books")).unwrap();
    let books = "books/field-guide.toml".to_owned();
    for job in demo_jobs().into_iter().chain([books]) {
        let page = page_of(&job, &folder);
        well_formed(&page);
        needs_nothing(&page);
        prices_agree(&job, &page);
        colours_agree(&job, &page);
        stages_add_up(&job, &page);
    }
}

#[test]
fn pages_repeat_to_the_byte() {
    let folder = empty_folder("report-twice");
    let once = page_of("flyer-orange.toml", &folder);
    assert_eq!(once, page_of("flyer-orange.toml", &folder));
}

#[test]
fn nobodys_names_do_harm() {
    let folder = empty_folder("report-hostile");
    let job = fs::read_to_string(root().join("jobs/flyer-orange.toml")).unwrap();
    let rates = root().join("rates/metric.toml");
    // As long as job files allow; 300 characters are refused by every command alike.
    let long = "Endless ".repeat(25);
    let long = long.trim_end();
    let unbroken = "W".repeat(200);
    let names = [
        "</h1><script>alert('1')</script>",
        "\\\"><img src=x onerror=alert(2)>",
        "مطبعة النهر",
        "🌈🦊 emoji",
        long,
        &unbroken,
    ];
    for (n, name) in names.iter().enumerate() {
        let mut hostile = job.replace("../rates/metric.toml", rates.to_str().unwrap());
        let title = job.lines().find(|line| line.starts_with("title")).unwrap();
        hostile = hostile.replace(title, &format!("title = \"{name}\""));
        hostile = hostile.replace("\"Pumpkin orange\"", &format!("\"{name}\""));
        let file = folder.join(format!("job{n}.toml"));
        fs::write(&file, hostile).unwrap();
        let run = inkset_in(
            &folder,
            &["report", &format!("job{n}.toml"), "-o", "page.html"],
        );
        assert_eq!(run.code, 0, "{name}\n{}", run.shown());
        let page = fs::read_to_string(folder.join("page.html")).unwrap();
        well_formed(&page);
        assert!(
            !page.contains("<script") && !page.contains("<img"),
            "{name}"
        );
        let shown = escaped(&name.replace("\\\"", "\""));
        assert!(
            page.contains(&format!("<h1><bdi>{shown}</bdi></h1>")),
            "{name}"
        );
    }
}

#[test]
fn budget_is_answered() {
    let folder = empty_folder("report-budget");
    let page = folder.join("page.html");
    let page_name = page.to_str().unwrap();
    let run = inkset(&[
        "report",
        "jobs/flyer-orange.toml",
        "-o",
        page_name,
        "--budget",
        "300",
        "--quantity",
        "2000",
    ]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let text = fs::read_to_string(page).unwrap();
    assert!(text.contains("Within EUR\u{a0}300.00"));
    assert!(
        !text.contains("10\u{a0}000 copies"),
        "only the quantity asked for"
    );
}

#[test]
fn only_whole_pages_replace() {
    let folder = empty_folder("report-replace");
    let page = folder.join("page.html");
    fs::write(&page, "an earlier page").unwrap();
    let broken = folder.join("broken.toml");
    fs::write(&broken, "title = 3").unwrap();
    let rates = root().join("rates/metric.toml");
    let run = inkset(&[
        "report",
        broken.to_str().unwrap(),
        "--rates",
        rates.to_str().unwrap(),
        "-o",
        page.to_str().unwrap(),
    ]);
    assert_eq!(run.code, 1, "{}", run.shown());
    assert_eq!(fs::read_to_string(&page).unwrap(), "an earlier page");
    assert_eq!(written("jobs/minimal.toml", &page).code, 0);
    assert!(
        fs::read_to_string(&page)
            .unwrap()
            .starts_with("<!DOCTYPE html>")
    );
    let missing = folder.join("no/such/folder/page.html");
    assert_eq!(written("jobs/minimal.toml", &missing).code, 2);
    let left: Vec<_> = fs::read_dir(&folder)
        .unwrap()
        .map(|e| e.unwrap().file_name())
        .collect();
    assert_eq!(left.len(), 2, "nothing half written stays behind: {left:?}");
}

#[test]
fn inputs_are_never_replaced() {
    let folder = empty_folder("report-input");
    let job = folder.join("job.toml");
    let text = fs::read_to_string(root().join("jobs/minimal.toml")).unwrap();
    let rates = root().join("rates/metric.toml");
    let text = text.replace("../rates/metric.toml", rates.to_str().unwrap());
    fs::write(&job, &text).unwrap();
    let run = written(job.to_str().unwrap(), &job);
    assert_eq!(run.code, 2, "{}", run.shown());
    assert!(
        run.stderr.contains("is an input of the report"),
        "{}",
        run.stderr
    );
    assert_eq!(fs::read_to_string(&job).unwrap(), text);
}
