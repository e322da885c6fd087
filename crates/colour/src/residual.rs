//! The empirical half of the model: a smooth surface through what the area model leaves over.
//!
//! Method: kriging (Gaussian-process regression) with a product of one-ink correlations of Matérn's family, smoothness
//! 5/2. A product suits charts laid out on a lattice of tones, and on a lattice it costs only a few multiplications.
//! Source: Rasmussen and Williams 2006, chapters 2 and 4.

use crate::linear::{dot, solve_symmetric};

/// Correlation length of each ink in apparent area, chosen by cross-validation over the shipped tables.
const LENGTHS: [f64; 4] = [1.2, 1.2, 1.2, 1.2];

/// Variance of a measurement against that of the surface: keeps the system solvable and evens out noise.
const NUGGET: f64 = 2.5e-6;

/// The same for the paper, the solids and their overprints: a user checks these against the table first.
const PRIMARY_NUGGET: f64 = 2.5e-8;

/// A surface over the four apparent areas with three values (the residual in L, a and b).
#[derive(Debug, Clone)]
pub(crate) struct ResidualSurface {
    /// Apparent areas of the measured patches, ink by ink.
    sites: [Vec<f64>; 4],
    /// Weight of each patch, value by value.
    weights: [Vec<f64>; 3],
}

impl ResidualSurface {
    pub(crate) fn fit(areas: &[[f64; 4]], residuals: &[[f64; 3]]) -> Self {
        let mut rows: Vec<Vec<f64>> = (0..areas.len())
            .map(|i| {
                (0..=i)
                    .map(|j| {
                        correlation(areas[i], areas[j])
                            + if i == j { nugget(areas[i]) } else { 0.0 }
                    })
                    .collect()
            })
            .collect();
        let mut solution = residuals.to_vec();
        solve_symmetric(&mut rows, &mut solution);
        Self {
            sites: std::array::from_fn(|ink| areas.iter().map(|a| a[ink]).collect()),
            weights: std::array::from_fn(|k| solution.iter().map(|w| w[k]).collect()),
        }
    }

    /// Returns the residual at apparent areas.
    pub(crate) fn at(&self, areas: [f64; 4]) -> [f64; 3] {
        let factors: [Vec<f64>; 4] = std::array::from_fn(|ink| self.factors(ink, areas[ink]));
        let weights = self.weights_at([&factors[0], &factors[1], &factors[2]]);
        Self::along_black(&weights, &factors[3])
    }

    /// Returns one ink's factor of the correlation with every patch; made once per level when filling a lattice.
    pub(crate) fn factors(&self, ink: usize, area: f64) -> Vec<f64> {
        self.sites[ink]
            .iter()
            .map(|site| matern(area - site, LENGTHS[ink]))
            .collect()
    }

    /// Returns the patches' weights seen from one place in cyan, magenta and yellow.
    pub(crate) fn weights_at(&self, [c, m, y]: [&[f64]; 3]) -> [Vec<f64>; 3] {
        let joint: Vec<f64> = (0..c.len()).map(|i| c[i] * m[i] * y[i]).collect();
        std::array::from_fn(|value| {
            self.weights[value]
                .iter()
                .zip(&joint)
                .map(|(w, j)| w * j)
                .collect()
        })
    }

    /// Finishes the sum over the patches at one level of black.
    pub(crate) fn along_black(weights: &[Vec<f64>; 3], black: &[f64]) -> [f64; 3] {
        std::array::from_fn(|value| dot(&weights[value], black))
    }
}

fn nugget(areas: [f64; 4]) -> f64 {
    if areas.iter().all(|a| *a <= 0.0 || *a >= 1.0) {
        PRIMARY_NUGGET
    } else {
        NUGGET
    }
}

fn correlation(p: [f64; 4], q: [f64; 4]) -> f64 {
    (0..4)
        .map(|ink| matern(p[ink] - q[ink], LENGTHS[ink]))
        .product()
}

/// Matérn correlation of smoothness 5/2.
fn matern(distance: f64, length: f64) -> f64 {
    let r = distance.abs() * (5.0_f64.sqrt() / length);
    (1.0 + r + r * r / 3.0) * libm::exp(-r)
}
