//! Where two prices by quantity change places.
//!
//! A price by quantity is a staircase: packs, press sheets and rounding make steps. Nothing here assumes more of it than that
//! it does not fall.

use std::collections::VecDeque;
use std::ops::RangeInclusive;

use inkset_units::Money;

use crate::error::CannotPrint;

/// Largest quantity at which a break-even is looked for: the most that a job may order.
pub const MOST_ORDERED: u64 = 10_000_000;
/// Steps between two neighbouring quantities that are looked at: a quarter of the lower.
const STEP: u64 = 4;
/// Most quantities looked at for prices that change places and back, all pairs of prices together.
const MOST_LOOKS: u32 = 2_000;
/// Changes of places no further apart than this many times the first are told as one.
const TOLD_AS_ONE: u64 = 2;
/// Most prices asked for to settle one break-even.
const MOST_PRICES: u32 = 20_000;

/// Quantities at which two prices are compared: 1 to [`MOST_ORDERED`], each a quarter more than the one before, and those priced.
pub(crate) fn grid(priced: &[u64]) -> Vec<u64> {
    let next = |at: &u64| (*at < MOST_ORDERED).then(|| MOST_ORDERED.min(at + at.div_ceil(STEP)));
    let mut all: Vec<u64> = std::iter::successors(Some(1), next).collect();
    all.extend(priced);
    all.sort_unstable();
    all.dedup();
    all
}

/// Where two prices that change places and back are looked for between two quantities compared.
#[derive(Debug, Clone)]
pub(crate) struct Closer {
    /// From half of the smallest quantity priced to double the largest.
    around: RangeInclusive<u64>,
    /// Most quantities looked at.
    most: u32,
}

impl Closer {
    /// Around the quantities priced, when so many pairs of prices are compared.
    pub(crate) fn new(priced: &[u64], pairs: usize) -> Self {
        let least = priced.iter().min().map_or(1, |least| least / 2);
        let most = priced.iter().max().map_or(1, |most| most * 2);
        Self {
            around: least..=most,
            most: MOST_LOOKS / u32::try_from(pairs.max(1)).unwrap_or(MOST_LOOKS),
        }
    }
}

/// Where the order of two prices changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Crossing {
    /// First quantity at which the other price is the lower one.
    pub first: u64,
    /// First quantity from which it stays the lower one, as far as the next quantity compared; more than `first` where
    /// steps of the two prices change places before.
    pub settled: u64,
    /// Whether the second price is the lower one from there.
    pub second_is_lower: bool,
}

/// How two prices compare over all quantities.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BreakEven {
    /// The order changes, ascending by quantity.
    At(Vec<Crossing>),
    /// One price is the lower one at every quantity compared.
    Never {
        /// Whether that is the second.
        second_is_lower: bool,
        /// By how much at a single copy.
        at_one: Money,
        /// The largest quantity compared, and by how much there.
        at_most: (u64, Money),
    },
    /// The two are equal at every quantity compared.
    Equal,
}

/// Two prices by quantity; neither may fall with the quantity.
pub(crate) struct Rivals<F> {
    pub(crate) prices: [F; 2],
    asked: u32,
}

type Totals = Result<[Money; 2], CannotPrint>;

impl<F: FnMut(u64) -> Result<Money, CannotPrint>> Rivals<F> {
    pub(crate) fn new(prices: [F; 2]) -> Self {
        Self { prices, asked: 0 }
    }

    /// Finds every change of order between the quantities of `known` (quantity and both totals, ascending), and between
    /// two of them with the same order where `closer` says so.
    pub(crate) fn break_even(
        &mut self,
        known: &[End],
        closer: &Closer,
    ) -> Result<BreakEven, CannotPrint> {
        let known = &self.looked_closer(known, closer)?[..];
        let mut crossings = Vec::new();
        let mut last: Option<(u64, [Money; 2])> = None;
        for (quantity, totals) in known.iter().filter(|(_, t)| t[0] != t[1]) {
            if let Some((from, before)) = last
                && second_is_lower(before) != second_is_lower(*totals)
            {
                self.asked = 0;
                let ends = [(from, before), (*quantity, *totals)];
                crossings.push(self.crossing(ends)?);
            }
            last = Some((*quantity, *totals));
        }
        if !crossings.is_empty() {
            return Ok(BreakEven::At(told_as_one(crossings)));
        }
        let apart = |(_, totals): &(u64, [Money; 2])| {
            Money::new((totals[0].amount() - totals[1].amount()).abs())
        };
        Ok(match (known.first(), last, known.last()) {
            (Some(one), Some((_, totals)), Some(most)) => BreakEven::Never {
                second_is_lower: second_is_lower(totals),
                at_one: apart(one),
                at_most: (most.0, apart(most)),
            },
            _ => BreakEven::Equal,
        })
    }

    /// The quantities known, with one more wherever the order is another between two that have the same.
    fn looked_closer(&mut self, known: &[End], closer: &Closer) -> Result<Vec<End>, CannotPrint> {
        let unequal = known.iter().filter(|(_, totals)| totals[0] != totals[1]);
        let unequal: Vec<End> = unequal.copied().collect();
        let mut gaps: VecDeque<[End; 2]> = unequal
            .windows(2)
            .map(|pair| [pair[0], pair[1]])
            .filter(|[from, to]| {
                second_is_lower(from.1) == second_is_lower(to.1)
                    && from.0 <= *closer.around.end()
                    && to.0 >= *closer.around.start()
            })
            .collect();
        let mut all = known.to_vec();
        let mut done: Vec<u64> = Vec::new();
        self.asked = 0;
        // All gaps are halved in turn, so that the widest are looked at first.
        while let Some([from, to]) = gaps.pop_front()
            && self.asked < closer.most
        {
            let lower = second_is_lower(unequal_end(&unequal, from.0).1);
            let gap = unequal_end(&unequal, from.0).0;
            if to.0 - from.0 < 2 || done.contains(&gap) || never_lower(from.1, to.1, !lower) {
                continue;
            }
            let middle = self.middle(from.0, to.0)?;
            if is_lower(middle.1, !lower) {
                all.push(middle);
                done.push(gap);
            } else {
                gaps.extend([[from, middle], [middle, to]]);
            }
        }
        all.sort_unstable_by_key(|(quantity, _)| *quantity);
        Ok(all)
    }

    fn crossing(&mut self, ends: [(u64, [Money; 2]); 2]) -> Result<Crossing, CannotPrint> {
        let lower = second_is_lower(ends[1].1);
        let first = self.first_lower(ends[0], ends[1], lower)?;
        let last_not = self.last_not_lower(ends[0], ends[1], lower)?;
        Ok(Crossing {
            first: first.unwrap_or(ends[1].0),
            settled: last_not.map_or(ends[1].0, |last| last + 1),
            second_is_lower: lower,
        })
    }

    /// First quantity after `from` up to `to` at which the price named is the lower one.
    fn first_lower(&mut self, from: End, to: End, second: bool) -> Found {
        if never_lower(from.1, to.1, second) {
            return Ok(None);
        }
        if to.0 - from.0 == 1 || self.is_spent() {
            return Ok(is_lower(to.1, second).then_some(to.0));
        }
        let middle = self.middle(from.0, to.0)?;
        match self.first_lower(from, middle, second)? {
            None => self.first_lower(middle, to, second),
            found => Ok(found),
        }
    }

    /// Last quantity from `from` on and before `to` at which the price named is not the lower one.
    fn last_not_lower(&mut self, from: End, to: End, second: bool) -> Found {
        if always_lower(from.1, to.1, second) {
            return Ok(None);
        }
        if to.0 - from.0 == 1 || self.is_spent() {
            return Ok((!is_lower(from.1, second)).then_some(from.0));
        }
        let middle = self.middle(from.0, to.0)?;
        match self.last_not_lower(middle, to, second)? {
            None => self.last_not_lower(from, middle, second),
            found => Ok(found),
        }
    }

    fn middle(&mut self, from: u64, to: u64) -> Result<End, CannotPrint> {
        let middle = from + (to - from) / 2;
        Ok((middle, self.totals(middle)?))
    }

    fn totals(&mut self, quantity: u64) -> Totals {
        self.asked += 1;
        let [one, other] = &mut self.prices;
        Ok([one(quantity)?, other(quantity)?])
    }

    /// Prices that run side by side over a long way would take too long to tell apart.
    fn is_spent(&self) -> bool {
        self.asked > MOST_PRICES
    }
}

/// A quantity with both totals.
type End = (u64, [Money; 2]);
type Found = Result<Option<u64>, CannotPrint>;

/// The last of `unequal` at or before a quantity.
fn unequal_end(unequal: &[End], quantity: u64) -> End {
    unequal[unequal.partition_point(|(known, _)| *known <= quantity) - 1]
}

/// Draws together changes there and back that lie near each other.
fn told_as_one(mut crossings: Vec<Crossing>) -> Vec<Crossing> {
    let mut at = 0;
    while at + 2 < crossings.len() {
        let (first, last) = (crossings[at], crossings[at + 2]);
        if last.settled <= TOLD_AS_ONE * first.first {
            crossings[at].settled = last.settled;
            crossings.drain(at + 1..=at + 2);
        } else {
            at += 1;
        }
    }
    crossings
}

fn second_is_lower(totals: [Money; 2]) -> bool {
    is_lower(totals, true)
}

fn is_lower(totals: [Money; 2], second: bool) -> bool {
    totals[usize::from(second)] < totals[usize::from(!second)]
}

/// As neither price falls, the one named costs at least `from` and the other at most `to` in between.
fn never_lower(from: [Money; 2], to: [Money; 2], second: bool) -> bool {
    from[usize::from(second)] >= to[usize::from(!second)]
}

/// At every quantity from `from` to `to`.
fn always_lower(from: [Money; 2], to: [Money; 2], second: bool) -> bool {
    to[usize::from(second)] < from[usize::from(!second)]
}

#[cfg(test)]
mod tests {
    use rust_decimal::Decimal;

    use super::*;

    fn cents(cents: u64) -> Money {
        Money::new(Decimal::new(cents.cast_signed(), 2))
    }

    /// Quantities of a job.
    const PRICED: [u64; 3] = [500, 2_000, 5_000];

    type Price = fn(u64) -> u64;

    fn between<P: Fn(u64) -> u64>(one: P, other: P) -> BreakEven {
        let known: Vec<End> = grid(&PRICED)
            .into_iter()
            .map(|q| (q, [cents(one(q)), cents(other(q))]))
            .collect();
        let prices = [one, other].map(|price| move |q| Ok(cents(price(q))));
        let closer = Closer::new(&PRICED, 1);
        Rivals::new(prices).break_even(&known, &closer).unwrap()
    }

    #[test]
    fn straight_lines_cross_once() {
        // 100.00 + 0.10 a copy against 40.00 + 0.30 a copy: equal at 300 copies.
        let found = between::<Price>(|q| 10_000 + 10 * q, |q| 4_000 + 30 * q);
        let at = Crossing {
            first: 301,
            settled: 301,
            second_is_lower: false,
        };
        assert_eq!(found, BreakEven::At(vec![at]));
    }

    #[test]
    fn stairs_may_change_places_before_they_settle() {
        let stairs: Price = |q| 10_000 + 2_500 * q.div_ceil(250);
        let slope: Price = |q| 4_000 + 30 * q;
        let found = between(stairs, slope);
        let lower = |q| stairs(q) < slope(q);
        let first = (1..10_000).find(|q| lower(*q)).unwrap();
        let settled = (1..10_000).rfind(|q| !lower(*q)).unwrap() + 1;
        assert!(first <= settled);
        let at = Crossing {
            first,
            settled,
            second_is_lower: false,
        };
        assert_eq!(found, BreakEven::At(vec![at]));
    }

    #[test]
    fn change_and_back_between_two_quantities_compared_is_found() {
        // A pack too much makes the first dearer from 3,001 to 3,100 copies only.
        let pack: Price = |q| 10_000 + q + if q > 3_000 { 99 } else { 0 };
        let other: Price = |q| 10_050 + q + if q > 3_100 { 99 } else { 0 };
        let at = |first, second_is_lower| Crossing {
            first,
            settled: first,
            second_is_lower,
        };
        assert_eq!(
            between(pack, other),
            BreakEven::At(vec![at(3_001, true), at(3_101, false)])
        );
    }

    /// Which price is told to be the lower one; `None` where the two change places or are equal.
    fn told(found: &BreakEven, copies: u64) -> Option<bool> {
        match found {
            BreakEven::Equal => None,
            BreakEven::Never {
                second_is_lower, ..
            } => Some(*second_is_lower),
            BreakEven::At(crossings) => match crossings.iter().rfind(|c| c.first <= copies) {
                None => Some(!crossings[0].second_is_lower),
                Some(last) => (last.settled <= copies).then_some(last.second_is_lower),
            },
        }
    }

    #[test]
    fn what_is_told_holds_at_every_quantity() {
        let mut seed = 7_u64;
        let mut any = |below: u64| {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % below
        };
        let mut stairs = || {
            let (fixed, a_copy, pack, packed) = (any(4_000), any(8), 100 + any(900), any(2_000));
            move |q: u64| fixed + a_copy * q + packed * q.div_ceil(pack)
        };
        let mut changes = 0;
        for case in 0..200 {
            let (one, other) = (stairs(), stairs());
            let found = between(one, other);
            changes += usize::from(matches!(found, BreakEven::At(_)));
            for q in 250..=10_000 {
                let dearer = match told(&found, q) {
                    Some(true) => other(q) > one(q),
                    Some(false) => one(q) > other(q),
                    None => false,
                };
                assert!(!dearer, "case {case}, {q} copies: {found:?}");
            }
        }
        assert!(changes > 20, "{changes} pairs change places");
    }

    #[test]
    fn changes_there_and_back_are_told_as_one() {
        let at = |first, settled, second_is_lower| Crossing {
            first,
            settled,
            second_is_lower,
        };
        let three = vec![at(100, 110, true), at(130, 130, false), at(150, 160, true)];
        assert_eq!(told_as_one(three), [at(100, 160, true)]);
        let apart = vec![at(100, 100, true), at(150, 150, false), at(900, 900, true)];
        assert_eq!(told_as_one(apart.clone()), apart);
    }

    #[test]
    fn dearer_throughout_never_breaks_even() {
        assert_eq!(
            between::<Price>(|q| 10_000 + 30 * q, |q| 4_000 + 10 * q),
            BreakEven::Never {
                second_is_lower: true,
                at_one: cents(6_020),
                at_most: (MOST_ORDERED, cents(6_000 + 20 * MOST_ORDERED)),
            }
        );
        assert_eq!(between::<Price>(|q| q, |q| q), BreakEven::Equal);
    }

    #[test]
    fn grid_reaches_from_one_copy_to_the_most() {
        let grid = grid(&[777]);
        assert_eq!((grid[0], grid[1]), (1, 2));
        assert_eq!(grid.last(), Some(&MOST_ORDERED));
        assert!(grid.is_sorted() && grid.len() < 100 && grid.contains(&777));
    }
}
