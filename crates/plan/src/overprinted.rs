//! Renderings that rest on predicted overprints: a solid with black, two solids, builds with extended process inks.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use inkset_colour::{
    FurtherBuild, FurtherInk, FurtherLimits, LabD50, MOST_FURTHER, OverprintError, Overprints,
    PrintingCondition, ProcessInk, ProcessSet, Variation, overprint_error,
};
use inkset_spec::Job;

use crate::candidates::Solids;
use crate::rendering::shown;
use crate::row::solid_ink;
use crate::{Conditions, MOST_EXTENDED, Rendering, RenderingKind, Row, Verdict};

/// Degrees of hue within which a solid darkened with black can serve a colour; our own choice, twice what a black of another
/// hue turns the darkest builds by.
const HUE_REACH: f64 = 40.0;
/// Chroma below which a hue says little.
const GREYISH: f64 = 8.0;
/// ΔE00 on press up to which process inks do better than any two solids, whose look together is predicted. Our own choice.
const BEYOND_PREDICTION: f64 = 2.0;
/// Renderings out of two solids kept for a row, the nearest.
const MOST_PAIRS: usize = 6;

/// A rendering that needs certain solids at once.
#[derive(Debug, Clone)]
pub(crate) struct Overprinted {
    /// Solids needed, as bits by their place in [`Solids::all`].
    pub(crate) solids: usize,
    /// Process inks needed, as a mask.
    pub(crate) process: usize,
    pub(crate) rendering: Rendering,
}

/// The overprints that can be asked for on one printing condition.
pub(crate) struct OnCondition<'a> {
    condition: &'a PrintingCondition,
    /// What predictions miss there.
    error: OverprintError,
    /// Each solid without an effect, by its place in [`Solids::all`].
    solids: BTreeMap<usize, Overprints<'a>>,
    /// Every two of them, worked out when a row first asks: most jobs never do.
    pairs: BTreeMap<(usize, usize), OnceLock<Overprints<'a>>>,
    /// Extended inks that this paper has figures for: place in [`Conditions::extended`], solid.
    extended: Vec<(usize, LabD50)>,
    /// One or two extended inks at once.
    together: BTreeMap<Vec<usize>, Overprints<'a>>,
}

impl<'a> OnCondition<'a> {
    /// Prepares the overprints of a part's paper.
    pub(crate) fn new(
        job: &Job,
        part: usize,
        solids: &Solids,
        conditions: &Conditions<'a>,
    ) -> Self {
        let condition = conditions.of_parts[part];
        let all = solids.all();
        let plain: Vec<(usize, FurtherInk)> = all
            .iter()
            .enumerate()
            .filter(|(_, colour)| job.colours[**colour].effect.is_none())
            .map(|(bit, colour)| (bit, further_ink(job, *colour, part, conditions)))
            .collect();
        let known: Vec<(usize, &FurtherInk)> = conditions
            .extended
            .iter()
            .enumerate()
            .filter_map(|(at, ink)| Some((at, ink.of_parts[part].as_ref()?)))
            .take(MOST_EXTENDED)
            .collect();
        Self {
            condition,
            error: overprint_error(condition),
            solids: plain
                .iter()
                .map(|(bit, ink)| (*bit, Overprints::new(condition, std::slice::from_ref(ink))))
                .collect(),
            pairs: every_two(&plain)
                .map(|((p, _), (q, _))| ((*p, *q), OnceLock::new()))
                .collect(),
            extended: known.iter().map(|(at, ink)| (*at, ink.solid.lab)).collect(),
            together: together(condition, &known),
        }
    }

    fn pair(&self, (p, q): (usize, usize)) -> &Overprints<'a> {
        let ink = |bit: usize| self.solids[&bit].inks()[0].clone();
        self.pairs[&(p, q)].get_or_init(|| Overprints::new(self.condition, &[ink(p), ink(q)]))
    }

    /// Subsets of the extended inks that could be hung, as masks of [`Conditions::extended`]; without the empty one.
    fn extended_masks(&self) -> Vec<usize> {
        (1..1_usize << self.extended.len())
            .map(|set| {
                let chosen = self.extended.iter().enumerate();
                chosen
                    .filter(|(bit, _)| set >> bit & 1 == 1)
                    .map(|(_, (at, _))| 1 << at)
                    .sum()
            })
            .collect()
    }
}

fn together<'a>(
    condition: &'a PrintingCondition,
    known: &[(usize, &FurtherInk)],
) -> BTreeMap<Vec<usize>, Overprints<'a>> {
    let single = known.iter().map(|(at, ink)| {
        let inks = [(*ink).clone()];
        (vec![*at], Overprints::new(condition, &inks))
    });
    let double = every_two(known).map(|((p, one), (q, other))| {
        let inks = [(*one).clone(), (*other).clone()];
        (vec![*p, *q], Overprints::new(condition, &inks))
    });
    single.chain(double).collect()
}

fn every_two<T>(all: &[T]) -> impl Iterator<Item = (&T, &T)> {
    let with_rest = all.iter().enumerate();
    with_rest.flat_map(|(at, one)| all[at + 1..].iter().map(move |other| (one, other)))
}

/// The ink that a solid of this colour would be, on the paper of a part.
pub fn further_ink(
    job: &Job,
    colour: usize,
    part: usize,
    conditions: &Conditions<'_>,
) -> FurtherInk {
    let look = &conditions.looks[colour];
    let match_delta_e = job.colours[colour].solid_match.value.value();
    FurtherInk {
        spectrum: look.spectrum.clone(),
        opacity: look.opacity.unwrap_or(0.0),
        ..FurtherInk::of(solid_ink((colour, match_delta_e), part, conditions))
    }
}

/// A row on its paper.
pub(crate) struct RowOverprints<'r, 'a> {
    pub(crate) row: &'r Row,
    pub(crate) on: &'r OnCondition<'a>,
    pub(crate) solids: &'r [usize],
    pub(crate) variation: &'r Variation,
}

impl RowOverprints<'_, '_> {
    /// Each solid with black, and the nearest of two solids; only what does not miss.
    pub(crate) fn of_solids(&self, four_inks: Option<&Rendering>) -> Vec<Overprinted> {
        let mut all: Vec<Overprinted> = self
            .on
            .solids
            .keys()
            .filter_map(|bit| self.with_black(*bit))
            .collect();
        // Whether a pair is tried may not depend on the tolerance, or a looser one would take it away.
        if four_inks.is_none_or(|build| build.delta_e_on_press > BEYOND_PREDICTION) {
            let mut pairs: Vec<Overprinted> = self
                .on
                .pairs
                .keys()
                .filter_map(|pair| self.two_solids(*pair))
                .collect();
            pairs.sort_by(|p, q| p.rendering.delta_e.total_cmp(&q.rendering.delta_e));
            pairs.truncate(MOST_PAIRS);
            all.extend(pairs);
        }
        all.retain(|one| one.rendering.verdict != Verdict::Misses);
        all
    }

    fn with_black(&self, bit: usize) -> Option<Overprinted> {
        let overprints = &self.on.solids[&bit];
        let solid = &overprints.inks()[0].solid;
        let target = self.row.target;
        let neutral = target.chroma() < GREYISH || solid.lab.chroma() < GREYISH;
        let turn = (solid.lab.hue() - target.hue() + 540.0).rem_euclid(360.0) - 180.0;
        if !neutral && turn.abs() > HUE_REACH {
            return None;
        }
        let build = overprints.best(target, &self.limits(ProcessSet::BLACK, [true, false]));
        let both = build.process[3] > 0 && build.further[0] > 0;
        both.then(|| Overprinted {
            solids: 1 << bit,
            process: 1 << ProcessInk::Black.index(),
            rendering: Rendering {
                solid: Some((self.solids[bit], f64::from(build.further[0]))),
                ..self.rendering(overprints, &build, RenderingKind::Overprint)
            },
        })
    }

    fn two_solids(&self, (p, q): (usize, usize)) -> Option<Overprinted> {
        let overprints = self.on.pair((p, q));
        let build = overprints.best(
            self.row.target,
            &self.limits(ProcessSet::NONE, [true, true]),
        );
        let both = build.further.iter().all(|tone| *tone > 0);
        both.then(|| Overprinted {
            solids: 1 << p | 1 << q,
            process: 0,
            rendering: Rendering {
                solid: Some((self.solids[p], f64::from(build.further[0]))),
                second_solid: Some((self.solids[q], f64::from(build.further[1]))),
                ..self.rendering(overprints, &build, RenderingKind::Overprint)
            },
        })
    }

    /// The best build with every subset of the extended inks that helps, by mask.
    pub(crate) fn of_extended(&self) -> BTreeMap<usize, Rendering> {
        let masks = self.on.extended_masks().into_iter();
        masks
            .filter_map(|mask| Some((mask, self.extended(mask)?)))
            .collect()
    }

    /// The best build with extended inks out of this subset; `None` when the hue lies between two process inks.
    ///
    /// Chosen per hue: the two chromatic inks on either side of the target's hue with black, and a fourth ink from one
    /// side further on. No more than four inks at once (common practice for extended process sets, no source).
    fn extended(&self, mask: usize) -> Option<Rendering> {
        let mut best: Option<(FurtherBuild, &Overprints<'_>, Vec<usize>)> = None;
        for inks in self.inks_for_hue(mask) {
            let further: Vec<usize> = inks.iter().filter_map(|ink| ink.checked_sub(4)).collect();
            let Some(overprints) = self.on.together.get(&further) else {
                continue;
            };
            let process: ProcessSet = ProcessInk::ALL
                .into_iter()
                .filter(|ink| *ink == ProcessInk::Black || inks.contains(&ink.index()))
                .collect();
            let allowed = [true, further.len() > 1];
            let build = overprints.best(self.row.target, &self.limits(process, allowed));
            if build.further.iter().any(|tone| *tone > 0)
                && best
                    .as_ref()
                    .is_none_or(|(b, ..)| build.delta_e < b.delta_e)
            {
                best = Some((build, overprints, further));
            }
        }
        best.map(|(build, overprints, further)| {
            let tones = further.into_iter().zip(build.further);
            Rendering {
                extended: tones.filter(|(_, tone)| *tone > 0).collect(),
                ..self.rendering(overprints, &build, RenderingKind::Build)
            }
        })
    }

    /// Sets of chromatic inks, extended ones counted from 4, that the target's hue may be built from; each has an extended
    /// ink.
    fn inks_for_hue(&self, mask: usize) -> Vec<Vec<usize>> {
        let solid = |ink: usize| {
            let mut tones = [0.0; 4];
            tones[ink] = 100.0;
            self.on.condition.lab(tones).hue()
        };
        let extended = self.on.extended.iter();
        let mut wheel: Vec<(f64, usize)> = (0..3)
            .map(|ink| (solid(ink), ink))
            .chain(
                extended
                    .filter(|(at, _)| mask >> at & 1 == 1)
                    .map(|(at, lab)| (lab.hue(), 4 + at)),
            )
            .collect();
        wheel.sort_by(|p, q| p.0.total_cmp(&q.0));
        let n = wheel.len();
        let above = wheel.partition_point(|ink| ink.0 < self.row.target.hue());
        let at = |steps: usize| wheel[(above + n + steps - 2) % n].1;
        let sets = [
            vec![at(1), at(2)],
            vec![at(0), at(1), at(2)],
            vec![at(1), at(2), at(3)],
        ];
        let mut kept: Vec<Vec<usize>> = Vec::new();
        for mut set in sets {
            set.sort_unstable();
            set.dedup();
            let extended = set.iter().filter(|ink| **ink >= 4).count();
            if (1..=MOST_FURTHER).contains(&extended) && !kept.contains(&set) {
                kept.push(set);
            }
        }
        kept
    }

    fn limits(&self, process: ProcessSet, further: [bool; MOST_FURTHER]) -> FurtherLimits {
        FurtherLimits {
            process,
            further,
            ink_limit: self.on.condition.ink_limit(),
            smallest_dot: self.on.condition.smallest_dot(),
        }
    }

    /// Judged with what the prediction may be off: its error on measured overprints times the share that rests on it.
    fn rendering(
        &self,
        overprints: &Overprints<'_>,
        build: &FurtherBuild,
        kind: RenderingKind,
    ) -> Rendering {
        let process = build.process.map(f64::from);
        let further = build.further.map(f64::from);
        let tones = (process, further.as_slice());
        let spread = overprints.on_press(tones, self.row.target, self.variation);
        let drifts = overprints.drifts(tones, self.variation);
        let mixed = overprints.inks().iter().map(|ink| ink.solid.match_delta_e);
        let is_solid = kind == RenderingKind::Overprint;
        let delta_e = if is_solid {
            build.delta_e.max(mixed.fold(0.0, f64::max))
        } else {
            build.delta_e
        };
        let uncertainty = shown(self.on.error.mean * build.share);
        let delta_e = shown(delta_e);
        let on_press = shown(spread.p95.max(delta_e) + uncertainty);
        let verdict = Verdict::of(delta_e, on_press, self.row.tolerance);
        Rendering {
            kind: if verdict == Verdict::Misses {
                RenderingKind::OutOfReach
            } else {
                kind
            },
            process: build.process,
            solid: None,
            second_solid: None,
            extended: Vec::new(),
            prediction: uncertainty,
            lab: Some(build.lab),
            delta_e,
            delta_e_median: shown(spread.median),
            drift_by_ink: std::array::from_fn(|ink| shown(drifts[ink])),
            drift_by_further: build
                .further
                .iter()
                .zip(&drifts[4..])
                .filter(|(tone, _)| **tone > 0)
                .map(|(_, drift)| shown(*drift))
                .collect(),
            delta_e_on_press: on_press,
            verdict,
        }
    }
}
