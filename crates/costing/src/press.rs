//! What a press costs: make-ready, washing, running, plates.

use inkset_spec::{Press, Speed};
use inkset_units::Currency;

use crate::clicks::ClickCost;
use crate::error::CannotPrint;
use crate::rate::Rate;
use crate::waste::PressWaste;

/// A press of the card, ready to be reckoned with.
#[derive(Debug)]
pub(crate) struct PressCost {
    pub(crate) units: u32,
    /// Of a digital press.
    pub(crate) clicks: Option<ClickCost>,
    pub(crate) hourly: Rate,
    pub(crate) plate: Rate,
    make_ready_hours: [f64; 2],
    make_ready_sheets: [u64; 2],
    wash_hours: [f64; 2],
    /// Hours for each plate.
    plate_change_hours: f64,
    /// Sheets for each stop.
    plate_change_sheets: u64,
    /// Hours to change the paper of a run whose plates stay on; `None` = those of making ready.
    paper_change_hours: Option<f64>,
    /// Sheets spoilt after such a change; `None` = those of making ready.
    paper_change_sheets: Option<u64>,
    speeds: Vec<SpeedStep>,
}

#[derive(Debug)]
struct SpeedStep {
    up_to: u64,
    sheets_per_hour: f64,
    /// Hours of the longest run of this step.
    longest: f64,
}

/// Sheets of one run through the press.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct RunSheets {
    /// Good sheets that the run has to leave.
    pub(crate) good: u64,
    /// Sheets run at speed: good ones and those spoiled.
    pub(crate) running: u64,
    /// Sheets of make-ready.
    pub(crate) make_ready: u64,
    /// Sheets spoilt where plates are changed between versions.
    pub(crate) changing: u64,
}

/// What decides the sheets that a run needs beyond the good ones.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Spoils<'a> {
    pub(crate) waste: &'a PressWaste,
    /// Sheets of make-ready of a run that makes ready; `None` = those of the press.
    pub(crate) make_ready: Option<u64>,
    /// Stops for changing plates between versions, of a run that has such plates.
    pub(crate) stops: u32,
}

/// A run by its number of inks alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct RunShape {
    pub(crate) inks: u32,
    pub(crate) makes_ready: bool,
    /// Plates changed at each stop between versions; where plates are kept, those changed with the paper.
    pub(crate) changes: u32,
    /// Whether the plates of another part stay on, so that it is not made ready but gets other paper.
    pub(crate) kept: bool,
    /// 0 for the press of the way, 1 for its further press.
    pub(crate) at: usize,
}

/// The make-ready of a digital press, whatever its inks.
pub(crate) const CLICKED: RunShape = RunShape {
    inks: 0,
    makes_ready: true,
    changes: 0,
    kept: false,
    at: 0,
};

impl PressCost {
    pub(crate) fn new(press: &Press, currency: Currency) -> Result<Self, CannotPrint> {
        let clicks = press.digital.as_ref();
        let clicks = clicks.map(|digital| ClickCost::new(digital, currency));
        Ok(Self {
            clicks: clicks.transpose()?,
            units: press.units.value,
            hourly: Rate::new(press.hourly_rate.value, currency),
            plate: Rate::new(press.plate_price.value, currency),
            make_ready_hours: [
                press.make_ready_minutes.value / 60.0,
                press.make_ready_minutes_per_ink.value / 60.0,
            ],
            make_ready_sheets: [
                press.make_ready_sheets.value,
                press.make_ready_sheets_per_ink.value,
            ],
            wash_hours: [
                press.wash_up_minutes.value / 60.0,
                press.wash_up_minutes_effect.value / 60.0,
            ],
            plate_change_hours: press.plate_change_minutes.value / 60.0,
            plate_change_sheets: press.plate_change_sheets.value,
            paper_change_hours: press
                .paper_change_minutes
                .map(|minutes| minutes.value / 60.0),
            paper_change_sheets: press.paper_change_sheets.map(|sheets| sheets.value),
            speeds: press.speeds.iter().map(SpeedStep::new).collect(),
        })
    }

    /// How a run spoils sheets: as the card says, unless the press has its own share.
    pub(crate) fn waste<'w>(&'w self, card: &'w PressWaste) -> &'w PressWaste {
        self.clicks.as_ref().map_or(card, |clicks| &clicks.waste)
    }

    /// Hours to make ready for a run.
    pub(crate) fn make_ready_hours(&self, run: RunShape) -> f64 {
        if run.makes_ready && self.changes_paper(run).is_none() {
            self.make_ready_hours[0] + self.make_ready_hours[1] * f64::from(run.inks)
        } else {
            0.0
        }
    }

    /// Hours to make ready so many runs with so many inks in all.
    pub(crate) fn hours_made_ready(&self, [runs, inks]: [u32; 2]) -> f64 {
        self.make_ready_hours[0] * f64::from(runs) + self.make_ready_hours[1] * f64::from(inks)
    }

    /// Hours of changing paper and plates, of a run whose other plates stay on.
    pub(crate) fn paper_change_hours(&self, run: RunShape) -> f64 {
        let plates = f64::from(run.changes) * self.plate_change_hours;
        self.changes_paper(run).map_or(0.0, |paper| paper + plates)
    }

    /// Hours for the paper alone; `None` for a run that is made ready in full, the card not saying what a change takes.
    fn changes_paper(&self, run: RunShape) -> Option<f64> {
        self.paper_change_hours
            .filter(|_| run.kept && run.makes_ready)
    }

    pub(crate) fn make_ready_sheets(&self, run: RunShape, by_hand: Option<u64>) -> u64 {
        let paper = self.paper_change_sheets.filter(|_| run.kept);
        if let (true, Some(sheets)) = (run.makes_ready, by_hand) {
            sheets
        } else if let (true, Some(paper)) = (run.makes_ready, paper) {
            let stops = u64::from(run.changes > 0);
            paper + stops * self.plate_change_sheets
        } else if run.makes_ready {
            self.make_ready_sheets[0] + self.make_ready_sheets[1] * u64::from(run.inks)
        } else {
            0
        }
    }

    /// Hours of changing plates between versions, with so many stops.
    pub(crate) fn changing_hours(&self, run: RunShape, stops: u32) -> f64 {
        f64::from(run.changes) * f64::from(stops) * self.plate_change_hours
    }

    /// Sheets spoilt at so many stops for changing plates.
    pub(crate) fn changing_sheets(&self, run: RunShape, stops: u32) -> u64 {
        if run.changes > 0 {
            u64::from(stops) * self.plate_change_sheets
        } else {
            0
        }
    }

    /// Hours of washing: after process inks and solids, and after inks with an effect.
    pub(crate) fn wash_hours(&self, plain: u32, effects: u32) -> f64 {
        self.wash_hours[0] * f64::from(plain) + self.wash_hours[1] * f64::from(effects)
    }

    /// Hours to run sheets at the speed of their run length.
    ///
    /// A longer run never takes less time than a shorter one: just beyond a step of the table, the time stays at the most
    /// of the step before until the higher speed has caught up.
    pub(crate) fn running_hours(&self, sheets: u64) -> f64 {
        let mut least = 0.0_f64;
        for step in &self.speeds {
            if sheets <= step.up_to {
                return least.max(sheets as f64 / step.sheets_per_hour);
            }
            least = least.max(step.longest);
        }
        least
    }
}

/// Works backwards through the runs of a section on the presses of its way, last to first, and shows each to `visit`.
///
/// Returns the sheets that go into the first run.
pub(crate) fn sheets_in(
    presses: [&PressCost; 2],
    runs: &[RunShape],
    (good, spoils): (u64, Spoils<'_>),
    mut visit: impl FnMut(usize, RunSheets),
) -> u64 {
    runs.iter().enumerate().rev().fold(good, |good, (n, run)| {
        let press = presses[run.at];
        let sheets = RunSheets {
            good,
            running: spoils.waste.needed(good),
            make_ready: press.make_ready_sheets(*run, spoils.make_ready),
            changing: press.changing_sheets(*run, spoils.stops),
        };
        visit(n, sheets);
        let lost = sheets.make_ready.saturating_add(sheets.changing);
        sheets.running.saturating_add(lost)
    })
}

impl SpeedStep {
    fn new(speed: &Speed) -> Self {
        let sheets_per_hour = speed.sheets_per_hour.value;
        Self {
            up_to: speed.up_to.unwrap_or(u64::MAX),
            sheets_per_hour,
            longest: speed.up_to.unwrap_or(0) as f64 / sheets_per_hour,
        }
    }
}
