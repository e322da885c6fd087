//! Options that no other beats.

use inkset_units::Money;

/// Says for each option whether it is on the frontier: no other is as cheap and as good in every measure, and better in one.
///
/// An option is its total and its colour measures, smaller being better, the same measures in the same order for all
/// (worst ΔE00, share of colours outside their tolerance …). Options that are equal in everything stand or fall together.
/// A measure that is not a number counts as worse than any other.
pub fn frontier(options: &[(Money, &[f64])]) -> Vec<bool> {
    let beaten = |one: &(Money, &[f64])| options.iter().any(|other| beats(other, one));
    options.iter().map(|option| !beaten(option)).collect()
}

fn beats(one: &(Money, &[f64]), other: &(Money, &[f64])) -> bool {
    let order = |a: f64, b: f64| rank(a).total_cmp(&rank(b));
    let measures = || one.1.iter().zip(other.1).map(|(a, b)| order(*a, *b));
    let no_worse = one.0 <= other.0 && measures().all(std::cmp::Ordering::is_le);
    no_worse && (one.0 < other.0 || measures().any(std::cmp::Ordering::is_lt))
}

fn rank(measure: f64) -> f64 {
    if measure.is_nan() {
        f64::INFINITY
    } else {
        measure
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(options: &[(&str, &[f64])], expected: &[bool]) {
        let options: Vec<(Money, &[f64])> = options
            .iter()
            .map(|(total, measures)| (Money::parse(total).unwrap(), *measures))
            .collect();
        assert_eq!(frontier(&options), expected);
    }

    #[test]
    fn dearer_and_worse_is_beaten() {
        check(
            &[("100", &[5.0]), ("120", &[2.0]), ("130", &[3.0])],
            &[true, true, false],
        );
    }

    #[test]
    fn equal_options_stay_together() {
        check(
            &[("100", &[5.0]), ("100", &[5.0]), ("100", &[6.0])],
            &[true, true, false],
        );
    }

    #[test]
    fn every_measure_counts() {
        check(
            &[
                ("100", &[5.0, 1.0]),
                ("110", &[5.0, 0.5]),
                ("120", &[5.0, 1.0]),
            ],
            &[true, true, false],
        );
        check(&[("100", &[f64::NAN]), ("110", &[9.0])], &[true, true]);
        check(&[], &[]);
    }
}
