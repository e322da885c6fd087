//! Figures that the job sets by hand.
//!
//! The way to print is chosen by the computed figures; then single lines are set by hand, profit and rounding follow from
//! the lines as they stand, and a total that is set by hand gets a line of its own, so that the breakdown still adds up.

use inkset_spec::{HandFigure, Job, Override};
use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

use crate::closing::Closing;
use crate::error::CannotPrint;
use crate::line::{ByHand, CostLine, Input, Stage, Unit};

/// What an override calls the total.
const TOTAL: &str = "total";

/// The overrides that are for one option at one quantity.
pub(crate) struct HandSet<'a> {
    overrides: Vec<&'a Override>,
    job: &'a Job,
    currency: Currency,
}

impl<'a> HandSet<'a> {
    pub(crate) fn new(job: &'a Job, option: Option<&str>, quantity: u64) -> Self {
        let is_for = |set: &&Override| {
            let this_option = |name: &str| option.is_some_and(|o| o.eq_ignore_ascii_case(name));
            set.option
                .as_ref()
                .is_none_or(|name| this_option(&name.value))
                && set.copies.is_none_or(|copies| copies.value == quantity)
        };
        Self {
            overrides: job.overrides.iter().filter(is_for).collect(),
            job,
            currency: job.currency.value,
        }
    }

    /// Sets the lines of the cost.
    pub(crate) fn set(&self, lines: &mut [CostLine]) -> Result<(), CannotPrint> {
        for set in &self.overrides {
            let mut fitting: Vec<usize> = (0..lines.len())
                .filter(|at| fits(set, &lines[*at]))
                .collect();
            // `folding` is the whole item of one line and the beginning of another.
            if fitting.len() > 1 && fitting.iter().any(|at| is_whole(set, &lines[*at])) {
                fitting.retain(|at| is_whole(set, &lines[*at]));
            }
            match fitting[..] {
                [] => {}
                [at] => self.set_line(set, &mut lines[at])?,
                _ => {
                    let several = fitting
                        .iter()
                        .map(|at| named(self.job, &lines[*at]))
                        .collect();
                    return Err(CannotPrint::SeveralLines {
                        place: set.place,
                        line: set.line.value.clone(),
                        several,
                    });
                }
            }
        }
        Ok(())
    }

    fn set_line(&self, set: &Override, line: &mut CostLine) -> Result<(), CannotPrint> {
        let computed = line.by_hand.take().unwrap_or(ByHand {
            quantity: line.quantity,
            unit: line.unit,
            rate: line.rate,
            amount: line.amount,
            why: None,
            place: set.place,
        });
        match set.figure {
            HandFigure::Quantity(quantity) => line.quantity = quantity,
            HandFigure::Rate(rate) => line.rate = rate,
            HandFigure::Amount(amount) if amount == line.amount => {}
            HandFigure::Amount(amount) => {
                (line.quantity, line.unit, line.rate) = (Decimal::ONE, Unit::Sum, amount);
            }
        }
        let exact = line
            .rate
            .times(line.quantity)
            .ok_or(CannotPrint::AmountTooLarge)?;
        line.amount = exact.rounded(self.currency);
        line.by_hand = Some(ByHand {
            why: set.why.clone(),
            place: set.place,
            ..computed
        });
        Ok(())
    }

    /// Profit and rounding of the lines of the cost, and what a total set by hand adds.
    pub(crate) fn close(
        &self,
        closing: &Closing<'_>,
        cost: &[CostLine],
    ) -> Result<Vec<CostLine>, CannotPrint> {
        let sum = |lines: &[CostLine]| lines.iter().map(|line| line.amount).sum::<Money>();
        let cost = sum(cost);
        let mut lines = closing.lines(cost).ok_or(CannotPrint::AmountTooLarge)?;
        let profit_set = self
            .overrides
            .iter()
            .any(|set| set.line.value == Stage::Profit.name());
        if profit_set {
            lines.retain(|line| line.stage == Stage::Profit);
            self.set(&mut lines)?;
            let rounding = closing.rounding_after(cost, sum(&lines));
            lines.extend(rounding.ok_or(CannotPrint::AmountTooLarge)?);
        }
        let from = usize::from(profit_set).min(lines.len());
        self.set(&mut lines[from..])?;
        let total = cost + sum(&lines);
        for set in self.overrides.iter().filter(|set| set.line.value == TOTAL) {
            if let HandFigure::Amount(amount) = set.figure {
                lines.retain(|line| line.stage != Stage::ByHand);
                lines.push(total_line(set, (total, amount), self.currency));
            }
        }
        Ok(lines)
    }
}

/// The difference between a total set by hand and the computed one.
fn total_line(set: &Override, (computed, by_hand): (Money, Money), currency: Currency) -> CostLine {
    let difference = by_hand.rounded(currency) - computed;
    CostLine {
        stage: Stage::ByHand,
        part: None,
        press: None,
        item: "total set by hand".to_owned(),
        quantity: Decimal::ONE,
        unit: Unit::Sum,
        rate: difference,
        amount: difference,
        formula: "by-hand",
        inputs: vec![Input {
            label: "total".into(),
            value: by_hand.amount().normalize().to_string(),
            place: Some(set.place),
        }],
        by_hand: Some(ByHand {
            quantity: Decimal::ONE,
            unit: Unit::Sum,
            rate: computed,
            amount: computed,
            why: set.why.clone(),
            place: set.place,
        }),
    }
}

fn fits(set: &Override, line: &CostLine) -> bool {
    line.stage.name() == set.line.value
        && set.part.is_none_or(|part| line.part == Some(part))
        && set
            .item
            .as_ref()
            .is_none_or(|item| plain(&line.item).starts_with(&plain(&item.value)))
}

fn is_whole(set: &Override, line: &CostLine) -> bool {
    set.item
        .as_ref()
        .is_some_and(|item| plain(&line.item) == plain(&item.value))
}

fn plain(text: &str) -> String {
    text.replace('\u{a0}', " ").to_lowercase()
}

/// How an override names a line: `line = "plates", part = "cover", item = "plates, 2 forms"`.
fn named(job: &Job, line: &CostLine) -> String {
    let part = line.part.filter(|_| job.parts.len() > 1);
    let part = part.map_or(String::new(), |part| {
        format!(", part = \"{}\"", job.parts[part].name.value)
    });
    let item = line.item.replace('\u{a0}', " ");
    format!("line = \"{}\"{part}, item = \"{item}\"", line.stage.name())
}

/// Overrides that changed none of these estimates although their option and quantity are among them.
///
/// `estimates` has name, quantity and lines.
pub fn unused_overrides<'a>(
    job: &'a Job,
    estimates: &[(&str, u64, &[CostLine])],
) -> Vec<&'a Override> {
    let priced = |set: &&Override| {
        let copies = set.copies.map(|copies| copies.value);
        let quantities = estimates
            .iter()
            .any(|(_, quantity, _)| copies.is_none_or(|c| c == *quantity));
        let lines = estimates.iter().flat_map(|(_, _, lines)| lines.iter());
        let mut by_hand = lines.filter_map(|line| line.by_hand.as_ref());
        quantities && !by_hand.any(|hand| hand.place == set.place)
    };
    job.overrides.iter().filter(priced).collect()
}

/// What overrides can name in an estimate.
pub fn nameable(job: &Job, lines: &[CostLine]) -> Vec<String> {
    let lines = lines.iter().filter(|line| line.stage != Stage::ByHand);
    lines
        .map(|line| named(job, line))
        .chain(std::iter::once("line = \"total\"".to_owned()))
        .collect()
}
