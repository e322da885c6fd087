//! Tables as they come, and files that are wrong or mean harm.

use std::fmt::Write;

use inkset_colour::{
    PrintingCondition, condition_from_table, delta_e00, read_characterisation, shipped,
    shipped_grid, shipped_table,
};
use proptest::prelude::*;

const FORMAT: &str = "SAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K LAB_L LAB_A LAB_B";
const ROWS: &str = "1 0 0 0 0 95 0 -2\n2 100 0 0 0 55 -37 -50\n3 0 100 0 0 48 74 -3\n4 0 0 100 0 89 -5 93\n5 0 0 0 100 16 0 0\n";

fn file(format: &str, sets: &str, rows: &str) -> String {
    format!(
        "CGATS.17\nORIGINATOR \"A press room\"\nNUMBER_OF_SETS {sets}\nBEGIN_DATA_FORMAT\n{format}\nEND_DATA_FORMAT\nBEGIN_DATA\n{rows}END_DATA\n"
    )
}

fn codes(bytes: &[u8]) -> Vec<&'static str> {
    read_characterisation("mine.txt", bytes)
        .expect_err("the file is wrong")
        .iter()
        .map(|p| p.code)
        .collect()
}

#[test]
fn a_plain_table_is_read() {
    let table = read_characterisation("dir/mine.txt", file(FORMAT, "5", ROWS).as_bytes())
        .expect("a sound table");
    assert_eq!(table.info.name, "mine");
    assert_eq!(table.info.source, "A press room");
    assert_eq!(table.patches.len(), 5);
    let condition = condition_from_table(&table).expect("paper and solids are there");
    assert!((condition.paper().l - 95.0).abs() < 0.05);
}

#[test]
fn tabs_dos_ends_commas_and_odd_orders_are_taken() {
    let plain =
        read_characterisation("a", file(FORMAT, "5", ROWS).as_bytes()).expect("a sound table");
    let odd_format = "LAB_B LAB_A LAB_L cmyk_k CMYK_Y CMYK_M CMYK_C SAMPLE_NAME";
    let mut rows = String::new();
    for (i, row) in ROWS.lines().enumerate() {
        let fields: Vec<&str> = row.split(' ').skip(1).collect();
        let reversed: Vec<String> = fields.iter().rev().map(|f| format!("{f},0")).collect();
        writeln!(rows, "{}\t\"patch {i}\"", reversed.join("\t")).expect("a string takes all");
    }
    let odd = file(odd_format, "5", &rows).replace('\n', "\r\n");
    let odd = read_characterisation("a", odd.as_bytes()).expect("a sound table");
    assert_eq!(odd.patches, plain.patches);
}

#[test]
fn repeated_patches_are_averaged() {
    let rows = format!("{ROWS}6 0 0 0 0 93 0 -2\n");
    let table =
        read_characterisation("a", file(FORMAT, "6", &rows).as_bytes()).expect("a sound table");
    assert_eq!(table.averaged().len(), 5);
    assert!((table.averaged()[0].lab.l - 94.0).abs() < 1e-12);
}

#[test]
fn xyz_columns_serve_where_lab_is_missing() {
    let format = "CMYK_C CMYK_M CMYK_Y CMYK_K XYZ_X XYZ_Y XYZ_Z";
    let rows = "0 0 0 0 84.48 87.62 74.57\n100 0 0 0 13.9 22.9 51\n0 100 0 0 33.03 16.79 15.01\n0 0 100 0 68 74 7\n0 0 0 100 2 2 1.7\n";
    let table =
        read_characterisation("a", file(format, "5", rows).as_bytes()).expect("a sound table");
    assert!((table.patches[0].lab.l - 95.0).abs() < 0.01);
}

#[test]
fn every_mistake_is_told_with_its_place() {
    let rows = "1 0 0 0 0 95 0 -2\n2 150 x 0 0 55 -37 NaN\n3 0 100 0 0 48 74\n";
    let problems = read_characterisation("mine.txt", file(FORMAT, "99", rows).as_bytes())
        .expect_err("the file is wrong");
    let shown: Vec<String> = problems
        .iter()
        .map(|p| format!("{}:{}: {}", p.line, p.column, p.message))
        .collect();
    assert_eq!(
        shown,
        [
            "3:1: NUMBER_OF_SETS is 99, but 3 rows were found",
            "9:3: 150 is outside 0 to 100",
            "9:7: `x` is not a number",
            "9:20: `NaN` is not a number",
            "10:16: the row has 7 values, the format names 8 fields",
        ]
    );
    assert!(problems[0].to_string().contains("--> mine.txt:3:1"));
}

#[test]
fn wrong_kinds_of_file_are_named() {
    assert_eq!(codes(b""), ["table-empty"]);
    assert_eq!(codes(&[0, 1, 2, 3]), ["table-not-text"]);
    let mut profile = vec![0_u8; 128];
    profile[12..16].copy_from_slice(b"link");
    profile[36..40].copy_from_slice(b"acsp");
    assert_eq!(codes(&profile), ["table-is-profile"]);
    let rgb = file("RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B", "1", "0 0 0 1 0 0\n");
    assert_eq!(codes(rgb.as_bytes()), ["table-wrong-class"]);
    let scanner = format!(
        "CGATS.17\nDEVICE_CLASS \"INPUT\"\n{}",
        file(FORMAT, "5", ROWS)
    );
    assert_eq!(codes(scanner.as_bytes()), ["table-wrong-class"]);
    assert_eq!(codes(b"hello"), ["table-no-data"]);
}

#[test]
fn missing_parts_are_named() {
    let no_colours = file("CMYK_C CMYK_M CMYK_Y CMYK_K", "1", "0 0 0 0\n");
    assert_eq!(codes(no_colours.as_bytes()), ["table-no-colours"]);
    let no_black: String = ROWS.lines().take(4).flat_map(|l| [l, "\n"]).collect();
    assert_eq!(
        codes(file(FORMAT, "4", &no_black).as_bytes()),
        ["table-no-primary"]
    );
    let cut = file(FORMAT, "5", ROWS).replace("END_DATA\n", "");
    assert_eq!(codes(cut.as_bytes()), ["table-cut-off"]);
    assert_eq!(
        codes(b"CGATS.17\nBEGIN_DATA\n1 2 3\nEND_DATA\n"),
        ["table-no-format"]
    );
}

#[test]
fn a_million_rows_end_in_a_message() {
    let rows = "1 0 0 0 0 95 0 -2\n".repeat(1_000_000);
    assert_eq!(
        codes(file(FORMAT, "1000000", &rows).as_bytes()),
        ["table-too-long"]
    );
}

#[test]
fn endless_mistakes_are_cut_short() {
    let rows = "x\n".repeat(1000);
    let problems = read_characterisation("a", file(FORMAT, "1000", &rows).as_bytes())
        .expect_err("the file is wrong");
    assert_eq!(problems.len(), 41);
    assert_eq!(problems[40].code, "table-more-problems");
}

#[test]
fn stored_grids_survive_a_round_and_no_damage() {
    let bytes = shipped_grid("coated-tr006").expect("a shipped condition");
    let opened = PrintingCondition::from_bytes(bytes).expect("the shipped bytes are sound");
    let tones = [12.0, 34.0, 56.0, 7.0];
    let wanted = shipped("TR 006").expect("an alias").lab(tones);
    assert!(delta_e00(opened.lab(tones), wanted) < 1e-12);
    assert!(PrintingCondition::from_bytes(&bytes[..bytes.len() - 1]).is_err());
    assert!(PrintingCondition::from_bytes(b"inkset-grid 1\n\n").is_err());
    for place in [20, 500, bytes.len() / 2, bytes.len() - 3] {
        let mut damaged = bytes.to_vec();
        damaged[place] ^= 4;
        assert!(
            PrintingCondition::from_bytes(&damaged).is_err(),
            "byte {place}"
        );
    }
}

#[test]
fn names_are_found_however_they_are_written() {
    for (written, name) in [
        ("fogra39", "coated-fogra39"),
        ("FOGRA39L", "coated-fogra39"),
        ("tr006", "coated-tr006"),
        ("TR 006", "coated-tr006"),
        ("Newsprint TR002", "newsprint-tr002"),
        ("uncoated-fogra29", "uncoated-fogra29"),
    ] {
        assert_eq!(
            shipped(written).map(PrintingCondition::name),
            Some(name),
            "{written}"
        );
        assert!(shipped_table(written).is_some());
    }
    assert!(shipped("").is_none());
    assert!(shipped("cardboard").is_none());
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(9), ..ProptestConfig::default() })]

    #[test]
    fn damaged_files_never_panic(cuts in prop::collection::vec((0..400_usize, any::<u8>()), 1..8), end in 0..420_usize) {
        let mut bytes = file(FORMAT, "5", ROWS).into_bytes();
        for (place, byte) in cuts {
            let at = place % bytes.len();
            bytes[at] = byte;
        }
        bytes.truncate(end.max(1));
        if let Err(problems) = read_characterisation("a", &bytes) {
            prop_assert!(!problems.is_empty());
        }
    }

    #[test]
    fn any_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        prop_assert!(read_characterisation("a", &bytes).is_err());
        prop_assert!(PrintingCondition::from_bytes(&bytes).is_err());
    }
}
