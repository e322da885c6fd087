//! Files of many makers, out of Debian's packages: mean of every ink and solids by name, against Ghostscript.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::io::Cursor;
use std::path::Path;

use inkset_artwork::{
    Artwork, Ink, PageBox, PageCoverage, Photographs, Separator, Settings, USUAL_RESOLUTION,
    measure,
};

use crate::plates::plates;
use crate::{fetched, opened};

/// Farthest that the mean of an ink may be from the reference, in points.
const WITHIN: f64 = 0.3;

/// The profile through which both separate RGB.
const PROFILE: &str = "default_cmyk.icc";

/// A file with the pages that are compared, and with what else the reference has to be told.
///
/// A page of a transparency group that asks for RGB turns all its grey into RGB there, and then into four inks; here grey
/// stays black (`docs/accuracy.md`). Where nothing is transparent, the reference can be told not to look for it.
const FOUND: &[(&str, &[usize], &[&str])] = &[
    // pdfTeX with drawings, and with images of RGB, CMYK and an index: one JPEG of CMYK.
    ("GS9_Color_Management.pdf", &[18, 21], &[]),
    // ReportLab: text, tints, colours in CMYK and RGB.
    ("reportlab-userguide.pdf", &[24, 26], &[]),
    ("gnuplot.pdf", &[60], &[]),
    ("txfontsdocA4.pdf", &[3], &[]),
    ("testeuro.pdf", &[2], &[]),
    ("Scheherazade-features.pdf", &[2], &[]),
    ("features.pdf", &[2], &[]),
    ("default-testpage.pdf", &[1], &[]),
    // An inch wide and high, with thin lines.
    ("matplotlib.pdf", &[1], &["-dNOTRANSPARENCY", "-r4800"]),
];

fn measured(bytes: Vec<u8>, separator: &Separator<'_>, pages: Option<&BTreeSet<usize>>) -> Artwork {
    let settings = Settings {
        separator,
        ink_limit: 400.0,
        // What the reference renders.
        page_box: PageBox::Media,
        resolution: USUAL_RESOLUTION,
        pages,
        photographs: Photographs::Counted,
    };
    measure(Cursor::new(bytes), &settings, &mut |_| {}).unwrap()
}

/// The ink of a plate by the plate's name. The reference sets a number behind a solid whose name is that of a process ink
/// but for its case.
fn ink_of(plate: &str) -> &str {
    let ink = plate[plate.find('(').unwrap() + 1..].trim_end_matches(')');
    let plain = ink.trim_end_matches(|c: char| c.is_ascii_digit());
    let is_process = ["cyan", "magenta", "yellow", "black"].contains(&plain);
    if is_process { plain } else { ink }
}

/// Differences of a page from the plates of the reference.
fn compare(page: &PageCoverage, theirs: &[(String, f64)]) -> String {
    let mut wrong = String::new();
    let mean = |name: &str| {
        let ink = page.inks.iter().find(|ink| ink.ink == Ink::named(name));
        ink.map_or(0.0, |ink| ink.mean * 100.0)
    };
    for (name, percent) in theirs {
        let ours = mean(name);
        if (ours - percent).abs() > WITHIN {
            write!(wrong, " {name} {ours:.3}, reference {percent:.3};").unwrap();
        }
    }
    let solids = page
        .inks
        .iter()
        .filter(|ink| ink.ink.is_solid() && ink.largest > 0.0);
    for solid in solids {
        if !theirs.iter().any(|(name, _)| name == solid.ink.name()) {
            write!(wrong, " no plate of `{}`;", solid.ink.name()).unwrap();
        }
    }
    wrong
}

#[test]
fn files_of_other_makers_agree_with_the_reference() {
    let (profile, condition) = opened(PROFILE);
    let separator = Separator::of_profile(&condition, profile.separation().unwrap());
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("found");
    let icc = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/test-data");
    let icc = format!("-sOutputICCProfile={}", icc.join(PROFILE).display());
    let mut wrong = String::new();
    for (name, pages, further) in FOUND {
        let pdf = fetched(name);
        let wanted: BTreeSet<usize> = pages.iter().copied().collect();
        let ours = measured(pdf.clone(), &separator, Some(&wanted));
        for (page, number) in ours.pages.iter().zip(&wanted) {
            let (first, last) = (
                format!("-dFirstPage={number}"),
                format!("-dLastPage={number}"),
            );
            // Relative colorimetric with black-point compensation, as here.
            let arguments = [
                "-r300",
                &first,
                &last,
                &icc,
                "-dRenderIntent=1",
                "-dBlackPtComp=1",
            ];
            let arguments = [&arguments[..], further].concat();
            let plates = plates(&folder, &pdf, &arguments).into_iter();
            let theirs: Vec<(String, f64)> = plates
                .map(|(plate, bytes)| {
                    let mut plate_page = measured(bytes, &separator, None);
                    let counted = plate_page.pages.remove(0).unwrap();
                    (ink_of(&plate).to_owned(), counted.inks[3].mean * 100.0)
                })
                .collect();
            let page = page.as_ref().unwrap();
            let apart = compare(page, &theirs);
            if !apart.is_empty() {
                writeln!(wrong, "{name}, page {number}:{apart}").unwrap();
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}
