//! An estimate taken apart by the rates that pay it.

use inkset_spec::RateGroup;
use inkset_units::Money;

use crate::estimate::Estimate;
use crate::line::{CostLine, Stage};

impl Estimate {
    /// What each group of rates pays, with its share of the profit; `None` beyond 28 digits.
    ///
    /// A line belongs to the first group that holds a rate among its inputs. Lines set by hand, and those of the stages left
    /// out, belong to none.
    pub fn shares(&self, groups: &[RateGroup], left_out: &[Stage]) -> Option<Vec<Money>> {
        let mut sums = vec![Money::ZERO; groups.len()];
        for line in &self.lines {
            if line.by_hand.is_some() || left_out.contains(&line.stage) {
                continue;
            }
            if let Some(group) = groups.iter().position(|group| is_paid_by(line, group)) {
                sums[group] += line.amount;
            }
        }
        sums.into_iter().map(|sum| self.with_profit(sum)).collect()
    }
}

fn is_paid_by(line: &CostLine, group: &RateGroup) -> bool {
    let mut places = line.inputs.iter().filter_map(|input| input.place);
    places.any(|place| group.holds(place))
}
