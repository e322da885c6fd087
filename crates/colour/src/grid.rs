//! The dense grid: a printing condition computed ahead at every 5 % of each ink.
//!
//! Between the nodes the colour is multilinear in the four tones. Nodes are kept as Lab in steps of 1/256.

use rayon::prelude::*;

use crate::LabD50;
use crate::exact::ExactModel;
use crate::residual::ResidualSurface;

/// Nodes per ink: 0 %, 5 %, ... 100 %, which hold nearly all steps of the usual test charts.
pub(crate) const LEVELS: usize = 21;

/// Nodes in all.
pub(crate) const NODES: usize = LEVELS * LEVELS * LEVELS * LEVELS;

/// Percent between two neighbouring nodes.
const STEP: f64 = 100.0 / (LEVELS - 1) as f64;

/// Distance in memory between neighbours along each ink; black runs fastest.
const STRIDES: [usize; 4] = [LEVELS * LEVELS * LEVELS, LEVELS * LEVELS, LEVELS, 1];

/// Lab steps per unit in the stored nodes.
const SCALE: f64 = 256.0;

/// A colour and its change per percent of each ink.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tangent {
    pub(crate) lab: [f64; 3],
    /// `slopes[ink]` is the change of Lab for one percent more of that ink.
    pub(crate) slopes: [[f64; 3]; 4],
}

/// The nodes, ready for use. The fourth figure of a node is padding, which lets the arithmetic run four abreast.
#[derive(Debug, Clone)]
pub(crate) struct Grid {
    nodes: Vec<[f32; 4]>,
}

impl Grid {
    /// Computes the stored form of the nodes: L, a, b of each as whole 1/256 steps.
    pub(crate) fn compute(model: &ExactModel) -> Vec<[i16; 3]> {
        let areas: Vec<[f64; 4]> = (0..LEVELS)
            .map(|i| model.areas.areas([i as f64 * STEP; 4]))
            .collect();
        let factors: [Vec<Vec<f64>>; 4] = std::array::from_fn(|ink| {
            areas
                .iter()
                .map(|a| model.residual.factors(ink, a[ink]))
                .collect()
        });
        let planes = (0..LEVELS * LEVELS).into_par_iter();
        planes
            .flat_map_iter(|plane| {
                plane_of(model, &areas, &factors, plane / LEVELS, plane % LEVELS)
            })
            .collect()
    }

    /// The stored form of the nodes of any function from tones in percent.
    pub(crate) fn sampled(lab: impl Fn([f64; 4]) -> LabD50) -> Vec<[i16; 3]> {
        let node = |at: usize| {
            let tones = STRIDES.map(|stride| (at / stride % LEVELS) as f64 * STEP);
            lab(tones).to_array().map(stored)
        };
        (0..NODES).map(node).collect()
    }

    pub(crate) fn from_stored(stored: impl Iterator<Item = [i16; 3]>) -> Self {
        let unit = (1.0 / SCALE) as f32;
        let nodes = stored
            .map(|n| {
                [
                    f32::from(n[0]) * unit,
                    f32::from(n[1]) * unit,
                    f32::from(n[2]) * unit,
                    0.0,
                ]
            })
            .collect();
        Self { nodes }
    }

    /// Returns the colour at tones in percent; tones outside 0 to 100 are taken as the nearer end.
    pub(crate) fn lab(&self, tones: [f64; 4]) -> LabD50 {
        let cell = Cell::of(tones);
        let mut level = self.corners(&cell);
        for ink in 0..4 {
            let half = 8 >> ink;
            for i in 0..half {
                level[i] = lerp(level[i], level[i + half], cell.within[ink]);
            }
        }
        LabD50::new(
            f64::from(level[0][0]),
            f64::from(level[0][1]),
            f64::from(level[0][2]),
        )
    }

    /// Returns the colour and its slopes inside the cell that holds these tones.
    pub(crate) fn tangent(&self, tones: [f64; 4]) -> Tangent {
        let cell = Cell::of(tones);
        let mut level = self.corners(&cell);
        let mut slopes = [[[0.0_f32; 4]; 8]; 4];
        for ink in 0..4 {
            let half = 8 >> ink;
            for i in 0..half {
                slopes[ink][i] = subtract(level[i + half], level[i]);
                level[i] = lerp(level[i], level[i + half], cell.within[ink]);
            }
            for slope in &mut slopes[..ink] {
                for i in 0..half {
                    slope[i] = lerp(slope[i], slope[i + half], cell.within[ink]);
                }
            }
        }
        let wide = |v: [f32; 4]| [f64::from(v[0]), f64::from(v[1]), f64::from(v[2])];
        Tangent {
            lab: wide(level[0]),
            slopes: slopes.map(|s| wide(s[0]).map(|v| v / STEP)),
        }
    }

    fn corners(&self, cell: &Cell) -> [[f32; 4]; 16] {
        let window = &self.nodes[cell.origin..cell.origin + REACH];
        std::array::from_fn(|i| window[CORNERS[i]])
    }
}

/// Nodes from a cell's first corner to its last, both included.
const REACH: usize = STRIDES[0] + STRIDES[1] + STRIDES[2] + STRIDES[3] + 1;

/// Offsets of a cell's sixteen corners; the highest bit of the index is cyan.
const CORNERS: [usize; 16] = corner_offsets();

const fn corner_offsets() -> [usize; 16] {
    let mut offsets = [0; 16];
    let mut i = 0;
    while i < 16 {
        offsets[i] = (i >> 3 & 1) * STRIDES[0]
            + (i >> 2 & 1) * STRIDES[1]
            + (i >> 1 & 1) * STRIDES[2]
            + (i & 1) * STRIDES[3];
        i += 1;
    }
    offsets
}

/// The cell that holds some tones, and the place within it.
struct Cell {
    origin: usize,
    within: [f32; 4],
}

impl Cell {
    fn of(tones: [f64; 4]) -> Self {
        let mut origin = 0;
        let mut within = [0.0; 4];
        for ink in 0..4 {
            let scaled = (tones[ink] * (1.0 / STEP)).clamp(0.0, (LEVELS - 1) as f64);
            let low = (scaled as usize).min(LEVELS - 2);
            origin += low * STRIDES[ink];
            within[ink] = (scaled - low as f64) as f32;
        }
        Self { origin, within }
    }
}

fn lerp(p: [f32; 4], q: [f32; 4], at: f32) -> [f32; 4] {
    std::array::from_fn(|i| p[i] + (q[i] - p[i]) * at)
}

fn subtract(p: [f32; 4], q: [f32; 4]) -> [f32; 4] {
    std::array::from_fn(|i| p[i] - q[i])
}

/// All nodes with the given cyan and magenta levels, in memory order.
fn plane_of(
    model: &ExactModel,
    areas: &[[f64; 4]],
    factors: &[Vec<Vec<f64>>; 4],
    cyan: usize,
    magenta: usize,
) -> Vec<[i16; 3]> {
    let mut nodes = Vec::with_capacity(LEVELS * LEVELS);
    for yellow in 0..LEVELS {
        let weights = model.residual.weights_at([
            &factors[0][cyan],
            &factors[1][magenta],
            &factors[2][yellow],
        ]);
        for black in 0..LEVELS {
            let node_areas = [
                areas[cyan][0],
                areas[magenta][1],
                areas[yellow][2],
                areas[black][3],
            ];
            let base = model.areas.lab_at_areas(node_areas).to_array();
            let left_over = ResidualSurface::along_black(&weights, &factors[3][black]);
            nodes.push(std::array::from_fn(|i| stored(base[i] + left_over[i])));
        }
    }
    nodes
}

fn stored(value: f64) -> i16 {
    let scaled = (value * SCALE).clamp(f64::from(i16::MIN), f64::from(i16::MAX));
    // Floor of a half-step more rounds the same way for either sign.
    libm::floor(scaled + 0.5) as i16
}
