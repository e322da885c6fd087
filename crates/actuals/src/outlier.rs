//! Which of several ratios do not belong with the others.
//!
//! The generalised extreme studentized deviate test: B. Rosner, Percentage Points for a Generalized ESD Many-Outlier
//! Procedure, Technometrics 25 (1983); NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.17.3. With one
//! suspect it is Grubbs' test, exact for any number of values; for more it is good from 25 values on.

use crate::student::quantile;

/// Risk of setting a good set's farthest value aside. Small, so that intervals keep their meaning. Our own choice.
const RISK: f64 = 0.01;
/// From so many values on, one in ten may be suspect; below, one.
const MANY: usize = 25;
/// Fewer values say nothing of an outlier: the test cannot tell one among three.
const FEWEST: usize = 4;

/// The value farthest from the mean when those farther still are gone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Farthest {
    /// Its index.
    pub at: usize,
    /// Its distance from the mean, in standard deviations.
    pub distance: f64,
    /// Distance beyond which it does not belong, at the risk asked for.
    pub critical: f64,
}

/// Indices of the values that do not belong, in the order of their distance.
pub fn outliers(values: &[f64]) -> Vec<usize> {
    if values.len() < FEWEST {
        return Vec::new();
    }
    let suspects = if values.len() < MANY {
        1
    } else {
        values.len() / 10
    };
    let tested = successive(values, suspects, RISK);
    let beyond = tested.iter().rposition(|f| f.distance > f.critical);
    tested[..beyond.map_or(0, |last| last + 1)]
        .iter()
        .map(|f| f.at)
        .collect()
}

/// Takes away the farthest value again and again, at most so often; ends early when the rest are equal.
pub fn successive(values: &[f64], suspects: usize, risk: f64) -> Vec<Farthest> {
    let mut left: Vec<usize> = (0..values.len()).collect();
    let mut tested = Vec::new();
    while tested.len() < suspects && left.len() > 2 {
        let n = left.len() as f64;
        let mean = left.iter().map(|at| values[*at]).sum::<f64>() / n;
        let squares = left
            .iter()
            .map(|at| (values[*at] - mean) * (values[*at] - mean));
        let spread = (squares.sum::<f64>() / (n - 1.0)).sqrt();
        let away = |at: usize| (values[at] - mean).abs();
        let place = (0..left.len()).reduce(|far, place| {
            if away(left[place]) > away(left[far]) {
                place
            } else {
                far
            }
        });
        // Ratios that agree to the last digit have no spread to measure a distance by.
        let Some(place) = place.filter(|_| spread > mean.abs() * 1e-12) else {
            break;
        };
        let t = quantile(1.0 - risk / (2.0 * n), left.len() - 2);
        let at = left.remove(place);
        tested.push(Farthest {
            at,
            distance: away(at) / spread,
            critical: (n - 1.0) * t / ((n - 2.0 + t * t) * n).sqrt(),
        });
    }
    tested
}

#[cfg(test)]
mod tests {
    use super::outliers;

    #[test]
    fn one_slip_is_found_and_no_more() {
        let mut ratios = vec![1.02, 0.97, 1.05, 0.99, 1.01, 1.04, 0.95];
        assert_eq!(outliers(&ratios), Vec::<usize>::new());
        ratios.push(10.1);
        assert_eq!(outliers(&ratios), [7]);
        assert_eq!(outliers(&[1.0, 1.0, 1.0, 1.0]), Vec::<usize>::new());
        assert_eq!(outliers(&[1.0, 9.0]), Vec::<usize>::new());
    }
}
