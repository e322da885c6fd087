//! Reflectance in 36 bands, from 380 to 730 nm: measured, or the smoothest that has a colour.

use std::sync::LazyLock;

use crate::linear::solve_square;
use crate::spectral::{Spectrum, band_weights};
use crate::{D50_WHITE, Xyz};

/// Number of bands.
pub(crate) const BANDS: usize = 36;
/// Wavelength of the first band, nm.
const FIRST_NM: u32 = 380;
/// Distance of the bands, nm.
const INTERVAL_NM: u32 = 10;
/// Darkest reflectance and tristimulus value that a logarithm is taken of.
const DARKEST: f64 = 1e-5;
/// Unknowns of the smoothest spectrum: a logarithm per band and a multiplier for each of X, Y, Z.
const UNKNOWNS: usize = BANDS + 3;
/// Steps of Newton's method; colours of prints take about ten.
const MOST_STEPS: usize = 60;

/// A reflectance factor for each band.
pub(crate) type Bands = [f64; BANDS];

/// X, Y, Z weights of each band, with the light outside counted at the ends; the perfect diffuser gives D50 white.
static WEIGHTS: LazyLock<[[f64; 3]; BANDS]> = LazyLock::new(|| {
    let mut weights = [[0.0; 3]; BANDS];
    for (nm, weight) in band_weights(INTERVAL_NM) {
        let at = (nm.saturating_sub(FIRST_NM) / INTERVAL_NM) as usize;
        for (sum, part) in weights[at.min(BANDS - 1)].iter_mut().zip(weight) {
            *sum += part;
        }
    }
    let white = xyz_array(&[1.0; BANDS], &weights);
    let scale = [
        D50_WHITE.x / white[0],
        D50_WHITE.y / white[1],
        D50_WHITE.z / white[2],
    ];
    weights.map(|weight| std::array::from_fn(|i| weight[i] * scale[i]))
});

/// The measured spectrum in these bands.
pub(crate) fn of_spectrum(spectrum: &Spectrum) -> Bands {
    std::array::from_fn(|band| spectrum.factor_at(FIRST_NM + INTERVAL_NM * band as u32))
}

/// The tristimulus values, Y = 100 for the perfect diffuser.
pub(crate) fn xyz(bands: &Bands) -> Xyz {
    Xyz::from_array(xyz_array(bands, &WEIGHTS))
}

fn xyz_array(bands: &Bands, weights: &[[f64; 3]; BANDS]) -> [f64; 3] {
    let mut sum = [0.0; 3];
    for (factor, weight) in bands.iter().zip(weights) {
        for (sum, weight) in sum.iter_mut().zip(weight) {
            *sum += factor * weight;
        }
    }
    sum
}

/// The smoothest reflectance with these tristimulus values: the sum of squared steps of its logarithm is least.
///
/// Method: Newton's method on the conditions of Lagrange, from a flat start. The idea of the smoothest logarithm is
/// S. A. Burns's (Color Research and Application 2020, from memory). A colour that no reflectance has (brighter and purer
/// than any surface) comes out as near as the steps get.
pub(crate) fn smoothest(xyz: Xyz) -> Bands {
    let wanted = xyz.to_array().map(|v| v.max(100.0 * DARKEST));
    let mut logs = [libm::log(wanted[1] / 100.0); BANDS];
    let mut multipliers = [0.0; 3];
    for _ in 0..MOST_STEPS {
        let (mut system, mut right) = conditions(&logs, &multipliers, wanted);
        if right.iter().all(|v| v.abs() < 1e-9) || !solve_square(&mut system, &mut right) {
            break;
        }
        let longest = right[..BANDS].iter().map(|v| v.abs()).fold(1.0, f64::max);
        for (log, step) in logs.iter_mut().zip(&right) {
            *log += step / longest;
        }
        for (multiplier, step) in multipliers.iter_mut().zip(&right[BANDS..]) {
            *multiplier += step / longest;
        }
    }
    logs.map(|log| libm::exp(log.min(1.0)))
}

/// The system of one Newton step and its right side, which is zero at the answer.
fn conditions(
    logs: &Bands,
    multipliers: &[f64; 3],
    wanted: [f64; 3],
) -> (Vec<[f64; UNKNOWNS]>, [f64; UNKNOWNS]) {
    let mut system = vec![[0.0; UNKNOWNS]; UNKNOWNS];
    let mut right = [0.0; UNKNOWNS];
    let factors = logs.map(libm::exp);
    for band in 0..BANDS {
        let weight = &WEIGHTS[band];
        let pull: f64 = (0..3).map(|i| multipliers[i] * weight[i]).sum();
        let mut slope = 0.0;
        for other in [band.checked_sub(1), Some(band + 1).filter(|b| *b < BANDS)]
            .into_iter()
            .flatten()
        {
            slope += 2.0 * (logs[band] - logs[other]);
            system[band][band] += 2.0;
            system[band][other] -= 2.0;
        }
        system[band][band] += factors[band] * pull;
        right[band] = -(slope + factors[band] * pull);
        for i in 0..3 {
            system[band][BANDS + i] = factors[band] * weight[i];
            system[BANDS + i][band] = factors[band] * weight[i];
        }
    }
    let found = xyz_array(&factors, &WEIGHTS);
    for i in 0..3 {
        right[BANDS + i] = wanted[i] - found[i];
    }
    (system, right)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{LabD50, delta_e00, lab_from_xyz, xyz_from_lab};

    #[test]
    fn smoothest_spectrum_has_its_colour() {
        for lab in [
            LabD50::new(95.0, 0.0, -2.0),
            LabD50::new(55.0, -37.0, -50.0),
            LabD50::new(48.0, 74.0, -3.0),
            LabD50::new(89.0, -5.0, 93.0),
            LabD50::new(16.0, 0.0, 0.0),
            LabD50::new(65.0, 60.0, 80.0),
            LabD50::new(3.0, 1.0, -2.0),
        ] {
            let bands = smoothest(xyz_from_lab(lab));
            let back = lab_from_xyz(xyz(&bands));
            assert!(delta_e00(lab, back) < 1e-3, "{lab:?} {back:?}");
            assert!(bands.iter().all(|f| *f > 0.0 && *f < 2.0), "{bands:?}");
        }
    }

    #[test]
    fn measured_spectrum_keeps_its_colour() {
        let factors: Vec<f64> = (0..36).map(|i| 0.05 + 0.02 * f64::from(i)).collect();
        let spectrum = Spectrum::new(380, 10, &factors).expect("36 bands from 380 nm");
        let (bands, direct) = (of_spectrum(&spectrum), spectrum.lab());
        assert!(delta_e00(lab_from_xyz(xyz(&bands)), direct) < 0.05);
        let coarse = Spectrum::new(380, 20, &[0.4; 18]).expect("18 bands from 380 nm");
        assert!(of_spectrum(&coarse).iter().all(|f| (f - 0.4).abs() < 1e-12));
    }

    #[test]
    fn impossible_colour_ends_with_figures() {
        let bands = smoothest(xyz_from_lab(LabD50::new(50.0, -128.0, 128.0)));
        assert!(bands.iter().all(|f| f.is_finite()));
    }
}
