//! Separates RGB and Lab into the four process inks, computed from a printing condition.
//!
//! Relative colorimetric with black-point compensation: the medium's white becomes the bare paper, its black the
//! darkest build of the condition. For each colour, black follows a generation curve (common practice, no source) and
//! cyan, magenta and yellow are solved for; what is out of reach goes to the nearest build. The sum of tones never
//! exceeds the condition's ink limit. A condition that comes from a profile with tables of its own is separated by these
//! instead, relative colorimetric with the same compensation, as the trade's colour engines do. A dense grid over the RGB cube is solved once and interpolated in tetrahedra,
//! inside which a sum of tones cannot exceed that of the corners.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use inkset_colour::{
    LabD50, PrintingCondition, ProfileSeparation, Xyz, delta_e00, lab_from_xyz, xyz_from_lab,
};
use rayon::prelude::*;

use crate::coverage::FULL;
use crate::rgb::RgbSpace;

/// Nodes along each side of the RGB cube.
const NODES: usize = 25;
/// Steps of the solver; it has settled long before.
const STEPS: usize = 24;

/// Makes separations through one printing condition and keeps them.
#[derive(Debug)]
pub struct Separator<'a> {
    condition: &'a PrintingCondition,
    /// The separations of the profile that the condition comes from.
    own: Option<&'a ProfileSeparation>,
    mapping: Mapping,
    made: Mutex<BTreeMap<Vec<u8>, Option<Arc<Separation>>>>,
}

impl<'a> Separator<'a> {
    /// Separates through this condition, with its own ink limit and black limit.
    pub fn new(condition: &'a PrintingCondition) -> Self {
        Self {
            condition,
            own: None,
            mapping: Mapping::of(condition),
            made: Mutex::new(BTreeMap::new()),
        }
    }

    /// Separates as the profile does that the condition comes from, with its ink limit and its black.
    pub fn of_profile(condition: &'a PrintingCondition, own: &'a ProfileSeparation) -> Self {
        Self {
            own: Some(own),
            ..Self::new(condition)
        }
    }

    /// The separation of sRGB.
    pub fn srgb(&self) -> Arc<Separation> {
        self.kept(Vec::new(), || Some(RgbSpace::srgb()))
            .unwrap_or_else(|| Arc::new(self.grid(&RgbSpace::srgb())))
    }

    /// The separation of an embedded profile's RGB; `None` if the profile has no matrix and curves.
    pub fn profile(&self, profile: &[u8]) -> Option<Arc<Separation>> {
        self.kept(profile.to_vec(), || RgbSpace::of_profile(profile))
    }

    /// The build of one Lab colour, relative to the medium's white; tones 0 to 1.
    pub fn lab(&self, lab: LabD50) -> [f64; 4] {
        self.solve(xyz_from_lab(lab), [30.0, 30.0, 30.0, 0.0])
            .map(|tone| tone / 100.0)
    }

    /// What is lost of each colour of a separation.
    pub(crate) fn losses(&self, separation: &Separation) -> LossTable {
        LossTable::of(self, separation)
    }

    /// What a colour relative to the medium's white and black should look like on this paper.
    fn aim(&self, relative: Xyz) -> LabD50 {
        let Some(own) = self.own else {
            return self.mapping.to_paper(relative);
        };
        let xyz = xyz_from_lab(above_black(relative, own.darkest()));
        let (paper, d50) = (self.mapping.paper, inkset_colour::D50_WHITE);
        lab_from_xyz(Xyz {
            x: xyz.x * paper.x / d50.x,
            y: xyz.y * paper.y / d50.y,
            z: xyz.z * paper.z / d50.z,
        })
    }

    fn kept(
        &self,
        key: Vec<u8>,
        space: impl FnOnce() -> Option<RgbSpace>,
    ) -> Option<Arc<Separation>> {
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        made.entry(key)
            .or_insert_with(|| space().map(|space| Arc::new(self.grid(&space))))
            .clone()
    }

    fn grid(&self, space: &RgbSpace) -> Separation {
        let at = |i: usize| i as f64 / (NODES - 1) as f64;
        let slices: Vec<Vec<[u16; 4]>> = (0..NODES)
            .into_par_iter()
            .map(|r| {
                let mut tones = [30.0, 30.0, 30.0, 0.0];
                let rows = (0..NODES * NODES).map(|i| {
                    let xyz = space.xyz([at(r), at(i / NODES), at(i % NODES)]);
                    tones = self.solve(xyz, tones);
                    tones.map(|tone| (tone / 100.0 * f64::from(FULL)) as u16)
                });
                rows.collect()
            })
            .collect();
        Separation::of(space.clone(), &slices.concat())
    }

    /// Tones in percent whose colour comes nearest, with black by the generation curve.
    fn solve(&self, relative: Xyz, start: [f64; 4]) -> [f64; 4] {
        if let Some(own) = self.own {
            return own.tones(above_black(relative, own.darkest()));
        }
        let target = self.mapping.to_paper(relative);
        let goal = Goal {
            target,
            black: self.mapping.black(target),
            limit: self.condition.ink_limit(),
            black_limit: self.condition.black_limit(),
        };
        if self.mapping.is_paper(target) {
            return [0.0; 4];
        }
        goal.settle(self.condition, start)
    }
}

/// Black-point compensation: black becomes a neutral of this lightness, and white stays.
fn above_black(relative: Xyz, darkest: f64) -> LabD50 {
    let dark = xyz_from_lab(LabD50::new(darkest, 0.0, 0.0)).y / 100.0;
    let d50 = inkset_colour::D50_WHITE;
    let raised = |value: f64, white: f64| white * dark + value.max(0.0) * (1.0 - dark);
    lab_from_xyz(Xyz {
        x: raised(relative.x, d50.x),
        y: raised(relative.y, d50.y),
        z: raised(relative.z, d50.z),
    })
}

/// From colours relative to the medium's white and black to what the paper and the darkest build span.
#[derive(Debug)]
struct Mapping {
    paper: Xyz,
    paper_lab: LabD50,
    darkest: f64,
    black_limit: f64,
}

impl Mapping {
    fn of(condition: &PrintingCondition) -> Self {
        let black = condition.black_limit().min(condition.ink_limit());
        let rest = ((condition.ink_limit() - black) / 3.0).clamp(0.0, 100.0);
        let paper_lab = condition.paper();
        Self {
            paper: xyz_from_lab(paper_lab),
            paper_lab,
            darkest: xyz_from_lab(condition.lab([rest, rest, rest, black])).y,
            black_limit: condition.black_limit(),
        }
    }

    fn to_paper(&self, relative: Xyz) -> LabD50 {
        let d50 = inkset_colour::D50_WHITE;
        let dark = self.darkest / 100.0;
        let span = (self.paper.y / 100.0 - dark).max(0.0);
        let mapped = |value: f64, white: f64, paper: f64| {
            let share = (value / white).max(0.0);
            // Black keeps the paper's neutral hue.
            paper / self.paper.y * 100.0 * (dark + span * share)
        };
        lab_from_xyz(Xyz {
            x: mapped(relative.x, d50.x, self.paper.x),
            y: mapped(relative.y, d50.y, self.paper.y),
            z: mapped(relative.z, d50.z, self.paper.z),
        })
    }

    fn is_paper(&self, target: LabD50) -> bool {
        target.l >= self.paper_lab.l - 0.05
            && (target.a - self.paper_lab.a).abs() < 0.3
            && (target.b - self.paper_lab.b).abs() < 0.3
    }

    /// Black in percent: none in the lights, all in the darkest, less the more colourful.
    fn black(&self, target: LabD50) -> f64 {
        let darkest = lab_from_xyz(Xyz {
            x: self.darkest * 0.9642,
            y: self.darkest,
            z: self.darkest * 0.8249,
        });
        let dark = (self.paper_lab.l - target.l) / (self.paper_lab.l - darkest.l).max(1.0);
        let dark = dark.clamp(0.0, 1.0);
        let chroma = target.chroma() / 60.0;
        self.black_limit * dark * dark * dark / (1.0 + chroma * chroma)
    }
}

/// What one solution has to meet.
struct Goal {
    target: LabD50,
    black: f64,
    limit: f64,
    black_limit: f64,
}

impl Goal {
    /// Lightness, a, b, distance from the black wanted, and what is above the limit.
    fn residual(&self, condition: &PrintingCondition, tones: [f64; 4]) -> [f64; 5] {
        let lab = condition.lab(tones);
        let above = (tones.iter().sum::<f64>() - self.limit).max(0.0);
        [
            lab.l - self.target.l,
            lab.a - self.target.a,
            lab.b - self.target.b,
            0.05 * (tones[3] - self.black),
            0.5 * above,
        ]
    }

    /// Levenberg-Marquardt inside the bounds, from a start near by.
    fn settle(&self, condition: &PrintingCondition, start: [f64; 4]) -> [f64; 4] {
        let mut tones = self.inside(start);
        let mut residual = self.residual(condition, tones);
        let mut error = square(&residual);
        let mut damping = 0.1;
        for _ in 0..STEPS {
            let Some(step) = self.step(condition, tones, &residual, damping) else {
                break;
            };
            let next = self.inside(std::array::from_fn(|i| tones[i] + step[i]));
            let moved: f64 = (0..4).map(|i| (next[i] - tones[i]).abs()).sum();
            let next_residual = self.residual(condition, next);
            let next_error = square(&next_residual);
            if next_error < error {
                (tones, residual, error) = (next, next_residual, next_error);
                damping = (damping * 0.3).max(1e-4);
                if moved < 0.02 {
                    break;
                }
            } else {
                damping *= 5.0;
                if damping > 1e5 {
                    break;
                }
            }
        }
        self.limited(tones)
    }

    fn inside(&self, tones: [f64; 4]) -> [f64; 4] {
        let [c, m, y, k] = tones.map(|tone| tone.clamp(0.0, 100.0));
        [c, m, y, k.min(self.black_limit)]
    }

    /// The penalty leaves a fraction of a percent; it is taken off the colours.
    fn limited(&self, tones: [f64; 4]) -> [f64; 4] {
        let above = tones.iter().sum::<f64>() - self.limit;
        let colours: f64 = tones[..3].iter().sum();
        if above <= 0.0 || colours <= 0.0 {
            return tones;
        }
        let kept = (1.0 - above / colours).max(0.0);
        [tones[0] * kept, tones[1] * kept, tones[2] * kept, tones[3]]
    }

    fn step(
        &self,
        condition: &PrintingCondition,
        tones: [f64; 4],
        residual: &[f64; 5],
        damping: f64,
    ) -> Option<[f64; 4]> {
        let slopes: [[f64; 5]; 4] = std::array::from_fn(|ink| {
            let mut moved = tones;
            let step = if tones[ink] > 99.0 { -1.0 } else { 1.0 };
            moved[ink] += step;
            let there = self.residual(condition, moved);
            std::array::from_fn(|i| (there[i] - residual[i]) / step)
        });
        let mut system = [[0.0; 5]; 4];
        for i in 0..4 {
            for j in 0..4 {
                system[i][j] = dot(&slopes[i], &slopes[j]);
            }
            // Inks at a bound that would be pushed beyond it are held.
            let pull = -dot(&slopes[i], residual);
            let held = (tones[i] <= 0.0 && pull < 0.0) || (tones[i] >= 100.0 && pull > 0.0);
            if held {
                system[i] = [0.0; 5];
                system[i][i] = 1.0;
            } else {
                system[i][i] = system[i][i] * (1.0 + damping) + 1e-6;
                system[i][4] = pull;
            }
        }
        solved(system)
    }
}

fn dot(a: &[f64; 5], b: &[f64; 5]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn square(residual: &[f64; 5]) -> f64 {
    dot(residual, residual)
}

/// Gauss elimination with pivots of four equations; the fifth column is the right side.
fn solved(mut m: [[f64; 5]; 4]) -> Option<[f64; 4]> {
    for column in 0..4 {
        let pivot =
            (column..4).max_by(|&a, &b| m[a][column].abs().total_cmp(&m[b][column].abs()))?;
        m.swap(column, pivot);
        if m[column][column].abs() < 1e-12 {
            return None;
        }
        for row in column + 1..4 {
            let share = m[row][column] / m[column][column];
            let above = m[column];
            for (value, above) in m[row].iter_mut().zip(above).skip(column) {
                *value -= share * above;
            }
        }
    }
    let mut x = [0.0; 4];
    for row in (0..4).rev() {
        let known: f64 = (row + 1..4).map(|i| m[row][i] * x[i]).sum();
        x[row] = (m[row][4] - known) / m[row][row];
    }
    Some(x)
}

/// What is lost of every RGB colour on the way to paper, ΔE00.
#[derive(Debug)]
pub(crate) struct LossTable {
    losses: Vec<f32>,
}

/// Nodes along each side of the RGB cube at which losses are kept.
const LOSS_NODES: usize = 49;

impl LossTable {
    fn of(separator: &Separator<'_>, separation: &Separation) -> Self {
        let last = LOSS_NODES - 1;
        let node = |at: usize| {
            let place = [
                at / LOSS_NODES / LOSS_NODES,
                at / LOSS_NODES % LOSS_NODES,
                at % LOSS_NODES,
            ];
            let share = place.map(|v| v as f64 / last as f64);
            let aim = separator.aim(separation.space.xyz(share));
            let tones = match separator.own {
                // A table of its own is quick to ask, and exact.
                Some(_) => separator
                    .solve(separation.space.xyz(share), [0.0; 4])
                    .map(|tone| tone / 100.0),
                None => separation
                    .tones(share.map(|v| (v * f64::from(FULL) + 0.5) as u16))
                    .map(|tone| f64::from(tone) / f64::from(FULL)),
            };
            let printed = separator.condition.lab(tones.map(|tone| tone * 100.0));
            delta_e00(aim, printed) as f32
        };
        let all = (0..LOSS_NODES * LOSS_NODES * LOSS_NODES).into_par_iter();
        Self {
            losses: all.map(node).collect(),
        }
    }

    /// The loss of a colour whose numbers run over the whole of 16 bits, straight between the nodes.
    pub(crate) fn loss(&self, rgb: [u16; 3]) -> f32 {
        let last = LOSS_NODES - 1;
        let place = rgb.map(|v| f32::from(v) / f32::from(FULL) * last as f32);
        let low = place.map(|v| (v as usize).min(last - 1));
        let mut sum = 0.0;
        for corner in 0..8_usize {
            let (mut at, mut weight) = (0, 1.0);
            for axis in 0..3 {
                let within = place[axis] - low[axis] as f32;
                let high = corner >> axis & 1;
                at = at * LOSS_NODES + low[axis] + high;
                weight *= if high == 1 { within } else { 1.0 - within };
            }
            sum += self.losses[at] * weight;
        }
        sum
    }
}

/// RGB to four inks, ready to apply.
#[derive(Debug)]
pub struct Separation {
    /// The RGB that it is for.
    space: RgbSpace,
    /// Tones over the whole of 16 bits; floats multiply faster and hold such whole numbers exactly.
    nodes: Vec<[f32; 4]>,
}

/// Steps through the nodes along red, green and blue.
const STRIDES: [usize; 3] = [NODES * NODES, NODES, 1];
/// From the first to the last corner of a cell.
const ACROSS: usize = STRIDES[0] + STRIDES[1] + STRIDES[2];

impl Separation {
    fn of(space: RgbSpace, nodes: &[[u16; 4]]) -> Self {
        let nodes = nodes.iter().map(|tones| tones.map(f32::from));
        Self {
            space,
            nodes: nodes.collect(),
        }
    }

    /// Tones of cyan, magenta, yellow and black; numbers and tones run over the whole of 16 bits.
    ///
    /// Interpolates between the four corners of the tetrahedron that holds the colour, without a branch.
    pub fn tones(&self, rgb: [u16; 3]) -> [u16; 4] {
        let full = u32::from(FULL);
        let scaled = rgb.map(|v| u32::from(v) * (NODES as u32 - 1));
        let cell = scaled.map(|v| (v / full).min(NODES as u32 - 2));
        let share: [u32; 3] = std::array::from_fn(|i| scaled[i] - cell[i] * full);
        let [r, g, b] = share;
        let (high, low) = (r.max(g).max(b), r.min(g).min(b));
        let middle = r + g + b - high - low;
        // The axis of the largest share is walked first, that of the smallest last.
        let first = if r == high {
            STRIDES[0]
        } else if g == high {
            STRIDES[1]
        } else {
            STRIDES[2]
        };
        let last = if b == low {
            STRIDES[2]
        } else if g == low {
            STRIDES[1]
        } else {
            STRIDES[0]
        };
        let at: usize = (0..3).map(|i| cell[i] as usize * STRIDES[i]).sum();
        let corners = [at, at + first, at + ACROSS - last, at + ACROSS];
        let weights = [full - high, high - middle, middle - low, low];
        let mut sum = [0.0f32; 4];
        for (corner, weight) in corners.into_iter().zip(weights) {
            let (node, weight) = (&self.nodes[corner], weight as f32);
            for (sum, tone) in sum.iter_mut().zip(node) {
                *sum += tone * weight;
            }
        }
        sum.map(|v| (v * (1.0 / 65535.0) + 0.5) as u16)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use inkset_colour::shipped;

    fn coated() -> &'static PrintingCondition {
        shipped("coated-tr006").unwrap()
    }

    #[test]
    fn white_is_bare_paper() {
        assert_eq!(Separator::new(coated()).srgb().tones([FULL; 3]), [0; 4]);
    }

    #[test]
    fn sums_keep_the_ink_limit() {
        let separation = Separator::new(coated()).srgb();
        let limit = coated().ink_limit() / 100.0 * f64::from(FULL) + 8.0;
        for rgb in [[0, 0, 0], [9000, 400, 20], [0, 30_000, 0], [100, 0, 9000]] {
            let sum: f64 = separation.tones(rgb).iter().map(|&t| f64::from(t)).sum();
            assert!(sum <= limit, "{rgb:?}: {sum}");
        }
    }

    #[test]
    fn colours_in_reach_come_out_right() {
        let condition = coated();
        let separator = Separator::new(condition);
        let separation = separator.srgb();
        let mut worst: f64 = 0.0;
        for rgb in [
            [0.5, 0.5, 0.5],
            [0.8, 0.7, 0.6],
            [0.35, 0.45, 0.4],
            [0.9, 0.9, 0.8],
        ] {
            let aim = separator.mapping.to_paper(RgbSpace::srgb().xyz(rgb));
            let tones = separation.tones(rgb.map(|v: f64| (v * 65535.0) as u16));
            let printed = condition.lab(tones.map(|t| f64::from(t) / 655.35));
            worst = worst.max(delta_e00(aim, printed));
        }
        assert!(worst < 1.0, "{worst}");
    }

    #[test]
    fn greys_take_more_black_when_darker() {
        let separation = Separator::new(coated()).srgb();
        let blacks: Vec<u16> = (0..10)
            .map(|i| separation.tones([i * 6500; 3])[3])
            .collect();
        assert!(
            blacks.windows(2).all(|pair| pair[0] >= pair[1]),
            "{blacks:?}"
        );
        assert!(blacks[0] > 50_000 && blacks[9] < 2000, "{blacks:?}");
    }
}
