//! Whole percents around a refined point.

use crate::condition::PrintingCondition;
use crate::search::refine::{Linear, Point, Problem, dot3, shifts};
use crate::{LabD50, delta_e00};

/// A build in whole percents that may be the answer.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Contender {
    pub(crate) tones: [u8; 4],
    pub(crate) lab: LabD50,
    pub(crate) delta_e: f64,
}

impl Contender {
    fn new(problem: &Problem<'_>, tones: [u8; 4]) -> Self {
        let lab = problem.condition().lab(tones.map(f64::from));
        Self {
            tones,
            lab,
            delta_e: delta_e00(problem.target(), lab),
        }
    }

    /// The bare paper, for when nothing may be printed; its difference is left to the caller's target.
    pub(crate) fn paper(condition: &PrintingCondition) -> Self {
        Self {
            tones: [0; 4],
            lab: condition.paper(),
            delta_e: f64::INFINITY,
        }
    }

    pub(crate) fn ink_count(&self) -> usize {
        self.tones.iter().filter(|t| **t > 0).count()
    }
}

/// Neighbours that are judged exactly after the linear model has ranked them.
const SHORTLIST: usize = 6;

/// Returns the best whole-percent neighbours of a refined point.
pub(crate) fn search(problem: &Problem<'_>, point: &Point) -> Vec<Contender> {
    let mut contenders: Vec<Contender> = shortlist(problem, point)
        .into_iter()
        .map(|tones| Contender::new(problem, tones))
        .collect();
    if let Some(best) = contenders
        .iter()
        .min_by(|p, q| p.delta_e.total_cmp(&q.delta_e))
        .copied()
    {
        contenders.extend(descend(problem, best));
    }
    contenders
}

/// Ranks the corners of the percents around the point by the linear model.
fn shortlist(problem: &Problem<'_>, point: &Point) -> Vec<[u8; 4]> {
    let linear = Linear::at(problem, point.tones);
    let mut ranked: Vec<(f64, [u8; 4])> = Vec::with_capacity(SHORTLIST + 1);
    for tones in neighbours(problem, point.tones) {
        let offset: [f64; 4] = std::array::from_fn(|i| tones[i] - point.tones[i]);
        let shifted: [f64; 3] = std::array::from_fn(|k| {
            linear.value[k] + (0..4).map(|i| linear.slopes[i][k] * offset[i]).sum::<f64>()
        });
        let size = dot3(shifted, shifted);
        if ranked.len() < SHORTLIST || size < ranked[ranked.len() - 1].0 {
            let place = ranked.partition_point(|(other, _)| *other <= size);
            ranked.insert(place, (size, tones.map(|t| t as u8)));
            ranked.truncate(SHORTLIST);
        }
    }
    ranked.into_iter().map(|(_, tones)| tones).collect()
}

/// Four whole percents per ink around the point, as far as the limits allow.
fn neighbours(problem: &Problem<'_>, tones: [f64; 4]) -> impl Iterator<Item = [f64; 4]> {
    let subset = problem.subset();
    let mut inks = [0_usize; 4];
    for (place, ink) in subset.iter().enumerate() {
        inks[place] = ink.index();
    }
    let count = subset.len();
    let base = tones.map(|t| libm::floor(t) - 1.0);
    (0..4_usize.pow(count as u32)).filter_map(move |code| {
        let mut whole = [0.0; 4];
        for (place, ink) in inks.iter().enumerate().take(count) {
            whole[*ink] = base[*ink] + (code >> (2 * place) & 3) as f64;
        }
        problem.allows(whole).then_some(whole)
    })
}

/// Steps from the best neighbour to better ones, one or two inks at a time.
fn descend(problem: &Problem<'_>, start: Contender) -> Option<Contender> {
    let mut best = start;
    for _ in 0..8 {
        let moves = shifts(problem.subset(), 2)
            .map(|shift| std::array::from_fn(|i| f64::from(best.tones[i]) + shift[i]));
        let allowed = moves.filter(|tones| problem.allows(*tones));
        let next = allowed
            .map(|tones: [f64; 4]| Contender::new(problem, tones.map(|t| t as u8)))
            .min_by(|p, q| p.delta_e.total_cmp(&q.delta_e))?;
        if next.delta_e >= best.delta_e {
            break;
        }
        best = next;
    }
    Some(best)
}
