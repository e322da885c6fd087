//! A profile's own separations: from a colour relative to the paper to tones.
//!
//! Between the nodes the tones are linear along each axis. Lightness is an axis of its own, so that neutrals stay on the
//! neutral nodes; tetrahedra would cut across them. Source of the tables: ICC.1:2022, 10.10 to 10.13.

use super::bytes::Bytes;
use super::curve::{Curve, unit};
use super::device::Coding;
use super::header::Header;
use super::lut::{Channels, Lut, Middle, read_lut};
use crate::LabD50;

/// Lightness above which a darkest print is taken as damage, CIELAB.
const LIGHTEST_BLACK: f64 = 50.0;

/// A table from colours to tones.
#[derive(Debug, Clone)]
pub(super) struct SeparationTable {
    first: [Curve; 3],
    before: Option<Middle>,
    steps: [usize; 3],
    strides: [usize; 3],
    nodes: Vec<[f32; 4]>,
    last: [Curve; 4],
    coding: Coding,
}

impl SeparationTable {
    /// Reads the first of these tables that the profile has; `None` if it has none that can be used.
    pub(super) fn read(bytes: &Bytes<'_>, header: &Header, tags: [[u8; 4]; 2]) -> Option<Self> {
        let (at, tag) = header.first_of(bytes, tags).ok()?;
        let channels = Channels {
            inputs: 3,
            outputs: 4,
        };
        let lut = read_lut(bytes, at, tag, channels).ok()?;
        let coding = Coding::of(header.connection, lut.form);
        Self::of(lut, coding)
    }

    fn of(lut: Lut, coding: Coding) -> Option<Self> {
        // The matrix that such a table may have in front is read for Lab only, where there is none.
        if coding == Coding::Xyz {
            return None;
        }
        let sizes: [usize; 3] = lut.sizes.try_into().ok()?;
        Some(Self {
            first: lut.first.try_into().ok()?,
            before: lut.before,
            steps: sizes.map(|size| size - 1),
            strides: [sizes[1] * sizes[2], sizes[2], 1],
            nodes: lut.values.as_chunks::<4>().0.to_vec(),
            last: lut.last.try_into().ok()?,
            coding,
        })
    }

    /// Tones of C, M, Y, K in percent for a colour relative to the paper.
    pub(super) fn tones(&self, lab: LabD50) -> [f64; 4] {
        let coded = self.coding.coded(lab);
        let mut places: [f32; 3] = std::array::from_fn(|i| unit(self.first[i].at(coded[i])));
        if let Some(before) = &self.before {
            places = before.turned(places);
        }
        let mut base = 0;
        let mut within = [0.0_f32; 3];
        for axis in 0..3 {
            let place = unit(places[axis]) * self.steps[axis] as f32;
            let low = (place as usize).min(self.steps[axis] - 1);
            base += low * self.strides[axis];
            within[axis] = place - low as f32;
        }
        let mut sum = [0.0_f32; 4];
        for corner in 0..8_usize {
            let mut at = base;
            let mut weight = 1.0_f32;
            for (axis, within) in within.iter().enumerate() {
                if corner >> axis & 1 == 1 {
                    at += self.strides[axis];
                    weight *= within;
                } else {
                    weight *= 1.0 - within;
                }
            }
            for (sum, tone) in sum.iter_mut().zip(self.nodes[at]) {
                *sum += tone * weight;
            }
        }
        std::array::from_fn(|ink| f64::from(unit(self.last[ink].at(sum[ink]))) * 100.0)
    }
}

/// How a profile separates colours.
#[derive(Debug, Clone)]
pub struct ProfileSeparation {
    table: SeparationTable,
    darkest: f64,
}

impl ProfileSeparation {
    /// Takes the colorimetric table, and the blackest print of the table for pictures.
    pub(super) fn read(
        bytes: &Bytes<'_>,
        header: &Header,
        printed: impl Fn([f64; 4]) -> LabD50,
    ) -> Option<Self> {
        let table = SeparationTable::read(bytes, header, [*b"B2A1", *b"B2A0"])?;
        let pictures = SeparationTable::read(bytes, header, [*b"B2A0", *b"B2A1"])?;
        let black = printed(pictures.tones(LabD50::new(0.0, 0.0, 0.0)));
        Some(Self {
            table,
            darkest: black.l.clamp(0.0, LIGHTEST_BLACK),
        })
    }

    /// Returns tones of C, M, Y, K in percent for a colour relative to the paper, which has L* 100 there.
    pub fn tones(&self, relative: LabD50) -> [f64; 4] {
        self.table.tones(relative)
    }

    /// Returns L* of the darkest that the profile's own table for pictures prints, relative to the paper.
    pub fn darkest(&self) -> f64 {
        self.darkest
    }
}
