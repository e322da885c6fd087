//! Which presses print the options.

use inkset_costing::Estimate;

use super::PriceReport;
use crate::figures::{grouped, runs};

/// How an option is printed at a quantity and all larger ones up to the next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PressesFrom {
    /// Copies from which it holds; `None` at the smallest quantity.
    pub copies: Option<u64>,
    /// Names of the presses.
    pub presses: String,
    /// Most passes that a side needs.
    pub passes: u32,
}

impl PressesFrom {
    /// `1 pass`, `2 passes`.
    pub fn passes_text(&self) -> String {
        match self.passes {
            1 => "1 pass".to_owned(),
            passes => format!("{passes} passes"),
        }
    }

    /// `from 10 000 copies `, or nothing at the smallest quantity.
    pub fn from_text(&self) -> String {
        self.copies.map_or_else(String::new, |copies| {
            format!("from {} copies ", grouped(&copies.to_string()))
        })
    }
}

/// Presses and passes of the first quantity, and of each from which on they are others.
pub fn presses_by_quantity(estimates: &[Estimate], quantities: &[u64]) -> Vec<PressesFrom> {
    let mut told: Vec<PressesFrom> = Vec::new();
    for (estimate, &copies) in estimates.iter().zip(quantities) {
        let (presses, passes) = (super::press(estimate), estimate.passes());
        let same = told
            .last()
            .is_some_and(|last| last.presses == presses && last.passes == passes);
        if !same {
            told.push(PressesFrom {
                copies: (!told.is_empty()).then_some(copies),
                presses,
                passes,
            });
        }
    }
    told
}

/// A line for each way to be printed; options printed alike share it.
pub(super) fn press_lines(report: &PriceReport<'_>) -> Vec<String> {
    let mut alike: Vec<(Vec<usize>, Vec<PressesFrom>)> = Vec::new();
    for (number, (_, option)) in report.shown().enumerate() {
        let ways = presses_by_quantity(&option.estimates, &report.quantities);
        match alike.iter_mut().find(|(_, known)| *known == ways) {
            Some((numbers, _)) => numbers.push(number + 1),
            None => alike.push((vec![number + 1], ways)),
        }
    }
    let line = |(numbers, ways): &(Vec<usize>, Vec<PressesFrom>)| {
        let ways: Vec<String> = ways.iter().map(way_text).collect();
        format!("{}: {}", runs(numbers), ways.join("; "))
    };
    alike.iter().map(line).collect()
}

fn way_text(way: &PressesFrom) -> String {
    format!("{}{}, {}", way.from_text(), way.presses, way.passes_text())
}
