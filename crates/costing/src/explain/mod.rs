//! The formula of each line with its numbers in it.
//!
//! Steps are worked out from the estimate and the card again, in the words of `docs/costing.md`; tests hold their results
//! against the lines.

mod carriage;
mod clicks;
mod finishing;
mod ink;
mod kept;
mod origins;
mod press;
mod sheets;
mod versions;

use rust_decimal::Decimal;

use crate::estimate::{Estimate, PartChoice};
use crate::line::{CostLine, Input, Stage, Unit};
use crate::operation::OperationCost;
use crate::pricer::PricedPlan;
use crate::words::{figure, grouped};

/// How a line came about.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// The line.
    pub line: CostLine,
    /// Steps from the order to the amount, each `what: formula = result`; the last is quantity × rate = amount.
    pub steps: Vec<String>,
    /// Values of the user's files that the steps use beyond those of the line.
    pub inputs: Vec<Input>,
}

/// Steps and the inputs that they use.
#[derive(Debug, Default)]
pub(crate) struct Work {
    steps: Vec<String>,
    inputs: Vec<Input>,
    /// The operation up to which a line has to be followed back, and how far that is.
    up_to: Option<String>,
    reached: Reached,
}

/// How far the steps back from the order have come.
#[derive(Debug, Default, Clone, Copy, PartialEq)]
enum Reached {
    /// Not yet at the operation.
    #[default]
    Before,
    /// What goes into it is the last step noted.
    There,
    /// Beyond it, where nothing is noted.
    Beyond,
}

impl Work {
    fn step(&mut self, text: impl Into<String>) {
        if self.reached != Reached::Before {
            self.reached = Reached::Beyond;
            return;
        }
        let text = text.into();
        let into = self.up_to.as_ref().map(|name| format!("into {name}: "));
        if into.is_some_and(|into| text.starts_with(&into)) {
            self.reached = Reached::There;
        }
        self.steps.push(text);
    }

    /// Takes steps back from the order up to what goes into an operation, and none beyond it.
    fn follow(&mut self, operation: Option<String>, steps: impl FnOnce(&mut Self)) {
        self.up_to = operation;
        steps(self);
        self.up_to = None;
        self.reached = Reached::Before;
    }

    /// Remembers what an operation spoils.
    fn spoilage(&mut self, name: &str, operation: &OperationCost<'_>) {
        for input in operation.spoilage_inputs() {
            let label = format!("{}, {name}", input.label);
            self.input(Input {
                label: label.into(),
                ..input
            });
        }
        if operation.difficulty.place.is_some() {
            self.input(Input::number("difficulty", &operation.difficulty));
        }
    }

    /// Remembers an input once.
    fn input(&mut self, input: Input) {
        if self.reached != Reached::Beyond && !self.inputs.contains(&input) {
            self.inputs.push(input);
        }
    }
}

impl PricedPlan<'_> {
    /// Explains every line of a stage of an estimate that this plan was priced to.
    pub fn explain(&self, estimate: &Estimate, stage: Stage) -> Vec<Explanation> {
        let of_stage = estimate.lines.iter().filter(|line| line.stage == stage);
        of_stage
            .map(|line| self.explain_line(estimate, line))
            .collect()
    }

    fn explain_line(&self, estimate: &Estimate, line: &CostLine) -> Explanation {
        let mut work = Work::default();
        let part = line.part.map(|part| &estimate.parts[part]);
        // The press of a line on one; a line of forms is for all.
        let at = line.press.or_else(|| part.map(|part| part.press_index));
        let on = part.zip(at);
        let with_plates = matches!(line.stage, Stage::Plates | Stage::MakeReady | Stage::Proofs);
        if let Some(part) = part.filter(|_| with_plates) {
            self.kept_inputs(part, &mut work);
        }
        match (line.stage, on) {
            (Stage::Paper, Some((part, _))) => self.paper_steps(estimate, part, &mut work),
            (Stage::Plates, Some((part, at))) => plate_steps(part, Some(at), &mut work),
            (Stage::MakeReady, Some(on)) if line.formula == "plate-change" => {
                self.plate_change_steps(on, &mut work);
            }
            (Stage::MakeReady, Some((part, _))) if line.formula == "paper-change" => {
                self.paper_change_steps(part, &mut work);
            }
            (Stage::MakeReady, Some(on)) => self.make_ready_steps(on, &mut work),
            (Stage::WashUp, _) => self.wash_steps((estimate, line), &mut work),
            (Stage::Clicks, Some((part, _))) => self.click_steps(line, part, &mut work),
            (Stage::Press, Some(on)) => self.running_steps(on, &mut work),
            (Stage::Ink, _) => self.ink_steps(estimate, line, &mut work),
            (Stage::Carriage, _) => {
                self.carriage_steps(estimate.delivered, &mut work);
            }
            (Stage::Proofs, _) => self.proof_steps(line, part, &mut work),
            (Stage::Profit | Stage::Rounding, _) => closing_steps(estimate, line, &mut work),
            (
                Stage::Paper | Stage::Plates | Stage::MakeReady | Stage::Clicks | Stage::Press,
                None,
            )
            | (Stage::ByHand, _) => {}
            _ => self.finishing_steps((estimate, line), part, &mut work),
        }
        work.steps.extend(by_hand_step(line));
        work.step(amount_step(line));
        let written = |input: &Input| {
            let own = line.inputs.iter();
            own.filter(|own| own.place.is_some())
                .any(|own| own.place == input.place)
        };
        work.inputs
            .retain(|input| !line.inputs.contains(input) && !written(input));
        Explanation {
            line: line.clone(),
            steps: work.steps,
            inputs: work.inputs,
        }
    }
}

/// `computed: 8 plate × 9 = 72; set by hand: plates kept from May`.
fn by_hand_step(line: &CostLine) -> Option<String> {
    let hand = line.by_hand.as_ref()?;
    let why = hand
        .why
        .as_ref()
        .map_or(String::new(), |why| format!(": {why}"));
    let quantity = match hand.unit {
        Unit::Sum => String::new(),
        unit => format!(
            "{}\u{a0}{} × {} = ",
            figure(hand.quantity),
            unit.name(),
            figure(hand.rate.amount())
        ),
    };
    let amount = figure(hand.amount.amount());
    Some(format!("computed: {quantity}{amount}; set by hand{why}"))
}

impl PricedPlan<'_> {
    fn proof_steps(&self, line: &CostLine, part: Option<&PartChoice>, work: &mut Work) {
        let proofs = &self.pricer.job.proofs;
        match part {
            Some(part) if line.formula == "proofs-of-forms" => {
                form_steps(part, work);
                work.step(format!("proofs: {} of each form", proofs.forms.value));
            }
            _ => work.step(format!(
                "drawdowns: {} of each solid on each paper, {} in all",
                proofs.drawdowns.value,
                self.drawdowns()
            )),
        }
    }
}

/// `0.476 h × 120 = 57.12`.
fn amount_step(line: &CostLine) -> String {
    let product = line
        .rate
        .times(line.quantity)
        .map(|m| m.amount().normalize());
    let amount = line.amount.amount().normalize();
    let exact = product.unwrap_or(amount);
    let rounded = if exact == amount {
        String::new()
    } else {
        format!(", rounded to {}", figure(amount))
    };
    let several = if line.quantity == Decimal::ONE {
        ""
    } else {
        "s"
    };
    let unit = match line.unit {
        // The rate is the cost or the price itself.
        Unit::TimesCost | Unit::TimesPrice | Unit::Sum | Unit::Each => String::new(),
        Unit::Thousand => "\u{a0}thousand".to_owned(),
        Unit::Plate | Unit::Click | Unit::SetUp | Unit::Ream => {
            format!("\u{a0}{}{several}", line.unit.name())
        }
        unit => format!("\u{a0}{}", unit.name()),
    };
    format!(
        "amount: {}{unit} × {} = {}{rounded}",
        figure(line.quantity),
        figure(line.rate.amount()),
        figure(exact)
    )
}

/// The plates on one press of a part, or on all.
fn plate_steps(part: &PartChoice, at: Option<usize>, work: &mut Work) {
    let runs = || {
        let all = press::runs(part);
        all.filter(move |(_, run)| at.is_none_or(|at| run.press_index == at))
    };
    for (section, run) in runs().filter(|(_, run)| run.makes_ready) {
        let name = press::run_name(section, run);
        work.step(match &part.kept {
            Some(kept) if run.kept => kept::plate_step(&name, run, kept),
            _ => format!(
                "{name}: {}",
                crate::words::counted(run.inks.len() as u64, "plate")
            ),
        });
    }
    versions::version_plate_steps(runs(), work);
    let further = part.further.as_ref();
    let plates = match (further, at) {
        (Some(further), Some(at)) if at == further.press_index => further.plates,
        (Some(further), Some(_)) => part.plates - further.plates,
        _ => part.plates,
    };
    work.step(format!("plates: {plates} in all"));
}

/// The plates; or on a digital press, which has none, the sides.
fn form_steps(part: &PartChoice, work: &mut Work) {
    let runs = part
        .sections
        .iter()
        .flat_map(|s| s.runs.iter().map(move |r| (s, r)));
    let clicked = runs.filter(|(_, run)| run.clicked != [0; 2]);
    let names: Vec<String> = clicked.map(|(s, run)| press::run_name(s, run)).collect();
    if names.is_empty() {
        return plate_steps(part, None, work);
    }
    for name in names {
        work.step(format!("{name}: a form for each side"));
    }
}

fn closing_steps(estimate: &Estimate, line: &CostLine, work: &mut Work) {
    let own = |l: &&CostLine| !matches!(l.stage, Stage::Profit | Stage::Rounding | Stage::ByHand);
    let cost: Decimal = estimate
        .lines
        .iter()
        .filter(own)
        .map(|l| l.amount.amount())
        .sum();
    work.step(format!("cost: all lines above = {}", figure(cost)));
    let profit = estimate.of_stage(Stage::Profit).amount();
    if line.stage == Stage::Rounding {
        work.step(format!(
            "price before rounding: {} + {} = {}",
            figure(cost),
            figure(profit),
            figure(cost + profit)
        ));
    } else if line.unit == Unit::TimesPrice {
        let share = line.quantity;
        work.step(format!(
            "price: {} ÷ (1 − {}) = {}",
            figure(cost),
            figure(share),
            figure(cost + profit)
        ));
    }
}

/// `1 250 sheets`.
fn sheets(count: u64) -> String {
    crate::words::counted(count, "sheet")
}

/// A count that already has its noun elsewhere.
fn count(count: u64) -> String {
    grouped(count)
}
