//! What press variation does to a build or to a solid.
//!
//! Every ink's film and tone value deviate, normally distributed, correlated within the ink's unit and not between units. The colour's answer to each deviation is
//! measured at plus and minus one standard deviation, which gives a slope and a curvature; a fixed set of samples runs
//! through that. The film acts on the primaries of the area model, and the grid follows by the ratio of the two.

use std::sync::LazyLock;

use crate::condition::PrintingCondition;
use crate::difference::Metric;
use crate::lab::{lab_from_xyz, xyz_from_lab};
use crate::neugebauer::Neugebauer;
use crate::variation::Variation;
use crate::{LabD50, Xyz, delta_e00};

/// ΔE00 to the target over a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressSpread {
    /// Half of the sheets are nearer than this.
    pub median: f64,
    /// 95 of 100 sheets are nearer than this.
    pub p95: f64,
}

/// Samples of a run.
pub(crate) const SAMPLES: usize = 400;

/// Deviations per sample: the film and the tone value of four inks.
pub(crate) const DEVIATIONS: usize = 8;

/// Returns how far the sheets of a run are from the target when a build is printed.
///
/// `tones` are in percent. Seeded: the same question has the same answer every time.
pub fn build_on_press(
    condition: &PrintingCondition,
    tones: [f64; 4],
    target: LabD50,
    variation: &Variation,
) -> PressSpread {
    let response = Response::of_build(condition, tones, variation);
    spread(
        DRAWS
            .iter()
            .map(|draw| delta_e00(target, response.lab(draw)))
            .collect(),
    )
}

/// Returns how far 95 of 100 sheets keep from the aim of a build when only one of its inks varies, for each ink in turn.
///
/// `tones` are in percent. Shows which ink causes the drift; the four do not add up, because deviations partly cancel.
pub fn drift_by_ink(
    condition: &PrintingCondition,
    tones: [f64; 4],
    variation: &Variation,
) -> [f64; 4] {
    let aim = condition.lab(tones);
    std::array::from_fn(|ink| {
        if tones[ink] > 0.0 {
            build_on_press(condition, tones, aim, &variation.only(ink)).p95
        } else {
            0.0
        }
    })
}

/// First-order change of a build under the controlled variation, ΔE00 at one standard deviation.
pub(crate) fn sensitivity(condition: &PrintingCondition, tones: [f64; 4]) -> f64 {
    let response = Response::of_build(condition, tones, &Variation::CONTROLLED);
    let metric = Metric::at(response.aim);
    let squares = response
        .terms
        .iter()
        .map(|term| metric.size(term.slope))
        .map(|size| size * size);
    squares.sum::<f64>().sqrt()
}

/// A colour's answer to standard deviations of film and tone value, second order in each.
#[derive(Debug, Clone)]
pub(crate) struct Response {
    pub(crate) aim: LabD50,
    terms: [Term; DEVIATIONS],
    /// Correlation of film and tone value of each ink.
    correlations: [f64; 4],
}

/// Slope and curvature of one deviation, per standard deviation.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Term {
    slope: [f64; 3],
    curvature: [f64; 3],
}

impl Response {
    fn of_build(condition: &PrintingCondition, tones: [f64; 4], variation: &Variation) -> Self {
        let aim = condition.lab(tones);
        let film = FilmModel::at(condition, tones);
        let mut terms = [Term::default(); DEVIATIONS];
        for ink in (0..4).filter(|i| tones[*i] > 0.0) {
            let film_at = |sign: f64| {
                let mut densities = [0.0; 4];
                densities[ink] = sign * 0.5 * variation.inks[ink].density_two_sd;
                film.shifted(aim, densities)
            };
            let tone_at = |sign: f64| {
                let mut moved = tones;
                let points = sign * 0.5 * variation.inks[ink].tone_two_sd;
                moved[ink] = moved_tone(tones[ink], points);
                condition.lab(moved)
            };
            terms[ink] = Term::between(aim, film_at(-1.0), film_at(1.0));
            terms[ink + 4] = Term::between(aim, tone_at(-1.0), tone_at(1.0));
        }
        Self {
            aim,
            terms,
            correlations: variation.inks.map(|ink| ink.correlation),
        }
    }

    /// A colour that answers to nothing yet.
    pub(crate) fn still(aim: LabD50) -> Self {
        Self {
            aim,
            terms: [Term::default(); DEVIATIONS],
            correlations: [0.0; 4],
        }
    }

    /// States the answers of the ink in a slot (0 to 3) to its film and its tone value.
    pub(crate) fn set(&mut self, slot: usize, [film, tone]: [Term; 2], correlation: f64) {
        self.terms[slot] = film;
        self.terms[slot + 4] = tone;
        self.correlations[slot] = correlation;
    }

    /// The same with all slots still but one.
    pub(crate) fn only(&self, slot: usize) -> Self {
        let mut one = self.clone();
        for (at, term) in one.terms.iter_mut().enumerate() {
            if at % 4 != slot {
                *term = Term::default();
            }
        }
        one
    }

    pub(crate) fn lab(&self, draw: &[f64; DEVIATIONS]) -> LabD50 {
        let mut lab = self.aim.to_array();
        for (term, z) in self.terms.iter().zip(self.correlated(draw)) {
            for (value, (slope, curvature)) in
                lab.iter_mut().zip(term.slope.iter().zip(term.curvature))
            {
                *value += z * (slope + z * curvature);
            }
        }
        LabD50::from_array(lab)
    }
}

impl Response {
    /// Lets each ink's tone value follow its film as far as the two are correlated.
    fn correlated(&self, draw: &[f64; DEVIATIONS]) -> [f64; DEVIATIONS] {
        let mut moved = *draw;
        for (ink, along) in self.correlations.into_iter().enumerate() {
            let free = (1.0 - along * along).max(0.0).sqrt();
            moved[ink + 4] = along * draw[ink] + free * draw[ink + 4];
        }
        moved
    }
}

impl Term {
    pub(crate) fn between(aim: LabD50, minus: LabD50, plus: LabD50) -> Self {
        let (aim, minus, plus) = (aim.to_array(), minus.to_array(), plus.to_array());
        Self {
            slope: std::array::from_fn(|i| 0.5 * (plus[i] - minus[i])),
            curvature: std::array::from_fn(|i| 0.5 * (plus[i] + minus[i]) - aim[i]),
        }
    }
}

/// A tone (percent) that gained so many points at the middle, less towards the ends.
pub(crate) fn moved_tone(tone: f64, points_at_middle: f64) -> f64 {
    let t = tone / 100.0;
    (tone + points_at_middle * 4.0 * t * (1.0 - t)).clamp(0.0, 100.0)
}

/// The area model at one build, with the inks' films free to change.
pub(crate) struct FilmModel<'a> {
    model: &'a Neugebauer,
    areas: [f64; 4],
    nominal: [f64; 3],
}

impl<'a> FilmModel<'a> {
    pub(crate) fn at(condition: &'a PrintingCondition, tones: [f64; 4]) -> Self {
        let model = condition.area_model();
        let areas = model.areas(tones);
        Self {
            model,
            areas,
            nominal: model.xyz_with_films(areas, [0.0; 4]),
        }
    }

    /// Returns `lab` as it looks when the solids' densities change by so much.
    pub(crate) fn shifted(&self, lab: LabD50, densities: [f64; 4]) -> LabD50 {
        let changed = self.model.xyz_with_films(self.areas, densities);
        let xyz = xyz_from_lab(lab).to_array();
        lab_from_xyz(Xyz::from_array(std::array::from_fn(|i| {
            xyz[i] * changed[i] / self.nominal[i].max(1e-9)
        })))
    }
}

pub(crate) fn spread(mut differences: Vec<f64>) -> PressSpread {
    differences.sort_unstable_by(f64::total_cmp);
    let at = |share: f64| {
        differences[((differences.len() as f64 * share) as usize).min(differences.len() - 1)]
    };
    PressSpread {
        median: at(0.5),
        p95: at(0.95),
    }
}

/// The samples in standard deviations, drawn once from a fixed seed.
///
/// A Latin hypercube (M. D. `McKay` and others 1979): each deviation takes every quantile of the normal distribution
/// exactly once, in an order of its own, so that even a build of one ink is sampled evenly.
pub(crate) static DRAWS: LazyLock<Vec<[f64; DEVIATIONS]>> = LazyLock::new(|| {
    let quantiles: Vec<f64> = (0..SAMPLES)
        .map(|i| normal_quantile((i as f64 + 0.5) / SAMPLES as f64))
        .collect();
    let mut numbers = SplitMix {
        state: 0x1b5e_77a1_9c3d_0f42,
    };
    let mut draws = vec![[0.0; DEVIATIONS]; SAMPLES];
    for deviation in 0..DEVIATIONS {
        let mut order = quantiles.clone();
        for i in (1..SAMPLES).rev() {
            order.swap(i, (numbers.next() % (i as u64 + 1)) as usize);
        }
        for (draw, value) in draws.iter_mut().zip(order) {
            draw[deviation] = value;
        }
    }
    draws
});

/// The value below which a share of the standard normal distribution lies, by bisection.
fn normal_quantile(share: f64) -> f64 {
    let (mut low, mut high) = (-8.0, 8.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        let below = 0.5 * libm::erfc(-middle * std::f64::consts::FRAC_1_SQRT_2);
        if below < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// A stream of whole numbers. Source: Steele, Lea and Flood 2014.
struct SplitMix {
    state: u64,
}

impl SplitMix {
    fn next(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ z >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ z >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ z >> 31
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shipped;

    /// Every deviation at once through the whole model, for many draws.
    fn sampled_in_full(
        condition: &PrintingCondition,
        tones: [f64; 4],
        target: LabD50,
        variation: &Variation,
    ) -> PressSpread {
        let mut numbers = SplitMix { state: 77 };
        let mut normal =
            || normal_quantile(((numbers.next() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64);
        let differences = (0..6000).map(|_| {
            let inks = variation.inks.map(|ink| ink.at(normal(), normal()));
            let densities: [f64; 4] =
                std::array::from_fn(|i| if tones[i] > 0.0 { inks[i].0 } else { 0.0 });
            let moved: [f64; 4] = std::array::from_fn(|i| moved_tone(tones[i], inks[i].1));
            let printed = FilmModel::at(condition, moved).shifted(condition.lab(moved), densities);
            delta_e00(target, printed)
        });
        spread(differences.collect())
    }

    #[test]
    fn quick_spread_agrees_with_full_sampling() {
        for info in crate::shipped_names() {
            let condition = shipped(&info.name).expect("a shipped condition opens");
            for tones in [
                [0.0, 60.0, 90.0, 0.0],
                [50.0, 40.0, 40.0, 10.0],
                [100.0, 80.0, 0.0, 20.0],
                [0.0, 0.0, 0.0, 50.0],
                [10.0, 5.0, 15.0, 0.0],
            ] {
                let mut coupled = Variation::CONTROLLED;
                for (at, ink) in coupled.inks.iter_mut().enumerate() {
                    ink.correlation = [0.8, 0.5, -0.5, 1.0][at];
                    ink.tone_two_sd += at as f64;
                }
                for variation in [Variation::CONTROLLED, Variation::LIMIT, coupled] {
                    let target = condition.lab(tones);
                    let quick = build_on_press(condition, tones, target, &variation);
                    let full = sampled_in_full(condition, tones, target, &variation);
                    let allowed = 0.08 * full.p95 + 0.1;
                    assert!(
                        (quick.p95 - full.p95).abs() < allowed,
                        "{} {tones:?} {quick:?} {full:?}",
                        info.name
                    );
                    assert!(
                        (quick.median - full.median).abs() < allowed,
                        "{} {tones:?} {quick:?} {full:?}",
                        info.name
                    );
                }
            }
        }
    }

    #[test]
    fn draws_are_standard_normal() {
        for deviation in 0..DEVIATIONS {
            let square: f64 = DRAWS
                .iter()
                .map(|d| d[deviation] * d[deviation])
                .sum::<f64>()
                / SAMPLES as f64;
            assert!(
                (square - 1.0).abs() < 0.2,
                "deviation {deviation}: {square}"
            );
        }
    }
}
