//! Whether giving parts of the basket to different suppliers is cheaper than all to one.

use inkset_units::Money;

use crate::comparison::Comparison;

/// The cheapest way to share out a basket.
#[derive(Debug, Clone, PartialEq)]
pub struct Split {
    /// Options that it is about: one, or all of them.
    pub options: Vec<usize>,
    /// What is given to whom: option, index of the quantity, offer and its price for all orders of it.
    pub lots: Vec<(usize, usize, usize, Money)>,
    /// Sum of the lots.
    pub total: Money,
    /// The cheapest single supplier of everything, and its sum; `None` when nobody prices everything.
    pub single: Option<(usize, Money)>,
}

impl Split {
    /// What splitting saves against the cheapest single supplier.
    pub fn saving(&self) -> Option<Money> {
        self.single.map(|(_, total)| total - self.total)
    }

    /// Number of suppliers.
    pub fn suppliers(&self) -> usize {
        let mut all: Vec<usize> = self.lots.iter().map(|lot| lot.2).collect();
        all.sort_unstable();
        all.dedup();
        all.len()
    }
}

/// By quantity for each option; with `every_option`, by option and quantity over all of them together.
pub fn splits(comparison: &Comparison, every_option: bool) -> Vec<Split> {
    let all: Vec<usize> = (0..comparison.options.len()).collect();
    let baskets: Vec<Vec<usize>> = if every_option {
        vec![all]
    } else {
        all.into_iter().map(|option| vec![option]).collect()
    };
    baskets
        .into_iter()
        .filter_map(|options| split(comparison, options))
        .collect()
}

fn split(comparison: &Comparison, options: Vec<usize>) -> Option<Split> {
    let ordered = (0..comparison.orders.len()).filter(|at| !comparison.orders[*at].is_zero());
    let ordered: Vec<usize> = ordered.collect();
    let price = |offer: usize, option: usize, at: usize| {
        let prices = comparison.offers[offer].prices[option].as_ref()?;
        prices.prices[at].total?.times(comparison.orders[at])
    };
    let offers = 0..comparison.offers.len();
    let mut lots = Vec::new();
    for &option in &options {
        for &at in &ordered {
            let priced = offers
                .clone()
                .filter_map(|o| Some((o, price(o, option, at)?)));
            let (offer, amount) = priced.min_by_key(|(_, amount)| *amount)?;
            lots.push((option, at, offer, amount));
        }
    }
    let everything = |offer: usize| -> Option<Money> {
        let cells = options
            .iter()
            .flat_map(|o| ordered.iter().map(move |at| (*o, *at)));
        cells.map(|(option, at)| price(offer, option, at)).sum()
    };
    let singles = offers.clone().filter_map(|o| Some((o, everything(o)?)));
    let single = singles.min_by_key(|(_, total)| *total);
    Some(Split {
        total: lots.iter().map(|lot| lot.3).sum(),
        options,
        lots,
        single,
    })
}
