//! Versions: pieces of each, and the fewest sheets of every division among layouts.

use std::collections::BTreeSet;

use inkset_costing::InkSpec;
use inkset_spec::{Given, Job, RateCard, Version, VersionPortion};
use inkset_units::Coverage;
use rust_decimal::Decimal;

use crate::jobs::Dice;
use crate::sheets::Style;
use crate::support::given;
use crate::waste::whole;
use crate::ways::Shop;

/// Gives some jobs versions, and the card what changing plates takes.
pub(crate) fn add_versions(dice: &mut Dice, job: &mut Job, card: &mut RateCard) {
    for press in &mut card.presses {
        let plates = press.digital.is_none();
        press.plate_change_minutes = given(if plates {
            dice.between(0, 10) as f64 / 2.0
        } else {
            0.0
        });
        press.plate_change_sheets = given(if plates { dice.between(0, 40) } else { 0 });
    }
    if !dice.one_in(3) {
        return;
    }
    let number = dice.between(2, 4);
    let kind = dice.between(0, 2);
    job.versions = (0..number)
        .map(|n| Version {
            name: given(format!("version {n}")),
            portion: match kind {
                0 => VersionPortion::Alike,
                1 => VersionPortion::Copies(given(dice.between(1, 900))),
                _ => {
                    let share = Coverage::from_fraction(dice.between(1, 30) as f64 / 100.0);
                    VersionPortion::Share(given(share.unwrap()))
                }
            },
        })
        .collect();
    let inks: [&[&str]; 4] = [&["black"], &["black", "cyan"], &["Orange"], &["silver"]];
    let parts = job.parts.len() as u64;
    let surely = dice.between(0, parts - 1);
    for (n, part) in job.parts.iter_mut().enumerate() {
        if n as u64 != surely && dice.one_in(2) {
            continue;
        }
        let chosen = inks[dice.between(0, 3) as usize];
        part.version_inks = chosen
            .iter()
            .map(|name| given((*name).to_owned()))
            .collect();
        part.version_pages = if dice.one_in(2) {
            vec![1]
        } else {
            (1..=part.pages.value).collect()
        };
    }
}

/// Weights of the versions: copies, parts in a million, or all alike.
fn weights(job: &Job) -> Vec<u64> {
    let weight = |version: &Version| match version.portion {
        VersionPortion::Alike => 1,
        VersionPortion::Copies(copies) => copies.value,
        VersionPortion::Share(share) => (share.value.fraction() * 1e6).round() as u64,
    };
    job.versions.iter().map(weight).collect()
}

/// Copies of each version with its overs.
pub(crate) fn delivered(job: &Job, quantity: u64) -> Vec<u64> {
    let all: u64 = weights(job).iter().sum();
    let overs = Decimal::ONE_HUNDRED + Decimal::try_from(job.overs.percent()).unwrap();
    let own = weights(job).into_iter().map(|weight| {
        let ordered = whole(
            Decimal::from(quantity) * Decimal::from(weight),
            Decimal::from(all),
        );
        whole(Decimal::from(ordered) * overs, Decimal::ONE_HUNDRED)
    });
    own.collect()
}

/// The ways to put things into so many heaps.
fn heaps(things: usize, heaps_wanted: usize) -> Vec<Vec<Vec<usize>>> {
    let mut all: Vec<Vec<Vec<usize>>> = vec![Vec::new()];
    for thing in 0..things {
        let mut next = Vec::new();
        for heaps in all {
            for n in 0..heaps.len() {
                let mut with = heaps.clone();
                with[n].push(thing);
                next.push(with);
            }
            let mut alone = heaps;
            alone.push(vec![thing]);
            next.push(alone);
        }
        all = next;
    }
    all.retain(|heaps| heaps.len() == heaps_wanted);
    all
}

/// Fewest sheets that give so many pieces of each, from so many places.
fn sheets_of(pieces: &[u64], (places, each): (u64, u64)) -> Option<u64> {
    let fits = |sheets: u64| {
        let own = pieces.iter().map(|n| n.div_ceil(sheets * each).max(1));
        own.sum::<u64>() <= places
    };
    // The number of sheets is that of some version on some number of places.
    let wanted = pieces
        .iter()
        .flat_map(|n| (1..=places).map(|up| n.div_ceil(up * each).max(1)));
    wanted.filter(|sheets| fits(*sheets)).min()
}

/// How a section is printed with the versions of the job.
pub(crate) struct Versions {
    /// Good sheets in all.
    pub(crate) sheets: u64,
    pub(crate) stops: u64,
}

impl Shop<'_> {
    /// Most layouts of a part; 1 where it has no versions.
    pub(crate) fn most_layouts(&self, part: usize) -> usize {
        if self.job.parts[part].version_inks.is_empty() {
            1
        } else {
            self.job.versions.len().max(1)
        }
    }

    /// Inks that change on a side, where anything does.
    pub(crate) fn changing(&self, part: usize, pages: &[u32]) -> BTreeSet<u16> {
        let own = &self.job.parts[part];
        if self.job.versions.is_empty() || own.version_inks.is_empty() {
            return BTreeSet::new();
        }
        let named = |ink: &u16| {
            let InkSpec { name, .. } = &self.plan.inks[usize::from(*ink)];
            let mut names = own
                .version_inks
                .iter()
                .map(|name: &Given<String>| name.to_lowercase());
            names.any(|other| other == *name.to_lowercase())
        };
        let anywhere = self.inks_on(part, &own.version_pages);
        let none = !anywhere.iter().any(named);
        let changed: Vec<u32> = pages
            .iter()
            .copied()
            .filter(|p| own.version_pages.contains(p))
            .collect();
        let here = self.inks_on(part, &changed).into_iter();
        here.filter(|ink| none || named(ink)).collect()
    }

    /// The best division into so many layouts, or into as few as hold all versions; `spoiled` pieces are shared out.
    pub(crate) fn divided(
        &self,
        (part, layouts): (usize, usize),
        all: u64,
        (style, up): (Style, u32),
    ) -> Versions {
        let leaves = u64::from(self.job.parts[part].leaves.value);
        let delivered = delivered(self.job, self.quantity);
        let spoiled = all - leaves * delivered.iter().sum::<u64>();
        let weights = weights(self.job);
        let sum: u64 = weights.iter().sum();
        let pieces = delivered.iter().zip(&weights).map(|(copies, weight)| {
            let share = whole(
                Decimal::from(spoiled) * Decimal::from(*weight),
                Decimal::from(sum),
            );
            copies * leaves + share
        });
        let pieces: Vec<u64> = pieces.collect();
        let place = match style {
            Style::Turn | Style::Tumble => (u64::from(up) / 2, 2),
            _ => (u64::from(up), 1),
        };
        let of_heap = |heap: &Vec<usize>| {
            let own: Vec<u64> = heap.iter().map(|n| pieces[*n]).collect();
            sheets_of(&own, place)
        };
        let of_heaps = |heaps: Vec<Vec<usize>>| heaps.iter().map(of_heap).sum::<Option<u64>>();
        let mut found = (layouts..=pieces.len()).filter_map(|n| {
            let fewest = heaps(pieces.len(), n)
                .into_iter()
                .filter_map(of_heaps)
                .min()?;
            Some(Versions {
                sheets: fewest,
                stops: n as u64 - 1,
            })
        });
        found.next().unwrap()
    }
}
