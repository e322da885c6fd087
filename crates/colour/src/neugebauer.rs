//! The physical half of the model: halftone dots as areas of sixteen primaries.
//!
//! Method: Neugebauer's area model with the Yule-Nielsen exponent n, which stands for light spreading in the paper. Each
//! ink has one curve from the tone in the file to the area that it seems to cover on paper. Sources: Neugebauer 1937,
//! Yule and Nielsen 1951, as retold in Wyble and Berns 2000.

use crate::curve::ToneCurve;
use crate::lab::{lab_from_xyz, xyz_from_lab};
use crate::overprint::predicted_primaries;
use crate::table::Patch;
use crate::{LabD50, ProcessInk, Xyz};

/// A fitted area model of one printing condition.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Neugebauer {
    /// Yule-Nielsen exponent, 1 (no spreading) upwards.
    pub(crate) exponent: f64,
    /// CIEXYZ of the sixteen primaries; bit i of the index says whether ink i is there.
    pub(crate) primaries: [[f64; 3]; 16],
    /// Tone to apparent area, one curve per ink, both as fractions.
    pub(crate) curves: [ToneCurve; 4],
    /// The primaries raised to 1/n.
    roots: [[f64; 3]; 16],
    /// Each ink's logarithm of transmittance, channel by channel, for one unit of density in its main channel.
    absorption: [[f64; 3]; 4],
}

impl Neugebauer {
    pub(crate) fn new(exponent: f64, primaries: &[[f64; 3]; 16], curves: [ToneCurve; 4]) -> Self {
        let roots = primaries.map(|p| roots(p, exponent));
        let absorption = std::array::from_fn(|ink| absorption(primaries[0], primaries[1 << ink]));
        Self {
            exponent,
            primaries: *primaries,
            curves,
            roots,
            absorption,
        }
    }

    /// Fits exponent and curves; `None` when the paper or a solid was not measured.
    pub(crate) fn fit(patches: &[Patch]) -> Option<Self> {
        measured_primaries(patches).map(|primaries| Self::fit_curves(&primaries, patches))
    }

    /// Fits exponent and curves to patches, with the primaries known.
    pub(crate) fn fit_curves(primaries: &[[f64; 3]; 16], patches: &[Patch]) -> Self {
        let exponents = (4..=24).map(|quarter| f64::from(quarter) * 0.25);
        exponents
            .map(|exponent| Self::with_exponent(exponent, primaries, patches))
            .map(|model| (model.squared_error(patches), model))
            .min_by(|p, q| p.0.total_cmp(&q.0))
            .map(|(_, model)| model)
            .expect("there are exponents to try")
    }

    fn with_exponent(exponent: f64, primaries: &[[f64; 3]; 16], patches: &[Patch]) -> Self {
        let curves = ProcessInk::ALL.map(|ink| fit_curve(ink, exponent, primaries, patches));
        Self::new(exponent, primaries, curves)
    }

    fn squared_error(&self, patches: &[Patch]) -> f64 {
        let square = |p: &Patch| {
            let (model, measured) = (self.lab(p.tones).to_array(), p.lab.to_array());
            (0..3)
                .map(|i| (model[i] - measured[i]) * (model[i] - measured[i]))
                .sum::<f64>()
        };
        patches.iter().map(square).sum()
    }

    /// Returns the areas covered by the four inks at these tones (percent), as fractions.
    pub(crate) fn areas(&self, tones: [f64; 4]) -> [f64; 4] {
        std::array::from_fn(|i| self.curves[i].at(tones[i] / 100.0))
    }

    /// Returns the model's colour at tones in percent.
    pub(crate) fn lab(&self, tones: [f64; 4]) -> LabD50 {
        self.lab_at_areas(self.areas(tones))
    }

    /// Returns CIEXYZ at these areas when each ink's solid has so much more density in its main channel.
    ///
    /// A thicker film darkens every primary that carries the ink, in proportion to the ink's own absorption.
    pub(crate) fn xyz_with_films(&self, areas: [f64; 4], densities: [f64; 4]) -> [f64; 3] {
        let roots = self.with_films(&self.roots, densities);
        mix(&roots, areas).map(|root| libm::pow(root, self.exponent))
    }

    /// Primaries, raised to 1/n, with thicker or thinner films of the inks that they carry.
    pub(crate) fn with_films(&self, roots: &[[f64; 3]; 16], densities: [f64; 4]) -> [[f64; 3]; 16] {
        let mut roots = *roots;
        for ink in (0..4).filter(|i| densities[*i] != 0.0) {
            let gains =
                self.absorption[ink].map(|log| libm::exp(log * densities[ink] / self.exponent));
            for (_, root) in roots
                .iter_mut()
                .enumerate()
                .filter(|(mask, _)| mask >> ink & 1 == 1)
            {
                *root = std::array::from_fn(|channel| root[channel] * gains[channel]);
            }
        }
        roots
    }

    pub(crate) fn lab_at_areas(&self, areas: [f64; 4]) -> LabD50 {
        let mixed = mix(&self.roots, areas);
        lab_from_xyz(Xyz::from_array(
            mixed.map(|root| libm::pow(root, self.exponent)),
        ))
    }
}

/// Mixes the sixteen primaries by area (Demichel's products), one ink after the other.
pub(crate) fn mix(roots: &[[f64; 3]; 16], areas: [f64; 4]) -> [f64; 3] {
    let mut level = *roots;
    for (ink, area) in areas.iter().enumerate().rev() {
        let half = 1 << ink;
        for low in 0..half {
            let (without, with) = (level[low], level[low + half]);
            level[low] = std::array::from_fn(|i| without[i] + (with[i] - without[i]) * area);
        }
    }
    level[0]
}

/// Natural logarithms of one unit of density in the channel where the ink absorbs most.
fn absorption(paper: [f64; 3], solid: [f64; 3]) -> [f64; 3] {
    let logs: [f64; 3] = std::array::from_fn(|i| libm::log((solid[i] / paper[i]).clamp(1e-4, 1.0)));
    let strongest = logs.iter().copied().fold(-1e-6, f64::min);
    logs.map(|log| std::f64::consts::LN_10 * log / -strongest)
}

fn roots(xyz: [f64; 3], exponent: f64) -> [f64; 3] {
    xyz.map(|v| libm::pow(v.max(0.0), 1.0 / exponent))
}

/// The sixteen primaries; overprints that were not measured are predicted.
fn measured_primaries(patches: &[Patch]) -> Option<[[f64; 3]; 16]> {
    let measured = |mask: usize| {
        let wanted: [f64; 4] =
            std::array::from_fn(|i| if mask >> i & 1 == 1 { 100.0 } else { 0.0 });
        patches
            .iter()
            .find(|p| p.is_at(wanted))
            .map(|p| xyz_from_lab(p.lab).to_array())
    };
    let paper = measured(0)?;
    let mut primaries = [paper; 16];
    for mask in [1, 2, 4, 8] {
        primaries[mask] = measured(mask)?;
    }
    let overprints: Vec<usize> = (1..16_usize).filter(|m| m.count_ones() > 1).collect();
    let found: Vec<Option<[f64; 3]>> = overprints.iter().map(|mask| measured(*mask)).collect();
    if found.iter().any(Option::is_none) {
        primaries = predicted_primaries(&primaries);
    }
    for (mask, xyz) in overprints.into_iter().zip(found) {
        primaries[mask] = xyz.unwrap_or(primaries[mask]);
    }
    Some(primaries)
}

/// Reads one ink's curve off its own ramp: the area that explains each step best in all three channels.
fn fit_curve(
    ink: ProcessInk,
    exponent: f64,
    primaries: &[[f64; 3]; 16],
    patches: &[Patch],
) -> ToneCurve {
    let paper = roots(primaries[0], exponent);
    let solid = roots(primaries[1 << ink.index()], exponent);
    let steps = patches.iter().filter(|p| is_step_of(p, ink)).map(|p| {
        let step = roots(xyz_from_lab(p.lab).to_array(), exponent);
        let along = |v: [f64; 3]| {
            (0..3)
                .map(|i| (v[i] - paper[i]) * (solid[i] - paper[i]))
                .sum::<f64>()
        };
        (
            p.tones[ink.index()] / 100.0,
            along(step) / along(solid).max(f64::MIN_POSITIVE),
        )
    });
    ToneCurve::through(steps.collect())
}

fn is_step_of(patch: &Patch, ink: ProcessInk) -> bool {
    ProcessInk::ALL
        .iter()
        .all(|other| (*other == ink) == (patch.tones[other.index()] > 0.0))
}
