//! `inkset compare` with the demo offers.

use calamine::{Data, DataType, Reader, Xlsx};

use crate::run::{Run, empty_folder, inkset, root};

const JOB: &str = "jobs/flyer-orange.toml";
const OFFERS: [&str; 5] = [
    "jobs/offers/alder-lane.toml",
    "jobs/offers/brook-litho.toml",
    "jobs/offers/copper-court.toml",
    "jobs/offers/dune-press.toml",
    "jobs/offers/east-quay.csv",
];
const BUYER: [&str; 2] = ["--buyer", "jobs/buyers/farm-shop.toml"];

fn compare(more: &[&str]) -> Run {
    let mut arguments = vec!["compare", JOB];
    arguments.extend(OFFERS);
    arguments.extend(more);
    inkset(&arguments)
}

#[test]
fn five_shapes_come_to_one_basis() {
    let run = compare(&BUYER);
    assert!(
        run.stdout.lines().all(|line| line.chars().count() <= 80),
        "{}",
        run.stdout
    );
    assert_eq!(run.code, 0, "{}", run.shown());
    for said in [
        "basket: 3 × 5\u{a0}000 copies, 1 × 10\u{a0}000 copies",
        "holds until 2026-11-30 only; the award is on 2026-12-01",
        "offered in GBP, converted at 1.15 of 2026-11-20",
        "CMYK: Alder Lane Print for EUR",
        "What Pumpkin orange on CMYK is asked for",
        "By price 70 % and colour 30 %",
    ] {
        assert!(run.stdout.contains(said), "{said}\n{}", run.shown());
    }
}

#[test]
fn without_a_buyer_nothing_is_guessed() {
    let run = compare(&[]);
    assert_eq!(run.code, 0, "{}", run.shown());
    assert!(run.stdout.contains("not comparable"), "{}", run.stdout);
    for flag in [
        "validity not judged: the buyer's file gives no `award_date`",
        "offered in GBP, and the buyer's file has no rate: not compared",
    ] {
        assert!(run.stdout.contains(flag), "{flag}\n{}", run.stdout);
    }
}

#[test]
fn json_fits_its_schema_and_csv_its_sums() {
    let run = compare(&[BUYER[0], BUYER[1], "--format", "json"]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let schema = std::fs::read_to_string(root().join("docs/compare.schema.json")).unwrap();
    let schema = serde_json::from_str(&schema).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let problems: Vec<String> = validator
        .iter_errors(&run.json())
        .map(|error| error.to_string())
        .collect();
    assert!(problems.is_empty(), "{problems:?}");
    let csv = compare(&[BUYER[0], BUYER[1], "--format", "csv"]).stdout;
    let mut checked = 0;
    for line in csv.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let cents = |at: usize| fields[at].replace('.', "").parse::<i64>().unwrap_or(0);
        if !fields[16].is_empty() {
            let sum: i64 = (9..16).map(cents).sum();
            assert_eq!(sum, cents(16), "{line}");
            checked += 1;
        }
    }
    assert!(checked > 20, "{csv}");
}

#[test]
fn workbook_holds_numbers_and_is_never_overwritten() {
    let path = empty_folder("workbook").join("offers.xlsx");
    let name = path.to_string_lossy().into_owned();
    let arguments = [BUYER[0], BUYER[1], "--format", "csv", "--xlsx", &name];
    let run = compare(&arguments);
    assert_eq!(run.code, 0, "{}", run.shown());
    let mut book: Xlsx<_> = calamine::open_workbook(&path).unwrap();
    assert_eq!(
        book.sheet_names(),
        ["Prices", "To look into", "Implied rates"]
    );
    let sheet = book.worksheet_range("Prices").unwrap();
    for (line, row) in run.stdout.lines().skip(1).zip(sheet.rows().skip(1)) {
        for (text, cell) in line.split(',').zip(row) {
            match (text.parse::<f64>(), cell) {
                (Ok(number), Data::Float(_) | Data::Int(_)) => {
                    assert_eq!(cell.as_f64(), Some(number), "{line}");
                }
                (_, Data::String(said)) => assert_eq!(said, text, "{line}"),
                (_, Data::Empty) => assert_eq!(text, "", "{line}"),
                other => panic!("{other:?} in {line}"),
            }
        }
    }
    assert_eq!(sheet.height(), run.stdout.lines().count());
    let before = std::fs::read(&path).unwrap();
    let again = compare(&arguments);
    assert_eq!(again.code, 2, "{}", again.shown());
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn offers_for_another_job_stop_it() {
    let mut arguments = vec!["compare", "jobs/booklet.toml"];
    arguments.extend(&OFFERS[..2]);
    arguments.push(OFFERS[0]);
    let run = inkset(&arguments);
    assert_eq!((run.code, run.stdout.as_str()), (1, ""));
    assert_eq!(
        run.stderr.matches("error[other-job]").count(),
        3,
        "{}",
        run.stderr
    );
    assert_eq!(
        run.stderr.matches("error[same-supplier]").count(),
        1,
        "{}",
        run.stderr
    );
}
