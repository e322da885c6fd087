//! A rate card that has been checked: a printer's presses, papers, inks and finishing with their rates.

use inkset_units::{Currency, Gsm, Millimetres, Money, Percent, Size};

use crate::{
    CarriageZone, Effect, FurtherOperation, Given, Operation, ProofRates, Reel, Sheeter, Supplier,
    Target,
};

/// What a printer charges, in one currency, from one date.
#[derive(Debug, Clone, PartialEq)]
pub struct RateCard {
    /// Title for people.
    pub title: String,
    /// Example rates are shown with a caution.
    pub example: bool,
    /// Currency of every amount.
    pub currency: Given<Currency>,
    /// Day from which the rates hold, ISO 8601 (`2026-11-01`).
    pub date: Given<String>,
    /// At least one.
    pub presses: Vec<Press>,
    /// At least one.
    pub stocks: Vec<Stock>,
    /// Process, solid and effect inks.
    pub inks: InkRates,
    /// Sheets spoiled while running, by run length.
    pub run_spoilage: RunSpoilage,
    /// How much the presses vary in a run, if the plant says so.
    pub variation: Option<PlantVariation>,
    /// Cutting, folding, stitching.
    pub finishing: Finishing,
    /// Cutting reels to sheets, for presses that do not do it themselves.
    pub sheeter: Option<Sheeter>,
    /// Contract proofs and drawdowns.
    pub proof: ProofRates,
    /// Carriage, by zone.
    pub carriage: Vec<CarriageZone>,
    /// Who prints, and on what terms.
    pub supplier: Supplier,
    /// Margin or mark-up on the cost.
    pub profit: Given<Profit>,
    /// The total is rounded up to a multiple of this, as a line of its own; zero = not rounded.
    pub round_total_to: Given<Money>,
}

/// A sheetfed press: offset, or digital where [`Press::digital`] says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Press {
    /// Name on the card.
    pub name: Given<String>,
    /// Printing units; a coater is none. Of a digital press the inks of its largest click.
    pub units: Given<u32>,
    /// Whether the sheet can be turned in the press, units then split over both sides.
    pub perfecting: Given<bool>,
    /// Whether it has a coater behind the last unit.
    pub coater: Given<bool>,
    /// Whether it cuts its sheets off a reel itself.
    pub sheeter: Given<bool>,
    /// Largest sheet.
    pub largest_sheet: Given<Size>,
    /// Smallest sheet.
    pub smallest_sheet: Given<Size>,
    /// Lightest and heaviest paper.
    pub lightest: Given<Gsm>,
    /// Heaviest paper.
    pub heaviest: Given<Gsm>,
    /// Unprintable edge held by the grippers, along one long edge of the sheet.
    pub gripper: Given<Millimetres>,
    /// Unprintable edge opposite the grippers.
    pub tail: Given<Millimetres>,
    /// Unprintable edge on each side.
    pub side: Given<Millimetres>,
    /// Price of an hour with its crew.
    pub hourly_rate: Given<Money>,
    /// Minutes of make-ready for each form and pass, whatever its inks.
    pub make_ready_minutes: Given<f64>,
    /// Further minutes for each ink of the form and pass.
    pub make_ready_minutes_per_ink: Given<f64>,
    /// Sheets of make-ready for each form and pass.
    pub make_ready_sheets: Given<u64>,
    /// Further sheets for each ink of the form and pass.
    pub make_ready_sheets_per_ink: Given<u64>,
    /// Minutes to wash a unit for another ink.
    pub wash_up_minutes: Given<f64>,
    /// Minutes to wash a unit after a metallic, fluorescent or white ink.
    pub wash_up_minutes_effect: Given<f64>,
    /// Minutes to change one plate between two versions or two papers, the press standing.
    pub plate_change_minutes: Given<f64>,
    /// Sheets spoilt after each stop at which plates are changed between versions or papers.
    pub plate_change_sheets: Given<u64>,
    /// Minutes to change the paper of a run whose plates stay on; `None` = as long as making ready.
    pub paper_change_minutes: Option<Given<f64>>,
    /// Sheets spoilt after such a change; `None` = as many as in making ready.
    pub paper_change_sheets: Option<Given<u64>>,
    /// Price of one plate, exposed and mounted.
    pub plate_price: Given<Money>,
    /// Running speed by number of sheets in the run, ascending; the last has no upper end. Of a digital press for sheets
    /// printed on one side.
    pub speeds: Vec<Speed>,
    /// What only a digital press has; its plates, wash-ups and figures per ink are 0.
    pub digital: Option<Digital>,
}

/// What a digital press charges and takes: clicks with their ink, no plates.
#[derive(Debug, Clone, PartialEq)]
pub struct Digital {
    /// Prices by the inks of a side, ascending in both; never empty.
    pub clicks: Vec<Click>,
    /// Largest sheet of one click; a larger one counts as many as its area needs. `None` = one click for any sheet.
    pub click_sheet: Option<Given<Size>>,
    /// Inks besides the four process inks that it prints.
    pub solids: Vec<Given<OfferedInk>>,
    /// Sheets spoiled while running, percent of the sheets printed.
    pub run_spoilage: Given<Percent>,
}

/// Price of one side of a sheet with up to so many inks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Click {
    /// Most inks of the side.
    pub inks: Given<u32>,
    /// One side of one sheet, ink included.
    pub price: Given<Money>,
}

/// An ink that a digital press prints besides the four.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OfferedInk {
    /// Any solid without an effect, mixed for the job.
    AnySolid,
    /// Inks with this effect.
    Effect(Effect),
    /// An ink named on the card.
    Named(String),
}

/// Running speed for runs up to a length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speed {
    /// Sheets of the run up to which the speed holds; `None` = any number.
    pub up_to: Option<u64>,
    /// Sheets per hour, running.
    pub sheets_per_hour: Given<f64>,
}

/// Surface of a paper; sets film weight and default printing condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PaperKind {
    /// Gloss or matt coated.
    Coated,
    /// Uncoated.
    Uncoated,
    /// Newsprint.
    Newsprint,
}

/// A paper as it is bought.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Name on the card.
    pub name: Given<String>,
    /// Surface.
    pub kind: Given<PaperKind>,
    /// Weight.
    pub gsm: Given<Gsm>,
    /// Specific volume in cm³/g, if known.
    pub bulk: Option<Given<f64>>,
    /// Name of a printing condition, or a characterisation file relative to the rate card.
    pub condition: Given<String>,
    /// Parent sheets on sale; empty only where it comes on reels.
    pub sheets: Vec<Given<Size>>,
    /// Reels on sale.
    pub reels: Vec<Reel>,
    /// The edge of the parent sheets along which the grain runs.
    pub grain: Given<SheetGrain>,
    /// Sheets in a pack; packs are bought whole. 1 = single sheets.
    pub pack: Given<u64>,
    /// How it is paid.
    pub price: Given<PaperPrice>,
}

/// The edge of a parent sheet along which the grain runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetGrain {
    /// The long edge.
    Long,
    /// The short edge.
    Short,
}

impl SheetGrain {
    /// The edge's word in rate cards.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Long => "long",
            Self::Short => "short",
        }
    }

    /// The grain along the other edge.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Long => Self::Short,
            Self::Short => Self::Long,
        }
    }
}

/// How a paper is paid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PaperPrice {
    /// Per metric tonne.
    Tonne(Money),
    /// Per 1,000 parent sheets.
    ThousandSheets(Money),
    /// Per hundredweight of 100 lb (short hundredweight).
    Hundredweight(Money),
    /// Per ream of 500 parent sheets.
    Ream(Money),
    /// Supplied by the customer: nothing but handling, per 1,000 parent sheets.
    Supplied {
        /// Handling of 1,000 parent sheets.
        handling: Money,
    },
}

/// Rates of the inks.
#[derive(Debug, Clone, PartialEq)]
pub struct InkRates {
    /// The four process inks.
    pub process: InkRate,
    /// Any solid without an effect.
    pub solid: InkRate,
    /// Inks with an effect, by effect; an effect not listed cannot be priced.
    pub effects: Vec<(Effect, InkRate)>,
    /// Inks named by a job's colours, and extended process inks.
    pub named: Vec<(Given<String>, InkRate)>,
    /// Process inks besides the four, in printing order; each is among `named` too.
    pub extended: Vec<ExtendedInk>,
}

/// A process ink besides cyan, magenta, yellow and black: it stays in its unit, and any build may use it.
#[derive(Debug, Clone, PartialEq)]
pub struct ExtendedInk {
    /// Its name, that of its rate.
    pub name: Given<String>,
    /// The full solid by surface, at least one: [`Target::Lab`] or [`Target::Palette`].
    pub solids: Vec<(PaperKind, Given<Target>)>,
    /// 0 = transparent, 1 = hides what lies below; `None` = as the palette measured it, else transparent.
    pub opacity: Option<Given<f64>>,
    /// Share of its film that it lays on ink, of what it lays on paper, above 0 to 1.
    pub trapping: Given<f64>,
    /// Printed before the four process inks, not after them.
    pub first: bool,
}

/// Rates of one kind of ink.
#[derive(Debug, Clone, PartialEq)]
pub struct InkRate {
    /// Per kilogram.
    pub price_per_kg: Given<Money>,
    /// Film on coated paper at full coverage, g/m² wet.
    pub film_coated: Given<f64>,
    /// Film on uncoated paper, g/m².
    pub film_uncoated: Given<f64>,
    /// Film on newsprint, g/m².
    pub film_newsprint: Given<f64>,
    /// Ink lost in the unit per make-ready (ductor, rollers, wash-up), kg.
    pub fixed_loss_kg: Given<f64>,
    /// Least that can be bought for a job, kg; 0 = taken from stock.
    pub smallest_order_kg: Given<f64>,
}

/// How much the presses of a plant vary in a run.
#[derive(Debug, Clone, PartialEq)]
pub struct PlantVariation {
    /// Cyan, magenta, yellow, black, any solid.
    pub inks: [InkVariation; 5],
    /// A file of control-strip readings, relative to the card, that replaces the figures of the inks it measures.
    pub readings: Option<Given<String>>,
}

/// How much one ink varies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InkVariation {
    /// Two standard deviations of the solid's density, 0 to 1.
    pub density: Given<f64>,
    /// Two standard deviations of the tone value at the middle, points, 0 to 20.
    pub tone: Given<f64>,
    /// Correlation of the two within the unit, -1 to 1.
    pub correlation: Given<f64>,
}

/// Sheets spoiled while running, for each pass.
#[derive(Debug, Clone, PartialEq)]
pub struct RunSpoilage {
    /// By number of good sheets wanted from the pass, ascending; the last has no upper end.
    pub steps: Vec<SpoilageStep>,
}

/// Spoilage for runs up to a length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpoilageStep {
    /// Good sheets up to which it holds; `None` = any number.
    pub up_to: Option<u64>,
    /// Percent of the sheets printed.
    pub percent: Given<Percent>,
}

/// Finishing operations; one that a product needs and the card lacks cannot be priced.
#[derive(Debug, Clone, PartialEq)]
pub struct Finishing {
    /// Cutting parent sheets to press sheets and printed sheets to pieces.
    pub cut: Option<Operation>,
    /// Folding, one pass through the folder per sheet.
    pub fold: Option<Operation>,
    /// Gathering, stitching and trimming, per copy.
    pub stitch: Option<Operation>,
    /// Gathering, per section.
    pub gather: Option<Operation>,
    /// Sewing, per section.
    pub sew: Option<Operation>,
    /// Gluing the spine, drawing the cover on and trimming, per copy.
    pub bind: Option<Operation>,
    /// Laying loose inserts in, per insert.
    pub insert: Option<Operation>,
    /// Collating the leaves of sets, edge gluing included, per leaf.
    pub collate: Option<Operation>,
    /// Counting off and gluing pads and books of sets, backing board included, per copy.
    pub pad: Option<Operation>,
    /// Packing, per copy.
    pub pack: Option<Operation>,
    /// Thickest product that can be saddle-stitched, measured at the spine.
    pub stitch_thickest: Given<Millimetres>,
    /// Thinnest spine that can be perfect-bound.
    pub bind_thinnest: Given<Millimetres>,
    /// Operations that jobs ask for by name, in the order of the card.
    pub further: Vec<FurtherOperation>,
}

/// Profit on the cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Profit {
    /// Share of the selling price, 0..100 %.
    Margin(Percent),
    /// Share of the cost.
    MarkUp(Percent),
}
