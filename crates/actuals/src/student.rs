//! Quantiles of Student's t for any level.

/// Bisections of the quantile; each halves an interval that ends within the digits of a double.
const HALVINGS: usize = 60;
/// Terms of the continued fraction; far fewer are needed.
const MOST_TERMS: usize = 500;

/// The value that a share `level` of Student's t with so many degrees of freedom lies below.
///
/// `level` in `0.5..1`, at least 1 degree of freedom; checked against the published table to its last digit.
pub fn quantile(level: f64, degrees: usize) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while below(high, degrees) < level && high < 1e12 {
        high *= 2.0;
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if below(middle, degrees) < level {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// Share of Student's t below `t >= 0`.
fn below(t: f64, degrees: usize) -> f64 {
    let n = degrees as f64;
    1.0 - 0.5 * incomplete_beta(n / (n + t * t), n / 2.0, 0.5)
}

/// Regularised incomplete beta function, by its continued fraction (NIST Digital Library of Mathematical Functions,
/// 8.17.22), summed by the modified Lentz method.
fn incomplete_beta(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return x.clamp(0.0, 1.0);
    }
    // The fraction converges quickly below this bound; above it the function is that of 1 - x turned over.
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta(1.0 - x, b, a);
    }
    let front = libm::lgamma(a + b) - libm::lgamma(a) - libm::lgamma(b)
        + a * libm::log(x)
        + b * libm::log(1.0 - x);
    libm::exp(front) * fraction(x, a, b) / a
}

fn fraction(x: f64, a: f64, b: f64) -> f64 {
    let away = |value: f64| if value.abs() < 1e-300 { 1e-300 } else { value };
    let (mut c, mut d) = (1.0, 1.0 / away(1.0 - (a + b) * x / (a + 1.0)));
    let mut result = d;
    for term in 1..=MOST_TERMS {
        let m = term as f64;
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let mut step = 1.0;
        for coefficient in [even, odd] {
            d = 1.0 / away(1.0 + coefficient * d);
            c = away(1.0 + coefficient / c);
            step = c * d;
            result *= step;
        }
        if (step - 1.0_f64).abs() < 1e-15 {
            break;
        }
    }
    result
}

#[cfg(test)]
mod tests {
    use super::quantile;

    #[test]
    fn published_quantiles_are_met() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.2, critical values of Student's t.
        for (level, degrees, published) in [
            (0.90, 1, 3.078),
            (0.95, 1, 6.314),
            (0.95, 2, 2.920),
            (0.95, 5, 2.015),
            (0.95, 10, 1.812),
            (0.95, 30, 1.697),
            (0.95, 100, 1.660),
            (0.975, 4, 2.776),
            (0.99, 7, 2.998),
            (0.999, 20, 3.552),
        ] {
            let found = quantile(level, degrees);
            assert!(
                (found - published).abs() < 0.0006,
                "{level} {degrees}: {found}"
            );
        }
    }
}
