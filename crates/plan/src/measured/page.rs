//! One measured page: which of its ink belongs to which colour of the job.

use std::collections::{BTreeMap, BTreeSet};

use inkset_colour::delta_e00;
use inkset_spec::{Given, Job, Use, UseKind};
use inkset_units::ToneValue;

use super::{MeasuredFlat, MeasuredPage, Shown, Target, Targets};

/// Largest share of a page that softened edges may add to a flat colour. Our own choice: at 150 pixels an inch an edge
/// is half a pixel of 0.17 mm wide, so that this is the outline of 18 flat pieces of 20 x 20 mm on A4.
const EDGES: f64 = 0.002;

/// The most that edges may add to a flat colour, as a share of itself.
const EDGES_OF_FLAT: f64 = 0.1;

/// Ink left over on a page that is put down to edges where a flat colour prints the same ink, share of the page.
const UNNOTICED: f64 = 0.0005;

/// The colours of one page.
pub(super) struct PageColours {
    /// What the page shows of each colour at each tint: by index into the job's colours and bits of the tint.
    pub(super) shown: BTreeMap<(usize, u64), Shown>,
    /// Mean of C, M, Y, K that belongs to none of them, 0 to 1.
    pub(super) rest: [f64; 4],
    /// Solids that no colour of the job is named after.
    pub(super) strange: Vec<String>,
    /// Flat colours that are none of the job's.
    pub(super) unlisted: Vec<MeasuredFlat>,
}

impl PageColours {
    pub(super) fn of(job: &Job, page: &MeasuredPage, targets: &Targets<'_>) -> Self {
        let mut colours = Self {
            shown: expected(job, page),
            rest: page.process,
            strange: Vec::new(),
            unlisted: Vec::new(),
        };
        colours.solids(job, page);
        let of_flats = colours.flats(job, page, targets);
        colours.type_and_rules(job, page, targets);
        for (ink, rest) in colours.rest.iter_mut().enumerate() {
            if of_flats.contains(&ink) && *rest < UNNOTICED {
                *rest = 0.0;
            }
        }
        colours
    }

    /// Each colour that is expected or shown, with which of the two it is.
    pub(super) fn expected_and_shown(&self) -> Vec<(usize, bool, bool)> {
        let mut all: BTreeMap<usize, (bool, bool)> = BTreeMap::new();
        for (&(colour, _), shown) in &self.shown {
            let known = all.entry(colour).or_default();
            known.0 |= shown.expected;
            known.1 |= shown.share > 0.0;
        }
        all.into_iter()
            .map(|(colour, (e, s))| (colour, e, s))
            .collect()
    }

    fn solids(&mut self, job: &Job, page: &MeasuredPage) {
        for (name, mean) in &page.solids {
            let colours = &job.colours;
            let named = |colour: &inkset_spec::Colour| plain(&colour.name.value) == plain(name);
            match colours.iter().position(named) {
                Some(colour) => self.solid(job, page, (colour, *mean)),
                None => self.strange.push(name.clone()),
            }
        }
    }

    /// Spreads the mean of a solid over the tints that the job expects, in their proportion.
    fn solid(&mut self, job: &Job, page: &MeasuredPage, (colour, mean): (usize, f64)) {
        let declared: Vec<(ToneValue, f64)> = job.colours[colour]
            .uses
            .iter()
            .filter(|place| is_on(place, page))
            .map(|place| (place.tint.value, place.coverage.fraction()))
            .collect();
        let ink: f64 = declared.iter().map(|(tint, c)| tint.fraction() * c).sum();
        let factor = mean / ink;
        if ink > 0.0 && declared.iter().all(|(_, c)| c * factor <= 1.0) {
            for (tint, coverage) in declared {
                self.add(job, colour, tint, coverage * factor);
            }
            return;
        }
        // A tint that would need more than the page cannot be the one that is printed.
        let tints = job.colours[colour]
            .uses
            .iter()
            .map(|place| place.tint.value);
        let fits = tints.filter(|tint| mean <= tint.fraction());
        let tint = fits.reduce(|a, b| if b > a { b } else { a });
        let tint = tint.unwrap_or(ToneValue::SOLID);
        self.add(job, colour, tint, mean / tint.fraction());
    }

    fn add(&mut self, job: &Job, colour: usize, tint: ToneValue, share: f64) {
        let key = (colour, tint.percent().to_bits());
        let kind = || {
            let mut uses = job.colours[colour].uses.iter();
            let same = uses.find(|place| place.tint.value == tint);
            same.map_or(UseKind::Panel, |place| place.kind.value)
        };
        let shown = self.shown.entry(key).or_insert_with(|| Shown {
            tint: Given::assumed(tint),
            kind: Given::assumed(kind()),
            share: 0.0,
            expected: false,
        });
        shown.share = (shown.share + share).min(1.0);
    }

    /// Flat colours out of process inks that are colours of the job; returns the inks that they print.
    fn flats(&mut self, job: &Job, page: &MeasuredPage, targets: &Targets<'_>) -> BTreeSet<usize> {
        let mut own: Vec<(&MeasuredFlat, &Target)> = Vec::new();
        for flat in &page.flats {
            match targets.nearest(page.part, flat.tones) {
                Some(target) => own.push((flat, target)),
                None => self.unlisted.push(*flat),
            }
        }
        let mut inks = BTreeSet::new();
        for (flat, target) in &own {
            self.take(job, target, flat.tones, flat.share);
            inks.extend((0..4).filter(|&ink| flat.tones[ink] > 0.0));
        }
        // Softened edges are no flat colours; what is left of the same inks belongs to them.
        for (flat, target) in own {
            let most = EDGES.min(EDGES_OF_FLAT * flat.share);
            let share = most.min(self.left_for(flat.tones));
            self.take(job, target, flat.tones, share);
        }
        inks
    }

    /// Share of the page that the inks left over could cover with such tones.
    fn left_for(&self, tones: [f64; 4]) -> f64 {
        let inks = tones.iter().zip(self.rest).filter(|(tone, _)| **tone > 0.0);
        let least = inks.map(|(tone, rest)| rest / tone * 100.0);
        least.reduce(f64::min).unwrap_or(0.0)
    }

    fn take(&mut self, job: &Job, target: &Target, tones: [f64; 4], share: f64) {
        if share <= 0.0 {
            return;
        }
        for (rest, tone) in self.rest.iter_mut().zip(tones) {
            *rest = (*rest - share * tone / 100.0).max(0.0);
        }
        if let Some(tint) = ToneValue::from_percent(target.row.tone) {
            self.add(job, target.row.colour, tint, share);
        }
    }

    /// Type and rules are too thin to be found as flat colours: the job's word is taken, as far as the ink is there.
    fn type_and_rules(&mut self, job: &Job, page: &MeasuredPage, targets: &Targets<'_>) {
        let of_page = targets.all.iter().filter(|target| target.part == page.part);
        for target in of_page {
            let Some((build, _)) = target.build else {
                continue;
            };
            let key = (target.row.colour, target.row.tone.to_bits());
            let is_missing = |shown: &Shown| shown.expected && shown.share <= 0.0;
            if !self.shown.get(&key).is_some_and(is_missing) {
                continue;
            }
            let declared = job.colours[target.row.colour].uses.iter().filter(|place| {
                is_on(place, page)
                    && place.tint.percent().total_cmp(&target.row.tone).is_eq()
                    && matches!(place.kind.value, UseKind::Type | UseKind::Rule)
            });
            let declared: f64 = declared.map(|place| place.coverage.fraction()).sum();
            let share = declared.min(self.left_for(build));
            self.take(job, target, build, share);
        }
    }
}

fn is_on(place: &Use, page: &MeasuredPage) -> bool {
    place.part == page.part && place.pages.contains(&page.page)
}

/// What the job says that the page shows, with nothing found of it yet.
fn expected(job: &Job, page: &MeasuredPage) -> BTreeMap<(usize, u64), Shown> {
    let mut all = BTreeMap::new();
    for (colour, of_job) in job.colours.iter().enumerate() {
        for place in of_job.uses.iter().filter(|place| is_on(place, page)) {
            let shown = Shown {
                tint: place.tint,
                kind: place.kind,
                share: 0.0,
                expected: true,
            };
            all.entry((colour, place.tint.percent().to_bits()))
                .or_insert(shown);
        }
    }
    all
}

impl Targets<'_> {
    /// The colour of the job that a flat colour out of process inks is, if it is one.
    fn nearest(&self, part: usize, tones: [f64; 4]) -> Option<&Target> {
        let lab = self.conditions.of_parts[part].lab(tones);
        let of_part = self.all.iter().filter(|target| target.part == part);
        let near = of_part.filter_map(|target| {
            let (_, built) = target.build?;
            let apart = delta_e00(lab, target.row.target).min(delta_e00(lab, built));
            (apart <= target.row.tolerance).then_some((apart, target))
        });
        let nearest = near.min_by(|a, b| a.0.total_cmp(&b.0));
        nearest.map(|(_, target)| target)
    }
}

/// A name without what people write differently: case, blanks and signs.
fn plain(name: &str) -> String {
    let letters = name.chars().filter(|c| c.is_alphanumeric());
    letters.flat_map(char::to_lowercase).collect()
}
