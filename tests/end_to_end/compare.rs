//! `inkset compare` with the demo offers.

use calamine::{Data, DataType, Reader, Xlsx};

use crate::run::{Run, empty_folder, inkset, root};

pub(crate) const JOB: &str = "jobs/flyer-orange.toml";
pub(crate) const OFFERS: [&str; 5] = [
    "jobs/offers/alder-lane.toml",
    "jobs/offers/brook-litho.toml",
    "jobs/offers/copper-court.toml",
    "jobs/offers/dune-press.toml",
    "jobs/offers/east-quay.csv",
];
pub(crate) const BUYER: [&str; 2] = ["--buyer", "jobs/buyers/farm-shop.toml"];

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
    let beside = std::fs::read_dir(path.parent().unwrap()).unwrap();
    assert_eq!(beside.count(), 1, "nothing half written is left");
}

/// The text of a file in a ZIP archive (its local headers follow one another, sizes stand in the central directory).
fn zipped(bytes: &[u8], name: &str) -> String {
    let number = |at: usize, size: usize| {
        let bytes = bytes[at..at + size].iter().rev();
        bytes.fold(0, |sum, byte| sum << 8 | usize::from(*byte))
    };
    let end = bytes
        .windows(4)
        .rposition(|four| four == b"PK\x05\x06")
        .unwrap();
    let mut at = number(end + 16, 4);
    loop {
        assert_eq!(
            &bytes[at..at + 4],
            b"PK\x01\x02",
            "{name} is not in the archive"
        );
        let [named, extra, comment] = [28, 30, 32].map(|field| number(at + field, 2));
        if &bytes[at + 46..at + 46 + named] != name.as_bytes() {
            at += 46 + named + extra + comment;
            continue;
        }
        let local = number(at + 42, 4);
        let start = local + 30 + number(local + 26, 2) + number(local + 28, 2);
        let packed = &bytes[start..start + number(at + 20, 4)];
        if number(at + 10, 2) == 0 {
            return String::from_utf8(packed.to_vec()).unwrap();
        }
        let mut text = String::new();
        let mut unpacked = flate2::read::DeflateDecoder::new(packed);
        std::io::Read::read_to_string(&mut unpacked, &mut text).unwrap();
        return text;
    }
}

#[test]
fn workbook_has_formats_and_titles_that_stay() {
    let path = empty_folder("workbook-formats").join("offers.xlsx");
    let name = path.to_string_lossy().into_owned();
    let run = compare(&[BUYER[0], BUYER[1], "--xlsx", &name]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let bytes = std::fs::read(&path).unwrap();
    // Names of SpreadsheetML (ECMA-376, part 1, 18.3.1.66 and 18.8.30).
    for sheet in 1..=3 {
        let text = zipped(&bytes, &format!("xl/worksheets/sheet{sheet}.xml"));
        let pane = text
            .split("<pane ")
            .nth(1)
            .unwrap()
            .split("/>")
            .next()
            .unwrap();
        assert!(pane.contains("ySplit=\"1\""), "{pane}");
        assert!(pane.contains("state=\"frozen\""), "{pane}");
    }
    let styles = zipped(&bytes, "xl/styles.xml");
    let mut formats = styles.split("<numFmt ");
    let money = formats.find(|format| format.contains("formatCode=\"#,##0.00\""));
    let money = money.unwrap().split('"').nth(1).unwrap();
    let styled = styles
        .split("<cellXfs")
        .nth(1)
        .unwrap()
        .split("</cellXfs>")
        .next()
        .unwrap();
    let styled: Vec<&str> = styled.split("<xf ").skip(1).collect();
    let sheet = zipped(&bytes, "xl/worksheets/sheet1.xml");
    // Column Q: the comparable price.
    let cell = sheet
        .split("<c r=\"Q2\"")
        .nth(1)
        .unwrap()
        .split("</c>")
        .next()
        .unwrap();
    let style: usize = cell
        .split("s=\"")
        .nth(1)
        .unwrap()
        .split('"')
        .next()
        .unwrap()
        .parse()
        .unwrap();
    let format = format!("numFmtId=\"{money}\"");
    assert!(styled[style].contains(&format), "{} {cell}", styled[style]);
    assert!(!cell.contains("t=\"s\""), "a number, not text: {cell}");
}

/// A figure of the second pass of the orange solid at 25,000 copies, with another rate card.
fn second_pass(card: &str) -> f64 {
    let path = empty_folder("second-pass").join("rates.toml");
    std::fs::write(&path, card).unwrap();
    let name = path.to_string_lossy().into_owned();
    let run = compare(&["--rates", &name, "--format", "json"]);
    let json = run.json();
    let offers = json["offers"].as_array().unwrap();
    let mut inks = offers.iter().flat_map(|o| o["inks"].as_array().unwrap());
    let ink = inks.find(|ink| ink["copies"] == 25_000).unwrap();
    ink["second_pass"].as_str().unwrap().parse().unwrap()
}

#[test]
fn second_pass_pays_for_sheets_it_spoils() {
    let card = std::fs::read_to_string(root().join("rates/metric.toml")).unwrap();
    let condition = |card: &str| card.replace("round_total_to = 1", "round_total_to = 0");
    let dear = condition(&card).replace("1150.00", "2300.00");
    let (usual, dear) = (second_pass(&condition(&card)), second_pass(&dear));
    // The pass spoils sheets on make-ready and run: dearer paper makes it dearer, by less than the paper of the job.
    assert!(dear > usual + 5.0, "{usual} {dear}");
    assert!(dear < usual + 100.0, "{usual} {dear}");
}

#[test]
fn extended_inks_are_compared() {
    let path = empty_folder("extended").join("offers.csv");
    let lines = "supplier,job,date,currency,inks,copies,total\n\
        Alder,\"Taste cards, four blends\",2026-11-20,EUR,process,3000,230\n\
        Alder,,,,process + Orange,3000,340\n\
        Alder,,,,process + violet + green + orange,3000,430\n";
    std::fs::write(&path, lines).unwrap();
    let name = path.to_string_lossy().into_owned();
    let run = inkset(&["compare", "jobs/tea-cards.toml", &name, "--format", "json"]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let json = run.json();
    let options = json["options"].as_array().unwrap();
    let names: Vec<&str> = options
        .iter()
        .map(|o| o["name"].as_str().unwrap())
        .collect();
    assert_eq!(
        names,
        ["CMYK", "CMYK + orange", "CMYK + orange + green + violet"]
    );
    let should = |at: usize| options[at]["should_cost"][0].as_str().unwrap();
    let price = inkset(&[
        "price",
        "jobs/tea-cards.toml",
        "--quantity",
        "3000",
        "--format",
        "csv",
    ]);
    for (at, name) in names.iter().enumerate() {
        let line = price
            .stdout
            .lines()
            .find(|line| line.starts_with(&format!("{name},")));
        let line = line.unwrap_or_else(|| panic!("{name}\n{}", price.stdout));
        assert!(line.contains(should(at)), "{name} {}\n{line}", should(at));
    }
    let inks = json["offers"][0]["inks"].as_array().unwrap();
    assert_eq!(inks[0]["asked"], "110.00", "{inks:?}");
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
