//! How much each band of a spectrum counts for X, Y and Z.
//!
//! Method: ASTM E2022. The spectrum between two bands is Lagrange's polynomial through the bands around them (four, at the
//! ends three), so that the products of observer and illuminant at every nanometre can be shared out among the bands.

use std::sync::LazyLock;

/// The range that is summed, nm. Source: ASTM E308.
pub(super) const FIRST_NM: u32 = 360;
/// The last nanometre that is summed.
pub(super) const LAST_NM: u32 = 780;
/// Distance of the figures of D50, nm.
const D50_STEP: usize = 5;

static TABLE: &str = include_str!("cie1931_d50.csv");

/// Observer times illuminant at every nanometre, scaled so that the sum for Y is 100.
static PRODUCTS: LazyLock<Vec<[f64; 3]>> = LazyLock::new(products);

/// Weights of the usual bands, which are worth keeping.
static TEN_NM: LazyLock<Weights> = LazyLock::new(|| Weights::computed(0, 10));

/// Weights of all bands between [`FIRST_NM`] and [`LAST_NM`].
#[derive(Debug, Clone)]
pub(super) struct Weights {
    first_nm: u32,
    interval_nm: u32,
    per_band: Vec<[f64; 3]>,
}

impl Weights {
    /// Weights of the bands whose wavelengths leave `phase_nm` when divided by the interval.
    pub(super) fn of(phase_nm: u32, interval_nm: u32) -> Self {
        if (phase_nm, interval_nm) == (0, 10) {
            return TEN_NM.clone();
        }
        Self::computed(phase_nm, interval_nm)
    }

    fn computed(phase_nm: u32, interval_nm: u32) -> Self {
        let above = (interval_nm + phase_nm - FIRST_NM % interval_nm) % interval_nm;
        let first_nm = FIRST_NM + above;
        let n_bands = ((LAST_NM - first_nm) / interval_nm + 1) as usize;
        let mut weights = vec![[0.0; 3]; n_bands];
        for (nm, product) in (FIRST_NM..).zip(PRODUCTS.iter()) {
            let position = (f64::from(nm) - f64::from(first_nm)) / f64::from(interval_nm);
            for (band, part) in shares(position, n_bands) {
                for (weight, value) in weights[band].iter_mut().zip(product) {
                    *weight += part * value;
                }
            }
        }
        Self {
            first_nm,
            interval_nm,
            per_band: weights,
        }
    }

    /// Every band with its weights for X, Y, Z, ascending.
    pub(super) fn bands(&self) -> impl Iterator<Item = (u32, [f64; 3])> + '_ {
        let nm = |at: usize| self.first_nm + at as u32 * self.interval_nm;
        self.per_band
            .iter()
            .enumerate()
            .map(move |(at, weight)| (nm(at), *weight))
    }

    /// The sums of the weights: the perfect diffuser.
    pub(super) fn white(&self) -> [f64; 3] {
        let mut sum = [0.0; 3];
        for weight in &self.per_band {
            for (sum, weight) in sum.iter_mut().zip(weight) {
                *sum += weight;
            }
        }
        sum
    }
}

/// The bands around a position, counted in bands, and what share of the light there each stands for.
fn shares(position: f64, n_bands: usize) -> Vec<(usize, f64)> {
    let last = n_bands - 1;
    if position <= 0.0 {
        return vec![(0, 1.0)];
    }
    if position >= last as f64 {
        return vec![(last, 1.0)];
    }
    let below = (position as usize).min(last - 1);
    let (first, count) = match below {
        0 => (0, 3),
        below if below + 1 == last => (last - 2, 3),
        below => (below - 1, 4),
    };
    let nodes = first..first + count;
    nodes
        .clone()
        .map(|band| (band, lagrange(position, band, nodes.clone())))
        .collect()
}

/// The polynomial that is 1 at `band` and 0 at the other nodes.
fn lagrange(position: f64, band: usize, nodes: std::ops::Range<usize>) -> f64 {
    let others = nodes.filter(|node| *node != band);
    others
        .map(|node| (position - node as f64) / (band as f64 - node as f64))
        .product()
}

fn products() -> Vec<[f64; 3]> {
    let rows: Vec<(&str, &str)> = TABLE
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()))
        .filter_map(|line| line.rsplit_once(','))
        .collect();
    let number = |text: &str| text.parse().unwrap_or(f64::NAN);
    let d50: Vec<f64> = rows
        .iter()
        .step_by(D50_STEP)
        .map(|row| number(row.1))
        .collect();
    let seen = rows.iter().enumerate().map(|(at, (observer, _))| {
        let mut parts = observer.split(',').skip(1).map(number);
        std::array::from_fn(|_| parts.next().unwrap_or(f64::NAN) * between(&d50, at))
    });
    let seen: Vec<[f64; 3]> = seen.collect();
    let luminance: f64 = seen.iter().map(|[_, y, _]| y).sum();
    seen.iter()
        .map(|xyz| xyz.map(|v| v / luminance * 100.0))
        .collect()
}

/// The power of the illuminant at a nanometre of the table; straight lines between its figures, as CIE 015 has it.
fn between(d50: &[f64], nanometre: usize) -> f64 {
    let (at, beyond) = (nanometre / D50_STEP, nanometre % D50_STEP);
    let part = beyond as f64 / D50_STEP as f64;
    d50[at] + (d50[(at + 1).min(d50.len() - 1)] - d50[at]) * part
}
