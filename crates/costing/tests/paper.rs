//! Paper weights against published worked examples.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_units::{Gsm, Size, basis_category};
use support::fields;

const EXAMPLES: &str = include_str!("../../../tests/reference/costing/worked_examples.csv");
const KG_PER_POUND: f64 = 0.453_592_37;

fn inches(width: f64, height: f64) -> Size {
    Size::from_mm(width * 25.4, height * 25.4).unwrap()
}

fn pounds_per_thousand(gsm: Gsm, sheet: Size) -> f64 {
    gsm.kg_per_thousand(sheet) / KG_PER_POUND
}

fn basis(pounds: f64, category: &str) -> Gsm {
    Gsm::from_basis_weight(pounds, basis_category(category).unwrap()).unwrap()
}

/// Weight of a paper of which 500 sheets of a size weigh so many pounds.
fn of_ream(pounds: f64, sheet: Size) -> Gsm {
    Gsm::new(pounds * KG_PER_POUND * 1_000.0 / (500.0 * sheet.area_m2())).unwrap()
}

fn computed(id: &str) -> Option<f64> {
    let book = basis_category("book").unwrap();
    let sra2 = Size::parse("SRA2").unwrap();
    let reams = |gsm: f64, sheet| Gsm::new(gsm).unwrap().kg_per_thousand(sheet) / 2.0;
    Some(match id {
        "P1" => pounds_per_thousand(basis(70.0, "book"), inches(11.0, 17.0)),
        "P2" => Gsm::new(67.3).unwrap().basis_weight(book),
        "P3" => basis(45.0, "book").value(),
        "P6" => basis(90.0, "offset").value(),
        "P7" => basis(100.0, "cover").value(),
        // 56 lb for 1,000 sheets is 28 lb a ream, whatever the size.
        "P8" => 1.475 * pounds_per_thousand(of_ream(28.0, inches(25.0, 38.0)), inches(25.0, 38.0)),
        "P9" => of_ream(56.0, inches(23.0, 29.0)).basis_weight(book),
        "P10" => pounds_per_thousand(basis(32.0, "bond"), inches(28.0, 34.0)) / 2.0,
        "P13" => pounds_per_thousand(of_ream(50.0, inches(24.0, 36.0)), inches(36.0, 48.0)),
        "P14" => reams(150.0, sra2),
        "P15" => reams(100.0, inches(25.0, 38.0)),
        "P17" => Gsm::new(150.0).unwrap().kg_per_thousand(sra2),
        _ => return None,
    })
}

#[test]
fn published_paper_examples_are_met() {
    let mut seen = 0;
    for line in EXAMPLES
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
    {
        let row = fields(line);
        let Some(value) = computed(&row[0]) else {
            continue;
        };
        let (exact, tolerance): (f64, f64) = (row[4].parse().unwrap(), row[5].parse().unwrap());
        // A tolerance of 0 means the digits given.
        assert!(
            (value - exact).abs() <= tolerance.max(0.001),
            "{line}: {value}"
        );
        seen += 1;
    }
    assert_eq!(seen, 12);
}
