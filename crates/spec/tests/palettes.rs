//! Palettes of every format, what is told about bad ones, and that no bytes make a reader panic.

#![expect(
    clippy::expect_used,
    reason = "a test may stop at the first thing that is missing"
)]

mod support;

use std::path::PathBuf;

use inkset_spec::{
    Coordinates, Ground, InkTint, Notice, PaletteColour, Severity, Sources, codes, read_palette,
    render_notices,
};
use proptest::prelude::*;
use support::workspace;

fn bytes(path: &str) -> Vec<u8> {
    std::fs::read(workspace().join(path)).expect("the file is shipped")
}

fn colours(path: &str) -> Vec<PaletteColour> {
    let reading = read_palette(&bytes(path));
    reading
        .value
        .unwrap_or_else(|| panic!("{path}: {:?}", reading.notices))
}

fn only(bytes: &[u8]) -> Notice {
    let reading = read_palette(bytes);
    assert_eq!(reading.value, None);
    assert_eq!(reading.notices.len(), 1, "{:?}", reading.notices);
    reading.notices.into_iter().next().expect("one")
}

fn files(folder: &str) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(workspace().join(folder)).expect("the folder is shipped");
    let mut paths: Vec<PathBuf> = entries.map(|e| e.expect("listed").path()).collect();
    paths.sort();
    paths
}

#[test]
fn objects_give_coordinates_and_spectra() {
    let found = colours("tests/palettes/valid/objects.cxf");
    let names: Vec<&str> = found.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(
        names,
        ["Quay grey & salt", "Buoy red", "Harbour blue", "Both"]
    );
    let lab = Some(Coordinates::Lab([62.0, -1.0, -3.0]));
    assert_eq!(found[0].coordinates, lab);
    let xyz = Some(Coordinates::Xyz([24.1, 13.9, 5.2]));
    assert_eq!(found[1].coordinates, xyz);
    assert_eq!(found[2].coordinates, None);
    let spectrum = found[2].spectrum.as_ref().expect("measured");
    assert_eq!((spectrum.start_nm, spectrum.interval_nm), (380, 10));
    assert_eq!(spectrum.factors.len(), 36);
    assert!(found[3].coordinates.is_some() && found[3].spectrum.is_some());
    assert_eq!(found[0].place.expect("a text has lines").line, 9);
}

#[test]
fn inks_give_solids_and_tints_on_paper_and_black() {
    let found = colours("jobs/palettes/harbour-inks.cxf");
    assert_eq!(found.len(), 16);
    let named = |name: &str| found.iter().find(|c| c.name == name).expect(name);
    let tint = |tone, ground| {
        Some(InkTint {
            ink: "Harbour blue".to_owned(),
            tone,
            ground,
        })
    };
    let solid = named("Harbour blue");
    assert_eq!(solid.tint, tint(100.0, Ground::Substrate));
    assert_eq!(
        named("Harbour blue 25 %").tint,
        tint(25.0, Ground::Substrate)
    );
    let on_black = named("Harbour blue 50 % on black");
    assert_eq!(on_black.tint, tint(50.0, Ground::Black));
    let light = |c: &PaletteColour| c.spectrum.as_ref().expect("measured").factors[8];
    assert!(light(on_black) < light(solid));
    assert!(light(solid) < light(named("Harbour blue 0 %")));
}

#[test]
fn inks_of_another_make_up_give_the_same() {
    let reading = read_palette(&bytes("tests/palettes/valid/inks-otherwise.cxf"));
    let codes: Vec<&str> = reading.notices.iter().map(|n| n.code).collect();
    assert_eq!(codes, [codes::ASSUMED_TINT_SCALE]);
    let found = reading.value.expect("read");
    let names: Vec<&str> = found.iter().map(|c| c.name.as_str()).collect();
    let inks = [
        "Jetty teal 0 %",
        "Jetty teal 50 %",
        "Jetty teal",
        "Jetty teal 0 % on black",
        "Jetty teal 100 % on black",
    ];
    assert_eq!(names[..5], inks);
    assert_eq!(names[5..], ["Sail white"]);
    let solid = Some(Coordinates::Lab([46.0, -42.0, -22.0]));
    assert_eq!(found[2].coordinates, solid);
    let grounds = found.iter().filter_map(|c| Some(c.tint.as_ref()?.ground));
    let on_black = grounds.filter(|ground| *ground == Ground::Black).count();
    assert_eq!(on_black, 2);
}

#[test]
fn tables_give_lab_and_spectra_in_percent() {
    let found = colours("tests/palettes/valid/lab.txt");
    assert_eq!(found[0].name, "Quay grey");
    let lab = Some(Coordinates::Lab([38.0, -24.0, 18.0]));
    assert_eq!(found[1].coordinates, lab);
    let reading = read_palette(&bytes("tests/palettes/valid/percent.txt"));
    assert_eq!(reading.notices[0].code, codes::ASSUMED_PERCENT);
    let percent = reading.value.expect("read");
    let factors = colours("tests/palettes/valid/objects.cxf");
    let both = [&percent[0], &factors[2]].map(|c| c.spectrum.clone().expect("measured"));
    let off = both[0].factors.iter().zip(&both[1].factors);
    assert!(off.map(|(p, f)| (p - f).abs()).fold(0.0, f64::max) < 1e-4);
}

#[test]
fn the_name_of_the_file_decides_nothing() {
    let found = colours("jobs/palettes/harbour.csv");
    assert_eq!(found.len(), 6);
    let marked = [
        b"\xef\xbb\xbf\n ".as_slice(),
        &bytes("tests/palettes/valid/objects.cxf"),
    ];
    let declaration_not_first = read_palette(&marked.concat());
    assert!(!declaration_not_first.notices.is_empty() || declaration_not_first.value.is_some());
}

#[test]
fn bad_palettes_are_told_with_their_place() {
    for path in files("tests/palettes/invalid") {
        let bytes = std::fs::read(&path).expect("shipped");
        let name = path
            .file_name()
            .expect("a file has a name")
            .to_string_lossy();
        let reading = read_palette(&bytes);
        assert_eq!(reading.value, None, "{name}");
        let text = String::from_utf8_lossy(&bytes);
        let sources = Sources {
            palette: Some((&name, &text)),
            ..Sources::default()
        };
        let told = render_notices(&reading.notices, &sources);
        insta::assert_snapshot!(format!("palette_{name}"), told);
    }
}

/// A million lines.
fn rows(line: fn(u32) -> String) -> String {
    let lines: Vec<String> = (0..1_000_000).map(line).collect();
    format!("{}\n", lines.join("\n"))
}

#[test]
fn deep_and_large_files_are_refused() {
    let deep = format!("<CxF>{}", "<a>".repeat(1_000_000));
    assert_eq!(only(deep.as_bytes()).code, codes::PALETTE_TOO_LARGE);
    let named = rows(|at| format!("c{at},50,0,0"));
    let many = read_palette(format!("name,L,a,b\n{named}").as_bytes());
    assert_eq!(many.notices[0].code, codes::PALETTE_TOO_LARGE);
    assert_eq!(many.notices.len(), 1);
    let wrong = "x,y,z,w\n".repeat(1_000_000);
    assert_eq!(
        read_palette(format!("name,L,a,b\n{wrong}").as_bytes())
            .notices
            .len(),
        201
    );
    let table =
        "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n";
    let numbered = rows(|at| format!("{at} 50 0 0"));
    let many = read_palette(format!("{table}{numbered}END_DATA\n").as_bytes());
    assert_eq!(many.notices[0].code, codes::PALETTE_TOO_LARGE);
}

/// A named-colour profile of invented colours; `entries` are the names and their legacy 16-bit Lab.
fn profile(version: u8, entries: &[(&str, [u16; 3])], with_paper: bool) -> Vec<u8> {
    let padded = |text: &str| {
        let mut name = text.as_bytes().to_vec();
        name.resize(32, 0);
        name
    };
    let mut tag = b"ncl2\0\0\0\0\0\0\0\0".to_vec();
    tag.extend((entries.len() as u32).to_be_bytes());
    tag.extend(1_u32.to_be_bytes());
    tag.extend([padded("Quay "), padded(" C")].concat());
    for (name, lab) in entries {
        tag.extend(padded(name));
        tag.extend(lab.iter().flat_map(|v| v.to_be_bytes()));
        tag.extend([0xff, 0xff]);
    }
    let mut paper = b"XYZ \0\0\0\0".to_vec();
    paper.extend(
        [0.8, 0.83, 0.66]
            .iter()
            .flat_map(|v| ((v * 65536.0) as i32).to_be_bytes()),
    );
    let tags = if with_paper {
        vec![(*b"wtpt", paper), (*b"ncl2", tag)]
    } else {
        vec![(*b"ncl2", tag)]
    };
    let mut file = vec![0_u8; 128];
    file[8] = version;
    file[12..16].copy_from_slice(b"nmcl");
    file[20..24].copy_from_slice(b"Lab ");
    file[36..40].copy_from_slice(b"acsp");
    file.extend((tags.len() as u32).to_be_bytes());
    let mut at = file.len() + 12 * tags.len();
    for (name, body) in &tags {
        file.extend(name);
        file.extend((at as u32).to_be_bytes());
        file.extend((body.len() as u32).to_be_bytes());
        at += body.len();
    }
    file.extend(tags.into_iter().flat_map(|(_, body)| body));
    file
}

const RED: (&str, [u16; 3]) = ("red", [0x7f80, 0xc000, 0xa000]);

#[test]
fn named_colours_of_a_profile_are_read_in_both_versions() {
    for version in [2, 4] {
        let reading = read_palette(&profile(
            version,
            &[RED, ("white", [0xff00, 0x8000, 0x8000])],
            true,
        ));
        let found = reading.value.expect("a good profile");
        assert_eq!(found[0].name, "Quay red C");
        let Some(Coordinates::LabOnPaper { lab, paper }) = found[0].coordinates else {
            panic!("{found:?}");
        };
        assert_eq!(format!("{lab:?}"), "[50.0, 64.0, 32.0]");
        assert!((paper[1] - 0.83).abs() < 1e-4);
        let Some(Coordinates::LabOnPaper { lab, .. }) = found[1].coordinates else {
            panic!("{found:?}");
        };
        assert_eq!(format!("{lab:?}"), "[100.0, 0.0, 0.0]");
    }
    let reading = read_palette(&profile(4, &[RED], false));
    assert_eq!(reading.notices[0].code, codes::ASSUMED_PAPER_WHITE);
    assert!(matches!(
        reading.value.expect("read")[0].coordinates,
        Some(Coordinates::Lab(_))
    ));
}

#[test]
fn lying_profiles_are_refused() {
    let good = profile(4, &[RED], true);
    for length in 40..good.len() {
        let code = only(&good[..length]).code;
        assert!(
            [codes::PALETTE_DAMAGED, codes::NOT_A_PALETTE].contains(&code),
            "{length}"
        );
    }
    let with = |at: usize, bytes: &[u8]| {
        let mut file = good.clone();
        file[at..at + bytes.len()].copy_from_slice(bytes);
        only(&file).code
    };
    let tag = good
        .windows(8)
        .position(|w| w == b"ncl2\0\0\0\0")
        .expect("written");
    assert_eq!(with(tag + 12, &[0xff; 4]), codes::PALETTE_TOO_LARGE);
    assert_eq!(with(tag + 12, &[0, 0, 0xff, 0xff]), codes::PALETTE_DAMAGED);
    assert_eq!(with(tag + 12, &[0; 4]), codes::EMPTY_LIST);
    assert_eq!(with(tag + 16, &[0xff; 4]), codes::PALETTE_DAMAGED);
    assert_eq!(with(128, &[0xff; 4]), codes::PALETTE_DAMAGED);
    assert_eq!(with(12, b"prtr"), codes::NOT_A_PALETTE);
    assert_eq!(with(20, b"XYZ "), codes::NOT_A_PALETTE);
    assert_eq!(
        only(&profile(2, &[RED, RED], true)).code,
        codes::DUPLICATE_NAME
    );
    assert_eq!(only(b"%PDF-1.7").code, codes::NOT_A_PALETTE);
    assert_eq!(only(b"\xff\xfe<\0").code, codes::NOT_UTF_8);
}

/// Good files, to be spoilt.
fn seeds() -> Vec<Vec<u8>> {
    let mut seeds: Vec<Vec<u8>> = files("tests/palettes/valid")
        .iter()
        .map(|path| std::fs::read(path).expect("shipped"))
        .collect();
    seeds.push(bytes("jobs/palettes/harbour.csv"));
    seeds.push(bytes("jobs/palettes/harbour-inks.cxf"));
    seeds.push(profile(4, &[RED], true));
    seeds
}

fn holds(bytes: &[u8]) {
    let reading = read_palette(bytes);
    let failed = reading
        .notices
        .iter()
        .any(|n| n.severity == Severity::Error);
    assert_eq!(reading.value.is_none(), failed);
    let text = String::from_utf8_lossy(bytes);
    let sources = Sources {
        palette: Some(("palette", &text)),
        ..Sources::default()
    };
    render_notices(&reading.notices, &sources);
}

proptest! {
    #[test]
    fn spoilt_files_are_read_without_panic(
        seed in 0_usize..6,
        cut in 0.0_f64..1.0,
        spoilt in proptest::collection::vec((0.0_f64..1.0, any::<u8>()), 0..6),
    ) {
        let mut bytes = seeds().swap_remove(seed);
        let length = bytes.len();
        for (at, byte) in spoilt {
            bytes[(at * length as f64) as usize] = byte;
        }
        holds(&bytes);
        holds(&bytes[..(cut * length as f64) as usize]);
    }

    #[test]
    fn markup_of_any_kind_is_read_without_panic(
        text in "(<|>|/|&|;|CxF|Object|\"|=| |ColorValues|x|\\]\\]>|<!\\[CDATA\\[|<!--|BEGIN_DATA|\n|\\?){0,60}",
    ) {
        holds(text.as_bytes());
        holds(format!("<CxF>{text}</CxF>").as_bytes());
        holds(format!("CGATS.17\nBEGIN_DATA_FORMAT\n{text}").as_bytes());
    }
}
