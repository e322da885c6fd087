//! Damaged and hostile documents: an answer each, in bounded time, and other pages are counted all the same.

use inkset_artwork::{ArtworkError, Finding};

use crate::make::Pdf;
use crate::{check, measured, only_page};

#[test]
fn forms_in_a_circle_end() {
    let mut pdf = Pdf::default();
    // The first object is number 3; the form calls itself, which the reader of objects refuses.
    pdf.stream(
        "/Subtype /Form /BBox [0 0 200 100] /Resources << /XObject << /F 3 0 R >> >>",
        b"1 0 0 0 k 0 0 200 100 re f /F Do",
    );
    pdf.page("/XObject << /F 3 0 R >>", "/F Do");
    let found = only_page(pdf.finish());
    check(&found, &[("Cyan", 100.0)]);
    assert!(
        matches!(&found.findings[0], Finding::NotCounted(what) if what.contains("no form")),
        "{found:#?}"
    );
}

#[test]
fn forms_that_multiply_are_given_up() {
    let mut pdf = Pdf::default();
    let mut next = pdf.stream(
        "/Subtype /Form /BBox [0 0 200 100]",
        b"1 0 0 0 k 0 0 200 100 re f",
    );
    for _ in 0..8 {
        let entries =
            format!("/Subtype /Form /BBox [0 0 200 100] /Resources << /XObject << /F {next} >> >>");
        next = pdf.stream(&entries, "/F Do ".repeat(10).as_bytes());
    }
    pdf.page(&format!("/XObject << /F {next} >>"), "/F Do");
    pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
    let artwork = measured(pdf.finish()).unwrap();
    let failed = artwork.pages[0].as_ref().unwrap_err();
    assert!(
        matches!(failed.error, ArtworkError::TooLarge { .. }),
        "{failed:?}"
    );
    check(artwork.pages[1].as_ref().unwrap(), &[("Magenta", 50.0)]);
}

#[test]
fn content_after_damage_is_told() {
    let mut pdf = Pdf::default();
    pdf.page(
        "",
        "1 0 0 0 k 0 0 100 100 re f 5 l 0 1 0 0 k 100 0 100 100 re f",
    );
    let found = only_page(pdf.finish());
    let told = |finding: &Finding| matches!(finding, Finding::NotCounted(what) if what.contains("damaged path"));
    assert!(found.findings.iter().any(told), "{found:#?}");
}

#[test]
fn pages_of_ten_kilometres_are_refused() {
    let mut pdf = Pdf::default();
    pdf.page_with("/MediaBox [0 0 28000000 28000000]", "", "0 g 0 0 1 1 re f");
    pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
    let artwork = measured(pdf.finish()).unwrap();
    assert!(matches!(
        artwork.pages[0].as_ref().unwrap_err().error,
        ArtworkError::TooLarge { .. }
    ));
    assert!(artwork.pages[1].is_ok());
}

#[test]
fn damage_anywhere_gets_an_answer() {
    let mut pdf = Pdf::default();
    let image = pdf.stream(
        "/Subtype /Image /Width 2 /Height 1 /BitsPerComponent 8 /ColorSpace /DeviceGray",
        &[0, 90],
    );
    pdf.page(
        &format!("/XObject << /I {image} >>"),
        "q 100 0 0 100 0 0 cm /I Do Q 1 0 0 0 k 0 0 20 100 re f",
    );
    let sound = pdf.finish();
    for at in (0..sound.len()).step_by(7) {
        let _ = measured(sound[..at].to_vec());
        let mut bytes = sound.clone();
        bytes[at] ^= 0x15;
        let _ = measured(bytes);
    }
}

#[test]
fn numbers_beyond_all_measure_are_harmless() {
    for content in [
        "1e30 0 0 1e30 0 0 cm 0 0 1 1 re f",
        "0 0 0 1 K 1e20 w -1e20 0 m 1e20 5 l S",
        "0 0 0 1 K 1 w [0.0001] 0 d 0 0 m 1e9 1e9 l S",
        "q q q Q Q Q Q Q Q 99999999999999999999 0 m f",
        "0 0 m 1e38 1e38 l -1e38 1e38 l h W n 0 0 10 10 re f",
    ] {
        let mut pdf = Pdf::default();
        pdf.page("", content);
        let _ = measured(pdf.finish());
    }
}
