//! Pictures made here with a known answer, through every packing that is read.
#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test fails as the test does: loudly"
)]

mod jpeg;
mod made;
mod png;
mod tiff;

use std::io::Cursor;

use inkset_artwork::{
    Artwork, ArtworkError, PageBox, PageCoverage, Photographs, Separator, Settings,
    USUAL_RESOLUTION, measure,
};
use inkset_colour::shipped;

/// Measures bytes through the usual condition.
fn measured(bytes: Vec<u8>) -> Result<Artwork, ArtworkError> {
    let condition = shipped("coated-tr006").unwrap();
    let settings = Settings {
        separator: &Separator::new(condition),
        ink_limit: condition.ink_limit(),
        page_box: PageBox::Trim,
        resolution: USUAL_RESOLUTION,
        pages: None,
        photographs: Photographs::Counted,
    };
    measure(Cursor::new(bytes), &settings, &mut |_| {})
}

fn only_page(bytes: Vec<u8>) -> PageCoverage {
    let mut artwork = measured(bytes).unwrap();
    assert_eq!(artwork.pages.len(), 1);
    artwork.pages.remove(0).unwrap()
}

/// Mean of each ink in percent.
fn means(page: &PageCoverage) -> Vec<f64> {
    page.inks.iter().map(|ink| ink.mean * 100.0).collect()
}

#[track_caller]
fn near(found: &[f64], wanted: &[f64], within: f64) {
    let close = found.len() == wanted.len()
        && found
            .iter()
            .zip(wanted)
            .all(|(a, b)| (a - b).abs() <= within);
    assert!(close, "found {found:?}, wanted {wanted:?}");
}

#[test]
fn foreign_bytes_are_refused() {
    let error = measured(b"hello, world".to_vec()).unwrap_err();
    assert!(matches!(error, ArtworkError::UnknownKind));
}
