//! The same pages through Ghostscript's `tiffsep` device: mean of every ink, and solids by name.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use inkset_artwork::PageCoverage;

use crate::make::{Pdf, separation};
use crate::{mean, measured, only_page};

/// Farthest that the mean of an ink may be from the reference, in points.
const WITHIN: f64 = 0.3;

/// Pages of one feature each: its name, resources and content.
fn pages(pdf: &mut Pdf) -> Vec<(&'static str, String, &'static str)> {
    let copper = separation("Copper", [0.0, 0.5, 0.8, 0.3]);
    let blue = separation("Harbour#20blue", [1.0, 0.4, 0.0, 0.1]);
    let states = "/ExtGState << /O << /OP true /op true /OPM 1 >> /Z << /OP true /op true /OPM 0 >> /H << /ca 0.5 /CA 0.5 >> /M << /BM /Multiply >> /S << /BM /Screen >> /D << /BM /Darken >> >>";
    let solids = format!("{states} /ColorSpace << /C {copper} /B {blue} >>");
    let image = pdf.stream(
        "/Subtype /Image /Width 4 /Height 2 /BitsPerComponent 8 /ColorSpace /DeviceCMYK",
        &[
            255, 0, 0, 0, 0, 255, 0, 0, 0, 0, 255, 0, 0, 0, 0, 255, 128, 0, 0, 0, 0, 128, 0, 0, 0,
            0, 128, 0, 0, 0, 0, 128,
        ],
    );
    let gray = pdf.stream(
        "/Subtype /Image /Width 4 /Height 1 /BitsPerComponent 8 /ColorSpace /DeviceGray",
        &[0, 85, 170, 255],
    );
    let tint = pdf.stream(
        &format!("/Subtype /Image /Width 2 /Height 1 /BitsPerComponent 8 /ColorSpace {copper}"),
        &[255, 102],
    );
    let stencil = pdf.stream(
        "/Subtype /Image /ImageMask true /Width 8 /Height 1 /BitsPerComponent 1",
        &[0b0101_0111],
    );
    let form = pdf.stream(
        "/Subtype /Form /BBox [0 0 50 50] /Matrix [2 0 0 1 0 0]",
        b"1 0 0 0 k 0 0 500 500 re f",
    );
    let group = pdf.stream(
        "/Subtype /Form /BBox [0 0 200 100] /Group << /S /Transparency /I true /CS /DeviceCMYK >>",
        b"1 0 0 0 k 0 0 150 100 re f 0 1 0 0 k 50 0 150 100 re f",
    );
    let mask = pdf.stream(
        "/Subtype /Form /BBox [0 0 200 100] /Group << /S /Transparency /CS /DeviceGray >>",
        b"0.25 g 0 0 100 100 re f",
    );
    let tile = pdf.stream(
        "/PatternType 1 /PaintType 1 /TilingType 1 /BBox [0 0 24 24] /XStep 24 /YStep 24 /Resources << >>",
        b"1 0 0 0 k 0 0 12 12 re f",
    );
    let images = format!(
        "{states} /XObject << /I {image} /G {gray} /T {tint} /S {stencil} /F {form} /P {group} >>"
    );
    let masks = format!("/ExtGState << /S << /SMask << /S /Luminosity /G {mask} >> >> >>");
    let axial = "/Shading << /S << /ShadingType 2 /ColorSpace /DeviceCMYK /Coords [0 0 200 0] /Function << /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0 0] /C1 [1 0.5 0 0] >> >> >>";
    let radial = "/Shading << /S << /ShadingType 3 /ColorSpace /DeviceCMYK /Coords [100 50 0 100 50 40] /Function << /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 1 0 0] /C1 [0 1 0.5 0] >> >> >>";
    let plain = || states.to_owned();
    vec![
        ("tint", plain(), "0.375 0 0 0 k 0 0 100 50 re f"),
        ("grey", plain(), "0.4 g 0 0 96 96 re f"),
        (
            "curve",
            plain(),
            "0 0 0 1 k 20 20 m 60 120 140 120 180 20 c f",
        ),
        (
            "even-odd",
            plain(),
            "0 0 0 1 k 0 0 96 96 re 24 24 48 48 re f*",
        ),
        (
            "stroke",
            plain(),
            "0 1 0 0 K 12 w 24 24 m 96 84 l 168 24 l S",
        ),
        (
            "round stroke",
            plain(),
            "0 1 0 0 K 12 w 1 J 1 j 24 24 m 96 84 l 168 24 l S",
        ),
        (
            "dashes",
            plain(),
            "0 0 0 1 K 12 w [12 12] 0 d 0 48 m 200 48 l S",
        ),
        (
            "clip",
            plain(),
            "q 0 0 m 200 0 l 0 100 l h W n 1 0 0 0 k 0 0 200 100 re f Q",
        ),
        (
            "rotated",
            plain(),
            "0.866 0.5 -0.5 0.866 80 10 cm 0 0 1 0 k 0 0 60 60 re f",
        ),
        (
            "knockout",
            plain(),
            "1 0 0 0 k 0 0 192 96 re f 0 1 0 0 k 0 0 96 96 re f",
        ),
        (
            "overprint nonzero",
            plain(),
            "1 0 0 0 k 0 0 192 96 re f /O gs 0 1 0 0 k 0 0 96 96 re f",
        ),
        (
            "overprint zero",
            plain(),
            "1 0 0 0 k 0 0 192 96 re f /Z gs 0 1 0 0 k 0 0 96 96 re f",
        ),
        ("solid", solids.clone(), "/B cs 0.5 scn 0 0 96 96 re f"),
        (
            "two solids",
            solids.clone(),
            "/B cs 1 scn 0 0 96 96 re f /C cs 0.3 scn 48 0 96 96 re f",
        ),
        (
            "solid overprint",
            solids.clone(),
            "1 0 0 0 k 0 0 192 96 re f /O gs /C cs 1 scn 0 0 96 96 re f",
        ),
        (
            "solid knockout",
            solids,
            "1 0 0 0 k 0 0 192 96 re f /C cs 1 scn 0 0 96 96 re f",
        ),
        ("CMYK image", images.clone(), "q 192 0 0 96 0 0 cm /I Do Q"),
        ("grey image", images.clone(), "q 96 0 0 96 0 0 cm /G Do Q"),
        (
            "image of a solid",
            images.clone(),
            "q 192 0 0 96 0 0 cm /T Do Q",
        ),
        (
            "stencil",
            images.clone(),
            "1 0 0 0 k q 192 0 0 96 0 0 cm /S Do Q",
        ),
        (
            "inline image",
            images.clone(),
            "q 192 0 0 96 0 0 cm BI /W 2 /H 1 /BPC 8 /CS /G ID \x00\x7f EI Q",
        ),
        ("form", images.clone(), "q 1 0 0 1 12 12 cm /F Do Q"),
        ("group", images, "/H gs /P Do"),
        (
            "opacity",
            plain(),
            "1 0 0 0 k 0 0 192 96 re f /H gs 0 1 0 0 k 0 0 96 96 re f",
        ),
        (
            "multiply",
            plain(),
            "0.5 0 0 0 k 0 0 192 96 re f /M gs 0.5 1 0 0 k 0 0 96 96 re f",
        ),
        (
            "screen",
            plain(),
            "0.8 0 0 0 k 0 0 192 96 re f /S gs 0.5 1 0 0 k 0 0 96 96 re f",
        ),
        (
            "darken",
            plain(),
            "0.8 0 0 0 k 0 0 192 96 re f /D gs 0.5 1 0 0 k 0 0 96 96 re f",
        ),
        ("soft mask", masks, "/S gs 1 0 0 0 k 0 0 192 96 re f"),
        ("axial shading", axial.to_owned(), "/S sh"),
        ("radial shading", radial.to_owned(), "/S sh"),
        (
            "tiles",
            format!("/Pattern << /P {tile} >>"),
            "/Pattern cs /P scn 0 0 96 96 re f",
        ),
    ]
}

/// One page of the reference: the mean of every separation in percent, by name.
fn separated(folder: &Path, pdf: &Path, page: usize) -> Vec<(String, f64)> {
    let _ = fs::remove_dir_all(folder);
    fs::create_dir_all(folder).unwrap();
    let run = Command::new("gs")
        .args([
            "-q",
            "-dSAFER",
            "-dBATCH",
            "-dNOPAUSE",
            "-sDEVICE=tiffsep",
            "-r600",
        ])
        .arg(format!("-dFirstPage={page}"))
        .arg(format!("-dLastPage={page}"))
        .arg(format!(
            "-sOutputFile={}",
            folder.join("page.tif").display()
        ))
        .arg(pdf)
        .output();
    let run = run.expect("Ghostscript is missing; `cargo xtask test-data` installs it");
    assert!(
        run.status.success(),
        "{}",
        String::from_utf8_lossy(&run.stderr)
    );
    let mut found: Vec<(String, f64)> = fs::read_dir(folder)
        .unwrap()
        .filter_map(|entry| {
            let path: PathBuf = entry.unwrap().path();
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            let ink = name.split_once('(')?.1.trim_end_matches(')').to_owned();
            let mut artwork = measured(fs::read(&path).unwrap()).unwrap();
            let plate: PageCoverage = artwork.pages.remove(0).unwrap();
            Some((ink, mean(&plate, "Black")))
        })
        .collect();
    found.sort_by(|a, b| a.0.cmp(&b.0));
    found
}

#[test]
fn means_agree_with_the_reference() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("reference");
    fs::create_dir_all(&folder).unwrap();
    let mut wrong = String::new();
    let mut worst: f64 = 0.0;
    let count = pages(&mut Pdf::default()).len();
    for at in 0..count {
        let mut pdf = Pdf::default();
        let (name, resources, content) = pages(&mut pdf).swap_remove(at);
        pdf.page(&resources, content);
        let bytes = pdf.finish();
        let file = folder.join("page.pdf");
        fs::write(&file, &bytes).unwrap();
        let ours = only_page(bytes);
        let theirs = separated(&folder.join("plates"), &file, 1);
        assert!(theirs.len() >= 4, "{name}: {theirs:?}");
        for (ink, percent) in &theirs {
            let apart = mean(&ours, ink) - percent;
            worst = worst.max(apart.abs());
            if apart.abs() > WITHIN {
                let _ = writeln!(
                    wrong,
                    "{name}: {ink} {:.3}, reference {percent:.3}",
                    mean(&ours, ink)
                );
            }
        }
        // A solid that leaves ink here is a plate there.
        for ink in ours
            .inks
            .iter()
            .filter(|ink| ink.ink.is_solid() && ink.largest > 0.0)
        {
            if !theirs.iter().any(|(known, _)| known == ink.ink.name()) {
                let _ = writeln!(wrong, "{name}: no plate {}: {theirs:?}", ink.ink.name());
            }
        }
    }
    assert!(wrong.is_empty(), "worst {worst:.3}\n{wrong}");
}
