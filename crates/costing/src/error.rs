//! Why a job cannot be printed from a rate card.

use inkset_layout::LayoutError;
use inkset_spec::Place;
use inkset_units::Size;
use thiserror::Error;

/// Why no price exists.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CannotPrint {
    /// Job and rate card are in different currencies.
    #[error("the job is in {job}, the rate card in {card}; amounts are never converted")]
    Currency {
        /// Code of the job's currency.
        job: &'static str,
        /// Code of the rate card's currency.
        card: &'static str,
    },
    /// The part's stock is not on the rate card.
    #[error("stock `{stock}` of part `{part}` is not on the rate card")]
    UnknownStock {
        /// Part of the job.
        part: String,
        /// Stock that it names.
        stock: String,
    },
    /// No press takes a paper of this weight.
    #[error("no press takes `{stock}` of {gsm} g/m²")]
    PaperWeight {
        /// Stock.
        stock: String,
        /// Its weight.
        gsm: f64,
    },
    /// No parent sheet, whole, halved or quartered, goes through a press.
    #[error(
        "no parent sheet of `{stock}`, whole, halved or quartered, goes through a press that takes its weight"
    )]
    NoSheetFitsPress {
        /// Stock.
        stock: String,
    },
    /// The smallest section of the part is larger than the printable area of every sheet on every press.
    #[error(
        "part `{part}` needs {piece} with bleed and trim: {shortfall_mm:.1} mm too big for the largest printable area, on `{press}`"
    )]
    TooBig {
        /// Part of the job.
        part: String,
        /// Its smallest section, unfolded.
        piece: Size,
        /// Press on which the least is missing.
        press: String,
        /// How much is missing there, mm.
        shortfall_mm: f64,
    },
    /// The part fits only with its grain the other way.
    #[error(
        "no sheet of `{stock}` can be printed with the grain that part `{part}` asks for; one with the grain along its other edge could"
    )]
    Grain {
        /// Part of the job.
        part: String,
        /// Its stock.
        stock: String,
    },
    /// The sheet could not be laid out.
    #[error("part `{part}`: {cause}")]
    Layout {
        /// Part of the job.
        part: String,
        /// What was refused.
        cause: LayoutError,
    },
    /// The rate card has no price for a finishing operation.
    #[error("the rate card has no `{operation}`, which this product needs")]
    NoOperation {
        /// Operation.
        operation: &'static str,
    },
    /// The rate card has no operation that the job asks for.
    #[error("the rate card has no operation `{operation}`, which the job asks for")]
    UnknownOperation {
        /// Operation.
        operation: String,
    },
    /// The rate card has no price for proofs or carriage that the job asks for.
    #[error("the rate card has no rate for {what}")]
    NoRate {
        /// What cannot be priced.
        what: String,
    },
    /// No press and work style can print and coat a part as asked.
    #[error(
        "no press of the card can print and coat part `{part}` as asked: a coating without a rate for a run of its own needs a coater on the press"
    )]
    NoWay {
        /// Part of the job.
        part: String,
    },
    /// A digital press does not have an ink of the part, and no other press can print it.
    #[error(
        "digital press `{press}` does not offer ink `{ink}`; a press with plates could print it, or `solids` of the press may name it"
    )]
    NotOffered {
        /// The press.
        press: String,
        /// Ink of the plan.
        ink: String,
    },
    /// A digital press has no click for so many inks, and no other press can print the part.
    #[error(
        "digital press `{press}` has no click for a side with more than {most} inks; a press with plates could print it"
    )]
    TooManyForClick {
        /// The press.
        press: String,
        /// Most inks of a side.
        most: u32,
    },
    /// No way to print a part is as the job sets it by hand.
    #[error("part `{part}` cannot be printed as `[[printing]]` sets it ({asked}); nearest: {}", .nearest.join("; "))]
    NotByHand {
        /// Part of the job.
        part: String,
        /// What the job sets.
        asked: String,
        /// Ways that there are, nearest first.
        nearest: Vec<String>,
    },
    /// No work style that is left by hand prints the inks of a part.
    #[error(
        "part `{part}` cannot be printed as `[[printing]]` sets it ({asked}): no such way prints its inks"
    )]
    InksNotByHand {
        /// Part of the job.
        part: String,
        /// What the job sets.
        asked: String,
    },
    /// The rate card has no price for an ink.
    #[error("the rate card has no rate for ink `{ink}`{}", .entry.as_ref().map(|e| format!(", which names the entry `{e}`")).unwrap_or_default())]
    NoInkRate {
        /// Ink.
        ink: String,
        /// Entry that it names, if any.
        entry: Option<String>,
    },
    /// Spoilage of 100 % or more leaves no good copy.
    #[error("spoilage of {percent} % at `{step}` leaves no good copy")]
    AllSpoiled {
        /// Step of the production.
        step: String,
        /// Spoilage given.
        percent: f64,
    },
    /// A margin of 100 % or more has no price.
    #[error("a margin of {percent} % of the price has no price")]
    Margin {
        /// Margin given.
        percent: f64,
    },
    /// The plan does not belong to the job.
    #[error("the ink plan has {plan} parts, the job {job}")]
    PlanParts {
        /// Parts of the plan.
        plan: usize,
        /// Parts of the job.
        job: usize,
    },
    /// The plan prints with more inks than are told apart.
    #[error("the ink plan has {inks} inks; at most {limit} are priced")]
    TooManyInks {
        /// Inks of the plan.
        inks: usize,
        /// Most that are priced.
        limit: usize,
    },
    /// A page of the plan carries an ink that the plan does not list.
    #[error("the ink plan has no ink number {ink}")]
    UnknownInk {
        /// Index used.
        ink: usize,
    },
    /// No copies, or more than are reckoned with.
    #[error("{quantity} copies cannot be priced; 1 to {limit} can")]
    Quantity {
        /// Copies asked for.
        quantity: u64,
        /// Most that are priced.
        limit: u64,
    },
    /// An override fits several lines.
    #[error("the override of `{line}` fits several lines; say which: {}", .several.join("; "))]
    SeveralLines {
        /// Where it is written.
        place: Place,
        /// What it names.
        line: String,
        /// The lines that it fits, as an override names them.
        several: Vec<String>,
    },
    /// An amount beyond 28 digits.
    #[error("an amount is too large to be kept exactly")]
    AmountTooLarge,
}
