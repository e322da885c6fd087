//! Trees of pages that are long, deep or untrue, and content that nests without end.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use inkset_artwork::{Artwork, ArtworkError};

use crate::make::Pdf;
use crate::{check, measured, measured_pages, only_page};

/// A document of these objects, the first two being the catalog and the root of its pages; without a table of places,
/// which readers then make themselves.
fn raw(objects: &[String]) -> Vec<u8> {
    let mut out = "%PDF-1.7\n1 0 obj\n<< /Type /Catalog /Pages 2 0 R >>\nendobj\n".to_owned();
    for (at, body) in objects.iter().enumerate() {
        write!(out, "{} 0 obj\n{body}\nendobj\n", at + 2).unwrap();
    }
    out += "trailer << /Root 1 0 R >>\n%%EOF\n";
    out.into_bytes()
}

const CONTENT: &str = "<< /Length 28 >>\nstream\n0 1 0 0 k 0 0 100 100 re f  \nendstream";

fn told(artwork: &Artwork, words: &str) -> bool {
    artwork.assumptions.iter().any(|said| said.contains(words))
}

#[test]
fn a_hundred_thousand_pages_are_found() {
    let mut pdf = Pdf::default();
    let content = pdf.stream("", b"0 1 0 0 k 0 0 2 1 re f");
    for _ in 0..100_000 {
        pdf.page_of_size("/MediaBox [0 0 4 1]", &content);
    }
    let wanted = BTreeSet::from([1, 50_000, 100_000]);
    let artwork = measured_pages(pdf.finish(), Some(&wanted)).unwrap();
    assert_eq!((artwork.page_count, artwork.pages.len()), (100_000, 3));
    for page in &artwork.pages {
        check(page.as_ref().unwrap(), &[("Magenta", 50.0)]);
    }
    assert!(artwork.assumptions.is_empty(), "{:?}", artwork.assumptions);
}

#[test]
fn a_page_that_is_listed_without_end_is_counted_once() {
    let page = "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 200 100] /Contents 4 0 R >>";
    let kids = "3 0 R ".repeat(100_000);
    let tree = format!("<< /Type /Pages /Kids [{kids}] /Count 100000 >>");
    let artwork = measured(raw(&[tree, page.to_owned(), CONTENT.to_owned()])).unwrap();
    assert_eq!(artwork.pages.len(), 1);
    check(artwork.pages[0].as_ref().unwrap(), &[("Magenta", 50.0)]);
    assert!(
        told(&artwork, "says that it has 100000 pages, and 1 are found"),
        "{:?}",
        artwork.assumptions
    );
}

#[test]
fn trees_of_any_depth_are_followed() {
    let depth = 20_000;
    let mut objects: Vec<String> = (0..depth)
        .map(|at| format!("<< /Type /Pages /Kids [{} 0 R] /Count 1 >>", at + 3))
        .collect();
    let content = depth + 3;
    objects.push(format!(
        "<< /Type /Page /MediaBox [0 0 200 100] /Contents {content} 0 R >>"
    ));
    objects.push(CONTENT.to_owned());
    let artwork = measured(raw(&objects)).unwrap();
    assert_eq!(artwork.pages.len(), 1);
    check(artwork.pages[0].as_ref().unwrap(), &[("Magenta", 50.0)]);
}

#[test]
fn a_number_of_pages_that_is_untrue_is_told() {
    for count in ["2000000000", "-7", "0"] {
        let mut pdf = Pdf::default();
        pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
        let bytes = String::from_utf8(pdf.finish()).unwrap();
        let untrue = bytes.replace("/Count 1", &format!("/Count {count}"));
        let artwork = measured(untrue.into_bytes()).unwrap();
        check(artwork.pages[0].as_ref().unwrap(), &[("Magenta", 50.0)]);
        assert!(
            told(&artwork, &format!("says that it has {count} pages")),
            "{:?}",
            artwork.assumptions
        );
    }
}

#[test]
fn lists_within_lists_end() {
    for opened in ["[", "<<", "(", "<< /A [", "BT q ", "BI "] {
        let mut pdf = Pdf::default();
        let sound = "0 1 0 0 k 0 0 100 100 re f ";
        pdf.page("", &format!("{sound}{}", opened.repeat(100_000)));
        let page = only_page(pdf.finish());
        check(&page, &[("Magenta", 50.0)]);
    }
}

#[test]
fn objects_within_objects_end() {
    let nested = |open: &str, close: &str| {
        let mut pdf = Pdf::default();
        let object = format!("{}0{}", open.repeat(100_000), close.repeat(100_000));
        let object = pdf.object(&object);
        pdf.page(
            &format!("/ColorSpace << /C {object} >>"),
            "/C cs 0 1 0 0 k 0 0 100 100 re f",
        );
        measured(pdf.finish())
    };
    let artwork = nested("[", "]").unwrap();
    check(artwork.pages[0].as_ref().unwrap(), &[("Magenta", 50.0)]);
    let error = nested("<< /A ", " >>").unwrap_err();
    assert!(matches!(error, ArtworkError::Damaged(_)), "{error}");
}
