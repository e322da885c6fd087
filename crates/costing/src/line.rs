//! One line of a breakdown.

use std::borrow::Cow;
use std::fmt;

use inkset_spec::{Given, Place};
use inkset_units::Money;
use rust_decimal::Decimal;

/// Stage of the production that a line belongs to, in the order of a breakdown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Paper, packs bought whole.
    Paper,
    /// Plates.
    Plates,
    /// Contract proofs and drawdowns.
    Proofs,
    /// Make-ready time.
    MakeReady,
    /// Washing units.
    WashUp,
    /// Sides printed by a digital press, ink included.
    Clicks,
    /// Running time.
    Press,
    /// Inks, used and bought beyond use.
    Ink,
    /// Varnish, coating, film.
    Coating,
    /// Cutting parent sheets and printed sheets.
    Cutting,
    /// Foil, embossing, creasing, die-cutting and the like.
    Finishing,
    /// Folding.
    Folding,
    /// Gathering, stitching, trimming.
    Stitching,
    /// Gathering sections.
    Gathering,
    /// Sewing sections.
    Sewing,
    /// Gluing the spine, drawing the cover on, trimming.
    Binding,
    /// Laying loose inserts in.
    Inserting,
    /// Collating the leaves of sets.
    Collating,
    /// Counting off and gluing pads and books of sets.
    Padding,
    /// Packing.
    Packing,
    /// Carriage to the destinations.
    Carriage,
    /// Margin or mark-up.
    Profit,
    /// Rounding the total up.
    Rounding,
    /// What a total that is set by hand adds or takes off.
    ByHand,
}

impl Stage {
    /// All stages in the order of a breakdown.
    pub const ALL: [Self; 24] = [
        Self::Paper,
        Self::Plates,
        Self::Proofs,
        Self::MakeReady,
        Self::WashUp,
        Self::Clicks,
        Self::Press,
        Self::Ink,
        Self::Coating,
        Self::Cutting,
        Self::Finishing,
        Self::Folding,
        Self::Stitching,
        Self::Gathering,
        Self::Sewing,
        Self::Binding,
        Self::Inserting,
        Self::Collating,
        Self::Padding,
        Self::Packing,
        Self::Carriage,
        Self::Profit,
        Self::Rounding,
        Self::ByHand,
    ];

    /// The stage of this name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|stage| stage.name() == name)
    }

    /// Name as the trade writes it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Paper => "paper",
            Self::Plates => "plates",
            Self::Proofs => "proofs",
            Self::MakeReady => "make-ready",
            Self::WashUp => "wash-up",
            Self::Clicks => "clicks",
            Self::Press => "press",
            Self::Ink => "ink",
            Self::Coating => "coating",
            Self::Cutting => "cutting",
            Self::Finishing => "finishing",
            Self::Folding => "folding",
            Self::Stitching => "stitching",
            Self::Gathering => "gathering",
            Self::Sewing => "sewing",
            Self::Binding => "binding",
            Self::Inserting => "inserting",
            Self::Collating => "collating",
            Self::Padding => "padding",
            Self::Packing => "packing",
            Self::Carriage => "carriage",
            Self::Profit => "profit",
            Self::Rounding => "rounding",
            Self::ByHand => "by-hand",
        }
    }
}

/// What a quantity counts; the rate is for one of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    /// Kilograms.
    Kilogram,
    /// Thousands of sheets or pieces.
    Thousand,
    /// Reams of 500 sheets.
    Ream,
    /// Hundredweights of 100 lb.
    Hundredweight,
    /// Plates.
    Plate,
    /// Sides of sheets through a digital press.
    Click,
    /// Hours.
    Hour,
    /// Settings-up.
    SetUp,
    /// Single pieces, bundles, tools.
    Each,
    /// Square metres.
    SquareMetre,
    /// Percent of a cost: the rate is one percent of it.
    Percent,
    /// Times the cost so far: the rate is the cost.
    TimesCost,
    /// Times the price before it is rounded up: the rate is that price.
    TimesPrice,
    /// A sum that stands for itself.
    Sum,
}

impl Unit {
    /// Short name for a table.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Kilogram => "kg",
            Self::Thousand => "1000",
            Self::Ream => "ream",
            Self::Hundredweight => "cwt",
            Self::Plate => "plate",
            Self::Click => "click",
            Self::Hour => "h",
            Self::SetUp => "set-up",
            Self::Each => "each",
            Self::SquareMetre => "m²",
            Self::Percent => "%",
            Self::TimesCost => "× cost",
            Self::TimesPrice => "× price",
            Self::Sum => "sum",
        }
    }
}

/// A value of the user's files that a line was reckoned from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Input {
    /// What it is.
    pub label: Cow<'static, str>,
    /// The value, as plain digits or words.
    pub value: String,
    /// Where it is written; `None` when it was assumed.
    pub place: Option<Place>,
}

impl Input {
    /// An input from a value read.
    pub fn of<T>(
        label: impl Into<Cow<'static, str>>,
        given: &Given<T>,
        value: impl fmt::Display,
    ) -> Self {
        Self {
            label: label.into(),
            value: format!("{value}"),
            place: given.place,
        }
    }

    /// An input that is an amount.
    pub fn money(label: impl Into<Cow<'static, str>>, given: &Given<Money>) -> Self {
        Self::of(label, given, given.value.amount().normalize())
    }

    /// An input that is a number.
    pub fn number(label: impl Into<Cow<'static, str>>, given: &Given<f64>) -> Self {
        Self::of(label, given, given.value)
    }
}

/// One line: `amount` is `quantity` times `rate`, rounded once to the currency's smallest unit, half to even.
#[derive(Debug, Clone, PartialEq)]
pub struct CostLine {
    /// Stage of the production.
    pub stage: Stage,
    /// Index into the job's parts; `None` when the line serves the whole product.
    pub part: Option<usize>,
    /// Index of the press on the card; `None` when the line is for none.
    pub press: Option<usize>,
    /// What is paid for.
    pub item: String,
    /// How much, exactly what is charged: at most three decimals, for [`Unit::TimesCost`] and
    /// [`Unit::TimesPrice`] at most eight.
    pub quantity: Decimal,
    /// What is counted.
    pub unit: Unit,
    /// Price of one unit, as exact as the rate card gives it.
    pub rate: Money,
    /// Rounded product.
    pub amount: Money,
    /// Name of the formula, explained in `docs/costing.md`.
    pub formula: &'static str,
    /// Values that the quantity and the rate come from.
    pub inputs: Vec<Input>,
    /// What was computed, where a figure of the line is set by hand.
    pub by_hand: Option<ByHand>,
}

/// The computed figures of a line of which one is set by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct ByHand {
    /// Computed quantity.
    pub quantity: Decimal,
    /// What it counts.
    pub unit: Unit,
    /// Computed rate.
    pub rate: Money,
    /// Computed amount.
    pub amount: Money,
    /// Why, for people.
    pub why: Option<String>,
    /// Where it is set.
    pub place: Place,
}
