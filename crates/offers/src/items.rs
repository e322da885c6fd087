//! Price schedules, item by item.

use inkset_spec::{Offer, OfferedPrice};
use inkset_units::{Currency, Money};

use crate::comparison::ComparedOption;
use crate::like::Terms;
use crate::rank::{Ranked, ranks};

/// Schedules of several offers for one option, item by item.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemComparison {
    /// Index of the option.
    pub option: usize,
    /// Copies.
    pub copies: u64,
    /// Indices of the offers that price it by a schedule.
    pub offers: Vec<usize>,
    /// Every item of any of them, in the order met.
    pub lines: Vec<ItemLine>,
    /// Sum of the items of each offer.
    pub sums: Vec<Option<Money>>,
    /// Ranks of the sums.
    pub ranks: Vec<Option<Ranked>>,
}

/// One item.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemLine {
    /// Its name.
    pub name: String,
    /// Net amount in each offer; `None` where it is not priced.
    pub amounts: Vec<Option<Money>>,
    /// Ranks of the amounts.
    pub ranks: Vec<Option<Ranked>>,
}

impl ItemComparison {
    /// Items on which an offer with the lowest sum is not the lowest.
    pub fn dearer_items(&self) -> Vec<&ItemLine> {
        let first = |ranks: &[Option<Ranked>], at: usize| ranks[at].is_some_and(|r| r.rank == 1);
        let winners: Vec<usize> = (0..self.offers.len())
            .filter(|at| first(&self.ranks, *at))
            .collect();
        let lines = self.lines.iter();
        lines
            .filter(|line| winners.iter().any(|at| !first(&line.ranks, *at)))
            .collect()
    }
}

/// Compares the schedules of every option that two offers or more price by one, at the first quantity.
pub(crate) fn items(
    options: &[ComparedOption],
    offers: &[Offer],
    terms: &[Terms],
    (copies, currency): (u64, Currency),
) -> Vec<ItemComparison> {
    let mut found = Vec::new();
    for (at, option) in options.iter().enumerate() {
        let schedules: Vec<(usize, &[inkset_spec::Item])> = option
            .offered
            .iter()
            .enumerate()
            .filter_map(
                |(offer, index)| match &offers[offer].options[(*index)?].price {
                    OfferedPrice::Schedule(items) => Some((offer, items.as_slice())),
                    _ => None,
                },
            )
            .collect();
        if schedules.len() < 2 {
            continue;
        }
        let mut names: Vec<&str> = Vec::new();
        for item in schedules.iter().flat_map(|(_, items)| *items) {
            if !names.contains(&item.name.as_str()) {
                names.push(&item.name);
            }
        }
        let amount = |offer: usize, items: &[inkset_spec::Item], name: &str| {
            let mut priced = items.iter().filter(|item| item.name == name).peekable();
            priced.peek()?;
            let amounts = priced.map(|item| terms[offer].net(item.amount(copies)?));
            amounts.sum::<Option<Money>>().map(|m| m.rounded(currency))
        };
        let lines = names.iter().map(|name| {
            let amounts: Vec<Option<Money>> = schedules
                .iter()
                .map(|(offer, items)| amount(*offer, items, name))
                .collect();
            ItemLine {
                name: (*name).to_owned(),
                ranks: ranks(&amounts),
                amounts,
            }
        });
        let lines: Vec<ItemLine> = lines.collect();
        let sums: Vec<Option<Money>> = (0..schedules.len())
            .map(|at| lines.iter().map(|line| line.amounts[at]).sum())
            .collect();
        found.push(ItemComparison {
            option: at,
            copies,
            offers: schedules.iter().map(|(offer, _)| *offer).collect(),
            lines,
            ranks: ranks(&sums),
            sums,
        });
    }
    found
}
