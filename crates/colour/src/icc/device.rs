//! From tones to the profile's connection space: curves, nodes, curves.
//!
//! Between the nodes the colour is linear in the first ink and, in the other three, linear inside the six tetrahedra of
//! a cell. Source of the tetrahedra: Sakamoto and Itooka, US patent 4 275 413 (1981, expired).

use super::curve::{Curve, unit};
use super::lut::{Form, Lut, Middle};
use crate::lab::{lab_from_xyz, xyz_from_lab};
use crate::{LabD50, Xyz};

/// How the three outputs of a table stand for a colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Coding {
    /// 16-bit Lab as in version 2: L* 100 is 65280.
    OldLab,
    /// Lab with L* 100 at the full value.
    Lab,
    /// CIEXYZ up to 1 + 32767/32768.
    Xyz,
}

impl Coding {
    pub(super) fn of(connection: [u8; 4], form: Form) -> Self {
        match (&connection, form) {
            (b"XYZ ", _) => Self::Xyz,
            (_, Form::Sixteen) => Self::OldLab,
            _ => Self::Lab,
        }
    }

    /// The three figures from 0 to 1 that stand for a colour relative to the paper.
    pub(super) fn coded(self, lab: LabD50) -> [f32; 3] {
        let coded = match self {
            Self::OldLab => {
                const STEPS: f64 = 65535.0;
                [
                    lab.l * 652.80 / STEPS,
                    (lab.a + 128.0) * 256.0 / STEPS,
                    (lab.b + 128.0) * 256.0 / STEPS,
                ]
            }
            Self::Lab => [
                lab.l / 100.0,
                (lab.a + 128.0) / 255.0,
                (lab.b + 128.0) / 255.0,
            ],
            Self::Xyz => {
                const TOP: f64 = 100.0 * (1.0 + 32767.0 / 32768.0);
                let xyz = xyz_from_lab(lab);
                [xyz.x / TOP, xyz.y / TOP, xyz.z / TOP]
            }
        };
        coded.map(|v| unit(v as f32))
    }

    /// Returns the colour relative to the paper.
    #[inline]
    fn lab(self, [l, a, b]: [f32; 3]) -> LabD50 {
        let [l, a, b] = [f64::from(l), f64::from(a), f64::from(b)];
        match self {
            Self::OldLab => {
                const STEPS: f64 = 65535.0;
                LabD50::new(
                    l * (STEPS / 652.80),
                    a * (STEPS / 256.0) - 128.0,
                    b * (STEPS / 256.0) - 128.0,
                )
            }
            Self::Lab => LabD50::new(l * 100.0, a * 255.0 - 128.0, b * 255.0 - 128.0),
            Self::Xyz => {
                const TOP: f64 = 100.0 * (1.0 + 32767.0 / 32768.0);
                lab_from_xyz(Xyz::new(l * TOP, a * TOP, b * TOP))
            }
        }
    }
}

/// A table from four inks to the connection space, laid out for speed.
#[derive(Debug)]
pub(super) struct DeviceTable {
    first: [Curve; 4],
    /// Steps along each ink, one less than the nodes.
    steps: [usize; 4],
    strides: [usize; 4],
    /// From the first to the last corner of a cell.
    reach: usize,
    /// The fourth figure is padding, which lets the arithmetic run four abreast.
    nodes: Vec<[f32; 4]>,
    middle: Option<Middle>,
    last: [Curve; 3],
    coding: Coding,
}

impl DeviceTable {
    /// Takes a table of four inputs and three outputs.
    pub(super) fn of(lut: Lut, coding: Coding) -> Option<Self> {
        let sizes: [usize; 4] = lut.sizes.try_into().ok()?;
        let strides = [
            sizes[1] * sizes[2] * sizes[3],
            sizes[2] * sizes[3],
            sizes[3],
            1,
        ];
        let nodes = lut.values.as_chunks::<3>().0;
        Some(Self {
            first: lut.first.try_into().ok()?,
            steps: sizes.map(|size| size - 1),
            strides,
            reach: strides.iter().sum(),
            nodes: nodes.iter().map(|n| [n[0], n[1], n[2], 0.0]).collect(),
            middle: lut.middle,
            last: lut.last.try_into().ok()?,
            coding,
        })
    }

    /// Returns the colour relative to the paper, at tones in percent.
    #[inline]
    pub(super) fn lab(&self, tones: [f64; 4]) -> LabD50 {
        let mut out = self.between_nodes(tones);
        if let Some(middle) = &self.middle {
            out = middle.at(out);
        }
        self.coding
            .lab(std::array::from_fn(|i| self.last[i].at(out[i])))
    }

    #[inline]
    fn between_nodes(&self, tones: [f64; 4]) -> [f32; 3] {
        let mut base = 0;
        let mut within = [0.0_f32; 4];
        for ink in 0..4 {
            let tone = unit(tones[ink] as f32 * 0.01);
            let place = unit(self.first[ink].at(tone)) * self.steps[ink] as f32;
            let low = (place as i32 as usize).min(self.steps[ink] - 1);
            base += low * self.strides[ink];
            within[ink] = place - low as f32;
        }
        self.tetrahedra(base, within)
    }

    /// Walks from the cell's first corner along the inks, the furthest advanced first.
    #[inline]
    fn tetrahedra(&self, base: usize, within: [f32; 4]) -> [f32; 3] {
        let [_, m, y, k] = within;
        let [_, m_step, y_step, k_step] = self.strides;
        let [first, second] = ordered((m, m_step), (y, y_step));
        let [second, third] = ordered(second, (k, k_step));
        let [(r0, s0), (r1, s1)] = ordered(first, second);
        let (r2, s2) = third;
        let weights = [1.0 - r0, r0 - r1, r1 - r2, r2];
        let corners = [0, s0, s0 + s1, s0 + s1 + s2];
        // One window for both ends of the first ink: its end is checked once.
        let window = &self.nodes[base..=base + self.reach];
        let mut sum = [0.0_f32; 4];
        for (corner, weight) in corners.into_iter().zip(weights) {
            let (low, high) = (window[corner], window[corner + self.strides[0]]);
            for i in 0..4 {
                sum[i] += (low[i] + (high[i] - low[i]) * within[0]) * weight;
            }
        }
        [sum[0], sum[1], sum[2]]
    }
}

/// The two in falling order, without a branch that random tones would make the processor guess wrongly.
#[inline]
fn ordered(p: (f32, usize), q: (f32, usize)) -> [(f32, usize); 2] {
    let turned = p.0 < q.0;
    let (high, low) = if turned { (q.1, p.1) } else { (p.1, q.1) };
    [(p.0.max(q.0), high), (p.0.min(q.0), low)]
}

impl Middle {
    /// The other way round: first the matrix, then the curves.
    pub(super) fn turned(&self, values: [f32; 3]) -> [f32; 3] {
        let [x, y, z] = values.map(f64::from);
        let mixed = self
            .matrix
            .map(|[p, q, r, offset]| p * x + q * y + r * z + offset);
        std::array::from_fn(|i| self.curves[i].at(unit(mixed[i] as f32)))
    }

    fn at(&self, values: [f32; 3]) -> [f32; 3] {
        let curved: [f64; 3] = std::array::from_fn(|i| f64::from(self.curves[i].at(values[i])));
        self.matrix.map(|[p, q, r, offset]| {
            (p * curved[0] + q * curved[1] + r * curved[2] + offset) as f32
        })
    }
}
