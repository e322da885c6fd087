//! What finished jobs really took: minutes, sheets, kilograms.

mod fit;
mod toml;

pub use fit::check_actuals;

use crate::read::not_text;
use crate::{FileRole, Given, Place, Reading};

/// Most jobs of all files of actuals together.
pub const MOST_ACTUAL_JOBS: usize = 1_000;

/// The actuals of one file.
#[derive(Debug, Clone, PartialEq)]
pub struct Actuals {
    /// The rate card that they are held against, relative to the file.
    pub rates: Option<Given<String>>,
    /// At least one, in the order of the file.
    pub jobs: Vec<ActualJob>,
}

/// What one job took.
#[derive(Debug, Clone, PartialEq)]
pub struct ActualJob {
    /// Its name or number; each once in a file.
    pub name: Given<String>,
    /// The job file with the copies made; `None` when its runs are typed.
    pub file: Option<ActualOrder>,
    /// By press.
    pub presses: Vec<ActualPress>,
    /// By ink; only of a job with a file.
    pub inks: Vec<ActualInk>,
    /// By finishing operation.
    pub operations: Vec<ActualOperation>,
}

/// Which job file, how many copies and in which inks.
#[derive(Debug, Clone, PartialEq)]
pub struct ActualOrder {
    /// The job file, relative to the file of actuals.
    pub path: Given<String>,
    /// Copies ordered.
    pub quantity: Given<u64>,
    /// Name of the option that was printed; `None` = the recommended one.
    pub option: Option<Given<String>>,
}

/// What was measured on one press.
#[derive(Debug, Clone, PartialEq)]
pub struct ActualPress {
    /// Name on the rate card.
    pub press: Given<String>,
    /// Part of the job; `None` = all parts that it printed.
    pub part: Option<Given<String>>,
    /// The runs, where the job has no file.
    pub runs: Vec<TypedRun>,
    /// Minutes of make-ready, all forms and passes together.
    pub make_ready_minutes: Option<Given<f64>>,
    /// Minutes of running, stops within the run included.
    pub running_minutes: Option<Given<f64>>,
    /// Sheets of make-ready.
    pub make_ready_sheets: Option<Given<u64>>,
    /// Sheets that went into the press, make-ready and spoilage included.
    pub sheets: Option<Given<u64>>,
    /// Where it stands.
    pub place: Place,
}

/// One run through a press, typed instead of reckoned from a job file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TypedRun {
    /// Inks made ready.
    pub inks: u32,
    /// Good sheets that it left.
    pub good_sheets: u64,
}

/// Ink used, all make-readies and the run together.
#[derive(Debug, Clone, PartialEq)]
pub struct ActualInk {
    /// Name in the job, or `process` for all process inks together.
    pub ink: Given<String>,
    /// Kilograms.
    pub kilograms: Given<f64>,
}

/// What was measured of a finishing operation.
#[derive(Debug, Clone, PartialEq)]
pub struct ActualOperation {
    /// Name on the rate card.
    pub operation: Given<String>,
    /// Settings-up; 1 unless given. Of a job with a file they are those of the estimate.
    pub set_ups: Option<Given<u64>>,
    /// Pieces put through.
    pub pieces: Option<Given<u64>>,
    /// Minutes of setting up, all together.
    pub set_up_minutes: Option<Given<f64>>,
    /// Minutes of running.
    pub running_minutes: Option<Given<f64>>,
    /// Pieces spoiled, in setting up and running.
    pub spoiled: Option<Given<u64>>,
    /// Where it stands.
    pub place: Place,
}

/// Reads and checks a file of actuals.
pub fn read_actuals(bytes: &[u8]) -> Reading<Actuals> {
    match std::str::from_utf8(bytes) {
        Err(error) => Reading::new(
            None,
            vec![not_text(FileRole::Actuals, bytes, error.valid_up_to())],
        ),
        Ok(text) => crate::read::read_file(FileRole::Actuals, text, toml::actuals),
    }
}
