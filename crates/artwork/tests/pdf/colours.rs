//! Colour spaces, overprint, and what is found of solids.

use inkset_artwork::{Alternate, Finding};

use crate::make::{Pdf, separation};
use crate::{check, measured, page};

#[test]
fn tint_over_a_quarter_is_exact() {
    check(
        &page("", "0.375 0 0 0 k 0 0 100 50 re f"),
        &[("Cyan", 9.375)],
    );
}

#[test]
fn grey_is_black() {
    check(&page("", "0.4 g 0 0 100 100 re f"), &[("Black", 30.0)]);
}

#[test]
fn solids_keep_their_names() {
    let space = separation("Harbour#20blue", [1.0, 0.4, 0.0, 0.1]);
    let resources = format!(
        "/ColorSpace << /S {space} /T {} >>",
        separation("Copper", [0.0, 0.5, 0.8, 0.3])
    );
    let mut pdf = Pdf::default();
    pdf.page(&resources, "/S cs 0.5 scn 0 0 100 100 re f");
    let artwork = measured(pdf.finish()).unwrap();
    check(
        artwork.pages[0].as_ref().unwrap(),
        &[("Harbour blue", 25.0)],
    );
    let solids: Vec<(&str, usize)> = artwork
        .solids
        .iter()
        .map(|s| (s.name.as_str(), s.pages.len()))
        .collect();
    assert_eq!(solids, [("Copper", 0), ("Harbour blue", 1)]);
    let Some(Alternate::Cmyk(tones)) = artwork.solids[1].alternate else {
        panic!("{:?}", artwork.solids);
    };
    assert!((tones[1] - 40.0).abs() < 1e-3, "{tones:?}");
}

#[test]
fn several_inks_are_set_at_once() {
    let space = "[/DeviceN [/Cyan /Copper /None] /DeviceCMYK << /FunctionType 4 /Domain [0 1 0 1 0 1] /Range [0 1 0 1 0 1 0 1] /Length 20 >>]";
    let mut pdf = Pdf::default();
    let function = pdf.stream(
        "/FunctionType 4 /Domain [0 1 0 1 0 1] /Range [0 1 0 1 0 1 0 1]",
        b"{ pop pop 0 0 0 }",
    );
    let space = format!("{} {function}]", &space[..space.find(" <<").unwrap()]);
    pdf.page(
        &format!("/ColorSpace << /N {space} >>"),
        "/N cs 0.2 0.6 1 scn 0 0 200 100 re f",
    );
    check(
        &crate::only_page(pdf.finish()),
        &[("Cyan", 20.0), ("Copper", 60.0)],
    );
}

#[test]
fn all_reaches_every_ink() {
    let all = separation("All", [1.0, 1.0, 1.0, 1.0]);
    let copper = separation("Copper", [0.0, 0.5, 0.8, 0.3]);
    let found = page(
        &format!("/ColorSpace << /A {all} /C {copper} >>"),
        "/C cs 1 scn 0 0 10 10 re f /A cs 0.5 scn 100 0 100 100 re f",
    );
    check(
        &found,
        &[
            ("Cyan", 25.0),
            ("Magenta", 25.0),
            ("Yellow", 25.0),
            ("Black", 25.0),
            ("Copper", 25.5),
        ],
    );
}

#[test]
fn indexed_colours_are_looked_up() {
    let found = page(
        "/ColorSpace << /I [/Indexed /DeviceCMYK 1 <00000000 FF008000>] >>",
        "/I cs 1 sc 0 0 100 100 re f",
    );
    check(&found, &[("Cyan", 50.0), ("Yellow", 25.1)]);
}

#[test]
fn paint_knocks_out_what_is_beneath() {
    check(
        &page("", "1 0 0 0 k 0 0 200 100 re f 0 1 0 0 k 0 0 100 100 re f"),
        &[("Cyan", 50.0), ("Magenta", 50.0)],
    );
}

#[test]
fn overprint_leaves_what_is_beneath() {
    let resources =
        "/ExtGState << /O << /OP true /op true /OPM 1 >> /Z << /OP true /op true /OPM 0 >> >>";
    let content =
        |name: &str| format!("1 0 0 0 k 0 0 200 100 re f /{name} gs 0 1 0 0 k 0 0 100 100 re f");
    check(
        &page(resources, &content("O")),
        &[("Cyan", 100.0), ("Magenta", 50.0)],
    );
    // Without the nonzero mode, zero is a tone like any other.
    check(
        &page(resources, &content("Z")),
        &[("Cyan", 50.0), ("Magenta", 50.0)],
    );
}

#[test]
fn solids_overprint_process_inks() {
    let resources = format!(
        "/ExtGState << /O << /OP true /op true >> >> /ColorSpace << /S {} >>",
        separation("Copper", [0.0, 0.5, 0.8, 0.3])
    );
    let found = page(
        &resources,
        "1 0 0 0 k 0 0 200 100 re f /O gs /S cs 1 scn 0 0 100 100 re f",
    );
    check(&found, &[("Cyan", 100.0), ("Copper", 50.0)]);
}

#[test]
fn white_that_overprints_is_told() {
    let resources = "/ExtGState << /O << /OP true /op true /OPM 1 >> >>";
    let found = page(
        resources,
        "1 0 0 0 k 0 0 200 100 re f /O gs 0 0 0 0 k 0 0 100 100 re f",
    );
    check(&found, &[("Cyan", 100.0)]);
    assert!(
        found
            .findings
            .contains(&Finding::VanishingWhite { what: "shapes" }),
        "{found:#?}"
    );
}

#[test]
fn rgb_is_told_and_keeps_the_limit() {
    let found = page("", "0 0 0 rg 0 0 200 100 re f");
    assert!(
        found.findings.contains(&Finding::Separated {
            what: "RGB shapes".to_owned()
        }),
        "{found:#?}"
    );
    assert!(
        found.above_limit < 1e-9 && found.peak.percent > 200.0,
        "{found:#?}"
    );
}

#[test]
fn thin_rules_and_rich_black_are_told() {
    let found = page(
        "",
        "0.5 0.4 0 0 K 0.25 w 0 50 m 200 50 l S 0.6 0.4 0.4 1 k 0 0 100 40 re f",
    );
    let rule = found.findings.iter().find_map(|finding| match finding {
        Finding::ThinInTwoInks {
            what: "rule",
            size,
            inks,
        } => Some((*size, inks.len())),
        _ => None,
    });
    let (size, inks) = rule.unwrap();
    assert!((size - 0.0882).abs() < 1e-3 && inks == 2, "{size}");
    assert!(
        found
            .findings
            .iter()
            .any(|finding| matches!(finding, Finding::RichBlack { .. }))
    );
}
