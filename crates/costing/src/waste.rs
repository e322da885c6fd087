//! Working backwards from good copies through spoilage.
//!
//! Percentages are shares of what goes in: of 100 sheets printed at 3 % spoilage, 97 are good. They are kept as whole
//! ten-thousandths of a percent, so that 97 good sheets need 100, not 101.

use inkset_spec::{Operation, RunSpoilage};
use inkset_units::Percent;

use crate::error::CannotPrint;

/// One, in ten-thousandths of a percent.
const WHOLE: u64 = 1_000_000;

/// A share spoiled, less than the whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Spoiled(u64);

impl Spoiled {
    pub(crate) fn new(percent: Percent, step: &str) -> Result<Self, CannotPrint> {
        let share = (percent.percent() * 1e4).round();
        if share >= WHOLE as f64 {
            return Err(CannotPrint::AllSpoiled {
                step: step.to_owned(),
                percent: percent.percent(),
            });
        }
        Ok(Self(share as u64))
    }

    /// Pieces that go in so that `good` come out: `good / (1 - share)`, rounded up.
    pub(crate) fn needed(self, good: u64) -> u64 {
        divide_up(good, WHOLE, WHOLE - self.0)
    }
}

/// `value * times / by`, rounded up.
fn divide_up(value: u64, times: u64, by: u64) -> u64 {
    // Almost always: a 64-bit division is several times faster.
    if let Some(exact) = value.checked_mul(times) {
        return exact.div_ceil(by);
    }
    let exact = u128::from(value) * u128::from(times);
    u64::try_from(exact.div_ceil(u128::from(by))).unwrap_or(u64::MAX)
}

/// `copies` with `overs` percent on top, rounded up.
pub(crate) fn with_overs(copies: u64, overs: Percent) -> u64 {
    let share = (overs.percent() * 1e4).round().min(1e12) as u64;
    divide_up(copies, WHOLE + share, WHOLE)
}

/// A finishing operation's spoilage.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OperationWaste {
    set_up: u64,
    run: Spoiled,
}

impl OperationWaste {
    /// A difficulty multiplies both; the set-up is rounded up.
    pub(crate) fn new(
        (operation, name): (&Operation, &str),
        difficulty: f64,
    ) -> Result<Self, CannotPrint> {
        let percent = operation.run_spoilage.value.percent() * difficulty;
        let run = Percent::new(percent).ok_or_else(|| CannotPrint::AllSpoiled {
            step: name.to_owned(),
            percent,
        })?;
        let set_up = operation.set_up_spoilage.value as f64 * difficulty;
        Ok(Self {
            // Binary dust is no further piece: 20 at 1.1 are 22.
            set_up: (set_up - 1e-6).ceil().max(0.0) as u64,
            run: Spoiled::new(run, name)?,
        })
    }

    /// Pieces that go in so that `good` come out.
    pub(crate) fn needed(&self, good: u64) -> u64 {
        self.run.needed(good).saturating_add(self.set_up)
    }
}

/// Press spoilage by run length.
#[derive(Debug, Clone)]
pub(crate) struct PressWaste {
    /// Good sheets up to which the step holds, its share, and the most sheets that it spoils.
    steps: Vec<(u64, Spoiled, u64)>,
}

impl PressWaste {
    pub(crate) fn new(table: &RunSpoilage) -> Result<Self, CannotPrint> {
        let steps = table.steps.iter().map(|step| {
            let share = Spoiled::new(step.percent.value, "press run")?;
            let most = step.up_to.map_or(0, |end| share.needed(end) - end);
            Ok((step.up_to.unwrap_or(u64::MAX), share, most))
        });
        Ok(Self {
            steps: steps.collect::<Result<_, CannotPrint>>()?,
        })
    }

    /// Sheets that a run needs for `good` good ones, make-ready apart.
    ///
    /// A longer run never spoils fewer sheets than a shorter one: just beyond a step of the table, the sheets spoiled stay
    /// at the most of the step before until the lower percentage has caught up.
    pub(crate) fn needed(&self, good: u64) -> u64 {
        let mut least = 0;
        for (up_to, share, most) in &self.steps {
            if good <= *up_to {
                return share.needed(good).max(good.saturating_add(least));
            }
            least = least.max(*most);
        }
        good.saturating_add(least)
    }
}

#[cfg(test)]
mod tests {
    use inkset_spec::{Given, RunRate, SpoilageStep};
    use inkset_units::Money;

    use super::*;

    fn percent(value: f64) -> Given<Percent> {
        Given::assumed(Percent::new(value).unwrap())
    }

    fn operation(set_up: u64, run: f64) -> OperationWaste {
        let operation = Operation {
            set_up: Given::assumed(Money::ZERO),
            set_up_minutes: Given::assumed(0.0),
            hourly_rate: None,
            run: Some(RunRate::PerThousand(Given::assumed(Money::ZERO))),
            set_up_spoilage: Given::assumed(set_up),
            run_spoilage: percent(run),
        };
        OperationWaste::new((&operation, "operation"), 1.0).unwrap()
    }

    fn press(steps: &[(Option<u64>, f64)]) -> PressWaste {
        let step = |(up_to, share): &(Option<u64>, f64)| SpoilageStep {
            up_to: *up_to,
            percent: percent(*share),
        };
        PressWaste::new(&RunSpoilage {
            steps: steps.iter().map(step).collect(),
        })
        .unwrap()
    }

    #[test]
    fn published_waste_chain_is_met() {
        // Row W1 of tests/reference/costing/worked_examples.csv: stitching 1 %, folding 40 sheets and 1.1 %,
        // make-ready of 700 sheets; the press constant between its two published ends (3.7 % and 2.6 %) is taken as 3 %.
        let stitched = operation(0, 1.0).needed(10_000);
        let folded = operation(40, 1.1).needed(stitched);
        let printed =
            press(&[(Some(2_500), 3.7), (Some(25_000), 3.0), (None, 2.6)]).needed(folded) + 700;
        assert_eq!([stitched, folded, printed], [10_102, 10_255, 11_273]);
    }

    #[test]
    fn published_overs_are_met() {
        // Row P16: 64 pages, 5,000 copies, 16 pages on a sheet, 10 % overs: 22,000 sheets.
        let copies = with_overs(5_000, Percent::new(10.0).unwrap());
        assert_eq!(copies * 64 / 16, 22_000);
    }

    #[test]
    fn exact_shares_need_no_sheet_more() {
        assert_eq!(operation(0, 3.0).needed(97), 100);
        assert_eq!(operation(0, 0.1).needed(999), 1_000);
        assert_eq!(with_overs(1_000, Percent::new(5.0).unwrap()), 1_050);
    }

    #[test]
    fn longer_runs_never_spoil_fewer_sheets() {
        let waste = press(&[(Some(1_000), 10.0), (Some(3_000), 4.0), (None, 2.0)]);
        let spoiled: Vec<u64> = (0..10_000).map(|good| waste.needed(good) - good).collect();
        assert!(spoiled.is_sorted());
        assert_eq!(spoiled[1_000], 112);
        assert_eq!(spoiled[1_001], 112, "4 % would be 42");
        assert_eq!(spoiled[9_800], 200);
    }

    #[test]
    fn spoilage_of_everything_is_refused() {
        let all = Spoiled::new(Percent::new(100.0).unwrap(), "fold");
        assert!(matches!(
            all,
            Err(CannotPrint::AllSpoiled { step, .. }) if step == "fold"
        ));
    }
}
