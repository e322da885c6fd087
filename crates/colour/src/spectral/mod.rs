//! From a reflectance spectrum to CIELAB: CIE 1931 2° observer, D50, weights after ASTM E308 and E2022.

mod weights;

use crate::{D50_WHITE, LabD50, Xyz, lab_from_xyz};
use weights::{FIRST_NM, LAST_NM, Weights};

/// A spectrum has to reach from here to there, nm; outside, the observer is so blind that the end bands can stand in.
const NEEDED_NM: (u32, u32) = (400, 700);
/// Widest distance of two bands, nm.
const WIDEST_INTERVAL: u32 = 20;
/// Largest reflectance factor; fluorescent papers and inks go beyond 1.
const LARGEST_FACTOR: f64 = 5.0;

/// Reflectance factors in bands of equal distance.
#[derive(Debug, Clone, PartialEq)]
pub struct Spectrum {
    start_nm: u32,
    interval_nm: u32,
    factors: Vec<f64>,
}

/// Weights for X, Y, Z of all bands at so many nm from each other, with their wavelengths.
pub(crate) fn band_weights(interval_nm: u32) -> Vec<(u32, [f64; 3])> {
    Weights::of(0, interval_nm).bands().collect()
}

/// Why figures are no spectrum that a colour can be computed from.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SpectrumProblem {
    /// The bands are too far from each other, or on top of each other.
    #[error("the bands are {0} nm apart; allowed are 1 to {WIDEST_INTERVAL} nm")]
    Interval(u32),
    /// The spectrum leaves out light that the eye sees.
    #[error("the spectrum reaches from {0} to {1} nm; needed are 400 to 700 nm")]
    TooShort(u32, u32),
    /// A figure is no reflectance factor.
    #[error(
        "the reflectance at {0} nm is {1}; allowed are 0 to {LARGEST_FACTOR}, where 1 is the perfect white"
    )]
    Factor(u32, f64),
}

impl Spectrum {
    /// Checks and keeps a spectrum: its first band in nm, the distance of the bands in nm, and reflectance factors, where
    /// 1 is the perfect diffuser. A measurement a little below 0 counts as 0.
    pub fn new(start_nm: u32, interval_nm: u32, factors: &[f64]) -> Result<Self, SpectrumProblem> {
        if !(1..=WIDEST_INTERVAL).contains(&interval_nm) {
            return Err(SpectrumProblem::Interval(interval_nm));
        }
        let nm = |at: usize| {
            (at as u32)
                .saturating_mul(interval_nm)
                .saturating_add(start_nm)
        };
        let end_nm = nm(factors.len().saturating_sub(1));
        if factors.is_empty() || start_nm > NEEDED_NM.0 || end_nm < NEEDED_NM.1 {
            return Err(SpectrumProblem::TooShort(start_nm, end_nm));
        }
        let wrong = factors
            .iter()
            .position(|f| !(-0.01..=LARGEST_FACTOR).contains(f));
        if let Some(at) = wrong {
            return Err(SpectrumProblem::Factor(nm(at), factors[at]));
        }
        Ok(Self {
            start_nm,
            interval_nm,
            factors: factors.iter().map(|f| f.max(0.0)).collect(),
        })
    }

    /// The wavelength in nm and the reflectance factor of every band, ascending.
    pub fn bands(&self) -> impl Iterator<Item = (u32, f64)> + '_ {
        let nm = |at: usize| self.start_nm + at as u32 * self.interval_nm;
        self.factors
            .iter()
            .enumerate()
            .map(move |(at, factor)| (nm(at), *factor))
    }

    /// The factor at a wavelength in nm: between two bands on the straight line, beyond the ends that of the end band.
    pub(crate) fn factor_at(&self, nm: u32) -> f64 {
        let from_start = nm.saturating_sub(self.start_nm);
        let last = self.factors.len() - 1;
        let band = (from_start / self.interval_nm) as usize;
        if band >= last {
            return self.factors[last];
        }
        let part = f64::from(from_start % self.interval_nm) / f64::from(self.interval_nm);
        self.factors[band] + (self.factors[band + 1] - self.factors[band]) * part
    }

    /// The tristimulus values on the scale where the perfect diffuser has Y = 100 (X 96.424, Z 82.513).
    pub fn xyz(&self) -> Xyz {
        self.xyz_and_white().0
    }

    /// The colour, with the perfect diffuser under the same weights as its white.
    pub fn lab(&self) -> LabD50 {
        let (xyz, white) = self.xyz_and_white();
        lab_from_xyz(Xyz {
            x: xyz.x / white.x * D50_WHITE.x,
            y: xyz.y / white.y * D50_WHITE.y,
            z: xyz.z / white.z * D50_WHITE.z,
        })
    }

    fn xyz_and_white(&self) -> (Xyz, Xyz) {
        let phase_nm = self.start_nm % self.interval_nm;
        let weights = Weights::of(phase_nm, self.interval_nm);
        let seen = self
            .bands()
            .filter(|(nm, _)| (FIRST_NM..=LAST_NM).contains(nm));
        let seen: Vec<(u32, f64)> = seen.collect();
        let mut sum = [0.0; 3];
        for (nm, weight) in weights.bands() {
            let factor = nearest(&seen, nm, self.interval_nm);
            for (sum, weight) in sum.iter_mut().zip(weight) {
                *sum += factor * weight;
            }
        }
        (Xyz::from_array(sum), Xyz::from_array(weights.white()))
    }
}

/// The factor of the band, or of the end band nearest to it: that adds the weights of missing bands to those at the ends,
/// as ASTM E308 has it.
fn nearest(seen: &[(u32, f64)], nm: u32, interval_nm: u32) -> f64 {
    let first = seen.first().map_or(nm, |band| band.0);
    let at = (nm.saturating_sub(first) / interval_nm) as usize;
    seen[at.min(seen.len() - 1)].1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_spectrum_is_told() {
        let flat = |n| vec![0.5; n];
        let told = |start, interval, factors: &[f64]| {
            Spectrum::new(start, interval, factors)
                .unwrap_err()
                .to_string()
        };
        assert!(told(380, 0, &flat(36)).contains("0 nm apart"));
        assert!(told(380, 25, &flat(36)).contains("25 nm apart"));
        assert!(told(380, 10, &flat(30)).contains("from 380 to 670 nm"));
        assert!(told(410, 10, &flat(36)).contains("from 410"));
        assert!(told(380, 10, &[]).contains("needed are 400 to 700 nm"));
        for wrong in [f64::NAN, f64::INFINITY, -0.2, 53.0] {
            let mut factors = flat(36);
            factors[3] = wrong;
            assert!(told(380, 10, &factors).contains("at 410 nm"), "{wrong}");
        }
        assert!(Spectrum::new(u32::MAX, 20, &flat(9)).is_err());
    }

    #[test]
    fn a_perfect_diffuser_is_white_in_any_bands() {
        for (start, interval) in [
            (380, 10),
            (360, 5),
            (390, 20),
            (385, 10),
            (340, 20),
            (400, 1),
        ] {
            let count = (740 - start) / interval + 1;
            let white = Spectrum::new(start, interval, &vec![1.0; count as usize]);
            let white = white.unwrap();
            let (lab, y) = (white.lab(), white.xyz().y);
            assert!((lab.l - 100.0).abs() < 1e-9, "{lab:?}");
            assert!(lab.a.abs() < 1e-9 && lab.b.abs() < 1e-9, "{lab:?}");
            assert!((y - 100.0).abs() < 1e-9, "{y}");
        }
    }
}
