//! `inkset reach`.

use crate::run::{empty_folder, inkset, inkset_in};

const PALETTE: &str = "name,L,a,b\nBrick,45,38,30\nBright orange,66,60,80\nVivid green,60,-75,45\nViolet,28,50,-65\nDeep blue,22,30,-70\n";

#[test]
fn vivid_colours_miss_on_coated_paper() {
    let folder = empty_folder("reach");
    std::fs::write(folder.join("palette.csv"), PALETTE).unwrap();
    for condition in ["coated-tr006", "coated-fogra39"] {
        let json = inkset_in(
            &folder,
            &[
                "reach",
                "palette.csv",
                "--condition",
                condition,
                "--format",
                "json",
            ],
        )
        .json();
        let rows = json.as_array().unwrap();
        assert_eq!(rows.len(), 5);
        assert!(
            rows[0]["delta_e"].as_f64().unwrap() < 1.0,
            "{condition}: {}",
            rows[0]
        );
        for row in &rows[1..] {
            assert!(row["delta_e"].as_f64().unwrap() > 3.5, "{condition}: {row}");
            let sum: u64 = ["C", "M", "Y", "K"]
                .iter()
                .map(|ink| row["build"][ink].as_u64().unwrap())
                .sum();
            assert!(sum <= 330, "{row}");
        }
    }
}

#[test]
fn table_and_csv_are_readable() {
    let folder = empty_folder("reach-shown");
    std::fs::write(folder.join("palette.csv"), PALETTE).unwrap();
    let run = |format| {
        inkset_in(
            &folder,
            &[
                "reach",
                "palette.csv",
                "--condition",
                "FOGRA39",
                "--ink-limit",
                "300",
                "--format",
                format,
            ],
        )
    };
    insta::assert_snapshot!("reach table", run("table").shown());
    insta::assert_snapshot!("reach csv", run("csv").shown());
}

#[test]
fn ink_limit_and_inks_are_kept() {
    let folder = empty_folder("reach-limits");
    std::fs::write(folder.join("palette.csv"), "name,L,a,b\nNight,12,0,0\n").unwrap();
    let json = inkset_in(
        &folder,
        &[
            "reach",
            "palette.csv",
            "--condition",
            "coated-tr006",
            "--ink-limit",
            "220",
            "--format",
            "json",
        ],
    )
    .json();
    let sum: u64 = ["C", "M", "Y", "K"]
        .iter()
        .map(|ink| json[0]["build"][ink].as_u64().unwrap())
        .sum();
    assert!(sum <= 220, "{json}");
    let black = inkset_in(
        &folder,
        &[
            "reach",
            "palette.csv",
            "--condition",
            "coated-tr006",
            "--inks",
            "K",
            "--format",
            "json",
        ],
    )
    .json();
    assert_eq!(black[0]["build"]["C"], 0);
}

#[test]
fn own_characterisation_table_gives_the_shipped_answer() {
    let folder = empty_folder("reach-own");
    std::fs::write(folder.join("palette.csv"), PALETTE).unwrap();
    let table =
        std::fs::read_to_string(crate::run::root().join("rates/conditions/coated-fogra39.csv"))
            .unwrap();
    let rows: Vec<String> = table
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()))
        .enumerate()
        .map(|(at, line)| format!("{}\t{}", at + 1, line.replace(',', "\t")))
        .collect();
    let text = format!(
        "CGATS.17\nORIGINATOR \"test\"\nNUMBER_OF_FIELDS 8\nBEGIN_DATA_FORMAT\nSAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS {}\nBEGIN_DATA\n{}\nEND_DATA\n",
        rows.len(),
        rows.join("\n")
    );
    std::fs::write(folder.join("own.txt"), text).unwrap();
    let delta_es = |condition: &str| -> Vec<f64> {
        let run = inkset_in(
            &folder,
            &[
                "reach",
                "palette.csv",
                "--condition",
                condition,
                "--ink-limit",
                "300",
                "--format",
                "json",
            ],
        );
        assert_eq!(run.code, 0, "{}", run.shown());
        run.json()
            .as_array()
            .unwrap()
            .iter()
            .map(|row| row["delta_e_unrounded"].as_f64().unwrap())
            .collect()
    };
    let (own, shipped) = (delta_es("own.txt"), delta_es("coated-fogra39"));
    for (own, shipped) in own.iter().zip(&shipped) {
        assert!((own - shipped).abs() < 0.02, "{own} {shipped}");
    }
    assert_eq!(
        own,
        delta_es("own.txt"),
        "the cached grid answers as the fresh one"
    );
}

#[test]
fn bad_palettes_and_conditions_are_told() {
    let folder = empty_folder("reach-bad");
    std::fs::write(
        folder.join("bad.csv"),
        "name,L,a,b\nOne,x,0,0\nTwo,50,0,400\n",
    )
    .unwrap();
    insta::assert_snapshot!(
        "reach bad palette",
        inkset_in(
            &folder,
            &["reach", "bad.csv", "--condition", "coated-tr006"]
        )
        .shown()
    );
    let unknown = inkset(&["reach", "jobs/minimal.toml", "--condition", "glossy"]);
    assert_eq!(unknown.code, 2);
    assert!(
        unknown.stderr.contains("coated-tr006"),
        "{}",
        unknown.shown()
    );
}
