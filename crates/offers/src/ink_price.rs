//! What a supplier asks for one more ink, against what it should cost.

use inkset_units::Money;

use crate::basis::key;
use crate::comparison::{ComparedOption, OfferedPrices};

/// The price of a further ink at one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct InkPrice {
    /// The colour of the job that it is mixed for.
    pub solid: String,
    /// Index of the option with it.
    pub with: usize,
    /// Index of the same option without it.
    pub without: usize,
    /// Copies.
    pub copies: u64,
    /// What the supplier asks more, on the common basis.
    pub asked: Money,
    /// What the rate card makes it.
    pub should: Option<Money>,
    /// What printing it alone in a further pass costs at least, with the sheets that it spoils, and not less than the cheapest
    /// way of all.
    pub second_pass: Option<Money>,
}

/// Pairs of options that differ by one solid: with, without, and the solid's place among those of the first.
pub(crate) fn pairs(options: &[ComparedOption]) -> Vec<(usize, usize, usize)> {
    let mut pairs = Vec::new();
    for (with, option) in options.iter().enumerate() {
        for left_out in 0..option.solids.len() {
            let mut solids = option.solids.clone();
            solids.remove(left_out);
            let wanted = key(option.process, &solids);
            let without = options
                .iter()
                .position(|o| key(o.process, &o.solids) == wanted);
            pairs.extend(without.map(|without| (with, without, left_out)));
        }
    }
    pairs
}

/// What one supplier asks for every further ink, at every quantity priced both ways.
pub(crate) fn ink_prices(
    options: &[ComparedOption],
    prices: &[Option<OfferedPrices>],
    quantities: &[u64],
) -> Vec<InkPrice> {
    let mut found = Vec::new();
    for (with, without, left_out) in pairs(options) {
        let (Some(dear), Some(plain)) = (&prices[with], &prices[without]) else {
            continue;
        };
        for (at, &copies) in quantities.iter().enumerate() {
            let (Some(dear), Some(plain)) = (dear.prices[at].total, plain.prices[at].total) else {
                continue;
            };
            let option = &options[with];
            let both = option
                .should_cost
                .get(at)
                .zip(options[without].should_cost.get(at));
            let should = both.map(|(with, without)| *with - *without);
            let passes = option.second_pass.get(left_out);
            let alone = passes.and_then(|all| all.get(at)).copied();
            found.push(InkPrice {
                solid: option.solids[left_out].clone(),
                with,
                without,
                copies,
                asked: dear - plain,
                should,
                second_pass: alone.map(|alone| should.map_or(alone, |should| alone.max(should))),
            });
        }
    }
    found
}
