//! Versions that share a run: how many of each, and in how many layouts they are printed.
//!
//! A layout is one setting of plates: the versions that lie on it together, each so many times. Layouts follow one another
//! on the press, and only the plates of the inks that change are changed between them. One layout holds all versions side by
//! side; as many layouts as versions let each have the sheet for itself.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use inkset_layout::{InkId, InkSpec, PartInks, Section, WorkStyle};
use inkset_spec::{Given, Job, Part, copies_of_versions};

use crate::finish::Copies;
use crate::waste::with_overs;
use crate::ways::{Placement, Way};

/// Most versions that are divided among layouts in every possible way; more are taken in the order of their size.
const MOST_TRIED: usize = 8;

/// Copies delivered of each version, overs included; none where the job has no versions.
pub(crate) fn delivered(job: &Job, ordered: u64) -> Vec<u64> {
    let own = copies_of_versions(&job.versions, ordered).into_iter();
    own.map(|copies| with_overs(copies, job.overs.value))
        .collect()
}

/// Repeats every way of a part for each number of layouts in which its versions may be printed.
pub(crate) fn expand(ways: &mut Vec<Way>, job: &Job, part: &Part) {
    if job.versions.is_empty() || part.version_inks.is_empty() {
        return;
    }
    let most = job.versions.len() as u32;
    let all = std::mem::take(ways);
    for way in all {
        let fewest = way.placements.iter().map(|p| most.div_ceil(places(p).0));
        for layouts in fewest.min().unwrap_or(1)..=most {
            ways.push(Way {
                layouts,
                ..way.clone()
            });
        }
    }
}

/// Places on a form, and pieces that each gives from one sheet: in a half-sheet style two.
fn places(placement: &Placement) -> (u32, u64) {
    if placement.style.is_half_sheet() {
        (placement.up / 2, 2)
    } else {
        (placement.up, 1)
    }
}

/// What changes on a part under one plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Change {
    inks: Vec<InkId>,
    pages: Vec<u32>,
}

impl Change {
    /// The inks that change, all of those on the pages that do where the plan prints none of them there; `None` where the
    /// part is the same in all versions.
    pub(crate) fn new(
        job: &Job,
        part: &Part,
        (all, inks): (&[InkSpec], &PartInks),
    ) -> Option<Self> {
        if job.versions.is_empty() || part.version_inks.is_empty() {
            return None;
        }
        let named = (part.version_inks.as_slice(), part.version_pages.as_slice());
        Some(Self::of(named, (all, inks)))
    }

    /// The inks of these names on these pages, all of those there where the plan prints none of them.
    pub(crate) fn of(
        (names, pages): (&[Given<String>], &[u32]),
        (all, inks): (&[InkSpec], &PartInks),
    ) -> Self {
        let on_pages = pages.iter().flat_map(|page| inks.on_page(*page));
        let mut printed: Vec<InkId> = on_pages.map(|(ink, _)| *ink).collect();
        printed.sort_unstable();
        printed.dedup();
        let changes = |ink: &InkId| {
            let spec = &all[usize::from(ink.0)];
            names.iter().any(|name| is_called(spec, &name.value))
        };
        let own: Vec<InkId> = printed.iter().copied().filter(changes).collect();
        Self {
            inks: if own.is_empty() { printed } else { own },
            pages: pages.to_vec(),
        }
    }

    /// Inks whose plates change, on the outer and the inner side of a section.
    pub(crate) fn of_section(&self, section: &Section, inks: &PartInks) -> [Vec<InkId>; 2] {
        [&section.outer, &section.inner].map(|pages| {
            let changed = pages.iter().filter(|page| self.pages.contains(page));
            let on_pages = changed.flat_map(|page| inks.on_page(*page));
            let own = on_pages.map(|(ink, _)| *ink);
            let mut own: Vec<InkId> = own.filter(|ink| self.inks.contains(ink)).collect();
            own.sort_unstable();
            own.dedup();
            own
        })
    }
}

/// Plates of a run that change at each stop; `sides` are those of its section.
pub(crate) fn plates_changed(
    style: WorkStyle,
    (side, hung): (inkset_layout::FormSide, &[InkId]),
    sides: &[Vec<InkId>; 2],
) -> u32 {
    use inkset_layout::FormSide;
    let of = |side: &[InkId]| side.iter().filter(|ink| hung.contains(ink)).count() as u32;
    match side {
        FormSide::Front => of(&sides[0]),
        FormSide::Back => of(&sides[1]),
        FormSide::Both if style.is_half_sheet() => {
            let either = |ink: &&InkId| sides.iter().any(|side| side.contains(ink));
            hung.iter().filter(either).count() as u32
        }
        FormSide::Both => of(&sides[0]) + of(&sides[1]),
    }
}

fn is_called(ink: &InkSpec, name: &str) -> bool {
    let same = |own: &str| own.to_lowercase() == name.to_lowercase();
    same(&ink.name) || ink.named_rate.as_deref().is_some_and(same)
}

/// One setting of plates.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VersionLayout {
    /// Good printed sheets, before what operations on sheets and the press spoil.
    pub sheets: u64,
    /// Versions on it, in the order of the job.
    pub versions: Vec<VersionUp>,
}

/// One version on a layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct VersionUp {
    /// Index into the job's versions.
    pub version: usize,
    /// Pieces of it from one sheet.
    pub up: u32,
    /// Pieces that are needed.
    pub pieces: u64,
}

impl VersionLayout {
    /// Pieces printed beyond those needed, by version.
    pub fn surplus(&self) -> impl Iterator<Item = (usize, u64)> + '_ {
        let more = |own: &VersionUp| (u64::from(own.up) * self.sheets).saturating_sub(own.pieces);
        self.versions
            .iter()
            .map(move |own| (own.version, more(own)))
    }
}

/// Pieces of each version of one part at one quantity, and how they are best divided among layouts.
#[derive(Debug)]
pub(crate) struct VersionPieces {
    /// Into cutting, and as folded uncut.
    needed: [Vec<u64>; 2],
    /// By what is needed, places and pieces a place; each division by its number of layouts.
    known: RefCell<BTreeMap<(usize, u32, u64), Divisions>>,
}

/// Divisions into 1, 2, … layouts; `None` where the versions do not fit on so few.
type Divisions = Rc<Vec<Option<Vec<VersionLayout>>>>;

impl VersionPieces {
    /// `None` where the job has no versions.
    pub(crate) fn new(job: &Job, part: usize, (ordered, copies): (u64, &Copies)) -> Option<Self> {
        if job.versions.is_empty() || job.parts[part].version_inks.is_empty() {
            return None;
        }
        let weights: Vec<u64> = job.versions.iter().map(|v| v.portion.weight()).collect();
        let whole: u128 = weights.iter().copied().map(u128::from).sum();
        let delivered = delivered(job, ordered);
        let leaves = u64::from(job.parts[part].leaves.value);
        let needed = [copies.cut, copies.pieced].map(|all| {
            let spoiled = all.saturating_sub(copies.delivered.saturating_mul(leaves));
            let own = |(copies, weight): (&u64, &u64)| {
                let share = (u128::from(spoiled) * u128::from(*weight)).div_ceil(whole);
                copies.saturating_mul(leaves).saturating_add(share as u64)
            };
            delivered.iter().zip(&weights).map(own).collect()
        });
        Some(Self {
            needed,
            known: RefCell::default(),
        })
    }

    /// The division with the fewest sheets into so many layouts, or into as few as hold all versions; `uncut` takes the
    /// pieces that are folded uncut.
    pub(crate) fn divided(
        &self,
        layouts: u32,
        placement: &Placement,
        uncut: bool,
    ) -> Vec<VersionLayout> {
        let (places, each) = places(placement);
        let key = (usize::from(uncut), places, each);
        let mut known = self.known.borrow_mut();
        let needed = &self.needed[key.0];
        let divisions = known
            .entry(key)
            .or_insert_with(|| Rc::new(divisions(needed, (places, each))));
        let wanted = layouts.max(1) as usize - 1;
        let found = divisions.iter().skip(wanted).flatten().next();
        found.cloned().unwrap_or_default()
    }
}

/// Fewest sheets on which versions lie together, each at least once, and how often each does; `None` beyond the places.
fn together(needed: &[u64], (places, each): (u32, u64)) -> Option<(u64, Vec<u32>)> {
    if needed.is_empty() || needed.len() > places as usize {
        return None;
    }
    let up = |sheets: u64| {
        let own = needed.iter().map(move |n| n.div_ceil(sheets * each).max(1));
        own.collect::<Vec<u64>>()
    };
    let fits = |sheets: u64| up(sheets).iter().sum::<u64>() <= u64::from(places);
    let (mut low, mut high) = (0, needed.iter().max()?.div_ceil(each).max(1));
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if fits(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    let mut places_of: Vec<u32> = up(high).into_iter().map(|n| n as u32).collect();
    // A place that is left over goes to the version that has the least to spare.
    let mut left = places - places_of.iter().sum::<u32>();
    while left > 0 {
        let spare = |n: &usize| {
            let printed = u64::from(places_of[*n]) * each * high;
            (printed.saturating_sub(needed[*n]), *n)
        };
        let least = (0..needed.len()).min_by_key(spare)?;
        places_of[least] += 1;
        left -= 1;
    }
    Some((high, places_of))
}

/// For each number of layouts the division with the fewest sheets in all.
fn divisions(needed: &[u64], place: (u32, u64)) -> Vec<Option<Vec<VersionLayout>>> {
    let groups = if needed.len() <= MOST_TRIED {
        tried(needed, place)
    } else {
        by_size(needed, place)
    };
    let layout = |versions: &Vec<usize>| {
        let own: Vec<u64> = versions.iter().map(|n| needed[*n]).collect();
        let (sheets, places_of) = together(&own, place)?;
        let up = versions.iter().zip(places_of);
        Some(VersionLayout {
            sheets,
            versions: up
                .map(|(version, places)| VersionUp {
                    version: *version,
                    up: places * place.1 as u32,
                    pieces: needed[*version],
                })
                .collect(),
        })
    };
    let divided = |groups: Option<Vec<Vec<usize>>>| groups?.iter().map(layout).collect();
    groups.into_iter().map(divided).collect()
}

/// Versions on each layout, for every number of layouts.
type Groups = Vec<Option<Vec<Vec<usize>>>>;

/// Every division of a few versions: the best of each set of versions into so many layouts.
fn tried(needed: &[u64], place: (u32, u64)) -> Groups {
    let number = needed.len();
    let members = |set: usize| (0..number).filter(move |n| set >> n & 1 == 1);
    let sheets = |set: usize| {
        let own: Vec<u64> = members(set).map(|n| needed[n]).collect();
        together(&own, place).map(|(sheets, _)| sheets)
    };
    let one: Vec<Option<u64>> = (0..1_usize << number).map(sheets).collect();
    // By set, its fewest sheets in so many layouts and the last of them.
    let mut best: Vec<Option<(u64, usize)>> = one
        .iter()
        .enumerate()
        .map(|(set, n)| Some(((*n)?, set)))
        .collect();
    let whole = (1 << number) - 1;
    let mut steps = vec![best.clone()];
    for _ in 1..number {
        let next = |set: usize| {
            let lowest = set & set.wrapping_neg();
            let subsets =
                std::iter::successors(Some(set), |sub| (*sub > 0).then(|| (sub - 1) & set));
            let last = subsets.filter(|sub| sub & lowest > 0 && *sub < set);
            let sum = |sub: usize| Some((one[sub]?.checked_add(best[set ^ sub]?.0)?, sub));
            last.filter_map(sum).min()
        };
        let more = (0..=whole).map(next).collect();
        best = more;
        steps.push(best.clone());
    }
    let traced = |layouts: usize| {
        let mut rest = whole;
        let mut groups = Vec::new();
        for step in steps[..=layouts].iter().rev() {
            let (_, last) = step[rest]?;
            groups.push(members(last).collect());
            rest ^= last;
        }
        Some(groups)
    };
    (0..number).map(traced).collect()
}

/// Divisions of many versions in the order of their size, largest first: neighbours lie together.
fn by_size(needed: &[u64], place: (u32, u64)) -> Groups {
    let number = needed.len();
    let mut order: Vec<usize> = (0..number).collect();
    order.sort_by_key(|n| (std::cmp::Reverse(needed[*n]), *n));
    let widest = (place.0 as usize).min(number);
    let sizes: Vec<u64> = order.iter().map(|n| needed[*n]).collect();
    let sheets = |from: usize, to: usize| together(&sizes[from..to], place).map(|(n, _)| n);
    let table: Vec<Vec<Option<u64>>> = (0..number)
        .map(|from| {
            (1..=widest.min(number - from))
                .map(|n| sheets(from, from + n))
                .collect()
        })
        .collect();
    // By the versions that are placed, the fewest sheets in so many layouts and where the last of them begins.
    let mut best: Vec<Option<(u64, usize)>> = vec![None; number + 1];
    best[0] = Some((0, 0));
    let mut steps = Vec::new();
    for _ in 0..number {
        let next = |placed: usize| {
            let from = placed.saturating_sub(widest)..placed;
            let sum = |from: usize| {
                let own = table[from][placed - from - 1]?;
                Some((best[from]?.0.checked_add(own)?, from))
            };
            from.filter_map(sum).min()
        };
        best = (0..=number).map(next).collect();
        steps.push(best.clone());
    }
    let traced = |layouts: usize| {
        let mut placed = number;
        let mut groups = Vec::new();
        for step in steps[..=layouts].iter().rev() {
            let (_, from) = step[placed]?;
            let mut group = order[from..placed].to_vec();
            group.sort_unstable();
            groups.push(group);
            placed = from;
        }
        groups.reverse();
        Some(groups)
    };
    (0..number).map(traced).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheets(needed: &[u64], place: (u32, u64)) -> Vec<Option<u64>> {
        let sum = |layouts: &Option<Vec<VersionLayout>>| {
            let layouts = layouts.as_ref()?;
            Some(layouts.iter().map(|layout| layout.sheets).sum())
        };
        divisions(needed, place).iter().map(sum).collect()
    }

    #[test]
    fn few_versions_share_a_sheet() {
        // Eight up, four names of 500: two each on 250 sheets; one after the other 63 sheets each.
        let found = sheets(&[500; 4], (8, 1));
        assert_eq!(found, [Some(250), Some(250), Some(251), Some(252)]);
        // A half sheet of four places gives two pieces a place.
        assert_eq!(sheets(&[500; 4], (4, 2))[0], Some(250));
    }

    #[test]
    fn larger_versions_take_more_places() {
        let one = divisions(&[900, 300], (4, 1))[0].clone().unwrap();
        let up: Vec<u32> = one[0].versions.iter().map(|own| own.up).collect();
        assert_eq!((one[0].sheets, up), (300, vec![3, 1]));
        assert_eq!(one[0].surplus().collect::<Vec<_>>(), [(0, 0), (1, 0)]);
    }

    #[test]
    fn more_versions_than_places_need_layouts() {
        assert_eq!(sheets(&[10, 10, 10], (1, 1)), [None, None, Some(30)]);
        assert_eq!(
            sheets(&[100, 100, 10, 10], (2, 1)),
            [None, Some(110), Some(110), Some(110)]
        );
    }

    #[test]
    fn order_of_size_is_exact_for_equal_versions() {
        let fewest = |needed: &[u64], groups: Groups| -> Vec<Option<u64>> {
            let of = |group: &Vec<usize>| {
                let own: Vec<u64> = group.iter().map(|n| needed[*n]).collect();
                together(&own, (6, 1)).unwrap().0
            };
            let sum = |groups: Option<Vec<Vec<usize>>>| Some(groups?.iter().map(of).sum());
            groups.into_iter().map(sum).collect()
        };
        let both = |needed: &[u64]| {
            let place = (6, 1);
            [tried(needed, place), by_size(needed, place)].map(|groups| fewest(needed, groups))
        };
        let [exact, in_order] = both(&[50; 7]);
        assert_eq!(exact, in_order);
        // Where sizes differ, neighbours are not always the best company: 700 with 400 and 300 leave less over.
        let [exact, in_order] = both(&[700, 400, 400, 300, 100]);
        assert_eq!((exact[1], in_order[1]), (Some(340), Some(350)));
        assert!(exact.iter().zip(&in_order).all(|(one, other)| one <= other));
    }

    #[test]
    fn many_versions_are_divided() {
        let needed: Vec<u64> = (1..=100).map(|n| 50 * n).collect();
        let found = divisions(&needed, (21, 1));
        assert!(found[..4].iter().all(Option::is_none));
        let five = found[4].as_ref().unwrap();
        let mut versions: Vec<usize> = five
            .iter()
            .flat_map(|l| l.versions.iter().map(|v| v.version))
            .collect();
        versions.sort_unstable();
        assert_eq!(versions, (0..100).collect::<Vec<_>>());
        assert!(
            five.iter()
                .all(|layout| layout.surplus().all(|(_, more)| more < 5_000))
        );
    }
}
