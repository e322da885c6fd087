//! What one finishing operation costs: settings-up, run, spoilage, made harder by the job's difficulty.

use inkset_spec::{Given, Operation, RunRate};
use inkset_units::{Currency, Money, quantity};

use crate::error::CannotPrint;
use crate::ledger::{Charge, Ledger};
use crate::line::{Input, Stage, Unit};
use crate::rate::{Rate, thousandths};
use crate::waste::OperationWaste;
use crate::words::{grouped, number};

/// One operation of the card, ready to be reckoned with.
#[derive(Debug)]
pub(crate) struct OperationCost<'a> {
    pub(crate) operation: &'a Operation,
    pub(crate) difficulty: Given<f64>,
    pub(crate) waste: OperationWaste,
    set_up: Rate,
    hourly: Option<Rate>,
    run: RunCost,
}

/// How the run is paid.
#[derive(Debug)]
enum RunCost {
    /// Nothing is run here.
    Inline,
    /// By 1,000 pieces.
    PerThousand(Rate),
    /// By the piece.
    Each(Rate),
    /// By the hour: pieces an hour.
    PerHour(f64),
    /// By the hour: millimetres of belt an hour, and belt for each millimetre of a piece.
    Belt { per_hour: f64, stretch: f64 },
}

/// Work for an operation.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Work<'w> {
    pub(crate) stage: Stage,
    pub(crate) item: &'w str,
    pub(crate) set_ups: u32,
    /// Pieces, or bundles, put through.
    pub(crate) pieces: u64,
    /// Hours of running, where it is paid by the hour, from [`OperationCost::hours`].
    pub(crate) hours: f64,
}

impl<'a> OperationCost<'a> {
    pub(crate) fn new(
        (operation, name): (&'a Operation, &str),
        difficulty: Given<f64>,
        currency: Currency,
    ) -> Result<Self, CannotPrint> {
        let rate = |price| harder(price, difficulty.value, currency);
        let run = match operation.run {
            None => RunCost::Inline,
            Some(RunRate::PerThousand(price)) => RunCost::PerThousand(rate(price.value)?),
            Some(RunRate::Each(price)) => RunCost::Each(rate(price.value)?),
            Some(RunRate::PerHour(pieces)) => RunCost::PerHour(pieces.value),
            Some(RunRate::Belt {
                metres_per_minute,
                gap,
            }) => RunCost::Belt {
                per_hour: metres_per_minute.value * 60_000.0,
                stretch: 1.0 + gap.value.fraction(),
            },
        };
        let hourly = operation.hourly_rate;
        Ok(Self {
            operation,
            difficulty,
            waste: OperationWaste::new((operation, name), difficulty.value)?,
            set_up: rate(operation.set_up.value)?,
            hourly: hourly.map(|rate| Rate::new(rate.value, currency)),
            run,
        })
    }

    /// Whether the operation can be done apart from a press.
    pub(crate) fn runs(&self) -> bool {
        !matches!(self.run, RunCost::Inline)
    }

    /// Hours of running pieces of this length along the belt; none where running is not paid by the hour.
    pub(crate) fn hours(&self, pieces: u64, length_mm: f64) -> f64 {
        let hours = match self.run {
            RunCost::PerHour(per_hour) => pieces as f64 / per_hour,
            RunCost::Belt { per_hour, stretch } => pieces as f64 * length_mm * stretch / per_hour,
            RunCost::Inline | RunCost::PerThousand(_) | RunCost::Each(_) => 0.0,
        };
        hours * self.difficulty.value
    }

    /// Where running is paid by the hour, how its hours come about.
    pub(crate) fn hours_words(&self, pieces: u64, length_mm: f64) -> Option<String> {
        let shown = grouped(pieces);
        let run = match self.operation.run? {
            RunRate::PerHour(per_hour) => format!("{shown} ÷ {} an hour", number(per_hour.value)),
            RunRate::Belt {
                metres_per_minute,
                gap,
            } => format!(
                "{shown} × {} m × (1 + {} %) ÷ {} m/min ÷ 60",
                number(length_mm / 1_000.0),
                number(gap.value.percent()),
                number(metres_per_minute.value)
            ),
            RunRate::PerThousand(_) | RunRate::Each(_) => return None,
        };
        let difficulty = self.difficulty.value;
        let harder = if (difficulty - 1.0).abs() < f64::EPSILON {
            String::new()
        } else {
            format!(" × {}", number(difficulty))
        };
        let hours = number(self.hours(pieces, length_mm));
        Some(format!("hours: {run}{harder} = {hours} h"))
    }

    /// Charges settings-up and pieces put through.
    pub(crate) fn charge(&self, ledger: &mut impl Ledger, work: Work<'_>) {
        if !self.set_up.is_zero() {
            let charge = Charge {
                stage: work.stage,
                unit: Unit::SetUp,
                thousandths: i64::from(work.set_ups).checked_mul(1_000),
                rate: &self.set_up,
                formula: "operation-set-up",
            };
            let item = || self.item(work.item, ", set-up");
            ledger.charge(&charge, item, || self.inputs("set-up"));
        }
        let minutes = self.operation.set_up_minutes.value;
        if let Some(hourly) = self.hourly.as_ref().filter(|_| minutes > 0.0) {
            let hours = f64::from(work.set_ups) * minutes / 60.0 * self.difficulty.value;
            let charge = Charge {
                stage: work.stage,
                unit: Unit::Hour,
                thousandths: thousandths(hours),
                rate: hourly,
                formula: "operation-set-up-hours",
            };
            let item = || self.item(work.item, ", set-up");
            ledger.charge(&charge, item, || self.inputs("set-up minutes"));
        }
        self.charge_run(ledger, work);
    }

    fn charge_run(&self, ledger: &mut impl Ledger, work: Work<'_>) {
        let pieces = i64::try_from(work.pieces).ok();
        let (unit, thousandths, rate, formula) = match (&self.run, &self.hourly) {
            (RunCost::PerThousand(rate), _) => (Unit::Thousand, pieces, rate, "operation-run"),
            (RunCost::Each(rate), _) => {
                let each = pieces.and_then(|pieces| pieces.checked_mul(1_000));
                (Unit::Each, each, rate, "operation-each")
            }
            (RunCost::PerHour(_) | RunCost::Belt { .. }, Some(rate)) => {
                (Unit::Hour, thousandths(work.hours), rate, "operation-hours")
            }
            _ => return,
        };
        let charge = Charge {
            stage: work.stage,
            unit,
            thousandths,
            rate,
            formula,
        };
        ledger.charge(
            &charge,
            || self.item(work.item, ""),
            || {
                let mut inputs = self.inputs("run");
                inputs.extend(self.spoilage_inputs());
                inputs
            },
        );
    }

    fn item(&self, item: &str, what: &str) -> String {
        let difficulty = self.difficulty.value;
        if (difficulty - 1.0).abs() < f64::EPSILON {
            return format!("{item}{what}");
        }
        format!("{item}{what}, difficulty {difficulty}")
    }

    fn inputs(&self, of: &str) -> Vec<Input> {
        let operation = self.operation;
        let mut inputs = match (of, operation.run) {
            ("set-up", _) => vec![Input::money("set-up", &operation.set_up)],
            ("set-up minutes", _) => {
                vec![Input::number("set-up minutes", &operation.set_up_minutes)]
            }
            (_, Some(RunRate::PerThousand(price))) => vec![Input::money("per thousand", &price)],
            (_, Some(RunRate::Each(price))) => vec![Input::money("each", &price)],
            (_, Some(RunRate::PerHour(pieces))) => vec![Input::number("an hour", &pieces)],
            (
                _,
                Some(RunRate::Belt {
                    metres_per_minute,
                    gap,
                }),
            ) => vec![
                Input::number("belt, m/min", &metres_per_minute),
                Input::of("gap", &gap, format!("{} %", gap.value.percent())),
            ],
            (_, None) => Vec::new(),
        };
        if let Some(rate) = operation.hourly_rate.filter(|_| of != "set-up") {
            inputs.push(Input::money("hourly rate", &rate));
        }
        if self.difficulty.place.is_some() {
            inputs.push(Input::number("difficulty", &self.difficulty));
        }
        inputs
    }

    /// What the pieces into the operation come from.
    pub(crate) fn spoilage_inputs(&self) -> [Input; 2] {
        let Operation {
            set_up_spoilage,
            run_spoilage,
            ..
        } = self.operation;
        let percent = format!("{} %", run_spoilage.value.percent());
        [
            Input::of("set-up spoilage", set_up_spoilage, set_up_spoilage.value),
            Input::of("run spoilage", run_spoilage, percent),
        ]
    }
}

/// A price times a difficulty.
pub(crate) fn harder(
    price: Money,
    difficulty: f64,
    currency: Currency,
) -> Result<Rate, CannotPrint> {
    let factor = quantity(difficulty, 4).ok_or(CannotPrint::AmountTooLarge)?;
    let price = price.times(factor).ok_or(CannotPrint::AmountTooLarge)?;
    Ok(Rate::new(price, currency))
}
