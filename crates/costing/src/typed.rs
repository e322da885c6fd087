//! What the card makes of a run that is typed instead of laid out: the same formulas as those of an estimate.

use inkset_spec::{RateCard, TypedRun};

use crate::error::CannotPrint;
use crate::press::{PressCost, RunShape, Spoils, sheets_in};
use crate::waste::PressWaste;

/// Minutes and sheets of one run with its make-ready.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunTimes {
    /// Inks made ready.
    pub inks: u32,
    /// Minutes of make-ready.
    pub make_ready_minutes: f64,
    /// Minutes of running.
    pub running_minutes: f64,
    /// Sheets of make-ready.
    pub make_ready_sheets: u64,
    /// Sheets run at speed: good ones and those spoiled.
    pub running_sheets: u64,
    /// Good sheets left.
    pub good_sheets: u64,
}

/// Runs on a press of the card, each for itself.
///
/// Errors: [`CannotPrint::AllSpoiled`] when the card spoils every sheet.
pub fn run_times(
    (card, press): (&RateCard, usize),
    runs: &[TypedRun],
) -> Result<Vec<RunTimes>, CannotPrint> {
    let press = PressCost::new(&card.presses[press], card.currency.value)?;
    let waste = PressWaste::new(&card.run_spoilage)?;
    let times = runs.iter().map(|run| {
        let shape = RunShape {
            inks: if press.clicks.is_some() { 0 } else { run.inks },
            makes_ready: true,
            changes: 0,
            kept: false,
            at: 0,
        };
        let spoils = Spoils {
            waste: press.waste(&waste),
            make_ready: None,
            stops: 0,
        };
        let mut times = RunTimes {
            inks: run.inks,
            make_ready_minutes: press.make_ready_hours(shape) * 60.0,
            running_minutes: 0.0,
            make_ready_sheets: 0,
            running_sheets: 0,
            good_sheets: run.good_sheets,
        };
        sheets_in(
            [&press; 2],
            &[shape],
            (run.good_sheets, spoils),
            |_, sheets| {
                times.make_ready_sheets = sheets.make_ready;
                times.running_sheets = sheets.running;
                times.running_minutes = press.running_hours(sheets.running) * 60.0;
            },
        );
        times
    });
    Ok(times.collect())
}
