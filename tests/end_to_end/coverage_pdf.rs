//! `inkset coverage` over PDFs: what a buyer has to be told of the files that he got.

use std::fmt::Write as _;
use std::fs;
use std::path::PathBuf;

use crate::run::{Run, empty_folder, inkset_in};

/// A document of pages of 100 x 50 mm; each has its resources and its content, and all share the further objects, which
/// count from 3.
fn document(pages: &[(&str, &str)], objects: &[String]) -> Vec<u8> {
    let first = objects.len() + 3;
    let kids: Vec<String> = (0..pages.len())
        .map(|at| format!("{} 0 R", first + 2 * at))
        .collect();
    let kids = kids.join(" ");
    let mut all = vec![
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        format!("<< /Type /Pages /Kids [{kids}] /Count {} >>", pages.len()),
    ];
    all.extend_from_slice(objects);
    for (at, (resources, content)) in pages.iter().enumerate() {
        let stream = first + 2 * at + 1;
        all.push(format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 283.465 141.732] /Contents {stream} 0 R /Resources << {resources} >> >>"
        ));
        let length = content.len();
        all.push(format!(
            "<< /Length {length} >> stream\n{content}\nendstream"
        ));
    }
    let mut out = "%PDF-1.7\n".to_owned();
    for (at, body) in all.iter().enumerate() {
        writeln!(out, "{} 0 obj\n{body}\nendobj", at + 1).unwrap();
    }
    (out + "trailer << /Root 1 0 R >>\n%%EOF\n").into_bytes()
}

fn separation(name: &str) -> String {
    format!(
        "[/Separation /{name} /DeviceCMYK << /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0 0] /C1 [0 0.5 0.9 0.1] >>]"
    )
}

/// A folder with one document, and the coverage of it.
fn measured(name: &str, document: Vec<u8>, arguments: &[&str]) -> (PathBuf, Run) {
    let folder = empty_folder(name);
    fs::write(folder.join("leaflet.pdf"), document).unwrap();
    let run = inkset_in(&folder, &[&["coverage", "leaflet.pdf"], arguments].concat());
    (folder, run)
}

#[test]
fn two_spellings_of_one_solid_are_told() {
    let spaces = format!(
        "/ColorSpace << /A {} /B {} /C {} >>",
        separation("Harbour#20Red"),
        separation("harbour#20red"),
        separation("Copper")
    );
    let content = "/A cs 1 scn 0 0 142 142 re f /B cs 0.5 scn 142 0 142 71 re f";
    let (_, run) = measured("coverage-solids", document(&[(&spaces, content)], &[]), &[]);
    assert_eq!(run.code, 0, "{}", run.shown());
    insta::assert_snapshot!("two spellings of one solid", run.shown());
}

#[test]
fn white_that_overprints_and_rgb_are_told() {
    let states = "/ExtGState << /O << /OP true /op true /OPM 1 >> >>";
    let content =
        "0 0 1 rg 0 0 142 142 re f 1 0 0 0 k 142 0 142 142 re f /O gs 0 0 0 0 k 150 20 100 50 re f";
    let (_, run) = measured("coverage-white", document(&[(states, content)], &[]), &[]);
    assert_eq!(run.code, 0, "{}", run.shown());
    insta::assert_snapshot!("white that overprints and RGB", run.shown());
}

#[test]
fn a_page_that_costs_too_much_leaves_the_others() {
    // An image of 70,000 x 70,000 pixels that is all but nothing in the file.
    let image = "<< /Subtype /Image /Width 70000 /Height 70000 /BitsPerComponent 8 /ColorSpace /DeviceCMYK /Filter /RunLengthDecode /Length 3 >> stream\n\u{1}  \nendstream";
    let pages = [
        ("", "1 0 0 0 k 0 0 142 142 re f"),
        ("/XObject << /I 3 0 R >>", "283 0 0 141 0 0 cm /I Do"),
        ("", "0 0 0 1 k 0 0 283.465 70.866 re f"),
    ];
    let objects = [image.to_owned()];
    let (folder, run) = measured("coverage-costly", document(&pages, &objects), &[]);
    assert_eq!(run.code, 1, "{}", run.shown());
    insta::assert_snapshot!("page that costs too much", run.shown());
    let json = inkset_in(&folder, &["coverage", "leaflet.pdf", "--format", "json"]).json();
    let pages = json["files"][0]["pages"].as_array().unwrap();
    assert!(pages[1]["error"].as_str().unwrap().contains("samples"));
    assert_eq!(pages[2]["inks"][3]["mean_percent"], 50.0);
}

#[test]
fn photographs_on_pages_are_judged_and_shown() {
    // 120 x 100 pixels of RGB as digits: a quarter of pure blue, which no paper reaches, the rest grey.
    let row = format!("{}{}", "0000ff".repeat(30), "909090".repeat(90));
    let digits = row.repeat(100);
    let image = format!(
        "<< /Subtype /Image /Width 120 /Height 100 /BitsPerComponent 8 /ColorSpace /DeviceRGB /Filter /ASCIIHexDecode /Length {} >> stream\n{digits}\nendstream",
        digits.len()
    );
    // 60 x 50 mm at the left bottom corner, and once more at half the size.
    let content = "q 170.08 0 0 141.73 0 0 cm /I Do Q q 85.04 0 0 70.87 198 0 cm /I Do Q";
    let pages = [
        ("", "0 g 0 0 9 9 re f"),
        ("/XObject << /I 3 0 R >>", content),
    ];
    let pdf = document(&pages, &[image]);
    let (folder, run) = measured("coverage-photographs", pdf, &["--lost", "lost"]);
    assert_eq!(run.code, 0, "{}", run.shown());
    insta::assert_snapshot!("photographs on pages", run.shown());
    let picture = fs::read(folder.join("lost/leaflet-2-1.lost.png")).unwrap();
    assert_eq!(picture[16..24], [0, 0, 0, 120, 0, 0, 0, 100]);
    // What is there is never overwritten.
    let again = inkset_in(&folder, &["coverage", "leaflet.pdf", "--lost", "lost"]);
    assert_eq!(again.code, 2, "{}", again.shown());
    fs::remove_dir_all(folder.join("lost")).unwrap();
    let arguments = [
        "coverage",
        "leaflet.pdf",
        "--lost",
        "lost",
        "--format",
        "json",
    ];
    let json = inkset_in(&folder, &arguments).json();
    let found = &json["files"][0]["pages"][1]["photographs"][0];
    assert_eq!(found["out_of_reach_percent"], 25.0, "{found:#}");
    assert_eq!(
        (&found["times_on_page"], &found["place_mm"]["left"]),
        (&2.into(), &0.0.into())
    );
}
