//! Tone value increase: how much more a tint covers on paper than in the file.

use crate::solid::spot_tone_value;
use crate::{PrintingCondition, ProcessInk, Xyz, xyz_from_lab};

/// A tint of one process ink as it prints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintedTint {
    /// The ink.
    pub ink: ProcessInk,
    /// Tone in the file, percent.
    pub tone: f64,
    /// Tone value on paper by Murray and Davies, percent.
    pub tone_value: f64,
    /// Tone value on paper by ISO 20654 (even steps to the eye), percent.
    pub spot_tone_value: f64,
}

impl PrintedTint {
    /// Returns the tone value increase, percentage points.
    pub fn increase(&self) -> f64 {
        self.tone_value - self.tone
    }
}

/// Returns how the tints of every ink print: 25, 50 and 75 % of cyan, magenta, yellow and black.
pub fn printed_tints(condition: &PrintingCondition) -> Vec<PrintedTint> {
    let steps = ProcessInk::ALL
        .into_iter()
        .flat_map(|ink| [25.0, 50.0, 75.0].map(|tone| (ink, tone)));
    steps
        .map(|(ink, tone)| printed_tint(condition, ink, tone))
        .collect()
}

/// Returns how one tint prints; `tone` in percent, 0 to 100.
pub fn printed_tint(condition: &PrintingCondition, ink: ProcessInk, tone: f64) -> PrintedTint {
    let colour = |tone: f64| {
        let mut tones = [0.0; 4];
        tones[ink.index()] = tone;
        xyz_from_lab(condition.lab(tones))
    };
    let (paper, solid, tint) = (colour(0.0), colour(100.0), colour(tone));
    PrintedTint {
        ink,
        tone,
        tone_value: tone_value(ink, [paper, solid, tint]),
        spot_tone_value: spot_tone_value(paper, solid, tint),
    }
}

/// Returns the tone value of a tint by Murray and Davies, percent, from the colours of paper, solid and tint.
///
/// The channel is the light that the ink absorbs most: X − 0.55 Z for cyan, Y for magenta and black, Z for yellow. Source:
/// Murray 1936; the channels are those in use with characterisation tables, where no densities are given.
pub fn tone_value(ink: ProcessInk, [paper, solid, tint]: [Xyz; 3]) -> f64 {
    let light = |xyz: Xyz| match ink {
        ProcessInk::Cyan => xyz.x - 0.55 * xyz.z,
        ProcessInk::Magenta | ProcessInk::Black => xyz.y,
        ProcessInk::Yellow => xyz.z,
    };
    let (paper, solid, tint) = (light(paper), light(solid), light(tint));
    100.0 * (paper - tint) / (paper - solid)
}
