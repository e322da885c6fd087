//! Solid inks: colours that bring their own ink.

use std::sync::Arc;

use crate::lab::{D50_WHITE, lab_from_xyz, xyz_from_lab};
use crate::press::{DRAWS, PressSpread, moved_tone, spread};
use crate::variation::Variation;
use crate::{LabD50, TintCurve, Xyz, delta_e00};

/// The match of a solid's own aim to its standard, ΔE00. Common practice, no source.
pub const DEFAULT_MATCH: f64 = 1.0;

/// A solid ink on one paper.
#[derive(Debug, Clone, PartialEq)]
pub struct SolidInk {
    /// Colour of the full solid on this paper.
    pub lab: LabD50,
    /// How near the mixed ink comes to its standard, ΔE00.
    pub match_delta_e: f64,
    /// How its tints run, where they were measured; otherwise by ISO 20654.
    pub tints: Option<Arc<TintCurve>>,
}

impl SolidInk {
    /// States a solid with the default match.
    pub fn new(lab: LabD50) -> Self {
        Self {
            lab,
            match_delta_e: DEFAULT_MATCH,
            tints: None,
        }
    }

    /// Returns the colour of a tint whose tone value by ISO 20654 is `tone_percent` (0 to 100).
    ///
    /// Equal steps of that tone value are equal steps in Lab, so the tint lies on the straight line from the paper to the
    /// solid. Real tints bow a little towards the purer hue; where tints were measured, they bow as measured.
    pub fn tint(&self, paper: LabD50, tone_percent: f64) -> LabD50 {
        let tone = tone_percent.clamp(0.0, 100.0);
        let straight = (tone / 100.0, [0.0; 3]);
        let (share, bow) = self.tints.as_ref().map_or(straight, |tints| tints.at(tone));
        let (from, to) = (paper.to_array(), self.lab.to_array());
        LabD50::from_array(std::array::from_fn(|i| {
            from[i] + (to[i] - from[i]) * share + bow[i]
        }))
    }

    /// Returns the whole percent, 0 or at least the smallest dot, whose tint is nearest to the target, and its ΔE00.
    pub fn best_tint(&self, paper: LabD50, target: LabD50, smallest_dot: f64) -> (u8, f64) {
        let allowed = (0..=100_u8).filter(|t| *t == 0 || f64::from(*t) >= smallest_dot);
        let judged = allowed.map(|t| (t, delta_e00(target, self.tint(paper, f64::from(t)))));
        judged
            .min_by(|p, q| p.1.total_cmp(&q.1))
            .unwrap_or((0, f64::INFINITY))
    }
}

/// Returns the tone value of a tint by ISO 20654, percent, from the colours of paper, solid and tint.
pub fn spot_tone_value(paper: Xyz, solid: Xyz, tint: Xyz) -> f64 {
    let (paper, solid, tint) = (
        lightness_like(paper),
        lightness_like(solid),
        lightness_like(tint),
    );
    let distance = |p: [f64; 3]| {
        (0..3)
            .map(|i| (p[i] - paper[i]) * (p[i] - paper[i]))
            .sum::<f64>()
    };
    100.0 * (distance(tint) / distance(solid).max(f64::MIN_POSITIVE)).sqrt()
}

/// The three channels, each on the scale of L*.
fn lightness_like(xyz: Xyz) -> [f64; 3] {
    let grey = |ratio: f64| lab_from_xyz(Xyz::new(0.0, 100.0 * ratio, 0.0)).l;
    [
        grey(xyz.x / D50_WHITE.x),
        grey(xyz.y / D50_WHITE.y),
        grey(xyz.z / D50_WHITE.z),
    ]
}

/// Returns how far the sheets of a run are from the target when a solid or its tint is printed.
///
/// A solid varies with its own film and its own tone value only; its aim is off its standard by the match, in a seeded
/// direction that differs from sample to sample because nobody knows it beforehand.
pub fn solid_on_press(
    solid: &SolidInk,
    paper: LabD50,
    tone_percent: f64,
    target: LabD50,
    variation: &Variation,
) -> PressSpread {
    let absorption = Absorption::of(paper, solid.lab);
    let differences = DRAWS.iter().map(|draw| {
        let (density, points) = variation.solid.at(draw[0], draw[4]);
        let film = absorption.at(density);
        let tone = moved_tone(tone_percent, points);
        let printed = SolidInk {
            lab: film,
            ..solid.clone()
        }
        .tint(paper, tone);
        let direction = [draw[1], draw[2], draw[3]];
        delta_e00(
            target,
            off_by(
                printed,
                direction,
                solid.match_delta_e * tone_percent / 100.0,
            ),
        )
    });
    spread(differences.collect())
}

/// A solid's colour as its film grows.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Absorption {
    solid: [f64; 3],
    /// Natural logarithms per unit of density in the strongest channel.
    logs: [f64; 3],
}

impl Absorption {
    pub(crate) fn of(paper: LabD50, solid: LabD50) -> Self {
        let (paper, solid) = (
            xyz_from_lab(paper).to_array(),
            xyz_from_lab(solid).to_array().map(|v| v.max(1e-3)),
        );
        let logs: [f64; 3] = std::array::from_fn(|i| libm::log(solid[i] / paper[i].max(1e-3)));
        let strongest = logs.iter().map(|v| v.abs()).fold(1e-3, f64::max);
        Self {
            solid,
            logs: logs.map(|log| std::f64::consts::LN_10 * log / strongest),
        }
    }

    /// What so much more density does to X, Y and Z, as factors.
    pub(crate) fn gains(&self, density: f64) -> [f64; 3] {
        self.logs.map(|log| libm::exp(log * density))
    }

    fn at(&self, density: f64) -> LabD50 {
        let gains = self.gains(density);
        lab_from_xyz(Xyz::from_array(std::array::from_fn(|i| {
            self.solid[i] * gains[i]
        })))
    }
}

/// Moves a colour along a direction in Lab by so much ΔE00.
fn off_by(lab: LabD50, direction: [f64; 3], delta_e: f64) -> LabD50 {
    let moved = |scale: f64| {
        LabD50::new(
            lab.l + direction[0] * scale,
            lab.a + direction[1] * scale,
            lab.b + direction[2] * scale,
        )
    };
    // ΔE00 is close to linear over a step this small, so one correction suffices.
    let first = delta_e00(lab, moved(1.0)).max(1e-9);
    moved(delta_e / first)
}
