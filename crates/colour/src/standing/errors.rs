//! How far the model and its grid can be trusted.

use rayon::prelude::*;

use crate::exact::ExactModel;
use crate::table::Patch;
use crate::{LabD50, PrintingCondition, delta_e00};

/// Mean, 95th percentile and largest of some differences, ΔE00.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ErrorSummary {
    /// How many differences.
    pub count: usize,
    /// Mean.
    pub mean: f64,
    /// What 95 % do not exceed.
    pub p95: f64,
    /// The largest.
    pub max: f64,
}

impl ErrorSummary {
    fn of(mut differences: Vec<f64>) -> Option<Self> {
        differences.sort_by(f64::total_cmp);
        let count = differences.len();
        Some(Self {
            count,
            mean: differences.iter().sum::<f64>() / count.max(1) as f64,
            p95: *differences.get(count * 95 / 100)?,
            max: *differences.last()?,
        })
    }
}

/// Parts that the patches are divided into; each in turn is left out.
const FOLDS: usize = 10;

/// Combinations of tones at which a grid is compared with its function.
const PROBES: usize = 2000;

/// Predicts every patch of two inks or more from a model that has not seen it.
///
/// Takes ten fits, some seconds for 1,600 patches. `None` when nothing can be left out or the model cannot be fitted.
pub fn left_out_errors(patches: &[Patch]) -> Option<ErrorSummary> {
    let folds: Option<Vec<Vec<f64>>> = (0..FOLDS)
        .into_par_iter()
        .map(|fold| errors_of_fold(patches, fold))
        .collect();
    ErrorSummary::of(folds?.concat())
}

fn errors_of_fold(patches: &[Patch], fold: usize) -> Option<Vec<f64>> {
    let inks = |p: &Patch| p.tones.iter().filter(|tone| **tone > 0.0).count();
    let is_held = |i: usize, p: &Patch| inks(p) > 1 && scattered(i) % FOLDS == fold;
    let (held, kept): (Vec<_>, Vec<_>) = patches
        .iter()
        .enumerate()
        .partition(|(i, p)| is_held(*i, p));
    let kept: Vec<Patch> = kept.into_iter().map(|(_, p)| *p).collect();
    let model = ExactModel::fit(&kept)?;
    let errors = held
        .into_iter()
        .map(|(_, p)| delta_e00(model.lab(p.tones), p.lab));
    Some(errors.collect())
}

/// A number that looks random, so that neighbours on the chart fall into different parts.
fn scattered(i: usize) -> usize {
    i.wrapping_mul(2_654_435_761) >> 7
}

/// Compares the grid of a condition with the function behind it, between the nodes and within the ink limit.
pub fn grid_errors(
    condition: &PrintingCondition,
    exact: impl Fn([f64; 4]) -> LabD50,
) -> Option<ErrorSummary> {
    let mut state = 0x5851_f42d_4c95_7f2d_u64;
    let mut unit = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / (1_u64 << 31) as f64
    };
    let tones = std::iter::repeat_with(|| [(); 4].map(|()| 100.0 * unit()));
    let within = tones
        // Half of all combinations lie within 200 %, so that this ends for any limit of a press.
        .filter(|tones| tones.iter().sum::<f64>() <= condition.ink_limit().max(200.0))
        .take(PROBES);
    ErrorSummary::of(
        within
            .map(|tones| delta_e00(condition.lab(tones), exact(tones)))
            .collect(),
    )
}
