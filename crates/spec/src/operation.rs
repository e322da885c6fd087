//! Finishing operations of a rate card, and what a job asks of them.

use inkset_units::{Coverage, Money, Percent};

use crate::Given;

/// What one operation costs and spoils.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Operation {
    /// Price of setting up once, beyond the minutes.
    pub set_up: Given<Money>,
    /// Minutes of setting up once, at the hourly rate.
    pub set_up_minutes: Given<f64>,
    /// Price of an hour; given wherever anything is paid by the hour.
    pub hourly_rate: Option<Given<Money>>,
    /// How running is paid; `None` = only done in line on a press with a coater.
    pub run: Option<RunRate>,
    /// Pieces spoiled in setting up.
    pub set_up_spoilage: Given<u64>,
    /// Percent of the pieces spoiled in running.
    pub run_spoilage: Given<Percent>,
}

/// How running an operation is paid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RunRate {
    /// For 1,000 pieces put through.
    PerThousand(Given<Money>),
    /// For each piece, or for each bundle where the job says how many copies make one.
    Each(Given<Money>),
    /// By the hour, at so many pieces or bundles an hour.
    PerHour(Given<f64>),
    /// By the hour, at the speed of the belt.
    Belt {
        /// Metres a minute.
        metres_per_minute: Given<f64>,
        /// Gap between pieces, percent of their length.
        gap: Given<Percent>,
    },
}

/// An operation that jobs ask for by name.
#[derive(Debug, Clone, PartialEq)]
pub struct FurtherOperation {
    /// Name on the card.
    pub name: Given<String>,
    /// What it is.
    pub kind: Given<OperationKind>,
    /// What goes through it.
    pub on: Given<WorksOn>,
    /// Rates and spoilage.
    pub operation: Operation,
    /// Die, block or other tool, made once for the job and kept.
    pub tool_price: Option<Given<Money>>,
    /// What the tool costs more for each piece on the sheet, as the rules of a die do.
    pub tool_per_up: Option<Given<Money>>,
    /// Film, coating or foil.
    pub material: Option<Material>,
    /// Done by another plant.
    pub outside: Option<Outside>,
    /// Price of setting up the coater of a press, for a coating laid down in line.
    pub inline_set_up: Option<Given<Money>>,
    /// Whether the pieces come out of the sheet by it, so that printed sheets are not cut.
    pub separates: bool,
}

/// What an operation is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OperationKind {
    /// Varnish over the whole sheet, against rubbing.
    SealVarnish,
    /// Water-based coating.
    Aqueous,
    /// Varnish on a part of the area.
    SpotVarnish,
    /// Film.
    Laminate,
    /// Hot or cold foil.
    Foil,
    /// Embossing.
    Emboss,
    /// Creasing or scoring.
    Crease,
    /// Perforating.
    Perforate,
    /// Numbering.
    Number,
    /// Drilling.
    Drill,
    /// Die-cutting.
    DieCut,
    /// Packing in cartons.
    Carton,
    /// Shrink-wrapping.
    ShrinkWrap,
    /// Stacking on pallets.
    Pallet,
    /// Anything else, hand work too.
    Other,
}

impl OperationKind {
    /// All kinds with their words.
    pub const ALL: [(&'static str, Self); 15] = [
        ("seal-varnish", Self::SealVarnish),
        ("aqueous", Self::Aqueous),
        ("spot-varnish", Self::SpotVarnish),
        ("laminate", Self::Laminate),
        ("foil", Self::Foil),
        ("emboss", Self::Emboss),
        ("crease", Self::Crease),
        ("perforate", Self::Perforate),
        ("number", Self::Number),
        ("drill", Self::Drill),
        ("die-cut", Self::DieCut),
        ("carton", Self::Carton),
        ("shrink-wrap", Self::ShrinkWrap),
        ("pallet", Self::Pallet),
        ("other", Self::Other),
    ];

    /// Whether it is laid over the printed sheet as a liquid or a film.
    pub fn is_coating(self) -> bool {
        matches!(
            self,
            Self::SealVarnish | Self::Aqueous | Self::SpotVarnish | Self::Laminate
        )
    }

    /// Whether it packs finished copies.
    pub fn is_packing(self) -> bool {
        matches!(self, Self::Carton | Self::ShrinkWrap | Self::Pallet)
    }

    /// What goes through it unless the card says otherwise. Common practice, no source.
    pub fn usually_on(self) -> WorksOn {
        match self {
            Self::SealVarnish
            | Self::Aqueous
            | Self::SpotVarnish
            | Self::Laminate
            | Self::Foil
            | Self::Emboss
            | Self::DieCut => WorksOn::Sheets,
            Self::Crease | Self::Perforate | Self::Number => WorksOn::Pieces,
            Self::Drill | Self::Carton | Self::ShrinkWrap | Self::Pallet | Self::Other => {
                WorksOn::Copies
            }
        }
    }
}

/// What goes through an operation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WorksOn {
    /// Printed press sheets, before they are cut.
    Sheets,
    /// Pieces of a part, cut out and not yet folded.
    Pieces,
    /// Finished copies, before they are packed.
    Copies,
}

impl WorksOn {
    /// The word for it in rate cards.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sheets => "sheets",
            Self::Pieces => "pieces",
            Self::Copies => "copies",
        }
    }
}

/// What is laid on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Material {
    /// Paid by the square metre.
    Area(Given<Money>),
    /// Paid by weight.
    Weight {
        /// Wet weight, g/m².
        gsm: Given<f64>,
        /// Price of a kilogram.
        per_kg: Given<Money>,
    },
}

/// Terms of work done by another plant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outside {
    /// Charged on top for handling.
    pub handling: Given<Percent>,
    /// Least that the other plant charges for the operation, handling apart.
    pub minimum: Given<Money>,
}

/// An operation that a job asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Finish {
    /// Name on the card; `cut`, `fold`, `stitch` and `pack` only take a difficulty.
    pub operation: Given<String>,
    /// Index into [`crate::Job::parts`]; `None` = all of them.
    pub part: Option<Given<usize>>,
    /// Front and back; sheets only.
    pub sides: Given<[bool; 2]>,
    /// Share of the area that takes material.
    pub coverage: Given<Coverage>,
    /// Factor on prices, hours and spoilage; `None` = that of the job.
    pub difficulty: Option<Given<f64>>,
    /// How copies are bundled.
    pub bundle: Option<Bundle>,
}

/// How many copies make a carton, a wrapped bundle, a pallet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bundle {
    /// So many.
    Copies(Given<u64>),
    /// As many as stay within a weight, kg; at least one.
    Kilograms(Given<f64>),
}
