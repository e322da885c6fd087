//! What a characterisation table measured, more than once, and not at all.

use crate::table::{CharacterisationTable, Patch};
use crate::{ProcessInk, delta_e00};

/// What there is to say of a table's patches.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartSummary {
    /// Rows of the table.
    pub rows: usize,
    /// Different combinations of tones.
    pub patches: usize,
    /// Rows beyond the first of a combination.
    pub repeats: usize,
    /// Largest ΔE00 between a measurement and the mean of its combination; 0 without repeats.
    pub repeat_spread: f64,
    /// Widest step without a measurement on the ramp of each ink, in percentage points, in the order of the tones.
    pub widest_steps: [f64; 4],
    /// Overprints of two to four solids that were not measured, as letters such as `CMY`.
    pub missing_overprints: Vec<String>,
    /// Largest sum of tones that was measured, percent.
    pub largest_sum: f64,
}

impl ChartSummary {
    /// Looks through a table.
    pub fn of(table: &CharacterisationTable) -> Self {
        let averaged = table.averaged();
        let sum = |p: &Patch| p.tones.iter().sum::<f64>();
        Self {
            rows: table.patches.len(),
            patches: averaged.len(),
            repeats: table.patches.len() - averaged.len(),
            repeat_spread: repeat_spread(table, &averaged),
            widest_steps: ProcessInk::ALL.map(|ink| widest_step(&averaged, ink)),
            missing_overprints: missing_overprints(&averaged),
            largest_sum: averaged.iter().map(sum).fold(0.0, f64::max),
        }
    }
}

/// Both lists are sorted by tones first, so that a large table is looked through once.
fn repeat_spread(table: &CharacterisationTable, averaged: &[Patch]) -> f64 {
    let order = |p: &[f64; 4], q: &[f64; 4]| {
        let pairs = p.iter().zip(q).map(|(a, b)| a.total_cmp(b));
        pairs.fold(std::cmp::Ordering::Equal, std::cmp::Ordering::then)
    };
    let from_mean = |p: &Patch| {
        averaged
            .binary_search_by(|mean| order(&mean.tones, &p.tones))
            .map_or(0.0, |at| delta_e00(averaged[at].lab, p.lab))
    };
    table.patches.iter().map(from_mean).fold(0.0, f64::max)
}

fn widest_step(averaged: &[Patch], ink: ProcessInk) -> f64 {
    let is_on_ramp = |p: &&Patch| {
        let others = ProcessInk::ALL.into_iter().filter(|other| *other != ink);
        others
            .into_iter()
            .all(|other| p.tones[other.index()] <= 0.0)
    };
    let steps = averaged.iter().filter(is_on_ramp);
    let mut tones: Vec<f64> = steps.map(|p| p.tones[ink.index()]).collect();
    tones.extend([0.0, 100.0]);
    tones.sort_by(f64::total_cmp);
    let widths = tones.windows(2).map(|pair| pair[1] - pair[0]);
    widths.fold(0.0, f64::max)
}

fn missing_overprints(averaged: &[Patch]) -> Vec<String> {
    let inks = |mask: usize| {
        ProcessInk::ALL
            .into_iter()
            .filter(move |ink| mask >> ink.index() & 1 == 1)
    };
    let overprints = (1..16_usize).filter(|mask| mask.count_ones() > 1);
    let missing = overprints.filter(|mask| {
        let mut tones = [0.0; 4];
        inks(*mask).for_each(|ink| tones[ink.index()] = 100.0);
        !averaged.iter().any(|p| p.is_at(tones))
    });
    missing
        .map(|mask| inks(mask).map(ProcessInk::letter).collect())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::ConditionInfo;
    use crate::{LabD50, shipped_table};

    fn patch(tones: [f64; 4], l: f64) -> Patch {
        Patch {
            tones,
            lab: LabD50::new(l, 0.0, 0.0),
        }
    }

    #[test]
    fn repeats_and_gaps_are_found() {
        let table = CharacterisationTable {
            info: ConditionInfo::unknown("test"),
            patches: vec![
                patch([0.0; 4], 90.0),
                patch([0.0; 4], 92.0),
                patch([40.0, 0.0, 0.0, 0.0], 70.0),
                patch([100.0, 100.0, 0.0, 0.0], 30.0),
            ],
        };
        let summary = ChartSummary::of(&table);
        assert_eq!((summary.rows, summary.patches, summary.repeats), (4, 3, 1));
        assert!(summary.repeat_spread > 0.5 && summary.repeat_spread < 1.0);
        assert!((summary.widest_steps[0] - 60.0).abs() < 1e-9);
        assert!(!summary.missing_overprints.contains(&"CM".to_owned()));
        assert_eq!(summary.missing_overprints.len(), 10);
        assert!((summary.largest_sum - 200.0).abs() < 1e-9);
    }

    #[test]
    fn newsprint_table_repeats_patches() {
        let table = shipped_table("newsprint-tr002").expect("a shipped condition");
        let summary = ChartSummary::of(&table);
        assert_eq!(summary.repeats, 92);
        assert!(summary.missing_overprints.len() <= 11, "{summary:?}");
    }
}
