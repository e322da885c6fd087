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
        &format!(
            "/XObject << /F {form} >> /ExtGState << /H << /ca 0.5 >> /M << /BM /Multiply >> >>"
        ),
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

/// A group that is not isolated, on cyan of 50 %, painted by `/F Do` or after other operators.
fn group_on_cyan(entries: &str, content: &str, page_content: &str) -> inkset_artwork::PageCoverage {
    let content = content.replace("ALL", "0 0 200 100 re f");
    group(
        entries,
        &content,
        &format!("0.5 0 0 0 k 0 0 200 100 re f {page_content}"),
    )
}

#[test]
fn group_that_is_not_isolated_is_freed_from_the_page() {
    // Inside, cyan of a half makes 75 % with that of the page; the group as a whole is multiplied once more.
    let multiplied = |content: &str| group_on_cyan("", content, "/M gs /F Do");
    check(&multiplied("/M gs 0.5 0 0 0 k ALL"), &[("Cyan", 87.5)]);
    // At half opacity 62.5 % is there together with the page, which is 75 % by itself: 50 and 87.5 % by halves.
    check(
        &multiplied("/M gs /H gs 0.5 0 0 0 k ALL"),
        &[("Cyan", 68.75)],
    );
    // Painted plainly it is the same as if it were isolated; where nothing is painted the page stays.
    check(
        &multiplied("0 0.5 0 0 k 0 0 100 100 re f"),
        &[("Cyan", 50.0), ("Magenta", 25.0)],
    );
    // In a group that is isolated there is no page.
    check(
        &group_on_cyan("/I true", "/M gs 0.5 0 0 0 k ALL", "/M gs /F Do"),
        &[("Cyan", 75.0)],
    );
}

#[test]
fn group_that_knocks_out_paints_each_shape_on_the_page() {
    let twice = "/M gs 0.5 0 0 0 k ALL ALL";
    check(&group_on_cyan("/K true", twice, "/F Do"), &[("Cyan", 75.0)]);
    check(&group_on_cyan("", twice, "/F Do"), &[("Cyan", 87.5)]);
    // Half opaque yellow on the page, not on the magenta before it.
    check(
        &group_on_cyan(
            "/K true",
            "0 1 0 0 k ALL /H gs 0 0 1 0 k 0 0 100 100 re f",
            "/F Do",
        ),
        &[("Cyan", 12.5), ("Magenta", 50.0), ("Yellow", 25.0)],
    );
    // The group as a whole at half opacity.
    check(
        &group_on_cyan("/K true", "0 1 0 0 k ALL 0 0 1 0 k ALL", "/H gs /F Do"),
        &[("Cyan", 25.0), ("Yellow", 50.0)],
    );
}

#[test]
fn a_group_is_one_shape_of_a_group_that_knocks_out() {
    let mut pdf = Pdf::default();
    let states = "/ExtGState << /M << /BM /Multiply >> /H << /ca 0.5 >> >>";
    let form = "/Subtype /Form /BBox [0 0 200 100] /Group << /S /Transparency";
    let inner = pdf.stream(
        &format!("{form} >> /Resources << {states} >>"),
        b"/M gs 0.5 0 0 0 k 0 0 200 100 re f 0 0.5 0 0 k 0 0 200 100 re f",
    );
    let outer = pdf.stream(
        &format!("{form} /K true >> /Resources << /XObject << /I {inner} >> >>"),
        b"0 0 1 0 k 0 0 200 100 re f /I Do",
    );
    pdf.page(
        &format!("/XObject << /F {outer} >>"),
        "0.5 0 0 0 k 0 0 200 100 re f /F Do",
    );
    // Its two shapes are multiplied with each other and the page; yellow, an earlier shape of the outer group, is not there.
    check(
        &only_page(pdf.finish()),
        &[("Cyan", 75.0), ("Magenta", 50.0)],
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
