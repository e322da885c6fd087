//! Which presses print the options.

use inkset_costing::Estimate;

use super::PriceReport;
use crate::figures::{grouped, runs};

/// Which presses print which options, options alike in one line.
pub(super) fn press_lines(report: &PriceReport<'_>) -> Vec<String> {
    let mut alike: Vec<(Vec<usize>, String)> = Vec::new();
    for (number, (_, option)) in report.shown().enumerate() {
        let text = press_text(&option.estimates, &report.quantities);
        match alike.iter_mut().find(|(_, known)| *known == text) {
            Some((numbers, _)) => numbers.push(number + 1),
            None => alike.push((vec![number + 1], text)),
        }
    }
    alike
        .iter()
        .map(|(numbers, text)| format!("{}: {text}", runs(numbers)))
        .collect()
}

/// Presses and passes of the first quantity, and from which quantity on they are others.
fn press_text(estimates: &[Estimate], quantities: &[u64]) -> String {
    let mut told: Vec<String> = Vec::new();
    let mut last = String::new();
    for (estimate, copies) in estimates.iter().zip(quantities) {
        let passes = match estimate.passes() {
            1 => "1 pass".to_owned(),
            passes => format!("{passes} passes"),
        };
        let way = format!("{}, {passes}", super::press(estimate));
        if way == last {
            continue;
        }
        told.push(if told.is_empty() {
            way.clone()
        } else {
            format!("from {} copies {way}", grouped(&copies.to_string()))
        });
        last = way;
    }
    told.join("; ")
}
