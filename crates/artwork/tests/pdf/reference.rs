//! The same pages through Ghostscript's `tiffsep` device: mean of every ink, and solids by name.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use crate::make::{Pdf, separation};
use crate::meshes::{Mesh, straight_patch};
use crate::plates::plates;
use crate::{mean, measured};

/// Farthest that the mean of an ink may be from the reference, in points.
const WITHIN: f64 = 0.3;

/// Pages of one feature each: its name, resources and content.
#[expect(clippy::too_many_lines, reason = "a list, one page after the other")]
fn pages(pdf: &mut Pdf) -> Vec<(&'static str, String, &'static str)> {
    let copper = separation("Copper", [0.0, 0.5, 0.8, 0.3]);
    let blue = separation("Harbour#20blue", [1.0, 0.4, 0.0, 0.1]);
    let states = "/ExtGState << /O << /OP true /op true /OPM 1 >> /Z << /OP true /op true /OPM 0 >> /H << /ca 0.5 /CA 0.5 >> /M << /BM /Multiply >> /S << /BM /Screen >> /D << /BM /Darken >> /BH << /BM /Hue >> /BS << /BM /Saturation >> /BC << /BM /Color >> /BL << /BM /Luminosity >> >>";
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
    let together = |pdf: &mut Pdf, entries: &str| {
        let form = "/Subtype /Form /BBox [0 0 200 100]";
        pdf.stream(
            &format!("{form} /Group << /S /Transparency /CS /DeviceCMYK {entries} >> /Resources << {states} >>"),
            b"/M gs 0.5 0.2 0 0 k 0 0 144 96 re f /H gs 0.3 0 0.8 0 k 48 0 144 96 re f",
        )
    };
    let open = together(pdf, "");
    let knocking = together(pdf, "/K true");
    let groups = format!("{states} /XObject << /O {open} /K {knocking} >>");
    let mask = pdf.stream(
        "/Subtype /Form /BBox [0 0 200 100] /Group << /S /Transparency /CS /DeviceGray >>",
        b"1 g 0 0 96 96 re f",
    );
    let tile = pdf.stream(
        "/PatternType 1 /PaintType 1 /TilingType 1 /BBox [0 0 24 24] /XStep 24 /YStep 24 /Resources << >>",
        b"1 0 0 0 k 0 0 12 12 re f",
    );
    let stencils = format!(
        "/XObject << /S {stencil} >> /Pattern << /P {tile} /A << /PatternType 2 /Shading << /ShadingType 2 /ColorSpace /DeviceCMYK /Coords [0 0 192 0] /Function << /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0 0] /C1 [0 1 0 0] >> >> >> >>"
    );
    let turned = pdf.stream(
        "/PatternType 1 /PaintType 1 /TilingType 1 /BBox [0 0 48 48] /XStep 48 /YStep 48 /Matrix [0.866 0.5 -0.5 0.866 0 0] /Resources << >>",
        b"0.4 0 0 0 k 0 0 48 48 re f 0 1 0 0 k 0 0 24 24 re f",
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
            solids.clone(),
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
        (
            "hue",
            plain(),
            "0.5 0.3 0.1 0.2 k 0 0 192 96 re f /BH gs 0.3 0.6 0.5 0.1 k 0 0 96 96 re f",
        ),
        (
            "saturation",
            plain(),
            "0.8 0.3 0 0.2 k 0 0 192 96 re f /BS gs 0.1 0.7 0.9 0.1 k 0 0 96 96 re f",
        ),
        (
            "colour",
            plain(),
            "0.8 0.3 0 0.2 k 0 0 192 96 re f /BC gs 0.1 0.7 0.9 0.1 k 0 0 96 96 re f",
        ),
        (
            "luminosity",
            plain(),
            "0.8 0.3 0 0.2 k 0 0 192 96 re f /BL gs 0.1 0.7 0.9 0.1 k 0 0 96 96 re f",
        ),
        (
            "luminosity of a solid",
            solids.clone(),
            "/B cs 0.8 scn 0 0 192 96 re f /BL gs /C cs 0.5 scn 0 0 96 96 re f",
        ),
        (
            "blended group on the page",
            groups.clone(),
            "0.5 0 0.2 0 k 0 0 192 96 re f /S gs /O Do",
        ),
        (
            "group that knocks out on the page",
            groups.clone(),
            "0.5 0 0.2 0 k 0 0 192 96 re f /K Do",
        ),
        (
            "blended group that knocks out on the page",
            groups,
            "0.5 0 0.2 0 k 0 0 192 96 re f /M gs /K Do",
        ),
        ("soft mask", masks, "/S gs 1 0 0 0 k 0 0 192 96 re f"),
        ("axial shading", axial.to_owned(), "/S sh"),
        ("radial shading", radial.to_owned(), "/S sh"),
        (
            "tiles",
            format!("/Pattern << /P {tile} >>"),
            "/Pattern cs /P scn 0 0 96 96 re f",
        ),
        (
            "turned tiles",
            format!("/Pattern << /P {turned} >>"),
            "/Pattern cs /P scn 0 0 192 96 re f",
        ),
        (
            "stencil of tiles",
            stencils.clone(),
            "/Pattern cs /P scn q 192 0 0 96 0 0 cm /S Do Q",
        ),
        (
            "stencil of a shading",
            stencils,
            "/Pattern cs /A scn q 192 0 0 96 0 0 cm /S Do Q",
        ),
    ]
}

/// Pages of mesh shadings.
fn mesh_pages(pdf: &mut Pdf) -> Vec<(&'static str, String, &'static str)> {
    let copper = separation("Copper", [0.0, 0.5, 0.8, 0.3]);
    let (cmyk, four) = ("/ColorSpace /DeviceCMYK", "0 1 0 1 0 1 0 1");
    let colours: [&[f64]; 4] = [
        &[1.0, 0.0, 0.0, 0.2],
        &[0.0, 1.0, 0.0, 0.2],
        &[0.0, 0.0, 1.0, 0.2],
        &[0.5, 0.5, 0.0, 0.0],
    ];
    let mut free = Mesh::new([8, 16, 8]);
    let places = [(12.0, 12.0), (96.0, 24.0), (48.0, 84.0), (132.0, 90.0)];
    for (at, &place) in places.iter().enumerate() {
        free.piece(at as u64 / 3, &[place], &[colours[at]]);
    }
    let free = free.object(pdf, 4, cmyk, four);
    let mut lattice = Mesh::new([0, 24, 16]);
    for at in 0..12_u32 {
        let (column, row) = (f64::from(at % 4), f64::from(at / 4));
        let place = (
            12.0 + 50.0 * column + 8.0 * row,
            12.0 + 33.0 * row - 3.0 * column,
        );
        lattice.piece(0, &[place], &[&[column / 3.0, row / 2.0, 0.0, 0.1]]);
    }
    let lattice = lattice.object(pdf, 5, &format!("{cmyk} /VerticesPerRow 4"), four);
    let mut points = straight_patch([(24.0, 12.0), (12.0, 84.0), (156.0, 90.0), (180.0, 24.0)]);
    for (at, place) in [
        (1, (0.0, 40.0)),
        (2, (48.0, 60.0)),
        (4, (60.0, 70.0)),
        (8, (150.0, 44.0)),
        (10, (110.0, 40.0)),
    ] {
        points[at] = place;
    }
    let mut coons = Mesh::new([8, 32, 16]);
    coons.piece(0, &points, &colours);
    let coons = coons.object(pdf, 6, cmyk, four);
    let mut solid = Mesh::new([8, 16, 8]);
    solid.piece(0, &points, &[&[1.0], &[0.2], &[0.6], &[0.0]]);
    let entries = format!("/ColorSpace {copper} /Background [0.1] /BBox [0 0 144 100]");
    let solid = solid.object(pdf, 6, &entries, "0 1");
    let mut tensor = Mesh::new([8, 16, 8]);
    points.extend([(50.0, 50.0), (90.0, 60.0), (120.0, 60.0), (100.0, 30.0)]);
    tensor.piece(0, &points, &[&[0.0], &[0.5], &[1.0], &[0.5]]);
    let function =
        "/Function << /FunctionType 2 /Domain [0 1] /N 2 /C0 [0 0.2 0 0] /C1 [1 0 0.5 0] >>";
    let tensor = tensor.object(pdf, 7, &format!("{cmyk} {function}"), "0 1");
    let operator = |mesh: &str| format!("/Shading << /S {mesh} >>");
    let pattern = format!(
        "/Pattern << /P << /PatternType 2 /Matrix [0.9 0.1 0 0.9 5 0] /Shading {solid} >> >>"
    );
    vec![
        ("free triangles", operator(&free), "/S sh"),
        ("lattice", operator(&lattice), "/S sh"),
        ("Coons patch", operator(&coons), "/S sh"),
        (
            "tensor patch",
            operator(&tensor),
            "q 12 12 150 72 re W n /S sh Q",
        ),
        (
            "mesh of a solid",
            pattern,
            "/Pattern cs /P scn 6 6 180 90 re f",
        ),
    ]
}

/// Plates of every page: the mean of each separation in percent, by the name of the file without its ending.
fn separated(folder: &Path, pdf: &[u8]) -> BTreeMap<String, f64> {
    let percent = |plate: Vec<u8>| {
        let mut artwork = measured(plate).unwrap();
        mean(&artwork.pages.remove(0).unwrap(), "Black")
    };
    let plates = plates(folder, pdf, &["-r600"]).into_iter();
    plates.map(|(name, plate)| (name, percent(plate))).collect()
}

#[test]
fn means_agree_with_the_reference() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("reference");
    let mut pdf = Pdf::default();
    let mut pages = pages(&mut pdf);
    pages.extend(mesh_pages(&mut pdf));
    for (_, resources, content) in &pages {
        pdf.page(resources, content);
    }
    let bytes = pdf.finish();
    let ours = measured(bytes.clone()).unwrap();
    let theirs = separated(&folder, &bytes);
    let mut wrong = String::new();
    let mut worst: f64 = 0.0;
    for (at, (name, _, _)) in pages.iter().enumerate() {
        let page = ours.pages[at].as_ref().unwrap();
        for ink in ["Cyan", "Magenta", "Yellow", "Black"] {
            let plate = format!("{}({ink})", at + 1);
            assert!(theirs.contains_key(&plate), "{name}: no plate {plate}");
        }
        for ink in &page.inks {
            // A solid that leaves ink here is a plate there.
            let plate = format!("{}({})", at + 1, ink.ink.name());
            let Some(percent) = theirs.get(&plate) else {
                let _ = writeln!(wrong, "{name}: no plate {plate}");
                continue;
            };
            let apart = ink.mean * 100.0 - percent;
            worst = worst.max(apart.abs());
            if apart.abs() > WITHIN {
                let _ = writeln!(
                    wrong,
                    "{name}: {plate} {:.3}, reference {percent:.3}",
                    ink.mean * 100.0
                );
            }
        }
        let known = |plate: &str| {
            page.inks
                .iter()
                .any(|ink| format!("{}({})", at + 1, ink.ink.name()) == plate)
        };
        let prefix = format!("{}(", at + 1);
        let missed = theirs.iter().filter(|(plate, percent)| {
            plate.starts_with(&prefix) && **percent > 0.0 && !known(plate)
        });
        for (plate, percent) in missed {
            let _ = writeln!(wrong, "{name}: {plate} of {percent:.3} was not found");
        }
    }
    assert!(wrong.is_empty(), "worst {worst:.3}\n{wrong}");
}
