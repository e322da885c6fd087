//! From values to places, and the values that are marked.

/// A range of values along a stretch of the drawing.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scale {
    values: (f64, f64),
    places: (f64, f64),
    logarithmic: bool,
}

impl Scale {
    /// Even steps.
    pub(crate) fn even(values: (f64, f64), places: (f64, f64)) -> Self {
        Self {
            values,
            places,
            logarithmic: false,
        }
    }

    /// Even ratios; both values above zero.
    pub(crate) fn ratios(values: (f64, f64), places: (f64, f64)) -> Self {
        Self {
            values: (libm::log10(values.0), libm::log10(values.1)),
            places,
            logarithmic: true,
        }
    }

    /// The place of a value.
    pub(crate) fn at(&self, value: f64) -> f64 {
        let value = if self.logarithmic {
            libm::log10(value)
        } else {
            value
        };
        let span = self.values.1 - self.values.0;
        let share = if span == 0.0 {
            0.5
        } else {
            (value - self.values.0) / span
        };
        self.places.0 + share * (self.places.1 - self.places.0)
    }
}

/// Round values, 1, 2 or 5 times a power of ten apart, from at or below `low` to at or above `high`; about `count` of them.
pub(crate) fn even_ticks(low: f64, high: f64, count: usize) -> Vec<f64> {
    let least = 1e-6 * high.abs().max(1.0);
    let high = high.max(low + least);
    let span = high - low;
    let rough = span / count.max(1) as f64;
    let power = libm::pow(10.0, libm::floor(libm::log10(rough)));
    let steps = [1.0, 2.0, 5.0, 10.0].map(|step| step * power);
    let step = steps.into_iter().find(|step| *step >= rough * 0.999);
    let step = step.unwrap_or(10.0 * power);
    let (first, last) = ((low / step).floor(), (high / step - 1e-9).ceil());
    (0..=(last - first).clamp(1.0, 50.0) as usize)
        .map(|at| (first + at as f64) * step)
        .collect()
}

/// The values 1, 2 and 5 times a power of ten between two values above zero.
pub(crate) fn decades(low: f64, high: f64) -> Vec<f64> {
    let from = libm::floor(libm::log10(low)) as i32;
    let to = libm::ceil(libm::log10(high)) as i32;
    (from..=to)
        .flat_map(|power| [1.0, 2.0, 5.0].map(|digit| digit * libm::pow(10.0, f64::from(power))))
        .filter(|value| (low..=high).contains(value))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_enclose() {
        assert_eq!(even_ticks(0.0, 7.01, 4), [0.0, 2.0, 4.0, 6.0, 8.0]);
        assert_eq!(
            even_ticks(178.0, 326.0, 3),
            [150.0, 200.0, 250.0, 300.0, 350.0]
        );
        assert!((2..6).contains(&even_ticks(5.0, 5.0, 3).len()));
        assert_eq!(decades(500.0, 16_000.0), [500.0, 1e3, 2e3, 5e3, 1e4]);
    }

    #[test]
    fn ratios_are_even() {
        let scale = Scale::ratios((10.0, 1000.0), (0.0, 200.0));
        assert!((scale.at(100.0) - 100.0).abs() < 1e-9);
        assert!((Scale::even((2.0, 2.0), (0.0, 10.0)).at(2.0) - 5.0).abs() < 1e-9);
    }
}
