//! A job that has been checked: nothing in it can be wrong in itself.
//!
//! Whether it fits a rate card (stocks, currency, sheet sizes) is checked by [`crate::check_against`].

use inkset_units::{Coverage, Currency, DeltaE, Millimetres, Money, Percent, Size, ToneValue};
use rust_decimal::Decimal;

use crate::{Delivery, Finish, Given, NamedArtwork, Place, Proofs, Version};

/// What has to be printed, in which colours, how often.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Title for people.
    pub title: String,
    /// Who the job is for.
    pub client: Option<String>,
    /// Currency of every amount.
    pub currency: Given<Currency>,
    /// Copies ordered, ascending, 1 to 10,000,000 each, no doubles.
    pub quantities: Vec<Given<u64>>,
    /// Rate card named by the job, relative to the job file.
    pub rates: Option<Given<String>>,
    /// Copies delivered beyond the order, charged for in paper and run.
    pub overs: Given<Percent>,
    /// Copies more or less than ordered that a delivery may have, charged or credited at the run-on.
    pub delivery_tolerance: Given<Percent>,
    /// Press variation by which colours are judged.
    pub variation: Given<VariationName>,
    /// What the copies become.
    pub product: Product,
    /// At least one part, in the order of the file.
    pub parts: Vec<Part>,
    /// Flat colours, in the order of the file.
    pub colours: Vec<Colour>,
    /// Photographs and other four-ink pictures.
    pub pictures: Vec<Picture>,
    /// Artwork from which coverage is measured.
    pub artwork: Vec<NamedArtwork>,
    /// Figures of the estimate that are set by hand.
    pub overrides: Vec<Override>,
    /// Ways to print that are set by hand, at most one for each part.
    pub printing: Vec<Printing>,
    /// Factor on make-ready and running of presses and on finishing; 1 = as the card says.
    pub difficulty: Given<f64>,
    /// Finishing beyond what the product needs anyway, in the order in which it is done.
    pub finishes: Vec<Finish>,
    /// Proofs that are paid for.
    pub proofs: Proofs,
    /// Where the copies go; without any, no carriage is charged.
    pub deliveries: Vec<Delivery>,
    /// What hangs on presses before the job and what stays on them after it.
    pub queue: Vec<Queue>,
    /// Versions that share the run, two or more; none where all copies are alike.
    pub versions: Vec<Version>,
}

/// What a press prints before and after the job, as far as it concerns washing.
#[derive(Debug, Clone, PartialEq)]
pub struct Queue {
    /// Name of a press of the rate card.
    pub press: Given<String>,
    /// Inks that hang on its units when the job comes, first unit first.
    pub before: Vec<Given<String>>,
    /// Inks that may stay on their units for the next job.
    pub after: Vec<Given<String>>,
}

/// How a part is printed, as far as it is set by hand; what is `None` is chosen by price.
#[derive(Debug, Clone, PartialEq)]
pub struct Printing {
    /// Where it is written.
    pub place: Place,
    /// Index into [`Job::parts`].
    pub part: usize,
    /// Name of a press on the rate card.
    pub press: Option<Given<String>>,
    /// Name of a press that prints the inks for which the first has no units; with `press` alone, that press prints all.
    pub further_press: Option<Given<String>>,
    /// Sheet as printed, either way round.
    pub sheet: Option<Given<Size>>,
    /// Work style: `sheetwise`, `work-and-turn`, `work-and-tumble` or `perfecting`.
    pub style: Option<Given<&'static str>>,
    /// Sections from one printed sheet, 1 to 1,000.
    pub up: Option<Given<u32>>,
    /// Sheets of make-ready of every run that makes ready, 0 to 100,000.
    pub make_ready_sheets: Option<Given<u64>>,
    /// Why, for people.
    pub why: Option<String>,
}

/// A figure of the estimate that is set by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Override {
    /// Where it is written.
    pub place: Place,
    /// Stage of the line, or `total`.
    pub line: Given<String>,
    /// Index of the part whose line it is; `None` = the only such line.
    pub part: Option<usize>,
    /// How the item of the line begins; `None` = the only such line.
    pub item: Option<Given<String>>,
    /// Name of the only option that it is for.
    pub option: Option<Given<String>>,
    /// The only quantity that it is for.
    pub copies: Option<Given<u64>>,
    /// What is set.
    pub figure: HandFigure,
    /// Why, for people.
    pub why: Option<String>,
}

/// The figure of a line that is set by hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HandFigure {
    /// How much, in the unit of the line, at most three decimals; the amount follows.
    Quantity(Decimal),
    /// Price of one unit; the amount follows.
    Rate(Money),
    /// The amount itself.
    Amount(Money),
}

/// `press B2, sheet 500 × 700 mm, sheetwise, 4 up, 250 sheets of make-ready`.
impl std::fmt::Display for Printing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let press = self
            .press
            .as_ref()
            .map(|press| format!("press {}", press.value));
        let further = self.further_press.as_ref();
        let further = further.map(|press| format!("further press {}", press.value));
        let sheet = self.sheet.map(|sheet| format!("sheet {}", sheet.value));
        let style = self.style.map(|style| style.value.to_owned());
        let up = self.up.map(|up| format!("{} up", up.value));
        let ready = self.make_ready_sheets;
        let ready = ready.map(|sheets| format!("{} sheets of make-ready a run", sheets.value));
        let all = [press, further, sheet, style, up, ready];
        let said: Vec<String> = all.into_iter().flatten().collect();
        f.write_str(&said.join(", "))
    }
}

impl Job {
    /// The part whose plates also print this one, as an index.
    pub fn plates_of(&self, part: usize) -> Option<usize> {
        let name = &self.parts[part].plates_of.as_ref()?.value;
        let is_it = |part: &Part| part.name.value.to_lowercase() == name.to_lowercase();
        self.parts.iter().position(is_it)
    }

    /// Whether the leaves of each copy are glued together: pads, and sets in books.
    pub fn is_in_books(&self) -> bool {
        let several = self.parts.iter().any(|part| part.leaves.value > 1);
        match self.product.kind.value {
            ProductKind::Pad => true,
            ProductKind::Set => several,
            _ => false,
        }
    }
}

/// Named size of press variation (`docs/colour.md`).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VariationName {
    /// Normal press variation under process control.
    Controlled,
    /// What the process standard still allows in a run.
    Limit,
    /// What the plant's own rate card says.
    Plant,
}

/// The finished product.
#[derive(Debug, Clone, PartialEq)]
pub struct Product {
    /// How the sheets become a product.
    pub kind: Given<ProductKind>,
    /// Trimmed size of the finished (folded) product.
    pub trim: Given<Size>,
    /// Which way the grain must run on every part.
    pub grain: Given<GrainWish>,
    /// How a folded product is folded; means nothing for the other kinds.
    pub fold: Given<FoldScheme>,
    /// Paper beyond the trimmed page that the binding takes, or that is left between flat or folded pieces.
    pub allowances: Allowances,
}

impl Product {
    /// A product without any wish for the grain, with the usual allowances of its kind.
    pub fn new(kind: Given<ProductKind>, trim: Given<Size>) -> Self {
        let milled = kind.value == ProductKind::PerfectBound;
        let mm = |mm| Given::assumed(Millimetres::new(mm).unwrap_or(Millimetres::ZERO));
        Self {
            kind,
            trim,
            grain: Given::assumed(GrainWish::Any),
            fold: Given::assumed(FoldScheme::Parallel),
            allowances: Allowances {
                trim: mm(USUAL_TRIM_MM),
                milling: mm(if milled { USUAL_MILLING_MM } else { 0.0 }),
                lap: mm(0.0),
                gap: mm(0.0),
            },
        }
    }

    /// Whether the grain must run along the height of the page, along its width, or either way (`None`).
    pub fn grain_along_height(&self) -> Option<bool> {
        let upright = self.trim.height >= self.trim.width;
        match self.grain.value {
            GrainWish::Any => None,
            GrainWish::Spine => Some(true),
            GrainWish::Along => Some(upright),
            GrainWish::Across => Some(!upright),
        }
    }
}

/// Paper trimmed off at head, foot and fore-edge of a bound product unless given, mm. Common practice, no source.
pub const USUAL_TRIM_MM: f64 = 3.0;
/// Paper milled off the spine of a perfect-bound product unless given, mm. Common practice, no source.
pub const USUAL_MILLING_MM: f64 = 3.0;

/// Which way the grain must run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GrainWish {
    /// Either way.
    Any,
    /// Parallel to the spine, or to the folds of a leaflet: along the height of the page.
    Spine,
    /// Along the longer edge of the page.
    Along,
    /// Along the shorter edge of the page.
    Across,
}

/// How a folded product is folded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FoldScheme {
    /// All folds side by side: one row of panels.
    Parallel,
    /// Two rows of panels, folded once across and then in parallel.
    RightAngle,
}

/// Paper beyond the trimmed page that a binding takes, or that is left between pieces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowances {
    /// Trimmed off at head, foot and fore-edge of each page; the bleed counts where it is wider.
    pub trim: Given<Millimetres>,
    /// Milled off the spine side of each page before gluing.
    pub milling: Given<Millimetres>,
    /// One half of each spread is wider by this, so that the stitching line can open the section.
    pub lap: Given<Millimetres>,
    /// Left between neighbouring pieces of a flat or folded product, for the rules of a die and for stripping.
    pub gap: Given<Millimetres>,
}

/// How the sheets become a product.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProductKind {
    /// One flat sheet with one or two printed sides.
    Flat,
    /// One sheet folded in parallel to panels; the open sheet is panels x trim width wide.
    Folded,
    /// Folded sheets nested and stitched through the spine.
    SaddleStitched,
    /// Folded sections gathered, the spine milled off and glued into a cover.
    PerfectBound,
    /// Folded sections gathered, sewn through their folds and glued.
    SectionSewn,
    /// Flat leaves glued at one edge.
    Pad,
    /// Flat leaves of several papers collated to sets, such as carbonless ones; loose, or in books.
    Set,
}

impl ProductKind {
    /// Every kind.
    pub const ALL: [Self; 7] = [
        Self::Flat,
        Self::Folded,
        Self::SaddleStitched,
        Self::PerfectBound,
        Self::SectionSewn,
        Self::Pad,
        Self::Set,
    ];

    /// Whether folded sections are held together at a spine.
    pub const fn is_bound(self) -> bool {
        matches!(self, Self::SaddleStitched) || self.is_gathered()
    }

    /// Whether its sheets are folded.
    pub const fn is_folded(self) -> bool {
        matches!(self, Self::Folded) || self.is_bound()
    }

    /// Whether a copy may have several leaves of one part.
    pub const fn has_leaves(self) -> bool {
        matches!(self, Self::Pad | Self::Set)
    }

    /// Whether the sections are gathered one upon the other, not one within the other.
    pub const fn is_gathered(self) -> bool {
        matches!(self, Self::PerfectBound | Self::SectionSewn)
    }

    /// The word for it in job files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Flat => "flat",
            Self::Folded => "folded",
            Self::SaddleStitched => "saddle-stitched",
            Self::PerfectBound => "perfect-bound",
            Self::SectionSewn => "section-sewn",
            Self::Pad => "pad",
            Self::Set => "set",
        }
    }
}

/// What a part is within a bound product.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Sections of pages; the only role in a flat or folded product.
    Text,
    /// The cover: around the sections of a stitched product, glued around the spine of a gathered one.
    Cover,
    /// Unprinted or printed sheets of four pages before and behind the sections of a gathered product.
    Endpapers,
    /// Bound in with the sections.
    Insert,
    /// Laid into the finished product.
    LooseInsert,
}

/// Sheets of one stock within the product: cover, text, or the only part.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Name within the job.
    pub name: Given<String>,
    /// Name of a stock on the rate card.
    pub stock: Given<String>,
    /// What it is within the product.
    pub role: Given<Role>,
    /// Pages of this part, as its kind of product and its role allow.
    pub pages: Given<u32>,
    /// Equal leaves of this part in one copy, 1 to 1,000; 1 for all but pads and sets.
    pub leaves: Given<u32>,
    /// Image beyond the trim on every edge.
    pub bleed: Given<Millimetres>,
    /// Inks that change from version to version, by the names of the job's colours, of the card's entries, or of the
    /// process inks; none where the part is the same in all versions.
    pub version_inks: Vec<Given<String>>,
    /// Pages on which they change, from 1, ascending.
    pub version_pages: Vec<u32>,
    /// Name of the part of a set whose plates also print this one; that part has none.
    pub plates_of: Option<Given<String>>,
    /// Inks of which this part has plates of its own all the same, named as `version_inks`.
    pub changed_inks: Vec<Given<String>>,
    /// Pages on which they are, from 1, ascending.
    pub changed_pages: Vec<u32>,
}

impl Part {
    /// Sides of the open sheet that pages lie on: page numbers on the front and on the back, for flat and folded parts.
    pub fn side_pages(&self, side: Side) -> Vec<u32> {
        (1..=self.pages.value)
            .filter(|page| side_of_page(*page, self.pages.value) == side)
            .collect()
    }
}

/// The side of the open sheet that a page of a flat or folded part lies on.
///
/// Page 1 of a flat sheet is its front, page 2 its back. A folded leaflet counts its panels as the reader meets them:
/// the outside (front) carries the first page and the last, the inside (back) the pages in between, turn by turn.
pub fn side_of_page(page: u32, pages: u32) -> Side {
    if pages <= 2 {
        return if page <= 1 { Side::Front } else { Side::Back };
    }
    if matches!(page % 4, 0 | 1) {
        Side::Front
    } else {
        Side::Back
    }
}

/// Side of an open sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Front of a flat sheet, outside of a folded one.
    Front,
    /// Back of a flat sheet, inside of a folded one.
    Back,
}

/// A flat colour of the design.
#[derive(Debug, Clone, PartialEq)]
pub struct Colour {
    /// Name within the job.
    pub name: Given<String>,
    /// What it should look like.
    pub target: Given<Target>,
    /// How much it matters; sets the default tolerance.
    pub importance: Given<Importance>,
    /// What the client accepts on a delivered copy.
    pub tolerance: Given<DeltaE>,
    /// An ink that no build imitates.
    pub effect: Option<Given<Effect>>,
    /// Whether a solid ink may, must or must not be offered for it.
    pub solid: Given<SolidChoice>,
    /// How closely a solid ink of this colour is mixed to its standard.
    pub solid_match: Given<DeltaE>,
    /// Name of the ink entry on the rate card that prices a solid of this colour; `None` = the card's entry for its kind.
    pub ink: Option<Given<String>>,
    /// Where it is printed; never empty.
    pub uses: Vec<Use>,
}

/// What a colour should look like.
#[derive(Debug, Clone, PartialEq)]
pub enum Target {
    /// CIELAB, D50, 2° observer, absolute: L 0..=100, a and b -128..=128.
    Lab {
        /// Lightness.
        l: f64,
        /// Red (+) to green (-).
        a: f64,
        /// Yellow (+) to blue (-).
        b: f64,
    },
    /// sRGB, IEC 61966-2-1.
    Srgb([u8; 3]),
    /// Process tone values in percent, C M Y K, as printed under a named printing condition; `None` = the part's own.
    Cmyk {
        /// Tone values in percent.
        tones: [f64; 4],
        /// Name of the printing condition.
        condition: Option<String>,
    },
    /// A colour of a palette; whoever reads files puts its Lab here before the job is planned.
    Palette {
        /// File, relative to the job file.
        file: String,
        /// Name of the colour within it.
        name: String,
    },
}

/// How much a colour matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Importance {
    /// The colour of a brand: tolerance 2 unless given.
    Brand,
    /// Should match a neighbour or an earlier job: tolerance 3.5 unless given.
    Matching,
    /// Only has to look right: tolerance 6 unless given.
    Decorative,
}

impl Importance {
    /// Tolerance of a colour whose job gives none, ΔE00. Common practice, no source.
    pub const fn usual_tolerance(self) -> f64 {
        match self {
            Self::Brand => 2.0,
            Self::Matching => 3.5,
            Self::Decorative => 6.0,
        }
    }
}

/// Names of the process inks, in the order of tone values.
pub const PROCESS_INKS: [&str; 4] = ["cyan", "magenta", "yellow", "black"];

/// An ink whose look no process build imitates.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effect {
    /// Metal flakes.
    Metallic,
    /// Fluorescent.
    Fluorescent,
    /// Opaque white.
    White,
    /// Clear varnish printed from a plate.
    Varnish,
}

impl Effect {
    /// All of them.
    pub const ALL: [Self; 4] = [
        Self::Metallic,
        Self::Fluorescent,
        Self::White,
        Self::Varnish,
    ];

    /// The word for it in job files and rate cards.
    pub fn word(self) -> &'static str {
        match self {
            Self::Metallic => "metallic",
            Self::Fluorescent => "fluorescent",
            Self::White => "white",
            Self::Varnish => "varnish",
        }
    }
}

/// Whether a solid ink is considered for a colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SolidChoice {
    /// Options with and without it.
    Allowed,
    /// Only options with it.
    Required,
    /// Only options without it.
    Refused,
}

/// One use of a colour.
#[derive(Debug, Clone, PartialEq)]
pub struct Use {
    /// Index into [`Job::parts`].
    pub part: usize,
    /// Page numbers within the part, from 1, ascending.
    pub pages: Vec<u32>,
    /// Share of each of these pages that carries the colour.
    pub coverage: Given<Coverage>,
    /// Tone of the colour; 100 = full.
    pub tint: Given<ToneValue>,
    /// What it is used as.
    pub kind: Given<UseKind>,
}

/// What a colour is used as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UseKind {
    /// A flat panel or logo.
    Panel,
    /// Type.
    Type,
    /// Rules and line art.
    Rule,
    /// The ground of a whole page.
    Background,
}

/// Photographs on some pages.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Index into [`Job::parts`].
    pub part: usize,
    /// Page numbers within the part, from 1, ascending.
    pub pages: Vec<u32>,
    /// Share of each of these pages that pictures take.
    pub area: Given<Coverage>,
    /// Mean coverage of C, M, Y, K within the pictures.
    pub inks: Given<[f64; 4]>,
}
