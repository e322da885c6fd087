//! One way to print a colour, and what it is worth.

use inkset_colour::LabD50;

/// How a colour is printed in an ink set.
#[derive(Debug, Clone, PartialEq)]
pub struct Rendering {
    /// Which way.
    pub kind: RenderingKind,
    /// Whole-percent tone values of the process inks C M Y K.
    pub process: [u8; 4],
    /// Tone of a solid: index into [`inkset_spec::Job::colours`] of the colour it is mixed for, and percent.
    pub solid: Option<(usize, f64)>,
    /// A second solid printed over the first, in the same form.
    pub second_solid: Option<(usize, f64)>,
    /// Whole-percent tone values of extended process inks: indices into [`crate::Conditions::extended`], and percent.
    pub extended: Vec<(usize, u8)>,
    /// What the figures may be off because overprints in it were predicted, ΔE00, to two decimals; 0 when all were
    /// measured. Already added to `delta_e_on_press`.
    pub prediction: f64,
    /// What is printed at the aim; `None` for an effect, whose look no Lab describes.
    pub lab: Option<LabD50>,
    /// ΔE00 to the target at the aim, to two decimals.
    pub delta_e: f64,
    /// Median of ΔE00 to the target under press variation, to two decimals.
    pub delta_e_median: f64,
    /// For a build: how far 95 % of sheets keep from its aim when only one of C M Y K varies, to two decimals.
    pub drift_by_ink: [f64; 4],
    /// The same for each ink of `extended`, or for the solid and the second solid of an overprint.
    pub drift_by_further: Vec<f64>,
    /// 95th percentile of ΔE00 to the target under press variation, to two decimals.
    pub delta_e_on_press: f64,
    /// What that means within the tolerance.
    pub verdict: Verdict,
}

/// Ways to print a colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RenderingKind {
    /// Out of process tints.
    Build,
    /// The full tone of a solid ink.
    Solid,
    /// A tint of a solid ink.
    Tint,
    /// A solid with black, or two solids, over each other.
    Overprint,
    /// An effect ink of its own.
    Effect,
    /// Nothing in the set comes within the tolerance; the nearest there is.
    OutOfReach,
}

impl RenderingKind {
    /// The word shown to users.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Build => "build",
            Self::Solid => "solid",
            Self::Tint => "tint",
            Self::Overprint => "overprint",
            Self::Effect => "effect",
            Self::OutOfReach => "out of reach",
        }
    }
}

/// Whether a colour keeps within its tolerance; better verdicts first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Inside at the aim and for 95 % of sheets.
    Holds,
    /// Inside at the aim, not for 95 % of sheets.
    Drifts,
    /// Outside at the aim.
    Misses,
}

impl Verdict {
    /// Judges two differences, as shown, against a tolerance.
    pub fn of(delta_e: f64, on_press: f64, tolerance: f64) -> Self {
        if delta_e > tolerance {
            Self::Misses
        } else if on_press > tolerance {
            Self::Drifts
        } else {
            Self::Holds
        }
    }

    /// The word shown to users.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Drifts => "drifts",
            Self::Misses => "misses",
        }
    }
}

impl Rendering {
    /// Nothing is printed, which misses.
    pub(crate) fn blank() -> Self {
        Self {
            kind: RenderingKind::OutOfReach,
            process: [0; 4],
            solid: None,
            second_solid: None,
            extended: Vec::new(),
            prediction: 0.0,
            lab: None,
            delta_e: 0.0,
            delta_e_median: 0.0,
            drift_by_ink: [0.0; 4],
            drift_by_further: Vec::new(),
            delta_e_on_press: 0.0,
            verdict: Verdict::Misses,
        }
    }

    /// ΔE at the aim with what the prediction may be off: a measured build is worth more than a predicted one as near.
    fn aim_for_sure(&self) -> f64 {
        self.delta_e + self.prediction
    }

    /// Whether this one is to be preferred: the better verdict, then the smaller ΔE at the aim, then on press.
    pub(crate) fn beats(&self, other: &Self) -> bool {
        let differences = |r: &Self| (r.aim_for_sure(), r.delta_e_on_press);
        self.verdict < other.verdict
            || (self.verdict == other.verdict && differences(self) < differences(other))
    }

    /// Whether this one is as near at the aim and on press, whatever the tolerance.
    pub(crate) fn as_near_as(&self, other: &Self) -> bool {
        self.delta_e <= other.delta_e
            && self.aim_for_sure() <= other.aim_for_sure()
            && self.delta_e_on_press <= other.delta_e_on_press
    }

    /// Whether this one keeps nearer on press, whatever the tolerance; then the smaller ΔE at the aim.
    pub(crate) fn steadier(&self, other: &Self) -> bool {
        (self.delta_e_on_press, self.delta_e) < (other.delta_e_on_press, other.delta_e)
    }

    /// What is laid down: tones of the process inks, the solids and the extended inks. Equal when the print is.
    pub(crate) fn tones(&self) -> impl Eq + std::hash::Hash + use<> {
        let solid = |(colour, tone): (usize, f64)| (colour, tone.to_bits());
        (
            self.process,
            self.solid.map(solid),
            self.second_solid.map(solid),
            self.extended.clone(),
        )
    }

    /// No worse than `other` in verdict and both differences.
    pub(crate) fn as_good_as(&self, other: &Self) -> bool {
        self.verdict <= other.verdict
            && self.aim_for_sure() <= other.aim_for_sure()
            && self.delta_e_on_press <= other.delta_e_on_press
    }
}

/// Two decimals: the figure that is shown is the figure that is judged.
pub(crate) fn shown(delta_e: f64) -> f64 {
    (delta_e * 100.0).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verdict_follows_aim_then_press() {
        assert_eq!(Verdict::of(1.0, 2.0, 2.0), Verdict::Holds);
        assert_eq!(Verdict::of(1.0, 2.01, 2.0), Verdict::Drifts);
        assert_eq!(Verdict::of(2.01, 2.5, 2.0), Verdict::Misses);
    }
}
