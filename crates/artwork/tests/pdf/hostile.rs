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

/// Gives up the first page for its size, and counts the second all the same.
fn first_is_too_large(pdf: Pdf) {
    let artwork = measured(pdf.finish()).unwrap();
    let failed = artwork.pages[0].as_ref().unwrap_err();
    assert!(
        matches!(failed.error, ArtworkError::TooLarge { .. }),
        "{failed:?}"
    );
    check(artwork.pages[1].as_ref().unwrap(), &[("Magenta", 50.0)]);
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
    first_is_too_large(pdf);
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

/// Bits of a deflate stream, the first in the lowest place.
#[derive(Default)]
struct Bits {
    bytes: Vec<u8>,
    held: u64,
    count: u32,
}

impl Bits {
    fn push(&mut self, bits: u64, count: u32) {
        self.held |= bits << self.count;
        self.count += count;
        while self.count >= 8 {
            self.bytes.push(self.held as u8);
            self.held >>= 8;
            self.count -= 8;
        }
    }
}

/// Blanks without end in a zlib stream: every 13 bits stand for 258 of them (RFC 1951, fixed codes).
pub(crate) fn bomb(megabytes: u64) -> Vec<u8> {
    let mut bits = Bits::default();
    bits.push(0b011, 3);
    // A blank is byte 32: the code 01010000, its highest bit first.
    bits.push(0b0000_1010, 8);
    for _ in 0..megabytes * 1_000_000 / 258 {
        // Length 258 is the code 11000101, distance 1 the code 00000.
        bits.push(0b1010_0011, 8);
        bits.push(0, 5);
    }
    bits.push(0, 7);
    bits.push(0, 8);
    [vec![0x78, 0xda], bits.bytes].concat()
}

#[test]
fn streams_that_unpack_without_end_are_refused() {
    let mut pdf = Pdf::default();
    let content = pdf.stream("/Filter /FlateDecode", &bomb(140));
    pdf.page_of("", &content);
    pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
    first_is_too_large(pdf);
}

#[test]
fn trees_of_pages_in_a_circle_end() {
    let mut pdf = Pdf::default();
    pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
    let bytes = String::from_utf8(pdf.finish()).unwrap();
    let circle = bytes.replace("/Kids [", "/Kids [2 0 R ");
    match measured(circle.into_bytes()) {
        Ok(artwork) => check(
            artwork.pages.last().unwrap().as_ref().unwrap(),
            &[("Magenta", 50.0)],
        ),
        Err(error) => assert!(matches!(error, ArtworkError::Damaged(_)), "{error}"),
    }
}

#[test]
fn resources_in_a_circle_are_harmless() {
    let mut pdf = Pdf::default();
    // Each of these names itself where something else should stand.
    let circles = "/ColorSpace << /C 4 0 R >> /Pattern << /P 5 0 R >> /ExtGState << /G 6 0 R >>";
    pdf.object("[/Indexed 4 0 R 1 <0000>]");
    pdf.object("[/Indexed 4 0 R 1 <0000>]");
    pdf.object("<< /PatternType 2 /Shading 5 0 R >>");
    pdf.object("<< /SMask << /S /Alpha /G 6 0 R >> >>");
    pdf.page(
        circles,
        "/G gs /C cs 0 scn 0 0 9 9 re f /Pattern cs /P scn 0 0 9 9 re f",
    );
    pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
    let artwork = measured(pdf.finish()).unwrap();
    check(artwork.pages[1].as_ref().unwrap(), &[("Magenta", 50.0)]);
}

#[test]
fn a_document_with_a_password_is_told() {
    let mut pdf = Pdf::default();
    pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
    let bytes = String::from_utf8(pdf.finish()).unwrap();
    // Keys of 40 bits whose check belongs to no empty password.
    let zeros = "0".repeat(64);
    let lock = format!(
        "trailer << /Encrypt << /Filter /Standard /V 1 /R 2 /P -4 /O <{zeros}> /U <{zeros}> >> /ID [<00> <00>]"
    );
    let error = measured(bytes.replace("trailer <<", &lock).into_bytes()).unwrap_err();
    assert!(matches!(error, ArtworkError::NotRead(_)), "{error}");
}

#[test]
fn type_without_its_font_is_counted_and_told() {
    let mut pdf = Pdf::default();
    let font = pdf.object(
        "<< /Type /Font /Subtype /TrueType /BaseFont /Nowhere /Encoding /WinAnsiEncoding >>",
    );
    pdf.page(
        &format!("/Font << /F {font} >>"),
        "BT /F 60 Tf 10 20 Td (HARBOUR) Tj ET",
    );
    let found = only_page(pdf.finish());
    assert!(crate::mean(&found, "Black") > 5.0, "{found:#?}");
    let told =
        |finding: &Finding| matches!(finding, Finding::NotCounted(what) if what.contains("font"));
    assert!(found.findings.iter().any(told), "{found:#?}");
}

#[test]
fn meshes_of_anything_are_harmless() {
    let mut noise = 1_u32;
    let data: Vec<u8> = (0..120)
        .map(|_| {
            noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (noise >> 24) as u8
        })
        .collect();
    let mut pdf = Pdf::default();
    let mut count = 0;
    for kind in 4..=7 {
        for (bits, decode) in [
            ("8 /BitsPerComponent 8 /BitsPerFlag 2", "0 200 0 100 0 1"),
            (
                "32 /BitsPerComponent 16 /BitsPerFlag 8",
                "-1000000000000000000000000000000 1000000000000000000000000000000 -1000000000000000000000000000000 1000000000000000000000000000000 -9 9",
            ),
            (
                "24 /BitsPerComponent 1 /BitsPerFlag 8",
                "0 300000000000000000000000000000000000000 0 0.000000000000000000000000000000000000001 0 1",
            ),
            ("0 /BitsPerComponent 33 /BitsPerFlag 8", "0 200 0 100 0 1"),
            ("16 /BitsPerComponent 8 /BitsPerFlag 8", "0 200 0"),
        ] {
            for row in ["", "/VerticesPerRow 2", "/VerticesPerRow 4000000000"] {
                let entries = format!(
                    "/ShadingType {kind} /ColorSpace /DeviceGray /BitsPerCoordinate {bits} /Decode [{decode}] {row}"
                );
                let mesh = pdf.stream(&entries, &data);
                pdf.page(&format!("/Shading << /S {mesh} >>"), "/S sh");
                count += 1;
            }
        }
    }
    // A mesh without data, and one whose function takes two numbers.
    pdf.page(
        "/Shading << /S << /ShadingType 4 /ColorSpace /DeviceGray >> >>",
        "/S sh",
    );
    let function = pdf.stream("/FunctionType 4 /Domain [0 1 0 1] /Range [0 1]", b"{ pop }");
    let entries = format!(
        "/ShadingType 4 /ColorSpace /DeviceGray /BitsPerCoordinate 8 /BitsPerComponent 8 /BitsPerFlag 8 /Decode [0 1 0 1 0 1] /Function {function}"
    );
    let mesh = pdf.stream(&entries, &data);
    pdf.page(&format!("/Shading << /S {mesh} >>"), "/S sh");
    pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
    let artwork = measured(pdf.finish()).unwrap();
    assert_eq!(artwork.pages.len(), count + 3);
    check(
        artwork.pages[count + 2].as_ref().unwrap(),
        &[("Magenta", 50.0)],
    );
    for page in &artwork.pages[count..count + 2] {
        let findings = &page.as_ref().unwrap().findings;
        assert!(
            matches!(findings[..], [Finding::NotCounted(_), ..]),
            "{findings:?}"
        );
    }
}

#[test]
fn patterns_of_any_size_are_harmless() {
    let mut pdf = Pdf::default();
    let (wide, fine) = ("0 0 90000 90000", "0 0 1 1");
    for (bounds, step, matrix) in [
        (wide, "0.01", "1 1 -1 1 0 0"),
        (wide, "9000", "1 1 -1 1 0 0"),
        (fine, "0.00001", "0.001 0 0 0.001 0 0"),
        (fine, "1", "99999 1 -1 0.00001 0 0"),
        (fine, "90000", "1 1 1 1.00001 0 0"),
        ("1 1 0 0", "1", "0.1 0.1 -0.1 0.1 0 0"),
    ] {
        let tile = pdf.stream(
            &format!("/PatternType 1 /PaintType 1 /TilingType 1 /BBox [{bounds}] /XStep {step} /YStep {step} /Matrix [{matrix}] /Resources << >>"),
            b"1 0 0 0 k 0 0 1 1 re f",
        );
        pdf.page(
            &format!("/Pattern << /P {tile} >>"),
            "/Pattern cs /P scn 0 0 200 100 re f",
        );
    }
    pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
    let artwork = measured(pdf.finish()).unwrap();
    check(artwork.pages[6].as_ref().unwrap(), &[("Magenta", 50.0)]);
}
