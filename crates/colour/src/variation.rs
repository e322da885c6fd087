//! How much a press varies during a run.

use std::borrow::Cow;

/// Size of the press variation, given as two standard deviations of each ink's film and tone value.
///
/// Film is the solid's density, in the ink's main channel. Tone value is in points at the middle tone; a tone t
/// (fraction) moves by 4t(1-t) of that.
#[derive(Debug, Clone, PartialEq)]
pub struct Variation {
    /// What to call it in a report.
    pub name: Cow<'static, str>,
    /// Two standard deviations of the solid's density.
    pub density_two_sd: f64,
    /// Two standard deviations of the tone value at the middle, points.
    pub tone_two_sd: f64,
}

impl Variation {
    /// A run under control: density ±0.05, tone value ±2 points at the middle. Common practice, no source.
    pub const CONTROLLED: Self = Self {
        name: Cow::Borrowed("controlled"),
        density_two_sd: 0.05,
        tone_two_sd: 2.0,
    };

    /// What the process standard still allows in a run: tone value ±4 points at the middle, and a density of ±0.10 for
    /// its variation of the solids, 4 to 5 ΔE*ab. From memory of ISO 12647-2:2004, not checked; a stress case.
    pub const LIMIT: Self = Self {
        name: Cow::Borrowed("limit"),
        density_two_sd: 0.10,
        tone_two_sd: 4.0,
    };

    /// Returns a named size: `controlled` or `limit`.
    pub fn named(name: &str) -> Option<Self> {
        [Self::CONTROLLED, Self::LIMIT]
            .into_iter()
            .find(|v| v.name.eq_ignore_ascii_case(name))
    }

    /// States a plant's own figures; `None` when one is negative or not a number.
    pub fn own(name: &str, density_two_sd: f64, tone_two_sd: f64) -> Option<Self> {
        let is_sound = |v: f64| (0.0..=100.0).contains(&v);
        (is_sound(density_two_sd) && is_sound(tone_two_sd)).then(|| Self {
            name: Cow::Owned(name.to_owned()),
            density_two_sd,
            tone_two_sd,
        })
    }
}
