//! Opacity, blend modes, groups and soft masks.

use crate::make::Pdf;
use crate::{check, only_page, page};

#[test]
fn opacity_mixes_with_what_is_beneath() {
    let resources = "/ExtGState << /H << /ca 0.5 >> >>";
    let found = page(
        resources,
        "1 0 0 0 k 0 0 200 100 re f /H gs 0 1 0 0 k 0 0 200 100 re f",
    );
    check(&found, &[("Cyan", 50.0), ("Magenta", 50.0)]);
}

#[test]
fn multiply_keeps_both_inks() {
    let resources = "/ExtGState << /M << /BM /Multiply >> >>";
    let found = page(
        resources,
        "0.5 0 0 0 k 0 0 200 100 re f /M gs 0.5 1 0 0 k 0 0 100 100 re f",
    );
    check(&found, &[("Cyan", 62.5), ("Magenta", 50.0)]);
}

#[test]
fn hue_saturation_colour_and_luminosity_mix_the_inks() {
    let states = "/ExtGState << /H << /BM /Hue >> /S << /BM /Saturation >> /C << /BM /Color >> /L << /BM /Luminosity >> /M << /BM /Luminosity /ca 0.5 >> >>";
    let painted = |state: &str| {
        let content =
            format!("1 0 0 0.3 k 0 0 200 100 re f /{state} gs 0 1 0 0.1 k 0 0 100 100 re f");
        page(states, &content)
    };
    // Cyan leaves light of 0.70, magenta of 0.41. What is moved out of the range is drawn in until it fits.
    let luminosity = 100.0 - 41.0 / 0.7;
    check(
        &painted("L"),
        &[
            ("Cyan", 100.0),
            ("Magenta", luminosity / 2.0),
            ("Yellow", luminosity / 2.0),
            ("Black", 20.0),
        ],
    );
    check(
        &painted("M"),
        &[
            ("Cyan", 100.0),
            ("Magenta", luminosity / 4.0),
            ("Yellow", luminosity / 4.0),
            ("Black", 25.0),
        ],
    );
    let colour = [("Cyan", 50.0), ("Magenta", 15.0 / 0.59), ("Black", 30.0)];
    check(&painted("C"), &colour);
    check(&painted("H"), &colour);
    check(&painted("S"), &[("Cyan", 100.0), ("Black", 30.0)]);
    // Solids are painted plainly: that beneath is knocked out, that of the paint is there.
    let copper = crate::make::separation("Copper", [0.0, 0.5, 0.8, 0.3]);
    let jade = crate::make::separation("Jade", [0.7, 0.0, 0.5, 0.1]);
    let found = page(
        &format!("{states} /ColorSpace << /C {copper} /J {jade} >>"),
        "/C cs 1 scn 0 0 200 100 re f /L gs /J cs 0.5 scn 0 0 100 100 re f",
    );
    check(&found, &[("Copper", 50.0), ("Jade", 25.0)]);
    assert!(found.findings.is_empty(), "{found:#?}");
}

fn group(entries: &str, content: &str, page_content: &str) -> inkset_artwork::PageCoverage {
    let mut pdf = Pdf::default();
    let form = pdf.stream(
        &format!("/Subtype /Form /BBox [0 0 200 100] /Group << /S /Transparency {entries} >> /Resources << /ExtGState << /H << /ca 0.5 >> /M << /BM /Multiply >> >> >>"),
        content.as_bytes(),
    );
    pdf.page(
        &format!("/XObject << /F {form} >> /ExtGState << /H << /ca 0.5 >> >>"),
        page_content,
    );
    only_page(pdf.finish())
}

#[test]
fn isolated_group_is_blended_as_one() {
    // Two overlapping shapes at half opacity of the group: the overlap shows only the upper one.
    let found = group(
        "/I true",
        "1 0 0 0 k 0 0 200 100 re f 0 1 0 0 k 0 0 200 100 re f",
        "/H gs /F Do",
    );
    check(&found, &[("Magenta", 50.0)]);
    // Inside an isolated group there is nothing to multiply with.
    let found = group(
        "/I true",
        "/M gs 0 1 0 0 k 0 0 200 100 re f",
        "1 0 0 0 k 0 0 200 100 re f /F Do",
    );
    check(&found, &[("Magenta", 100.0)]);
}

#[test]
fn group_that_is_not_isolated_sees_the_page() {
    let beneath = "1 0 0 0 k 0 0 200 100 re f";
    let found = group(
        "/I false",
        "/M gs 0 1 0 0 k 0 0 200 100 re f",
        &format!("{beneath} /F Do"),
    );
    check(&found, &[("Cyan", 100.0), ("Magenta", 100.0)]);
    let found = group(
        "/I false",
        "/M gs 0 1 0 0 k 0 0 200 100 re f",
        &format!("{beneath} /H gs /F Do"),
    );
    check(&found, &[("Cyan", 100.0), ("Magenta", 50.0)]);
}

#[test]
fn knockout_group_shows_only_the_last_shape() {
    let content = "1 0 0 0 k 0 0 200 100 re f /H gs 0 1 0 0 k 0 0 100 100 re f";
    check(
        &group("/I true /K true", content, "/F Do"),
        &[("Cyan", 50.0), ("Magenta", 25.0)],
    );
}

#[test]
fn luminosity_mask_thins_the_paint() {
    let mut pdf = Pdf::default();
    let mask = pdf.stream(
        "/Subtype /Form /BBox [0 0 200 100] /Group << /S /Transparency /CS /DeviceGray >>",
        b"0.25 g 0 0 100 100 re f",
    );
    let resources = format!(
        "/ExtGState << /S << /SMask << /S /Luminosity /G {mask} >> >> /N << /SMask /None >> >>"
    );
    pdf.page(
        &resources,
        "/S gs 1 0 0 0 k 0 0 200 100 re f /N gs 0 0 0 1 k 0 0 20 100 re f",
    );
    check(&only_page(pdf.finish()), &[("Cyan", 10.0), ("Black", 10.0)]);
}

#[test]
fn alpha_mask_thins_the_paint() {
    let mut pdf = Pdf::default();
    let mask = pdf.stream(
        "/Subtype /Form /BBox [0 0 200 100] /Group << /S /Transparency >> /Resources << /ExtGState << /H << /ca 0.5 >> >> >>",
        b"/H gs 0 g 0 0 100 100 re f",
    );
    pdf.page(
        &format!("/ExtGState << /S << /SMask << /S /Alpha /G {mask} >> >> >>"),
        "/S gs 1 0 0 0 k 0 0 200 100 re f",
    );
    check(&only_page(pdf.finish()), &[("Cyan", 25.0)]);
}
