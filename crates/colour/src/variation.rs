//! How much a press varies during a run.

use std::borrow::Cow;

/// How much one ink varies, as two standard deviations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviation {
    /// Of the solid's density, in the ink's main channel.
    pub density_two_sd: f64,
    /// Of the tone value at the middle tone, points; a tone t (fraction) moves by 4t(1-t) of that.
    pub tone_two_sd: f64,
    /// Correlation of the two within the unit, -1 to 1: a heavier film also prints fuller.
    pub correlation: f64,
}

impl Deviation {
    /// States a deviation whose film and tone value are independent, from figures that are known to be sound.
    const fn fixed(density_two_sd: f64, tone_two_sd: f64) -> Self {
        Self {
            density_two_sd,
            tone_two_sd,
            correlation: 0.0,
        }
    }

    /// States a deviation; `None` when a size is negative or above 100, a correlation beyond ±1, or one not a number.
    pub fn new(density_two_sd: f64, tone_two_sd: f64, correlation: f64) -> Option<Self> {
        let is_size = |v: f64| (0.0..=100.0).contains(&v);
        let sound =
            is_size(density_two_sd) && is_size(tone_two_sd) && (-1.0..=1.0).contains(&correlation);
        sound.then_some(Self {
            density_two_sd,
            tone_two_sd,
            correlation,
        })
    }

    /// The density deviation and tone deviation at the middle that two independent standard deviations stand for.
    pub(crate) fn at(&self, film: f64, tone: f64) -> (f64, f64) {
        let free = (1.0 - self.correlation * self.correlation).max(0.0).sqrt();
        (
            0.5 * self.density_two_sd * film,
            0.5 * self.tone_two_sd * (self.correlation * film + free * tone),
        )
    }
}

/// Size of the press variation, ink by ink.
#[derive(Debug, Clone, PartialEq)]
pub struct Variation {
    /// What to call it in a report.
    pub name: Cow<'static, str>,
    /// Where the figures come from.
    pub source: Cow<'static, str>,
    /// Cyan, magenta, yellow, black.
    pub inks: [Deviation; 4],
    /// Any solid ink.
    pub solid: Deviation,
}

impl Variation {
    /// A run under control: density ±0.05, tone value ±2 points at the middle. Common practice, no source.
    pub const CONTROLLED: Self = Self {
        name: Cow::Borrowed("controlled"),
        source: Cow::Borrowed(
            "density ±0.05, tone value ±2 points for 95 % of sheets; common practice, no source",
        ),
        inks: [Deviation::fixed(0.05, 2.0); 4],
        solid: Deviation::fixed(0.05, 2.0),
    };

    /// What the process standard still allows in a run: tone value ±4 points at the middle, and a density of ±0.10 for
    /// its variation of the solids, 4 to 5 ΔE*ab. From memory of ISO 12647-2:2004, not checked; a stress case.
    ///
    /// It is the variation tolerance (sheet to sheet in a run), not the deviation tolerance (proof to aim).
    pub const LIMIT: Self = Self {
        name: Cow::Borrowed("limit"),
        source: Cow::Borrowed(
            "density ±0.10, tone value ±4 points for 95 % of sheets; variation tolerance of a run, from memory of ISO 12647-2:2004",
        ),
        inks: [Deviation::fixed(0.10, 4.0); 4],
        solid: Deviation::fixed(0.10, 4.0),
    };

    /// Returns a named size: `controlled` or `limit`.
    pub fn named(name: &str) -> Option<Self> {
        [Self::CONTROLLED, Self::LIMIT]
            .into_iter()
            .find(|v| v.name.eq_ignore_ascii_case(name))
    }

    /// States a plant's own figures, the same for every ink; `None` when one is negative or not a number.
    pub fn own(name: &str, density_two_sd: f64, tone_two_sd: f64) -> Option<Self> {
        let all = Deviation::new(density_two_sd, tone_two_sd, 0.0)?;
        Some(Self {
            name: Cow::Owned(name.to_owned()),
            source: Cow::Borrowed("the plant's own figures"),
            inks: [all; 4],
            solid: all,
        })
    }

    /// The same variation with every ink still but one of the process inks (0 to 3).
    pub(crate) fn only(&self, ink: usize) -> Self {
        let mut one = self.clone();
        for (at, deviation) in one.inks.iter_mut().enumerate() {
            if at != ink {
                *deviation = Deviation::fixed(0.0, 0.0);
            }
        }
        one
    }
}
