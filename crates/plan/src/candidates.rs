//! Every way in which each row could be printed, before any set is formed.

use std::collections::BTreeMap;

use inkset_colour::{
    BuildLimits, PressSpread, PrintingCondition, ProcessInk, ProcessSet, Variation, best_build,
    build_on_press, drift_by_ink, solid_on_press,
};
use inkset_spec::{Job, SolidChoice};
use rayon::prelude::*;

use crate::overprinted::{OnCondition, Overprinted, RowOverprints};
use crate::rendering::shown;
use crate::row::solid_ink;
use crate::{Conditions, MOST_SOLIDS, PlanNote, Rendering, RenderingKind, Row, Verdict};

/// Colours for which a solid ink is considered.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Solids {
    /// In every set: effects and solids that the job requires. Indices into the job's colours.
    pub(crate) always: Vec<usize>,
    /// In some sets.
    pub(crate) optional: Vec<usize>,
}

impl Solids {
    /// All of them, those in every set first.
    pub(crate) fn all(&self) -> Vec<usize> {
        self.always.iter().chain(&self.optional).copied().collect()
    }
}

/// The ways to print one row.
#[derive(Debug, Clone)]
pub(crate) struct RowCandidates {
    /// Best build from each subset of the process inks, by index (see [`subset`]); `None` for an effect and for no inks.
    pub(crate) builds: Vec<Option<Rendering>>,
    /// Best use of each solid of [`Solids::all`]; `None` where it cannot serve.
    pub(crate) solids: Vec<Option<Rendering>>,
    /// Solids with black and solids over each other.
    pub(crate) overprinted: Vec<Overprinted>,
    /// Best build with extended inks, by their mask; `None` where the colour has no use for them.
    pub(crate) extended: BTreeMap<usize, Rendering>,
}

/// Sorts the job's colours into solids that are always there, may be there, or need not be considered.
pub(crate) fn solids(
    job: &Job,
    rows: &[Row],
    conditions: &Conditions<'_>,
) -> (Solids, Vec<PlanNote>) {
    let mut solids = Solids::default();
    for (index, colour) in job.colours.iter().enumerate() {
        if colour.effect.is_some() || colour.solid.value == SolidChoice::Required {
            solids.always.push(index);
        } else if colour.solid.value == SolidChoice::Allowed
            && !is_a_process_ink((job, index), rows, conditions)
        {
            solids.optional.push(index);
        }
    }
    let mut notes = Vec::new();
    if solids.optional.len() > MOST_SOLIDS {
        solids
            .optional
            .sort_by_key(|&index| (job.colours[index].importance.value, index));
        let left_out = solids.optional.split_off(MOST_SOLIDS);
        solids.optional.sort_unstable();
        notes.push(PlanNote::too_many_solids(job, &left_out));
    }
    (solids, notes)
}

/// Whether the full tone of one process ink is this colour: no further off than a solid may be mixed. Then a further ink of
/// the same look would be folly. The tolerance has no say: a looser one would take away a solid that serves other colours.
fn is_a_process_ink(
    (job, colour): (&Job, usize),
    rows: &[Row],
    conditions: &Conditions<'_>,
) -> bool {
    let mixed_within = job.colours[colour].solid_match.value.value();
    let mut own = rows
        .iter()
        .filter(|row| row.colour == colour && row.tone >= 100.0)
        .peekable();
    own.peek().is_some()
        && own.all(|row| {
            let condition = conditions.of_parts[row.parts[0]];
            (0..4).any(|ink| {
                let mut tones = [0.0; 4];
                tones[ink] = 100.0;
                inkset_colour::delta_e00(condition.lab(tones), row.target) <= mixed_within
            })
        })
}

/// What there is to search.
pub(crate) struct Search<'s, 'c> {
    pub(crate) job: &'s Job,
    pub(crate) rows: &'s [Row],
    pub(crate) solids: &'s Solids,
    pub(crate) conditions: &'s Conditions<'c>,
    pub(crate) variation: &'s Variation,
}

/// Rows that were searched before, and what was found for each.
pub(crate) type Known<'k> = (&'k [Row], &'k [RowCandidates]);

impl Search<'_, '_> {
    /// All renderings of all rows; rows that are known are not searched again.
    pub(crate) fn table(&self, known: Known<'_>) -> Vec<RowCandidates> {
        let all = self.solids.all();
        let found = |row: &Row| {
            let at = known.0.iter().position(|other| other == row)?;
            known.1.get(at)
        };
        let mut overprints: BTreeMap<&str, OnCondition<'_>> = BTreeMap::new();
        for row in self.rows.iter().filter(|row| found(row).is_none()) {
            let name = self.conditions.of_parts[row.parts[0]].name();
            overprints.entry(name).or_insert_with(|| {
                OnCondition::new(self.job, row.parts[0], self.solids, self.conditions)
            });
        }
        self.rows
            .par_iter()
            .map(|row| match found(row) {
                Some(found) => found.clone(),
                None => self.row(row, &all, &overprints),
            })
            .collect()
    }

    fn row(
        &self,
        row: &Row,
        solids: &[usize],
        overprints: &BTreeMap<&str, OnCondition<'_>>,
    ) -> RowCandidates {
        let condition = self.conditions.of_parts[row.parts[0]];
        let on = OnPaper {
            job: self.job,
            row,
            conditions: self.conditions,
            condition,
            variation: self.variation,
        };
        let overprints = RowOverprints {
            row,
            on: &overprints[condition.name()],
            solids,
            variation: self.variation,
        };
        on.candidates(solids, &overprints)
    }
}

/// The subset of the process inks with this index: bit 0 cyan, 1 magenta, 2 yellow, 3 black.
pub(crate) fn subset(mask: usize) -> ProcessSet {
    [
        ProcessInk::Cyan,
        ProcessInk::Magenta,
        ProcessInk::Yellow,
        ProcessInk::Black,
    ]
    .into_iter()
    .filter(|ink| mask & (1 << *ink as usize) != 0)
    .collect()
}

/// A row on its paper under its press variation.
pub(crate) struct OnPaper<'a> {
    pub(crate) job: &'a Job,
    pub(crate) row: &'a Row,
    pub(crate) conditions: &'a Conditions<'a>,
    pub(crate) condition: &'a PrintingCondition,
    pub(crate) variation: &'a Variation,
}

impl OnPaper<'_> {
    fn candidates(&self, solids: &[usize], overprints: &RowOverprints<'_, '_>) -> RowCandidates {
        let builds = self.builds();
        let is_effect = self.job.colours[self.row.colour].effect.is_some();
        let (overprinted, extended) = if is_effect {
            (Vec::new(), BTreeMap::new())
        } else {
            (
                overprints.of_solids(builds[15].as_ref()),
                overprints.of_extended(),
            )
        };
        RowCandidates {
            builds,
            solids: solids.iter().map(|&solid| self.solid(solid)).collect(),
            overprinted,
            extended,
        }
    }

    /// Best builds by subset, largest subsets first: where the best of a larger set leaves inks out, it is also the
    /// best of every smaller set that still has the inks it uses.
    fn builds(&self) -> Vec<Option<Rendering>> {
        let mut builds: Vec<Option<Rendering>> = vec![None; 16];
        if self.job.colours[self.row.colour].effect.is_some() {
            return builds;
        }
        let mut masks: Vec<usize> = (1..16).collect();
        masks.sort_by_key(|mask| std::cmp::Reverse((mask.count_ones(), *mask)));
        for mask in masks {
            let known = (mask + 1..16)
                .filter(|larger| larger & mask == mask)
                .filter_map(|larger| builds[larger].clone())
                .find(|build| used(build.process) & !mask == 0);
            builds[mask] = Some(known.unwrap_or_else(|| self.build(mask)));
        }
        builds
    }

    /// Best build from the process inks of a subset.
    pub(crate) fn build(&self, mask: usize) -> Rendering {
        let tones = self.given_tones(mask).unwrap_or_else(|| {
            let limits = BuildLimits {
                ink_limit: self.condition.ink_limit(),
                smallest_dot: self.condition.smallest_dot(),
                inks: subset(mask),
            };
            best_build(self.condition, self.row.target, &limits).tones
        });
        let exact = tones.map(f64::from);
        let lab = self.condition.lab(exact);
        let spread = build_on_press(self.condition, exact, self.row.target, self.variation);
        let judged = self.judge(inkset_colour::delta_e00(lab, self.row.target), spread);
        Rendering {
            kind: judged.kind(RenderingKind::Build),
            process: tones,
            solid: None,
            lab: Some(lab),
            drift_by_ink: drift_by_ink(self.condition, exact, self.variation).map(shown),
            ..judged.blank()
        }
    }

    /// The designer's own tone values, where the job gave the colour as a build on this paper.
    fn given_tones(&self, mask: usize) -> Option<[u8; 4]> {
        let tones = self.row.given_build?.map(|tone| tone.round() as u8);
        let sum: f64 = tones.iter().copied().map(f64::from).sum();
        (used(tones) & !mask == 0 && sum > 0.0 && sum <= self.condition.ink_limit())
            .then_some(tones)
    }

    /// The row printed from the solid of colour `solid`: its own, or a tint of another colour's.
    pub(crate) fn solid(&self, solid: usize) -> Option<Rendering> {
        let colour = &self.job.colours[solid];
        let own = solid == self.row.colour;
        if !own && (colour.effect.is_some() || self.job.colours[self.row.colour].effect.is_some()) {
            return None;
        }
        let paper = self.condition.paper();
        let match_delta_e = colour.solid_match.value.value();
        let ink = solid_ink((solid, match_delta_e), self.row.parts[0], self.conditions);
        let (tone, at_aim) = if own {
            (self.row.tone, ink.match_delta_e)
        } else {
            let (tone, delta_e) =
                ink.best_tint(paper, self.row.target, self.condition.smallest_dot());
            (f64::from(tone), delta_e)
        };
        if tone <= 0.0 {
            return None;
        }
        let spread = solid_on_press(&ink, paper, tone, self.row.target, self.variation);
        let kind = match (colour.effect.is_some(), tone >= 100.0) {
            (true, _) => RenderingKind::Effect,
            (false, true) => RenderingKind::Solid,
            (false, false) => RenderingKind::Tint,
        };
        // Mixed to within its match of the standard: a tint of another colour's solid carries that error too.
        let judged = self.judge(at_aim.max(ink.match_delta_e), spread);
        Some(Rendering {
            kind: judged.kind(kind),
            solid: Some((solid, tone)),
            lab: colour.effect.is_none().then(|| ink.tint(paper, tone)),
            ..judged.blank()
        })
    }

    fn judge(&self, delta_e: f64, spread: PressSpread) -> Judged {
        // 95 % of sheets cannot lie nearer than the aim does by the way they are counted.
        let (delta_e, on_press) = (shown(delta_e), shown(spread.p95.max(delta_e)));
        Judged {
            delta_e,
            median: shown(spread.median),
            on_press,
            verdict: Verdict::of(delta_e, on_press, self.row.tolerance),
        }
    }
}

struct Judged {
    delta_e: f64,
    median: f64,
    on_press: f64,
    verdict: Verdict,
}

impl Judged {
    fn kind(&self, within: RenderingKind) -> RenderingKind {
        let misses = self.verdict == Verdict::Misses && within != RenderingKind::Effect;
        if misses {
            RenderingKind::OutOfReach
        } else {
            within
        }
    }

    fn blank(&self) -> Rendering {
        Rendering {
            delta_e: self.delta_e,
            delta_e_median: self.median,
            delta_e_on_press: self.on_press,
            verdict: self.verdict,
            ..Rendering::blank()
        }
    }
}

/// Inks with a tone, as the index of their subset.
pub(crate) fn used(tones: [u8; 4]) -> usize {
    (0..4)
        .filter(|&ink| tones[ink] > 0)
        .map(|ink| 1 << ink)
        .sum()
}
