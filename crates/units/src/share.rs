//! Shares, tone values and colour differences.

/// Share of an area carrying one ink, `0.0..=1.0`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Coverage(f64);

impl Coverage {
    /// Nothing printed.
    pub const NONE: Self = Self(0.0);
    /// The whole area.
    pub const FULL: Self = Self(1.0);

    /// `None` outside `0.0..=1.0`, or NaN.
    pub fn from_fraction(fraction: f64) -> Option<Self> {
        (0.0..=1.0).contains(&fraction).then_some(Self(fraction))
    }

    /// The fraction, `0.0..=1.0`.
    pub fn fraction(self) -> f64 {
        self.0
    }
}

/// Tone value of a tint in percent, `0.0..=100.0`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct ToneValue(f64);

impl ToneValue {
    /// The full tone.
    pub const SOLID: Self = Self(100.0);

    /// `None` outside `0.0..=100.0`, or NaN.
    pub fn from_percent(percent: f64) -> Option<Self> {
        (0.0..=100.0).contains(&percent).then_some(Self(percent))
    }

    /// The tone value in percent.
    pub fn percent(self) -> f64 {
        self.0
    }

    /// The tone value as a fraction, `0.0..=1.0`.
    pub fn fraction(self) -> f64 {
        self.0 / 100.0
    }
}

/// Colour difference ΔE00, not negative.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct DeltaE(f64);

impl DeltaE {
    /// `None` if negative, NaN or infinite.
    pub fn new(value: f64) -> Option<Self> {
        (value.is_finite() && value >= 0.0).then_some(Self(value))
    }

    /// The difference in ΔE00.
    pub fn value(self) -> f64 {
        self.0
    }
}

/// A percentage that is no tone value: spoilage, overs, mark-up. Not negative.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Percent(f64);

impl Percent {
    /// Nothing.
    pub const ZERO: Self = Self(0.0);

    /// `None` if negative, NaN or infinite.
    pub fn new(percent: f64) -> Option<Self> {
        (percent.is_finite() && percent >= 0.0).then_some(Self(percent))
    }

    /// In percent.
    pub fn percent(self) -> f64 {
        self.0
    }

    /// As a fraction.
    pub fn fraction(self) -> f64 {
        self.0 / 100.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_outside_their_range_do_not_exist() {
        assert!(Coverage::from_fraction(1.35).is_none());
        assert!(Coverage::from_fraction(f64::NAN).is_none());
        assert!(ToneValue::from_percent(-0.1).is_none());
        assert!(DeltaE::new(f64::INFINITY).is_none());
        assert!(Percent::new(-1.0).is_none());
    }
}
