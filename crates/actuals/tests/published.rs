//! The estimator against certified and published figures.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop at the first thing that is missing"
)]

use inkset_actuals::{fitted, successive};

/// Rows of a file in `tests/reference/learning`; an empty field is NaN.
fn rows(name: &str) -> Vec<Vec<f64>> {
    let folder = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../tests/reference/learning/"
    );
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_path(format!("{folder}{name}"))
        .unwrap();
    let row = |record: csv::StringRecord| {
        let number = |field: &str| field.parse().unwrap_or(f64::NAN);
        record.iter().map(number).collect()
    };
    reader
        .records()
        .map(|record| row(record.unwrap()))
        .collect()
}

#[test]
fn certified_regression_is_met() {
    let rows = rows("norris.csv");
    assert_eq!(rows.len(), 36);
    let y: Vec<f64> = rows.iter().map(|row| row[0]).collect();
    let x = rows.iter().map(|row| row[1]).collect();
    let fit = fitted(&[vec![1.0; y.len()], x], &y).unwrap();
    assert_eq!(fit.degrees, 34);
    for (what, found, certified) in [
        ("B0", fit.coefficients[0], -0.262_323_073_774_029),
        ("B1", fit.coefficients[1], 1.002_116_818_020_45),
        ("error of B0", fit.standard_errors[0], 0.232_818_234_301_152),
        (
            "error of B1",
            fit.standard_errors[1],
            0.000_429_796_848_199_937,
        ),
        ("residual deviation", fit.spread, 0.884_796_396_144_373),
    ] {
        let relative = ((found - certified) / certified).abs();
        assert!(relative < 1e-9, "{what}: {found}, certified {certified}");
    }
    let pulls: f64 = fit.leverages.iter().sum();
    assert!((pulls - 2.0).abs() < 1e-12, "leverages sum to the columns");
}

#[test]
fn published_outliers_are_found() {
    let rows = rows("rosner_1983.csv");
    assert_eq!(rows.len(), 54);
    let values: Vec<f64> = rows.iter().map(|row| row[0]).collect();
    let tested = successive(&values, 10, 0.05);
    for (step, (farthest, row)) in tested.iter().zip(&rows).enumerate() {
        assert!(
            (farthest.distance - row[1]).abs() < 1e-6 && (farthest.critical - row[2]).abs() < 1e-6,
            "step {}: {farthest:?}, published {} and {}",
            step + 1,
            row[1],
            row[2]
        );
    }
    let last = tested.iter().rposition(|f| f.distance > f.critical);
    assert_eq!(last, Some(2), "three outliers");
}

#[test]
fn columns_that_say_the_same_are_refused() {
    let column = vec![1.0, 2.0, 3.0, 4.0];
    let twice = column.iter().map(|v| v * 2.0).collect();
    assert_eq!(
        fitted(&[column.clone(), twice], &[1.0, 2.0, 2.0, 5.0]),
        None
    );
    assert_eq!(fitted(&[column], &[1.0]), None);
    assert_eq!(fitted(&[vec![0.0; 3]], &[1.0, 2.0, 3.0]), None);
}
