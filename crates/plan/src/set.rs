//! Ink sets: which are possible, which are worth pricing.

use inkset_colour::ProcessSet;
use inkset_layout::PrintPlan;
use inkset_spec::Job;
use rayon::prelude::*;

use crate::candidates::{RowCandidates, Solids, subset, used};
use crate::mixtures::mixtures;
use crate::{Conditions, Rendering, Row, Verdict, coverage};

/// How much worse than four process inks a set may print a colour that both miss, ΔE00.
///
/// Less than this nobody sees on two copies side by side (common practice, no source).
pub(crate) const NO_WORSE_THAN_FOUR_INKS: f64 = 0.5;

/// One ink set and how it prints every row.
#[derive(Debug, Clone)]
pub struct PlannedSet {
    /// Name for people, no other set's: `CMYK + Pumpkin orange`.
    pub name: String,
    /// Process inks that something on the job uses.
    pub process: ProcessSet,
    /// Colours of the job that a solid or effect ink is mixed for: indices into [`Job::colours`], in their order.
    pub solids: Vec<usize>,
    /// Extended process inks that something on the job uses: indices into [`Conditions::extended`].
    pub extended: Vec<usize>,
    /// One for each of [`crate::Plan::rows`].
    pub renderings: Vec<Rendering>,
    /// For each rendering, a build that changes less on press at little cost to the aim, where there is one.
    pub steadier: Vec<Option<Steadier>>,
    /// Which ink covers how much of which page.
    pub print: PrintPlan,
}

/// A build of fewer inks that changes less on press.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steadier {
    /// Whole-percent tone values of C M Y K.
    pub process: [u8; 4],
    /// ΔE00 to the target at the aim, to two decimals.
    pub delta_e: f64,
    /// 95th percentile of ΔE00 to the target on press, to two decimals.
    pub delta_e_on_press: f64,
}

/// Most that a steadier build may be further off at the aim, ΔE00. Our own choice.
const STEADIER_COST: f64 = 0.5;

/// Least that it must gain on press, ΔE00; less nobody sees. Our own choice.
const STEADIER_GAIN: f64 = 0.1;

/// The build from fewer of the set's inks that keeps nearest on press.
fn steadier(row: &RowCandidates, chosen: &Rendering, mask: usize) -> Option<Steadier> {
    if chosen.solid.is_some() || !chosen.extended.is_empty() || chosen.verdict == Verdict::Misses {
        return None;
    }
    let builds = (1..16).filter(|subset| subset & !mask == 0);
    let best = builds
        .filter_map(|subset| row.builds[subset].as_ref())
        .filter(|build| build.delta_e - chosen.delta_e < STEADIER_COST)
        .reduce(|best, next| if next.steadier(best) { next } else { best })?;
    (best.delta_e_on_press + STEADIER_GAIN <= chosen.delta_e_on_press).then_some(Steadier {
        process: best.process,
        delta_e: best.delta_e,
        delta_e_on_press: best.delta_e_on_press,
    })
}

impl PlannedSet {
    /// Largest ΔE00 at the aim of all rows; 0 without rows.
    pub fn worst_delta_e(&self) -> f64 {
        self.renderings
            .iter()
            .map(|r| r.delta_e)
            .fold(0.0, f64::max)
    }

    /// One number to compare sets by colour, smaller is better: fewer misses, then fewer drifts, then the smaller worst ΔE00.
    pub fn colour_rank(&self) -> f64 {
        let counted = |verdict| self.count(verdict) as f64;
        // A ΔE00 stays below 1,000, and a job below 1,000 colours, so that no term reaches the next.
        counted(Verdict::Misses) * 1e6 + counted(Verdict::Drifts) * 1e3 + self.worst_delta_e()
    }

    /// The worst verdict of all rows.
    pub fn verdict(&self) -> Verdict {
        self.renderings
            .iter()
            .map(|r| r.verdict)
            .max()
            .unwrap_or(Verdict::Holds)
    }

    /// Number of rows with this verdict.
    pub fn count(&self, verdict: Verdict) -> usize {
        self.renderings
            .iter()
            .filter(|r| r.verdict == verdict)
            .count()
    }

    fn find_steadier(&mut self, table: &[RowCandidates]) {
        let mask = (0..16)
            .find(|&mask| subset(mask) == self.process)
            .unwrap_or(0);
        let pairs = table.iter().zip(&self.renderings);
        self.steadier = pairs
            .map(|(row, chosen)| steadier(row, chosen, mask))
            .collect();
    }

    /// Whether the same inks hang on the press, whatever they print.
    pub fn hangs_the_same(&self, other: &Self) -> bool {
        (self.process, &self.solids, &self.extended)
            == (other.process, &other.solids, &other.extended)
    }

    /// Number of inks.
    pub fn inks(&self) -> usize {
        self.print.inks.len()
    }
}

/// All sets worth pricing, fewest inks first, and the index of the one that builds all it can from process inks.
pub(crate) fn worth_pricing(
    job: &Job,
    rows: &[Row],
    solids: &Solids,
    (table, conditions): (&[RowCandidates], &Conditions<'_>),
) -> (Vec<PlannedSet>, usize) {
    let four_ink =
        all_at_best(table, &Hung::of_process(15, solids)).expect("four process inks print any row");
    let floor: Vec<f64> = rows
        .iter()
        .zip(&four_ink)
        .map(|(row, four)| row.tolerance.max(four.delta_e + NO_WORSE_THAN_FOUR_INKS))
        .collect();
    let mut chosen = candidates(job, solids, table, &floor);
    chosen.at_best.push(four_ink.clone());
    let of_job = JobRows {
        job,
        rows,
        solids,
        conditions,
    };
    let mut sets = distinct(&of_job, chosen);
    for set in &mut sets {
        set.find_steadier(table);
    }
    let four_ink: Vec<Rendering> = four_ink.into_iter().cloned().collect();
    let baseline =
        coverage::print_plan(job, (rows, &four_ink), &solids.always, &conditions.extended);
    let mut kept = undominated(sets, &baseline);
    crate::naming::tell_apart(&mut kept, rows, &conditions.extended);
    let four_ink = kept
        .iter()
        .position(|set| set.print == baseline)
        .expect("the four-ink set is always kept");
    (kept, four_ink)
}

/// One rendering for every row, many times over.
type Choices<'t> = Vec<Vec<&'t Rendering>>;

/// How the rows may be printed, over all choices of inks.
#[derive(Debug, Default)]
struct Chosen<'t> {
    /// Every row at its best.
    at_best: Choices<'t>,
    /// Some rows otherwise.
    otherwise: Choices<'t>,
}

/// Every subset of the process inks that the pictures allow, with every subset of the optional solids; only those that
/// print no row beyond its `floor`.
fn candidates<'t>(
    job: &Job,
    solids: &Solids,
    table: &'t [RowCandidates],
    floor: &[f64],
) -> Chosen<'t> {
    let within = |renderings: &Vec<&Rendering>| {
        let mut pairs = renderings.iter().zip(floor);
        pairs.all(|(r, &limit)| r.delta_e <= limit)
    };
    let hung: Vec<Hung> = every_choice(job, solids, table);
    let mixtures: Vec<Choices<'t>> = hung
        .into_par_iter()
        .map(|hung| mixtures(table, &hung))
        .collect();
    let mut chosen = Chosen::default();
    for of_inks in mixtures {
        let mut of_inks = of_inks.into_iter().filter(within);
        chosen.at_best.extend(of_inks.next());
        chosen.otherwise.extend(of_inks);
    }
    chosen
}

/// Inks hung on the press, as masks.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hung {
    /// Process inks.
    pub(crate) process: usize,
    /// Solids, by their place in [`Solids::all`].
    pub(crate) solids: usize,
    /// Extended process inks.
    pub(crate) extended: usize,
}

impl Hung {
    /// Process inks and the solids that are in every set.
    fn of_process(process: usize, solids: &Solids) -> Self {
        Self {
            process,
            solids: (1 << solids.always.len()) - 1,
            extended: 0,
        }
    }
}

/// Optional solids up to which every subset is tried with extended inks too; of more, only subsets of up to two.
const MOST_WITH_EXTENDED: usize = 6;

/// Every choice of inks that the pictures allow. Extended inks come with all four process inks.
fn every_choice(job: &Job, solids: &Solids, table: &[RowCandidates]) -> Vec<Hung> {
    let needed = picture_inks(job);
    let n_optional = solids.optional.len();
    let of_process =
        |process: usize| (0..1_usize << n_optional).map(move |chosen| (process, chosen, 0));
    let plain = (0..16)
        .filter(|mask| mask & needed == needed)
        .flat_map(of_process);
    let mut masks: Vec<usize> = table
        .iter()
        .flat_map(|row| row.extended.keys().copied())
        .collect();
    masks.sort_unstable();
    masks.dedup();
    let few = |chosen: &usize| n_optional <= MOST_WITH_EXTENDED || chosen.count_ones() <= 2;
    let extended = masks.into_iter().flat_map(|mask| {
        let chosen = (0..1_usize << n_optional).filter(few);
        chosen.map(move |chosen| (15, chosen, mask))
    });
    plain
        .chain(extended)
        .map(|(process, chosen, extended)| {
            let always = Hung::of_process(process, solids);
            Hung {
                solids: always.solids | chosen << solids.always.len(),
                extended,
                ..always
            }
        })
        .collect()
}

/// The process inks that pictures print with, as a mask.
pub(crate) fn picture_inks(job: &Job) -> usize {
    let inks = |ink: usize| {
        job.pictures
            .iter()
            .any(|p| p.area.fraction() > 0.0 && p.inks.value[ink] > 0.0)
    };
    (0..4).filter(|&ink| inks(ink)).map(|ink| 1 << ink).sum()
}

/// Every row at its best with the inks hung; `None` when a row cannot be printed at all.
fn all_at_best<'t>(table: &'t [RowCandidates], hung: &Hung) -> Option<Vec<&'t Rendering>> {
    table.iter().map(|row| row.best(hung)).collect()
}

/// What renderings of a job refer to.
struct JobRows<'a> {
    job: &'a Job,
    rows: &'a [Row],
    solids: &'a Solids,
    conditions: &'a Conditions<'a>,
}

/// Sets that print the same way are one set, whatever they were formed from.
///
/// Those with every colour at its best are kept. The others are worth having only where they save ink.
fn distinct(of_job: &JobRows<'_>, chosen: Chosen<'_>) -> Vec<PlannedSet> {
    let mut sets: Vec<PlannedSet> = Vec::new();
    let mut seen = std::collections::HashSet::new();
    let at_best = chosen.at_best.len();
    let all = chosen.at_best.into_iter().chain(chosen.otherwise);
    for (at, renderings) in all.enumerate() {
        if seen.insert(renderings.iter().map(|r| r.tones()).collect::<Vec<_>>()) {
            let set = planned(of_job, renderings.into_iter().cloned().collect());
            if at < at_best || !sets.iter().any(|other| serves_as_well(other, &set)) {
                sets.push(set);
            }
        }
    }
    sets
}

/// Whether `one` gives every colour a verdict as good with an ink fewer, or with no more of any ink on any page.
///
/// A further ink is taken not to pay for itself by what it saves of the others alone (common practice, no source).
fn serves_as_well(one: &PlannedSet, other: &PlannedSet) -> bool {
    let mut pairs = one.renderings.iter().zip(&other.renderings);
    let fewer = one.inks() < other.inks() && coverage::no_further_ink(&one.print, &other.print);
    pairs.all(|(a, b)| a.verdict <= b.verdict)
        && (fewer || coverage::no_more_ink(&one.print, &other.print))
}

fn planned(of_job: &JobRows<'_>, renderings: Vec<Rendering>) -> PlannedSet {
    let JobRows {
        job, rows, solids, ..
    } = of_job;
    let mask = renderings
        .iter()
        .map(|r| used(r.process))
        .fold(picture_inks(job), |all, one| all | one);
    let of_renderings = renderings.iter().flat_map(|r| [r.solid, r.second_solid]);
    let used_solids = of_renderings.flatten().map(|(colour, _)| colour);
    let used_solids = each_once(used_solids.chain(solids.always.iter().copied()));
    let extended = renderings.iter().flat_map(|r| &r.extended);
    let extended = each_once(extended.map(|(ink, _)| *ink));
    PlannedSet {
        name: name(of_job, mask, (&extended, &used_solids)),
        process: subset(mask),
        print: coverage::print_plan(
            job,
            (rows, &renderings),
            &solids.always,
            &of_job.conditions.extended,
        ),
        solids: used_solids,
        extended,
        steadier: vec![None; renderings.len()],
        renderings,
    }
}

fn each_once(all: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut all: Vec<usize> = all.collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn name(of_job: &JobRows<'_>, mask: usize, (extended, solids): (&[usize], &[usize])) -> String {
    let process: String = ["C", "M", "Y", "K"]
        .iter()
        .enumerate()
        .filter(|(i, _)| mask & (1 << i) != 0)
        .map(|(_, l)| *l)
        .collect();
    let extended = extended
        .iter()
        .map(|&ink| of_job.conditions.extended[ink].name.as_str());
    let solids = solids
        .iter()
        .map(|&colour| of_job.job.colours[colour].name.value.as_str());
    let parts: Vec<&str> = std::iter::once(process.as_str())
        .filter(|p| !p.is_empty())
        .chain(extended)
        .chain(solids)
        .collect();
    parts.join(" + ")
}

/// Drops every set that another one matches in every colour with no more of any ink on any page.
fn undominated(mut sets: Vec<PlannedSet>, baseline: &PrintPlan) -> Vec<PlannedSet> {
    sets.sort_by(|a, b| (a.inks(), &a.name).cmp(&(b.inks(), &b.name)));
    let keep: Vec<bool> = sets
        .par_iter()
        .enumerate()
        .map(|(at, set)| {
            let beaten = |other_at: usize, other: &PlannedSet| {
                other_at != at
                    && other.inks() <= set.inks()
                    && no_worse(other, set)
                    // Of two that match each other, the first is kept.
                    && (other_at < at || !no_worse(set, other))
            };
            set.print == *baseline
                || !sets
                    .iter()
                    .enumerate()
                    .any(|(other_at, other)| beaten(other_at, other))
        })
        .collect();
    sets.into_iter()
        .zip(keep)
        .filter_map(|(set, keep)| keep.then_some(set))
        .collect()
}

fn no_worse(one: &PlannedSet, other: &PlannedSet) -> bool {
    one.renderings
        .iter()
        .zip(&other.renderings)
        .all(|(a, b)| a.as_good_as(b))
        && coverage::no_more_ink(&one.print, &other.print)
}
