//! Documents of a few kB that unpack to gigabytes, wherever that can be hidden: each is told on its page, the last page
//! is counted all the same, and nothing is asked for that is not allowed.

use std::io::Write;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use inkset_artwork::{Artwork, ArtworkError, Finding};

use crate::hostile::bomb;
use crate::make::Pdf;
use crate::{check, mean, measured};

/// Blanks without end: runs of 128 of them, all packed to some kB; quicker to unpack than the same in Flate alone.
fn blanks(megabytes: usize) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::best());
    let run = [129, b' '].repeat(1_000_000 / 128);
    for _ in 0..megabytes {
        encoder.write_all(&run).unwrap();
    }
    encoder.finish().unwrap()
}

/// The filters of [`blanks`].
const BLANKS: &str = "/Filter [/FlateDecode /RunLengthDecode]";

/// A bomb packed once more.
fn twice(megabytes: u64) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(&bomb(megabytes)).unwrap();
    encoder.finish().unwrap()
}

/// A document whose last page is sound, measured; that page is checked.
fn with_sound_page(mut pdf: Pdf) -> Artwork {
    pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
    let artwork = measured(pdf.finish()).unwrap();
    let last = artwork.pages.last().unwrap().as_ref().unwrap();
    check(last, &[("Magenta", 50.0)]);
    artwork
}

/// Every page but the last is given up for what it would cost, with these words.
fn given_up(pdf: Pdf, words: &[&str]) {
    let artwork = with_sound_page(pdf);
    assert_eq!(artwork.pages.len(), words.len() + 1);
    for (page, words) in artwork.pages.iter().zip(words) {
        let failed = page.as_ref().unwrap_err();
        assert!(
            matches!(failed.error, ArtworkError::TooLarge { .. }),
            "{failed:?}"
        );
        assert!(failed.error.to_string().contains(words), "{failed:?}");
    }
}

/// Every page but the last is counted, with a remark of these words.
fn told(pdf: Pdf, words: &[&str]) {
    let artwork = with_sound_page(pdf);
    assert_eq!(artwork.pages.len(), words.len() + 1);
    for (page, words) in artwork.pages.iter().zip(words) {
        let findings = &page.as_ref().unwrap().findings;
        let is_it = |finding: &Finding| matches!(finding, Finding::NotCounted(what) if what.contains(words));
        assert!(findings.iter().any(is_it), "{words}: {findings:?}");
    }
}

/// A page that shows one image over all of it.
fn image(pdf: &mut Pdf, entries: &str, bytes: &[u8]) {
    let image = pdf.stream(&format!("/Subtype /Image {entries}"), bytes);
    pdf.page(
        &format!("/XObject << /I {image} >>"),
        "200 0 0 100 0 0 cm /I Do",
    );
}

#[test]
fn images_of_hundreds_of_millions_of_pixels_are_counted() {
    let mut pdf = Pdf::default();
    let packed = blanks(271);
    assert!(packed.len() < 20_000, "{} bytes", packed.len());
    // Blanks are samples of 32.
    let grey = "/Width 16400 /Height 16400 /BitsPerComponent 8 /ColorSpace /DeviceGray";
    image(&mut pdf, &format!("{grey} {BLANKS}"), &packed);
    // One bit a pixel, and a blank has one bit of eight.
    let bits = "/Width 24504 /Height 24504 /BitsPerComponent 1 /ColorSpace /DeviceGray";
    image(&mut pdf, &format!("{bits} {BLANKS}"), &packed);
    let artwork = with_sound_page(pdf);
    let page = artwork.pages[1].as_ref().unwrap();
    assert!((mean(page, "Black") - 87.5).abs() < 0.5, "{page:#?}");
    let page = artwork.pages[0].as_ref().unwrap();
    assert!(
        (mean(page, "Black") - 100.0 * 223.0 / 255.0).abs() < 0.05,
        "{page:#?}"
    );
    let told = |finding: &Finding| matches!(finding, Finding::NotCounted(what) if what.contains("one in 2 of its rows"));
    assert!(page.findings.iter().any(told), "{page:#?}");
}

#[test]
fn images_beyond_all_bounds_are_given_up() {
    let mut pdf = Pdf::default();
    let gray = "/BitsPerComponent 8 /ColorSpace /DeviceGray";
    let packed = blanks(10);
    image(
        &mut pdf,
        &format!("/Width 70000 /Height 70000 {gray} {BLANKS}"),
        &packed,
    );
    // A soft mask of as many, on an image of one pixel.
    let mask = pdf.stream(
        &format!("/Subtype /Image /Width 70000 /Height 70000 {gray} {BLANKS}"),
        &packed,
    );
    image(
        &mut pdf,
        &format!("/Width 1 /Height 1 {gray} /SMask {mask}"),
        &[0],
    );
    // A JPEG that says so too.
    let jpeg = [
        0xff, 0xd8, 0xff, 0xc0, 0, 11, 8, 0xea, 0x60, 0xea, 0x60, 1, 1, 0x11, 0,
    ];
    image(
        &mut pdf,
        &format!("/Width 60000 /Height 60000 {gray} /Filter /DCTDecode"),
        &jpeg,
    );
    // The size that a JPEG 2000 image states itself, whatever its dictionary says.
    let mut wave = vec![0xff, 0x4f, 0xff, 0x51, 0, 41, 0, 0];
    for side in [60_000_u32, 60_000, 0, 0, 60_000, 60_000, 0, 0] {
        wave.extend(side.to_be_bytes());
    }
    wave.extend([0, 1, 7, 1, 1]);
    image(
        &mut pdf,
        &format!("/Width 1 /Height 1 {gray} /Filter /JPXDecode"),
        &wave,
    );
    // A JBIG2 page, and a fax of endless columns.
    let mut page = vec![0, 0, 0, 0, 48, 0, 1, 0, 0, 0, 19];
    page.extend([0, 0, 0xff, 0xff, 0, 0, 0xff, 0xff]);
    page.resize(30, 0);
    image(
        &mut pdf,
        &format!("/Width 1 /Height 1 {gray} /Filter /JBIG2Decode"),
        &page,
    );
    let fax = "/Filter /CCITTFaxDecode /DecodeParms << /K -1 /Columns 2000000000 >>";
    image(
        &mut pdf,
        &format!("/Width 1 /Height 9 {gray} {fax}"),
        &[0; 9],
    );
    given_up(pdf, &["an image has samples"; 6]);
}

#[test]
fn filters_within_filters_are_bounded_at_each_step() {
    let mut pdf = Pdf::default();
    // Content, a form, and an image that is a JPEG only once it is unpacked.
    let content = pdf.stream("/Filter [/FlateDecode /FlateDecode]", &twice(140));
    pdf.page_of("", &content);
    let form = pdf.stream(
        &format!("/Subtype /Form /BBox [0 0 9 9] {BLANKS}"),
        &blanks(140),
    );
    pdf.page(&format!("/XObject << /F {form} >>"), "/F Do");
    let entries = "/Width 1 /Height 1 /BitsPerComponent 8 /ColorSpace /DeviceGray";
    let filters = "/Filter [/FlateDecode /RunLengthDecode /DCTDecode]";
    image(&mut pdf, &format!("{entries} {filters}"), &blanks(140));
    given_up(pdf, &["a stream unpacks to"; 3]);
}

#[test]
fn pieces_of_content_are_bounded_together() {
    let mut pdf = Pdf::default();
    let piece = pdf.stream(BLANKS, &blanks(20));
    pdf.page_of("", &format!("[{}]", format!("{piece} ").repeat(20)));
    given_up(pdf, &["a stream unpacks to"]);
}

#[test]
fn everything_else_that_is_packed_is_bounded() {
    let mut pdf = Pdf::default();
    let profile = pdf.stream(&format!("/N 3 {BLANKS}"), &blanks(100));
    pdf.page(
        &format!("/ColorSpace << /C [/ICCBased {profile}] >>"),
        "/C cs 0 0 1 scn 0 0 9 9 re f",
    );
    let table = pdf.stream(
        "/FunctionType 0 /Domain [0 1] /Range [0 1 0 1 0 1 0 1] /Size [2] /BitsPerSample 8 /Filter [/FlateDecode /RunLengthDecode]",
        &blanks(100),
    );
    pdf.page(
        &format!("/ColorSpace << /C [/Separation /Copper /DeviceCMYK {table}] >>"),
        "/C cs 1 scn 0 0 9 9 re f",
    );
    let program = pdf.stream(
        "/FunctionType 4 /Domain [0 1] /Range [0 1] /Filter [/FlateDecode /RunLengthDecode]",
        &blanks(100),
    );
    let mask = pdf.stream(
        "/Subtype /Form /BBox [0 0 9 9] /Group << /S /Transparency /CS /DeviceGray >>",
        b"",
    );
    pdf.page(
        &format!("/ExtGState << /S << /SMask << /S /Luminosity /G {mask} /TR {program} >> >> >>"),
        "/S gs 0 0 9 9 re f",
    );
    let font = pdf.stream(BLANKS, &blanks(100));
    let described = format!("<< /Type /FontDescriptor /FontName /A /FontFile2 {font} >>");
    pdf.page(
        &format!("/Font << /F << /Type /Font /Subtype /TrueType /BaseFont /A /FontDescriptor {described} >> >>"),
        "BT /F 9 Tf (A) Tj ET",
    );
    given_up(pdf, &["a stream unpacks to"; 4]);
}

#[test]
fn functions_without_end_are_told() {
    let mut pdf = Pdf::default();
    // The first object is number 3: a function that is put together from itself.
    let circle = pdf.object(
        "<< /FunctionType 3 /Domain [0 1] /Functions [3 0 R 3 0 R] /Bounds [0.5] /Encode [0 1 0 1] >>",
    );
    let shading = |function: &str| {
        format!(
            "/Shading << /S << /ShadingType 2 /ColorSpace /DeviceGray /Coords [0 0 200 0] /Function {function} >> >>"
        )
    };
    pdf.page(&shading(&circle), "/S sh");
    let nested = format!("{}{}", "{".repeat(30_000), "}".repeat(100));
    let deep = pdf.stream(
        "/FunctionType 4 /Domain [0 1] /Range [0 1]",
        nested.as_bytes(),
    );
    pdf.page(&shading(&deep), "/S sh");
    told(pdf, &["without its function", "nested procedures"]);
}

#[test]
fn programs_at_every_pixel_are_given_up() {
    let mut pdf = Pdf::default();
    let long = format!("{{ add {} }}", "dup pop ".repeat(4000));
    let program = pdf.stream(
        "/FunctionType 4 /Domain [0 1 0 1] /Range [0 1]",
        long.as_bytes(),
    );
    let shading = format!(
        "<< /ShadingType 1 /ColorSpace /DeviceGray /Matrix [200 0 0 100 0 0] /Function {program} >>"
    );
    pdf.page_with(
        "/MediaBox [0 0 600 800]",
        &format!("/Shading << /S {shading} >>"),
        "/S sh",
    );
    given_up(pdf, &["the page takes work"]);
}

#[test]
fn rows_of_a_predictor_are_bounded() {
    let mut pdf = Pdf::default();
    let entries =
        "/Width 4 /Height 4 /BitsPerComponent 8 /ColorSpace /DeviceGray /Filter /FlateDecode";
    let endless = "/DecodeParms << /Predictor 12 /Columns 2000000000 >>";
    image(&mut pdf, &format!("{entries} {endless}"), &bomb(1));
    told(pdf, &["a predictor over rows"]);
}

#[test]
fn objects_that_unpack_without_end_refuse_the_document() {
    let mut pdf = Pdf::default();
    pdf.stream(
        &format!("/Type /ObjStm /N 1 /First 4 {BLANKS}"),
        &blanks(280),
    );
    pdf.page("", "0 1 0 0 k 0 0 100 100 re f");
    let error = measured(pdf.finish()).unwrap_err();
    assert!(matches!(error, ArtworkError::TooLarge { .. }), "{error}");
}

/// A page that paints a mesh of so many equal pieces.
fn mesh(pdf: &mut Pdf, entries: &str, (piece, times): (&[u8], usize)) {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::fast());
    for _ in 0..times {
        encoder.write_all(piece).unwrap();
    }
    let usual = "/BitsPerCoordinate 8 /BitsPerComponent 8 /BitsPerFlag 8 /Filter /FlateDecode";
    let mesh = pdf.stream(&format!("{entries} {usual}"), &encoder.finish().unwrap());
    pdf.page(&format!("/Shading << /S {mesh} >>"), "/S sh");
}

#[test]
fn meshes_are_bounded() {
    let mut pdf = Pdf::default();
    let gray = "/ColorSpace /DeviceGray /Decode [0 200 0 100 0 1]";
    let packed = pdf.stream(
        &format!(
            "/ShadingType 4 {gray} /BitsPerCoordinate 8 /BitsPerComponent 8 /BitsPerFlag 8 {BLANKS}"
        ),
        &blanks(140),
    );
    pdf.page(&format!("/Shading << /S {packed} >>"), "/S sh");
    // Patches without end that wind far beyond the page.
    let mut patch = vec![0];
    patch.extend((0..24_u8).map(|at| at.wrapping_mul(37) ^ 0x55));
    patch.extend([0; 4]);
    let far = "/ShadingType 6 /ColorSpace /DeviceGray /Decode [-90000 90000 -90000 90000 0 1]";
    mesh(&mut pdf, far, (&patch, 100_000));
    given_up(pdf, &["a stream unpacks to", "work"]);
}
