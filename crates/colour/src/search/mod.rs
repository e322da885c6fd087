//! The best build of a target: the tones that come nearest to it under the limits of the process.
//!
//! A tone is either zero or at least the smallest dot, so every subset of the inks is a problem of its own, smooth and
//! bounded. Each subset is started from its nearest nodes of a coarse lattice, refined, and only then rounded: the whole
//! percents around the refined point are searched as a neighbourhood. Subsets that cannot win any more are skipped.

mod cliff;
mod hollow;
mod ranking;
mod refine;
mod starts;
mod valley;
mod whole;

pub(crate) use starts::StartNodes;

use starts::{STARTS, Starts};

use crate::condition::PrintingCondition;
use crate::press::sensitivity;
use crate::{LabD50, ProcessInk, ProcessSet};
use cliff::Cliff;
use hollow::Hollows;
use ranking::Ranking;
use refine::{Point, Problem};
use whole::Contender;

/// How much worse than the best a build may be to be preferred for its fewer inks, ΔE00. Our own choice.
pub const PREFERENCE_SLACK: f64 = 0.1;

/// What a build may use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BuildLimits {
    /// Largest sum of tones, percent.
    pub ink_limit: f64,
    /// Smallest tone that is not zero, percent.
    pub smallest_dot: f64,
    /// Process inks that may be used.
    pub inks: ProcessSet,
}

impl BuildLimits {
    /// Returns the condition's own limits with all four inks.
    pub fn of(condition: &PrintingCondition) -> Self {
        Self {
            ink_limit: condition.ink_limit(),
            smallest_dot: condition.smallest_dot(),
            inks: ProcessSet::ALL,
        }
    }

    /// Returns the same limits for fewer inks.
    #[must_use]
    pub fn with_inks(self, inks: ProcessSet) -> Self {
        Self { inks, ..self }
    }
}

/// A colour built of process tints, as a designer would type it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Build {
    /// Cyan, magenta, yellow and black in whole percents, each 0 or at least the smallest dot.
    pub tones: [u8; 4],
    /// Colour that these tones print as.
    pub lab: LabD50,
    /// ΔE00 from this colour to the target.
    pub delta_e: f64,
    /// Best ΔE00 before rounding to whole percents.
    pub unrounded_delta_e: f64,
}

impl Build {
    /// Returns the tones as numbers, for the functions that take any tone.
    pub fn tones_f64(&self) -> [f64; 4] {
        self.tones.map(f64::from)
    }

    /// Returns the inks that the build uses.
    pub fn inks(&self) -> ProcessSet {
        ProcessSet::of_tones(self.tones_f64())
    }
}

/// Returns the best build of a target.
///
/// Among the builds within [`PREFERENCE_SLACK`] of the best found, the one with the fewest inks wins, then the one that
/// changes least on press, then the one with the least ink.
pub fn best_build(condition: &PrintingCondition, target: LabD50, limits: &BuildLimits) -> Build {
    let refined = refine_subsets(condition, target, limits);
    let unrounded = refined
        .first()
        .map_or(f64::INFINITY, |(_, point)| point.delta_e);
    let mut contenders: Vec<Contender> = Vec::new();
    let mut best = f64::INFINITY;
    for (problem, point) in &refined {
        if point.delta_e > best + PREFERENCE_SLACK {
            break;
        }
        contenders.extend(whole::search(problem, point));
        best = contenders.iter().map(|c| c.delta_e).fold(best, f64::min);
    }
    contenders.retain(|c| c.delta_e <= best + PREFERENCE_SLACK);
    let chosen = preferred(condition, &contenders);
    Build {
        tones: chosen.tones,
        lab: chosen.lab,
        delta_e: chosen.delta_e,
        // A kink of the grid may leave the refined point a hair above a whole one.
        unrounded_delta_e: unrounded.min(best),
    }
}

/// How far above the best refined point a subset's nearest start may lie and still be refined, ΔE00.
///
/// Half a cell of the coarse lattice is about this wide.
const START_REACH: f64 = 9.0;

/// The same as a share of the best, for targets far outside what the inks reach.
const START_REACH_SHARE: f64 = 0.25;

/// The subsets that the limits allow with their starts, nearest first.
fn started<'a>(
    condition: &'a PrintingCondition,
    target: LabD50,
    limits: &BuildLimits,
    ranking: &Ranking,
) -> Vec<(Starts, Problem<'a>)> {
    let problems = ProcessSet::every()
        .filter(|subset| limits.inks.contains_all(*subset))
        .filter_map(|subset| Problem::new(condition, target, limits, subset));
    let nodes = condition.starts();
    let mut started: Vec<_> = problems
        .map(|problem| (nodes.nearest(&problem, ranking, STARTS), problem))
        .collect();
    started.sort_by(|p, q| p.0.distance().total_cmp(&q.0.distance()));
    started
}

/// The refined points of the subsets that may still win, nearest first.
fn refine_subsets<'a>(
    condition: &'a PrintingCondition,
    target: LabD50,
    limits: &BuildLimits,
) -> Vec<(Problem<'a>, Point)> {
    let ranking = Ranking::new(target);
    let started = started(condition, target, limits, &ranking);
    let mut best = f64::INFINITY;
    let mut refined = Vec::with_capacity(started.len());
    let mut hollows = Hollows::of(target);
    for (starts, problem) in started {
        if starts.distance() > best * (1.0 + START_REACH_SHARE) + START_REACH {
            continue;
        }
        let points = starts.tones().map(|tones| problem.refine(tones));
        let point = points
            .min_by(|p, q| p.delta_e.total_cmp(&q.delta_e))
            .unwrap_or_else(|| problem.refine([0.0; 4]));
        best = best.min(point.delta_e);
        hollows.note(&starts, refined.len(), &problem);
        refined.push((problem, point));
    }
    if best > WINDING {
        start_again(&ranking, best, &mut refined);
    }
    hollows.search(best, &mut refined);
    search_cliffs(condition, target, &mut refined);
    refined.sort_by(|p, q| p.1.delta_e.total_cmp(&q.1.delta_e));
    polish_best(&mut refined);
    refined
}

/// ΔE00 beyond which the valleys of the difference are so long and flat that the usual starts are too few.
const WINDING: f64 = 10.0;

/// Starts of a subset then.
const MORE_STARTS: usize = 12;

/// Refines further starts of the subsets that are close to the best.
fn start_again(ranking: &Ranking, best: f64, refined: &mut [(Problem<'_>, Point)]) {
    for (problem, point) in refined {
        if point.delta_e > best * 1.03 + 0.3 {
            continue;
        }
        let nodes = problem.condition().starts();
        let starts = nodes.nearest(problem, ranking, MORE_STARTS);
        let points = starts
            .tones()
            .skip(STARTS)
            .map(|tones| problem.refine(tones));
        let lower = points.filter(|found| found.delta_e < point.delta_e);
        if let Some(found) = lower.min_by(|p, q| p.delta_e.total_cmp(&q.delta_e)) {
            *point = found;
        }
    }
}

/// Replaces points by lower ones at the foot of the cliff of opposite hues, where one is that deep.
fn search_cliffs(
    condition: &PrintingCondition,
    target: LabD50,
    refined: &mut [(Problem<'_>, Point)],
) {
    let points = refined.iter().map(|(_, point)| point.delta_e);
    let best = points.fold(f64::INFINITY, f64::min);
    for cliff in Cliff::lower_than(best, target, condition.starts()) {
        for (problem, point) in refined.iter_mut() {
            let found = cliff.search(problem, condition.starts().group(problem));
            if let Some(found) = found.filter(|found| found.delta_e < point.delta_e) {
                *point = found;
            }
        }
    }
}

/// ΔE00 beyond which the valleys of the difference wind so much that the polish walks in all directions.
const FAR: f64 = 14.0;

/// Widths of that walk, percent.
const FAR_WIDTHS: [f64; 8] = [8.0, 4.0, 2.0, 1.0, 0.5, 0.25, 0.1, 0.04];

/// Follows the kinks of the grid to the bottom for the subsets that could still be the best.
fn polish_best(refined: &mut [(Problem<'_>, Point)]) {
    let Some(best) = refined.first().map(|(_, point)| point.delta_e) else {
        return;
    };
    for (problem, point) in refined.iter_mut() {
        if point.delta_e < best * 1.03 + 0.3 && point.delta_e > 0.005 {
            *point = if best > FAR {
                let along = along_each_ink(problem, *point);
                valley::follow(problem, problem.walk(along, &FAR_WIDTHS, 4))
            } else {
                problem.polish(*point)
            };
        }
    }
    refined.sort_by(|p, q| p.1.delta_e.total_cmp(&q.1.delta_e));
}

/// Tones at which an ink is held while the others follow, percent.
const HELD: [f64; 8] = [5.0, 15.0, 30.0, 45.0, 60.0, 75.0, 90.0, 100.0];

/// Looks along every ink for a lower place of the valley: holds it at tones from light to full while the others follow,
/// and lets it go where that has a hollow.
///
/// Far from what the inks reach, one subset has several lowest places that differ by little, often in black and the
/// chromatic ink that it stands for.
fn along_each_ink(problem: &Problem<'_>, point: Point) -> Point {
    let mut best = point;
    for ink in problem.subset().iter().map(ProcessInk::index) {
        let mut here = point.tones;
        let along = HELD.map(|tone| {
            here[ink] = tone;
            let found = problem.holding(ink, tone).refine(here);
            here = found.tones;
            found
        });
        for (at, held) in along.iter().enumerate() {
            let beside = [at.checked_sub(1), Some(at + 1)];
            let mut beside = beside.into_iter().flatten().filter_map(|at| along.get(at));
            if beside.all(|other| held.delta_e <= other.delta_e) {
                let free = problem.refine(held.tones);
                if free.delta_e < best.delta_e {
                    best = free;
                }
            }
        }
    }
    best
}

fn preferred(condition: &PrintingCondition, contenders: &[Contender]) -> Contender {
    let fewest = contenders
        .iter()
        .map(Contender::ink_count)
        .min()
        .unwrap_or(0);
    let ranked = contenders
        .iter()
        .filter(|c| c.ink_count() == fewest)
        .map(|c| {
            let ink: u32 = c.tones.iter().map(|t| u32::from(*t)).sum();
            // Differences in the fourth digit are rounding, not a reason to take more ink.
            let change = libm::round(sensitivity(condition, c.tones.map(f64::from)) * 1000.0);
            (change, ink, c)
        });
    let best = ranked.min_by(|p, q| {
        p.0.total_cmp(&q.0)
            .then(p.1.cmp(&q.1))
            .then(p.2.tones.cmp(&q.2.tones))
    });
    best.map_or_else(|| Contender::paper(condition), |(_, _, c)| *c)
}
