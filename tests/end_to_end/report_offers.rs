//! The comparison of offers on the page of `report`.

use std::fs;
use std::path::Path;

use crate::compare::{BUYER, JOB, OFFERS};
use crate::report::{grouped, needs_nothing, well_formed};
use crate::run::{Run, empty_folder, inkset};

fn report(page: &Path, offers: &[&str], more: &[&str]) -> Run {
    let page = page.to_string_lossy();
    let mut arguments = vec!["report", JOB, "-o", &page, "--offers"];
    arguments.extend(offers);
    arguments.extend(more);
    inkset(&arguments)
}

#[test]
fn page_shows_what_compare_tells() {
    let path = empty_folder("report-offers").join("page.html");
    let run = report(&path, &OFFERS, &BUYER);
    assert_eq!(run.code, 0, "{}", run.shown());
    let page = fs::read_to_string(&path).unwrap();
    well_formed(&page);
    needs_nothing(&page);
    let section = page.split("<section id=\"offers\"").nth(1).unwrap();
    let section = section.split("</section>").next().unwrap();
    let mut arguments = vec!["compare", JOB];
    arguments.extend(OFFERS);
    arguments.extend(BUYER);
    arguments.extend(["--format", "json"]);
    let json = inkset(&arguments).json();
    let mut seen = 0;
    for offer in json["offers"].as_array().unwrap() {
        let supplier = offer["supplier"].as_str().unwrap();
        assert!(
            section.contains(&format!("<bdi>{supplier}</bdi>")),
            "{supplier}"
        );
        let prices = offer["options"].as_array().unwrap().iter();
        for price in prices.flat_map(|option| option["prices"].as_array().unwrap()) {
            if let (Some(total), Some(rank)) =
                (price["comparable"].as_str(), price["rank"].as_u64())
            {
                let cell = format!("{}</bdi><br><bdi>#{rank}", grouped(total));
                assert!(section.contains(&cell), "{supplier} {cell}");
                seen += 1;
            }
        }
    }
    assert!(seen > 30, "{seen}");
    for said in [
        "holds until 2026-11-30 only; the award is on 2026-12-01",
        "CMYK: Alder Lane Print for EUR",
        "By price 70 % and colour 30 %",
        "What Pumpkin orange on CMYK is asked for",
    ] {
        assert!(section.contains(said), "{said}");
    }
    let captions: Vec<&str> = section
        .split("<caption><span class=\"skip\">")
        .skip(1)
        .map(|c| c.split('<').next().unwrap())
        .collect();
    let mut names = captions.clone();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), captions.len(), "{captions:?}");
}

#[test]
fn bad_offers_leave_the_page_alone() {
    let folder = empty_folder("report-bad-offers");
    let path = folder.join("page.html");
    fs::write(&path, "the page before").unwrap();
    let twice = report(&path, &[OFFERS[0], OFFERS[0]], &[]);
    assert_eq!(twice.code, 1, "{}", twice.shown());
    assert!(
        twice.stderr.contains("error[same-supplier]"),
        "{}",
        twice.stderr
    );
    assert_eq!(fs::read_to_string(&path).unwrap(), "the page before");
    let offer = folder.join("offer.toml");
    fs::copy(crate::run::root().join(OFFERS[0]), &offer).unwrap();
    let own = report(&offer, &[&offer.to_string_lossy()], &[]);
    assert_eq!(own.code, 2, "{}", own.shown());
    assert!(
        own.stderr.contains("is an input of the report"),
        "{}",
        own.stderr
    );
    assert!(
        fs::read_to_string(&offer)
            .unwrap()
            .contains("Alder Lane Print")
    );
    let page = path.to_string_lossy();
    let alone = inkset(&["report", JOB, "-o", &page, BUYER[0], BUYER[1]]);
    assert_eq!(alone.code, 2, "{}", alone.shown());
}
