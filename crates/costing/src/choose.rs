//! The cheapest combination of ways, one per part.
//!
//! Parts are independent but for three things: a tin of a solid serves all parts that use it, parts on one press share
//! its units, and plates of one part may stay on for another that is printed alike. So what has to be bought, washed and
//! made ready depends on all of them. The search is exact: of each part it keeps the ways that no other beats in cost, ink,
//! washing and plates, and tries all combinations of those.

use std::collections::{BTreeMap, BTreeSet};

use crate::rate::Rate;
use crate::washing::{Profiles, Washing};
use crate::ways::Plates;

/// The ways of one part with their costs, in smallest units of the currency.
#[derive(Debug, Default, Clone)]
pub(crate) struct PartPrices {
    /// Index of the way and its cost without the inks bought by the tin.
    pub(crate) ways: Vec<(usize, i128)>,
    /// Thousandths of a kilogram of each ink bought by the tin, way after way; `None` where the way needs no tin.
    pub(crate) used: Vec<Option<i64>>,
    /// From which plates each way is printed; empty where all have their own.
    pub(crate) plates: Vec<Plates>,
    /// The part whose plates its ways may keep.
    pub(crate) plates_of: Option<usize>,
}

/// An ink with a smallest order.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tin<'a> {
    /// Index into the plan's inks.
    pub(crate) ink: usize,
    pub(crate) rate: &'a Rate,
    /// Thousandths of a kilogram.
    pub(crate) smallest: i64,
    /// Whether more than one part uses it.
    pub(crate) shared: bool,
    /// The part that uses it, if only one does.
    pub(crate) part: usize,
    /// Whether a digital press may print without it.
    pub(crate) avoidable: bool,
}

impl Tin<'_> {
    /// What is bought for this use, thousandths of a kilogram.
    pub(crate) fn bought(&self, used: i64) -> i64 {
        self.smallest.max(used)
    }

    /// The most that another way of the part can save on this ink against one that uses so much.
    pub(crate) fn advantage(&self, used: Option<i64>) -> i128 {
        let Some(used) = used else { return 0 };
        if self.avoidable {
            // Another way may do without the tin altogether.
            self.cost(Some(used)).saturating_add(1)
        } else if self.shared {
            // The other parts may have emptied the tin, so that every gram counts; and a cent may be gained by rounding.
            self.rate.amount(used).unwrap_or(i128::MAX / 4) + 1
        } else {
            self.cost(Some(used)) - self.cost(Some(0))
        }
    }

    fn cost(&self, used: Option<i64>) -> i128 {
        used.map_or(0, |used| {
            self.rate.amount(self.bought(used)).unwrap_or(i128::MAX / 4)
        })
    }
}

/// How far the search for the cheapest combination has come.
struct Search {
    kept: Vec<Kept>,
    /// Parts in the order in which they are tried: one whose plates may stay on before those for which they do.
    order: Vec<usize>,
    /// How many of them are picked.
    depth: usize,
    /// By part.
    picks: Vec<usize>,
    /// Cost of what is picked, and the least that the other parts cost.
    sum: i128,
    rest: i128,
    best: Option<Combination>,
}

/// A combination of ways.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Combination {
    /// For each part an index into its [`PartPrices::ways`].
    pub(crate) picks: Vec<usize>,
    /// Cost of the parts with all ink bought.
    pub(crate) cost: i128,
}

/// Prices of all parts, the inks bought by the tin, and washing.
pub(crate) struct Choice<'a> {
    pub(crate) parts: &'a [PartPrices],
    pub(crate) tins: &'a [Tin<'a>],
    pub(crate) washing: &'a Washing<'a>,
}

/// Ways of a part that may be in the cheapest combination: pick and cost, the cheapest first.
type Kept = Vec<(usize, i128)>;

impl Choice<'_> {
    /// The cheapest combination; among equals, the one whose ways come first.
    pub(crate) fn cheapest(&self) -> Option<Combination> {
        let parts = 0..self.parts.len();
        let kept: Vec<Kept> = parts.clone().map(|part| self.unbeaten(part)).collect();
        let least = kept.iter().map(|ways| ways.first().map_or(0, |way| way.1));
        let mut order: Vec<usize> = parts.collect();
        order.sort_by_key(|part| self.parts[*part].plates_of.is_some());
        let mut search = Search {
            rest: least.sum(),
            picks: vec![0; kept.len()],
            kept,
            order,
            depth: 0,
            sum: 0,
            best: None,
        };
        self.extend(&mut search);
        search.best
    }

    /// Tries every way of the next part, unless what is picked costs too much already.
    fn extend(&self, search: &mut Search) {
        let Some(&part) = search.order.get(search.depth) else {
            let cost = self.cost(&search.picks);
            if search.best.as_ref().is_none_or(|best| cost < best.cost) {
                let picks = search.picks.clone();
                search.best = Some(Combination { picks, cost });
            }
            return;
        };
        let open = |way: &(usize, i128)| self.is_open((part, way.0), &search.picks);
        let ways: Kept = search.kept[part].iter().copied().filter(open).collect();
        // A dearer way may make the others cheaper.
        let is_named = self.followers(part).next().is_some();
        let rest = search.rest;
        let others = rest - ways.first().map_or(0, |way| way.1);
        for (pick, own) in ways {
            search.picks[part] = pick;
            search.rest = others + self.dearer_others(&search.kept, part, pick);
            let bound = search.sum + own + search.rest;
            if search.best.as_ref().is_some_and(|best| bound >= best.cost) {
                if is_named {
                    continue;
                }
                break;
            }
            search.sum += own;
            search.depth += 1;
            self.extend(search);
            search.depth -= 1;
            search.sum -= own;
        }
        search.rest = rest;
    }

    /// Whether a way can be printed beside what is picked: plates stay on only if they are on the press.
    fn is_open(&self, (part, pick): (usize, usize), picks: &[usize]) -> bool {
        match (self.plates(part, pick), self.parts[part].plates_of) {
            (Plates::Kept(setting), Some(other)) => {
                self.plates(other, picks[other]) == Plates::Made(setting)
            }
            _ => true,
        }
    }

    fn plates(&self, part: usize, pick: usize) -> Plates {
        let own = self.parts[part].plates.get(pick);
        own.copied().unwrap_or(Plates::Own)
    }

    /// Parts that may keep the plates of this one.
    fn followers(&self, part: usize) -> impl Iterator<Item = usize> + '_ {
        (0..self.parts.len()).filter(move |other| self.parts[*other].plates_of == Some(part))
    }

    /// What the parts that may keep the plates of this one cost more at least than their cheapest ways, once it is picked.
    fn dearer_others(&self, kept: &[Kept], part: usize, pick: usize) -> i128 {
        let made = self.plates(part, pick);
        let more = self.followers(part).map(|other| {
            let open = |way: &&(usize, i128)| match self.plates(other, way.0) {
                Plates::Kept(setting) => made == Plates::Made(setting),
                _ => true,
            };
            let least = kept[other].first().map_or(0, |way| way.1);
            kept[other].iter().find(open).map_or(0, |way| way.1 - least)
        });
        more.sum()
    }

    /// The next cheapest combination with one part printed otherwise: the part and its pick.
    pub(crate) fn runner_up(&self, winner: &Combination) -> Option<(usize, Combination)> {
        let mut best: Option<(usize, Combination)> = None;
        for (part, prices) in self.parts.iter().enumerate() {
            for pick in (0..prices.ways.len()).filter(|pick| *pick != winner.picks[part]) {
                let Some(picks) = self.otherwise(&winner.picks, part, pick) else {
                    continue;
                };
                let cost = self.cost(&picks);
                if best.as_ref().is_none_or(|(_, b)| cost < b.cost) {
                    best = Some((part, Combination { picks, cost }));
                }
            }
        }
        best
    }

    /// The picks with one part printed otherwise, and with it those that cannot keep its plates then; `None` where it
    /// would itself keep plates that are not there.
    fn otherwise(&self, picks: &[usize], part: usize, pick: usize) -> Option<Vec<usize>> {
        if !self.is_open((part, pick), picks) {
            return None;
        }
        let mut picks = picks.to_vec();
        picks[part] = pick;
        for other in self.followers(part) {
            if !self.is_open((other, picks[other]), &picks) {
                let ways = 0..self.parts[other].ways.len();
                let open = ways.filter(|pick| self.is_open((other, *pick), &picks));
                picks[other] = open.min_by_key(|pick| self.score(other, *pick))?;
            }
        }
        Some(picks)
    }

    /// The least cost with one part printed otherwise, by what `kind` says of its way.
    pub(crate) fn with_other_ways(
        &self,
        winner: &Combination,
        part: usize,
        kind: impl Fn(usize) -> u32,
    ) -> BTreeMap<u32, i128> {
        let mut least = BTreeMap::new();
        let mut picks = winner.picks.clone();
        for (pick, (way, _)) in self.parts[part].ways.iter().enumerate() {
            picks[part] = pick;
            let cost = self.cost(&picks);
            let known = least.entry(kind(*way)).or_insert(cost);
            *known = cost.min(*known);
        }
        least
    }

    fn cost(&self, picks: &[usize]) -> i128 {
        let parts = picks.iter().enumerate();
        let own: i128 = parts.map(|(part, pick)| self.score(part, *pick)).sum();
        let shared = self.tins.iter().enumerate().filter(|(_, t)| t.shared);
        let washing = self.washing.cost(&self.profiles(picks));
        own + shared
            .map(|(n, tin)| tin.cost(self.used_by_all(picks, n)))
            .sum::<i128>()
            + washing.unwrap_or(i128::MAX / 4)
    }

    /// What decides the washing of each part.
    pub(crate) fn profiles(&self, picks: &[usize]) -> Vec<Profiles> {
        let parts = picks.iter().enumerate();
        parts
            .map(|(part, pick)| self.profiles_of(part, *pick))
            .collect()
    }

    fn profiles_of(&self, part: usize, pick: usize) -> Profiles {
        self.washing.profiles(part, self.parts[part].ways[pick].0)
    }

    /// Thousandths of a kilogram of a bought ink over all parts; `None` where none of them needs a tin.
    pub(crate) fn used_by_all(&self, picks: &[usize], tin: usize) -> Option<i64> {
        let parts = picks.iter().enumerate();
        let used = parts.filter_map(|(part, pick)| self.used(part, *pick, tin));
        used.reduce(i64::saturating_add)
    }

    fn used(&self, part: usize, pick: usize, tin: usize) -> Option<i64> {
        self.parts[part].used[pick * self.tins.len() + tin]
    }

    /// Cost of a way with the inks that only its part uses.
    fn score(&self, part: usize, pick: usize) -> i128 {
        let own = self.tins.iter().enumerate();
        let own = own.filter(|(_, t)| !t.shared && t.part == part);
        let bought: i128 = own.map(|(n, t)| t.cost(self.used(part, pick, n))).sum();
        self.parts[part].ways[pick].1 + bought
    }

    /// Ways of a part that no other beats: cheaper by all that the other may save in washing, using no more of any shared
    /// tin, and open wherever the other is, with the same plates for other parts.
    fn unbeaten(&self, part: usize) -> Kept {
        let mut order: Kept = (0..self.parts[part].ways.len())
            .map(|pick| (pick, self.score(part, pick)))
            .collect();
        order.sort_by_key(|(pick, score)| (*score, *pick));
        let wanted = self.wanted(part);
        let serves = |one: usize, other: usize| {
            let [one, other] = [one, other].map(|pick| self.plates(part, pick));
            self.parts[part].plates.is_empty() || one.serves_for(other, &wanted)
        };
        let mut kept: Kept = Vec::new();
        for (pick, score) in order {
            let beats = |(other, least): &(usize, i128)| {
                let (own, others) = (self.profiles_of(part, pick), self.profiles_of(part, *other));
                if !serves(*other, pick) {
                    return false;
                }
                let saves = own != others && *least + self.washing.advantage(others) > score;
                !saves && self.uses_no_more(part, *other, pick)
            };
            if !kept.iter().any(beats) {
                kept.push((pick, score));
            }
        }
        kept
    }

    /// Settings of a part's plates that other parts may keep.
    fn wanted(&self, part: usize) -> BTreeSet<usize> {
        let plates = self
            .followers(part)
            .flat_map(|other| &self.parts[other].plates);
        let kept = plates.filter_map(|plates| match plates {
            Plates::Kept(setting) => Some(*setting),
            _ => None,
        });
        kept.collect()
    }

    fn uses_no_more(&self, part: usize, one: usize, other: usize) -> bool {
        let shared = self.tins.iter().enumerate().filter(|(_, t)| t.shared);
        shared
            .map(|(n, _)| n)
            .all(|n| self.used(part, one, n) <= self.used(part, other, n))
    }
}
