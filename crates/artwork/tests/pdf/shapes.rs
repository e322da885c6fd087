//! Paths, clips, images, patterns, shadings, forms, text, boxes and layers.

use inkset_artwork::{Finding, PageBox, PageCoverage};

use crate::make::Pdf;
use crate::{check, mean, measured, measured_box, only_page, page};

#[test]
fn rules_and_strokes_cover_what_they_should() {
    check(
        &page("", "0 0 0 1 K 10 w 0 50 m 200 50 l S"),
        &[("Black", 10.0)],
    );
    check(
        &page("", "0 0 0 1 K 10 w [10 10] 0 d 0 50 m 200 50 l S"),
        &[("Black", 5.0)],
    );
    check(
        &page("", "0 0 0 1 k 0 0 100 100 re 25 25 50 50 re f*"),
        &[("Black", 37.5)],
    );
    check(
        &page("", "0 0 0 1 k 0 0 100 100 re 25 25 50 50 re f"),
        &[("Black", 50.0)],
    );
}

#[test]
fn clips_narrow_each_other() {
    check(
        &page(
            "",
            "q 0 0 100 100 re W n 50 0 100 100 re W n 1 0 0 0 k 0 0 200 100 re f Q",
        ),
        &[("Cyan", 25.0)],
    );
    check(
        &page(
            "",
            "q 0 0 m 200 0 l 0 100 l h W n 1 0 0 0 k 0 0 200 100 re f Q",
        ),
        &[("Cyan", 50.0)],
    );
}

#[test]
fn images_of_every_depth_are_counted() {
    for (bits, data) in [
        (8, &[0, 85, 170, 255][..]),
        (4, &[0x05, 0xaf]),
        (2, &[0b0001_1011]),
    ] {
        let mut pdf = Pdf::default();
        let image = pdf.stream(
            &format!("/Subtype /Image /Width 4 /Height 1 /BitsPerComponent {bits} /ColorSpace /DeviceGray"),
            data,
        );
        pdf.page(
            &format!("/XObject << /I {image} >>"),
            "q 100 0 0 100 0 0 cm /I Do Q",
        );
        check(&only_page(pdf.finish()), &[("Black", 25.0)]);
    }
}

#[test]
fn native_inks_of_images_survive() {
    let mut pdf = Pdf::default();
    let image = pdf.stream(
        "/Subtype /Image /Width 2 /Height 1 /BitsPerComponent 8 /ColorSpace /DeviceCMYK",
        &[255, 0, 0, 51, 0, 102, 0, 51],
    );
    pdf.page(
        &format!("/XObject << /I {image} >>"),
        "q 200 0 0 100 0 0 cm /I Do Q",
    );
    check(
        &only_page(pdf.finish()),
        &[("Cyan", 50.0), ("Magenta", 20.0), ("Black", 20.0)],
    );
}

#[test]
fn inline_images_and_stencils_are_counted() {
    let content = "q 200 0 0 100 0 0 cm BI /W 2 /H 1 /BPC 8 /CS /G ID \x00\x7f EI Q";
    let found = page("", content);
    assert!((mean(&found, "Black") - 75.1).abs() < 0.1, "{found:#?}");
    let mut pdf = Pdf::default();
    let stencil = pdf.stream(
        "/Subtype /Image /ImageMask true /Width 8 /Height 1 /BitsPerComponent 1",
        &[0b0011_1111],
    );
    pdf.page(
        &format!("/XObject << /I {stencil} >>"),
        "1 0 0 0 k q 200 0 0 100 0 0 cm /I Do Q",
    );
    check(&only_page(pdf.finish()), &[("Cyan", 25.0)]);
}

#[test]
fn stencils_of_a_pattern_are_counted() {
    let mut pdf = Pdf::default();
    let rows = [0b1010_1011_u8; 600];
    let stencil = pdf.stream(
        "/Subtype /Image /ImageMask true /Width 8 /Height 600 /BitsPerComponent 1",
        &rows,
    );
    // Rows so fine that every pixel of the page is covered by half.
    let fine = pdf.stream(
        "/Subtype /Image /ImageMask true /Width 8 /Height 2508 /BitsPerComponent 1",
        &[0, 255].repeat(1254),
    );
    // Cyan, and black over all of it: none of the cyan shines through.
    let tile = pdf.stream(
        "/PatternType 1 /PaintType 1 /TilingType 1 /BBox [0 0 20 20] /XStep 20 /YStep 20 /Resources << >>",
        b"1 0 0 0 k 0 0 20 20 re f 0 0 0 1 k 0 0 20 20 re f",
    );
    let plain = pdf.stream(
        "/PatternType 1 /PaintType 2 /TilingType 1 /BBox [0 0 20 20] /XStep 20 /YStep 20 /Resources << >>",
        b"0 0 20 10 re f",
    );
    let axial = "<< /ShadingType 2 /ColorSpace /DeviceCMYK /Coords [0 0 200 0] /Function << /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0 0] /C1 [0 1 0 0] >> >>";
    let resources = format!(
        "/XObject << /I {stencil} /F {fine} >> /Pattern << /P {tile} /U {plain} /S << /PatternType 2 /Shading {axial} >> >> /ColorSpace << /C [/Pattern /DeviceCMYK] >> /ExtGState << /H << /ca 0.5 >> >>"
    );
    let place = "200 0 0 100 0 0 cm";
    pdf.page(&resources, &format!("/Pattern cs /P scn q {place} /F Do Q"));
    pdf.page(&resources, &format!("/Pattern cs /S scn q {place} /F Do Q"));
    pdf.page(
        &resources,
        &format!("/C cs 0 0 1 0 /U scn q 0 0 100 100 re W n {place} /I Do Q"),
    );
    // What was beneath stays where the mask is not.
    pdf.page(
        &resources,
        &format!("0 0 1 0 k 0 0 200 100 re f /H gs /Pattern cs /S scn q {place} /F Do Q"),
    );
    let artwork = measured(pdf.finish()).unwrap();
    let pages: Vec<_> = artwork
        .pages
        .iter()
        .map(|page| page.as_ref().unwrap())
        .collect();
    check(pages[0], &[("Black", 50.0)]);
    check(pages[1], &[("Magenta", 25.0)]);
    // Two of the four columns on the left, half of their height.
    check(pages[2], &[("Yellow", 12.5)]);
    check(pages[3], &[("Yellow", 75.0), ("Magenta", 12.5)]);
    assert!(pages.iter().all(|page| page.findings.is_empty()));
}

#[test]
fn masked_images_show_what_they_should() {
    let mut pdf = Pdf::default();
    let mask = pdf.stream(
        "/Subtype /Image /Width 2 /Height 1 /BitsPerComponent 8 /ColorSpace /DeviceGray",
        &[255, 51],
    );
    let image = pdf.stream(
        &format!("/Subtype /Image /Width 1 /Height 1 /BitsPerComponent 8 /ColorSpace /DeviceGray /SMask {mask}"),
        &[0],
    );
    pdf.page(
        &format!("/XObject << /I {image} >>"),
        "q 200 0 0 100 0 0 cm /I Do Q",
    );
    check(&only_page(pdf.finish()), &[("Black", 60.0)]);
}

#[test]
fn axial_shading_averages_its_ends() {
    let shading = "<< /ShadingType 2 /ColorSpace /DeviceCMYK /Coords [0 0 200 0] /Function << /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0 0] /C1 [1 0.5 0 0] >> >>";
    check(
        &page(&format!("/Shading << /S {shading} >>"), "/S sh"),
        &[("Cyan", 50.0), ("Magenta", 25.0)],
    );
}

#[test]
fn radial_shading_fills_its_circle() {
    let shading = "<< /ShadingType 3 /ColorSpace /DeviceGray /Coords [100 50 0 100 50 40] /Function << /FunctionType 2 /Domain [0 1] /N 1 /C0 [0] /C1 [0] >> >>";
    let found = page(&format!("/Shading << /S {shading} >>"), "/S sh");
    let wanted = std::f64::consts::PI * 1600.0 / 200.0;
    assert!((mean(&found, "Black") - wanted).abs() < 0.3, "{found:#?}");
}

#[test]
fn tiles_repeat_over_the_shape() {
    let mut pdf = Pdf::default();
    let tile = pdf.stream(
        "/PatternType 1 /PaintType 1 /TilingType 1 /BBox [0 0 20 20] /XStep 20 /YStep 20 /Resources << >>",
        b"1 0 0 0 k 0 0 10 10 re f",
    );
    pdf.page(
        &format!("/Pattern << /P {tile} >>"),
        "/Pattern cs /P scn 0 0 100 100 re f",
    );
    check(&only_page(pdf.finish()), &[("Cyan", 12.5)]);
}

#[test]
fn uncoloured_tiles_take_the_colour() {
    let mut pdf = Pdf::default();
    let tile = pdf.stream(
        "/PatternType 1 /PaintType 2 /TilingType 1 /BBox [0 0 20 20] /XStep 20 /YStep 20 /Resources << >>",
        b"1 0 0 0 k 0 0 10 20 re f",
    );
    let resources = format!("/Pattern << /P {tile} >> /ColorSpace << /U [/Pattern /DeviceCMYK] >>");
    pdf.page(&resources, "/U cs 0 1 0 0 /P scn 0 0 200 100 re f");
    check(&only_page(pdf.finish()), &[("Magenta", 50.0)]);
}

/// A page filled with a tile of these entries and this content.
fn tiled(entries: &str, content: &[u8], page: &str) -> PageCoverage {
    let mut pdf = Pdf::default();
    let tile = pdf.stream(&format!("/PatternType 1 /TilingType 1 {entries}"), content);
    let resources = format!(
        "/Pattern << /P {tile} >> /ColorSpace << /U [/Pattern /DeviceCMYK] >> /ExtGState << /H << /ca 0.5 >> /M << /BM /Multiply >> /O << /OP true /op true >> >>"
    );
    pdf.page(&resources, page);
    only_page(pdf.finish())
}

/// Black over two fifths of a step of 10 points.
const STEP: &str = "/PaintType 1 /BBox [0 0 10 10] /XStep 10 /YStep 10 /Resources << >>";
const STRIPE: &[u8] = b"1 0 0 0 k 0 0 10 10 re f 0 0 0 1 k 0 0 10 4 re f";
const FILLED: &str = "/Pattern cs /P scn 0 0 200 100 re f";

#[test]
fn turned_and_fine_tiles_leave_no_seams() {
    let wanted = [("Black", 40.0), ("Cyan", 60.0)];
    for matrix in [
        "0.866025 0.5 -0.5 0.866025 3 7",
        "0.37 0.21 -0.4 0.5 0 0",
        "0.12 0 0 0.12 0.1 0.2",
        "0.048 0 0 0.048 0 0",
        "0.01 0.002 0 0.013 0 0",
    ] {
        let found = tiled(&format!("{STEP} /Matrix [{matrix}]"), STRIPE, FILLED);
        let sum = mean(&found, "Cyan") + mean(&found, "Black");
        assert!((sum - 100.0).abs() < 0.01, "{matrix}: {sum}");
        // Steps are cut at the edge of the page.
        let apart = mean(&found, "Black") - 40.0;
        assert!(apart.abs() < 0.3, "{matrix}: {found:#?}");
        assert!(found.findings.is_empty(), "{found:#?}");
    }
    // More tiles than are painted one by one, so that hardly any are cut.
    let found = tiled(
        &format!("{STEP} /Matrix [0.03 0.01 -0.01 0.03 0 0]"),
        STRIPE,
        FILLED,
    );
    check(&found, &wanted);
}

#[test]
fn tiles_that_reach_into_each_other_are_laid_in_order() {
    // Each tile is twice as wide as its step: the left half of the next one covers its right half.
    let entries = "/PaintType 1 /BBox [0 0 20 10] /XStep 10 /YStep 10 /Resources << >> /Matrix [0.3 0.1 -0.1 0.3 0 0]";
    let content = b"1 0 0 0 k 0 0 10 10 re f 0 1 0 0 k 10 0 10 10 re f";
    check(&tiled(entries, content, FILLED), &[("Cyan", 100.0)]);
    // Half of a step is bare, and the pattern as a whole at half opacity.
    let entries = "/PaintType 2 /BBox [0 0 5 10] /XStep 10 /YStep 10 /Resources << >> /Matrix [0.06 0 0 0.06 0 0]";
    let page = "1 0 0 0 k 0 0 200 100 re f /H gs /U cs 0 1 0 0 /P scn 0 0 200 100 re f";
    check(
        &tiled(entries, b"0 0 5 10 re f 0 0 5 10 re f", page),
        &[("Cyan", 75.0), ("Magenta", 25.0)],
    );
    // Multiplied as a whole, and through a clip.
    let page = "0.5 0 0 0 k 0 0 200 100 re f /M gs 0 0 100 100 re W n /U cs 0.5 0 0 0 /P scn 0 0 200 100 re f";
    check(
        &tiled(entries, b"0 0 5 10 re f", page),
        &[("Cyan", 50.0 + 6.25)],
    );
}

#[test]
fn tiles_that_need_what_is_beneath_are_told() {
    let overprinted = format!("/O gs {FILLED}");
    let found = tiled(
        &format!("{STEP} /Matrix [0.9 0.4 -0.4 0.9 0 0]"),
        STRIPE,
        &overprinted,
    );
    let told =
        |finding: &Finding| matches!(finding, Finding::NotCounted(what) if what.contains("seams"));
    assert!(found.findings.iter().any(told), "{found:#?}");
    assert!((mean(&found, "Black") - 40.0).abs() < 3.0, "{found:#?}");
}

#[test]
fn forms_bring_their_matrix_and_box() {
    let mut pdf = Pdf::default();
    let form = pdf.stream(
        "/Subtype /Form /BBox [0 0 50 50] /Matrix [2 0 0 1 0 0]",
        b"1 0 0 0 k 0 0 500 500 re f",
    );
    pdf.page(
        &format!("/XObject << /F {form} >>"),
        "q 1 0 0 1 10 10 cm /F Do Q",
    );
    check(&only_page(pdf.finish()), &[("Cyan", 25.0)]);
}

#[test]
fn text_is_counted_and_its_stand_in_is_told() {
    let resources = "/Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >>";
    let found = page(resources, "0.5 0.5 0 0 k BT /F 50 Tf 10 30 Td (HIHI) Tj ET");
    let black = mean(&found, "Cyan");
    assert!((2.0..15.0).contains(&black), "{found:#?}");
    assert!(
        found
            .findings
            .iter()
            .any(|f| matches!(f, Finding::NotCounted(what) if what.contains("Helvetica")))
    );
    let size = found.findings.iter().find_map(|f| match f {
        Finding::ThinInTwoInks {
            what: "type", size, ..
        } => Some(*size),
        _ => None,
    });
    assert!((size.unwrap() - 50.0).abs() < 0.5);
}

#[test]
fn glyphs_that_are_content_are_painted() {
    let mut pdf = Pdf::default();
    let glyph = pdf.stream("", b"1000 0 0 0 1000 1000 d1 0 0 1000 1000 re f");
    let font = pdf.object(&format!(
        "<< /Type /Font /Subtype /Type3 /FontBBox [0 0 1000 1000] /FontMatrix [0.001 0 0 0.001 0 0] /CharProcs << /a {glyph} >> /Encoding << /Type /Encoding /Differences [97 /a] >> /FirstChar 97 /LastChar 97 /Widths [1000] /Resources << >> >>"
    ));
    pdf.page(
        &format!("/Font << /F {font} >>"),
        "0 1 0 0 k BT /F 50 Tf 0 0 Td (aa) Tj ET",
    );
    check(&only_page(pdf.finish()), &[("Magenta", 25.0)]);
}

#[test]
fn boxes_rotation_and_units_are_heeded() {
    let entries = "/MediaBox [0 0 200 100] /TrimBox [50 0 150 100] /BleedBox [25 0 175 100] /Rotate 90 /UserUnit 2";
    let bytes = || {
        let mut pdf = Pdf::default();
        pdf.page_with(entries, "", "1 0 0 0 k 0 0 100 100 re f");
        pdf.finish()
    };
    for (page_box, wanted, width) in [
        (PageBox::Trim, 50.0, 200.0),
        (PageBox::Bleed, 50.0, 200.0),
        (PageBox::Media, 50.0, 200.0),
    ] {
        let artwork = measured_box(bytes(), page_box).unwrap();
        let page = artwork.pages[0].as_ref().unwrap();
        check(page, &[("Cyan", wanted)]);
        // Turned by a quarter, the height of the page is its width.
        let (found, _) = page.size.millimetres.unwrap();
        assert!((found - width / 72.0 * 25.4).abs() < 0.01, "{page:#?}");
    }
}

#[test]
fn layers_that_are_off_are_not_counted() {
    let mut pdf = Pdf::default();
    let off = pdf.object("<< /Type /OCG /Name (die line) >>");
    let on = pdf.object("<< /Type /OCG /Name (print) >>");
    let resources = format!("/Properties << /A {off} /B {on} >>");
    pdf.page(
        &resources,
        "1 0 0 0 k /OC /A BDC 0 0 200 100 re f EMC /OC /B BDC 0 0 100 100 re f EMC",
    );
    let catalog = format!("/OCProperties << /OCGs [{off} {on}] /D << /OFF [{off}] >> >>");
    check(&only_page(pdf.finish_with(&catalog)), &[("Cyan", 50.0)]);
}

#[test]
fn annotations_that_print_are_counted() {
    let mut pdf = Pdf::default();
    // A quarter of its box is black; turned and scaled, it fills a rectangle of 100 x 50 of 200 x 100.
    let look = pdf.stream(
        "/Subtype /Form /BBox [0 0 10 20] /Matrix [0 1 -1 0 5 5]",
        b"0 0 0 1 k 0 0 5 10 re f",
    );
    let ticked = format!("/AP << /N << /Yes {look} >> >> /Rect [0 0 20 100]");
    let annotations = [
        format!("<< /Subtype /Stamp /F 4 /Rect [100 0 200 50] /AP << /N {look} >> >>"),
        format!("<< /Subtype /Widget /F 4 /AS /Yes {ticked} >>"),
        // Not printed: no such flag, hidden, another state.
        format!("<< /Subtype /Stamp /F 0 /Rect [0 0 200 100] /AP << /N {look} >> >>"),
        format!("<< /Subtype /Stamp /F 6 /Rect [0 0 200 100] /AP << /N {look} >> >>"),
        format!("<< /Subtype /Widget /F 4 /AS /Off {ticked} >>"),
    ];
    let entries = format!(
        "/MediaBox [0 0 200 100] /Annots [{}]",
        annotations.join(" ")
    );
    pdf.page_with(&entries, "", "1 0 0 0 k 0 0 200 100 re f");
    let artwork = measured(pdf.finish()).unwrap();
    let page = artwork.pages[0].as_ref().unwrap();
    check(
        page,
        &[("Black", 25.0 * 0.35), ("Cyan", 100.0 - 25.0 * 0.35)],
    );
    assert!(
        artwork.assumptions[0].contains("annotations"),
        "{:?}",
        artwork.assumptions
    );
}
