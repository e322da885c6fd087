//! Pages made here, one feature each, with a known answer.
#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test fails as the test does: loudly"
)]

mod bombs;
mod colours;
mod hostile;
mod make;
mod meshes;
#[path = "../support/plates.rs"]
mod plates;
mod reference;
mod shapes;
mod transparency;
mod trees;

use std::collections::BTreeSet;
use std::io::Cursor;

use inkset_artwork::{
    Artwork, ArtworkError, Ink, PageBox, PageCoverage, Photographs, Separator, Settings,
    USUAL_RESOLUTION, measure,
};
use inkset_colour::shipped;
use make::Pdf;

/// Measures bytes through the usual condition.
fn measured_with(
    bytes: Vec<u8>,
    page_box: PageBox,
    pages: Option<&BTreeSet<usize>>,
) -> Result<Artwork, ArtworkError> {
    let condition = shipped("coated-tr006").unwrap();
    let settings = Settings {
        separator: &Separator::new(condition),
        ink_limit: condition.ink_limit(),
        page_box,
        resolution: USUAL_RESOLUTION,
        pages,
        photographs: Photographs::Counted,
    };
    measure(Cursor::new(bytes), &settings, &mut |_| {})
}

fn measured_box(bytes: Vec<u8>, page_box: PageBox) -> Result<Artwork, ArtworkError> {
    measured_with(bytes, page_box, None)
}

fn measured_pages(
    bytes: Vec<u8>,
    pages: Option<&BTreeSet<usize>>,
) -> Result<Artwork, ArtworkError> {
    measured_with(bytes, PageBox::Trim, pages)
}

fn measured(bytes: Vec<u8>) -> Result<Artwork, ArtworkError> {
    measured_pages(bytes, None)
}

/// The only page of a document.
fn only_page(bytes: Vec<u8>) -> PageCoverage {
    let mut artwork = measured(bytes).unwrap();
    assert_eq!(artwork.pages.len(), 1);
    artwork.pages.remove(0).unwrap()
}

/// A page with these resources and this content.
fn page(resources: &str, content: &str) -> PageCoverage {
    let mut pdf = Pdf::default();
    pdf.page(resources, content);
    only_page(pdf.finish())
}

/// Mean of one ink in percent.
fn mean(page: &PageCoverage, name: &str) -> f64 {
    let ink = Ink::named(name);
    page.inks
        .iter()
        .find(|known| known.ink == ink)
        .map_or(0.0, |known| known.mean * 100.0)
}

/// Holds the means of inks, in percent of the page, to 0.05 points; the four process inks that are not named are bare.
#[track_caller]
fn check(page: &PageCoverage, wanted: &[(&str, f64)]) {
    for name in ["Cyan", "Magenta", "Yellow", "Black"] {
        if !wanted.iter().any(|(known, _)| *known == name) {
            assert!(mean(page, name) < 0.05, "{name} in {page:#?}");
        }
    }
    for &(name, percent) in wanted {
        let found = mean(page, name);
        assert!(
            (found - percent).abs() <= 0.05,
            "{name} is {found}, wanted {percent}: {page:#?}"
        );
    }
}
