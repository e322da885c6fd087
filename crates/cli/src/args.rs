//! Arguments of every command; the doc comments are the help texts.

use std::path::PathBuf;

use clap::builder::PossibleValuesParser;
use clap::{Args, Parser, Subcommand, ValueEnum};
use inkset_costing::Stage;
use inkset_units::Money;

/// Which inks does a print job need, and what does each choice cost?
///
/// From a job file and a printer's rate card: which colours four process inks can build on this paper, which need a
/// solid ink on a further printing unit, which ink sets are worth having, and what each costs at each quantity.
#[derive(Debug, Parser)]
#[command(name = "inkset", version, max_term_width = 100)]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    New(NewArgs),
    Check(CheckArgs),
    Reach(ReachArgs),
    Plan(PlanArgs),
    Layout(LayoutArgs),
    Price(PriceArgs),
    Compare(CompareArgs),
    Weigh(WeighArgs),
    Report(ReportArgs),
    Learn(LearnArgs),
    Enquire(EnquireArgs),
    Quote(QuoteArgs),
    Delivery(DeliveryArgs),
    Condition(ConditionArgs),
    Coverage(CoverageArgs),
}

/// How figures are printed
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// For people
    Table,
    /// For programs; money as strings
    Json,
    /// For spreadsheets
    Csv,
}

/// Write a starter job and a starter rate card, commented, to fill in
#[derive(Debug, Args)]
pub(crate) struct NewArgs {
    /// Folder to write `job.toml` and `rates.toml` into; existing files are never overwritten
    #[arg(default_value = ".")]
    pub(crate) folder: PathBuf,
}

/// A job and its rate card
#[derive(Debug, Args)]
pub(crate) struct JobArgs {
    /// Job file (TOML)
    pub(crate) job: PathBuf,
    /// Rate card (TOML); without it, the one that the job names
    #[arg(long, value_name = "FILE")]
    pub(crate) rates: Option<PathBuf>,
    /// Also measure artwork that lies outside the folder of the job
    #[arg(long)]
    pub(crate) outside_artwork: bool,
}

/// Read a job with its rate card; report every mistake and every assumption
#[derive(Debug, Args)]
pub(crate) struct CheckArgs {
    #[command(flatten)]
    pub(crate) files: JobArgs,
}

/// Show how each colour of a job prints in each ink set worth pricing
#[derive(Debug, Args)]
pub(crate) struct PlanArgs {
    #[command(flatten)]
    pub(crate) files: JobArgs,
    /// How figures are printed
    #[arg(long, value_enum, default_value = "table")]
    pub(crate) format: Format,
}

/// Price every ink set of a job at every quantity
#[derive(Debug, Args)]
pub(crate) struct PriceArgs {
    #[command(flatten)]
    pub(crate) files: JobArgs,
    /// Copies to price instead of the job's quantities; may be given several times
    #[arg(long = "quantity", value_name = "COPIES", value_parser = clap::value_parser!(u64).range(1..=10_000_000))]
    pub(crate) quantities: Vec<u64>,
    /// Instead of prices, show how the lines of a stage come about, down to file and line
    #[arg(long, value_name = "STAGE", value_parser = PossibleValuesParser::new(Stage::ALL.map(Stage::name)))]
    pub(crate) explain: Option<String>,
    /// Instead of prices, show what each range of the rate card does to the price
    #[arg(long, conflicts_with_all = ["explain", "lines"])]
    pub(crate) sensitivity: bool,
    /// Print the lines of every option, not only of the best
    #[arg(long)]
    pub(crate) lines: bool,
    /// How figures are printed
    #[arg(long, value_enum, default_value = "table")]
    pub(crate) format: Format,
}

/// Compare suppliers' offers for a job, like for like and beside what it should cost
///
/// Every offer is brought to the same quantities, net of tax, in the job's currency, with what it leaves out added at the
/// buyer's figure. See docs/comparing.md.
#[derive(Debug, Args)]
pub(crate) struct CompareArgs {
    #[command(flatten)]
    pub(crate) files: JobArgs,
    /// Offers: TOML with one offer, or CSV with many (docs/offer-file.md)
    #[arg(required = true, value_name = "OFFER")]
    pub(crate) offers: Vec<PathBuf>,
    /// The buyer's own figures: carriage, proofs, rates of exchange, basket, weights (docs/buyer-file.md)
    #[arg(long, value_name = "FILE")]
    pub(crate) buyer: Option<PathBuf>,
    /// Show the steps from the offered to the comparable price at every quantity
    #[arg(long)]
    pub(crate) lines: bool,
    /// Also write a workbook; an existing file is never overwritten
    #[arg(long, value_name = "FILE")]
    pub(crate) xlsx: Option<PathBuf>,
    /// Print the rate card nearest to yours that would reproduce this supplier's offer, instead of comparing
    #[arg(long, value_name = "SUPPLIER", conflicts_with_all = ["lines", "xlsx", "format"])]
    pub(crate) rates_of: Option<String>,
    /// How figures are printed
    #[arg(long, value_enum, default_value = "table")]
    pub(crate) format: Format,
}

/// Weigh colour against price: what each solid adds, what a budget buys, what a looser tolerance saves
#[derive(Debug, Args)]
pub(crate) struct WeighArgs {
    #[command(flatten)]
    pub(crate) files: JobArgs,
    /// Copies to price instead of the job's quantities; may be given several times
    #[arg(long = "quantity", value_name = "COPIES", value_parser = clap::value_parser!(u64).range(1..=10_000_000))]
    pub(crate) quantities: Vec<u64>,
    /// The most that the job may cost, in its currency, for instance `1200` or `1200.50`
    #[arg(long, value_name = "AMOUNT", value_parser = Money::parse)]
    pub(crate) budget: Option<Money>,
    /// How figures are printed
    #[arg(long, value_enum, default_value = "table")]
    pub(crate) format: Format,
}

/// Write all of it on one page to look at and to print: colours, loupe views, prices, the choice
///
/// One HTML file that needs no network and no script, for any browser, for A4 and Letter.
#[derive(Debug, Args)]
pub(crate) struct ReportArgs {
    #[command(flatten)]
    pub(crate) files: JobArgs,
    /// Suppliers' offers to compare on the page: TOML with one offer, or CSV with many (docs/offer-file.md)
    #[arg(long, value_name = "OFFER", num_args = 1..)]
    pub(crate) offers: Vec<PathBuf>,
    /// The buyer's own figures for comparing offers (docs/buyer-file.md)
    #[arg(long, value_name = "FILE", requires = "offers")]
    pub(crate) buyer: Option<PathBuf>,
    /// File to write; one that is there is replaced once the new one is whole
    #[arg(short, long, value_name = "FILE.html")]
    pub(crate) output: PathBuf,
    /// Copies to price instead of the job's quantities; may be given several times
    #[arg(long = "quantity", value_name = "COPIES", value_parser = clap::value_parser!(u64).range(1..=10_000_000))]
    pub(crate) quantities: Vec<u64>,
    /// The most that the job may cost, in its currency, for instance `1200` or `1200.50`
    #[arg(long, value_name = "AMOUNT", value_parser = Money::parse)]
    pub(crate) budget: Option<Money>,
}

/// Hold what finished jobs took against their estimates, and see which rates follow
///
/// By press, ink and operation: actual against estimated minutes, sheets and kilograms, and rates for the card with their
/// uncertainty. The card itself is never changed. See docs/learning.md.
#[derive(Debug, Args)]
pub(crate) struct LearnArgs {
    /// Actuals (TOML, docs/actuals-file.md)
    #[arg(required = true, value_name = "ACTUALS")]
    pub(crate) actuals: Vec<PathBuf>,
    /// Rate card (TOML); without it, the one that the actuals name
    #[arg(long, value_name = "FILE")]
    pub(crate) rates: Option<PathBuf>,
    /// Also measure artwork of the jobs that lies outside their folders
    #[arg(long)]
    pub(crate) outside_artwork: bool,
    /// Instead of the comparison, print the rates that follow as lines for the rate card (TOML)
    #[arg(long)]
    pub(crate) proposed: bool,
    /// With `--proposed`: write them as ranges, so that prices carry the uncertainty
    #[arg(long, requires = "proposed")]
    pub(crate) ranges: bool,
    /// How figures are printed
    #[arg(long, value_enum, default_value = "table", conflicts_with = "proposed")]
    pub(crate) format: Format,
}

/// Size of a PDF's sheets
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SheetArg {
    /// 210 × 297 mm
    A4,
    /// 8.5 × 11 in
    Letter,
}

/// Write the quotation of one ink set to the customer, as a draft or issued with a sealed record
///
/// Who prints and on what terms stands in `[supplier]` of the rate card. Everything is a draft until a person has checked it
/// and issues it with `--issue`, `--number` and `--checked-by`. See docs/quoting.md.
#[derive(Debug, Args)]
pub(crate) struct QuoteArgs {
    /// Job file (TOML)
    #[arg(required_unless_present_any = ["verify", "list"])]
    pub(crate) job: Option<PathBuf>,
    /// Rate card (TOML); without it, the one that the job names
    #[arg(long, value_name = "FILE")]
    pub(crate) rates: Option<PathBuf>,
    /// Also measure artwork that lies outside the folder of the job
    #[arg(long)]
    pub(crate) outside_artwork: bool,
    /// Name of the ink set that is quoted, as `price` prints it
    #[arg(long, value_name = "NAME", required_unless_present_any = ["verify", "list"])]
    pub(crate) option: Option<String>,
    /// Copies to quote instead of the job's quantities; may be given several times
    #[arg(long = "quantity", value_name = "COPIES", value_parser = clap::value_parser!(u64).range(1..=10_000_000))]
    pub(crate) quantities: Vec<u64>,
    /// Number of the quotation
    #[arg(long)]
    pub(crate) number: Option<String>,
    /// Day of the quotation, year-month-day; without it, today by the machine's clock
    #[arg(long, value_name = "DATE")]
    pub(crate) date: Option<jiff::civil::Date>,
    /// File to write, `.html` or `.pdf`; may be given several times; without it, the quotation is printed
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Vec<PathBuf>,
    /// Sheets of a PDF
    #[arg(long, value_enum, default_value = "a4")]
    pub(crate) sheet: SheetArg,
    /// Issue the quotation: keep its sealed record in this folder, under its number
    #[arg(
        long,
        value_name = "FOLDER",
        requires = "number",
        requires = "checked_by"
    )]
    pub(crate) issue: Option<PathBuf>,
    /// Who has checked the quotation
    #[arg(long, value_name = "PERSON", requires = "issue")]
    pub(crate) checked_by: Option<String>,
    /// Instead, see whether a record is unaltered, and compute its result again
    #[arg(long, value_name = "RECORD", conflicts_with_all = ["job", "list", "issue", "output"])]
    pub(crate) verify: Option<PathBuf>,
    /// Instead, list the records of a folder
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["job", "issue", "output"])]
    pub(crate) list: Option<PathBuf>,
    /// How figures are printed
    #[arg(long, value_enum, default_value = "table")]
    pub(crate) format: Format,
}

/// Write the request for quotation that suppliers price like for like, and the offer file to fill in
///
/// Everything that the job says, the ink sets and quantities wanted, what the price includes, and blanks for what only the
/// supplier knows. `compare` reads the offer file once its blanks are filled in. See docs/quoting.md.
#[derive(Debug, Args)]
pub(crate) struct EnquireArgs {
    #[command(flatten)]
    pub(crate) files: JobArgs,
    /// Name of an ink set that is wanted, as `price` prints it; may be given several times; without it, those worth pricing
    #[arg(long = "option", value_name = "NAME")]
    pub(crate) options: Vec<String>,
    /// Copies instead of the job's quantities; may be given several times
    #[arg(long = "quantity", value_name = "COPIES", value_parser = clap::value_parser!(u64).range(1..=10_000_000))]
    pub(crate) quantities: Vec<u64>,
    /// Day of the enquiry, year-month-day; without it, today by the machine's clock
    #[arg(long, value_name = "DATE")]
    pub(crate) date: Option<jiff::civil::Date>,
    /// Last day for offers; without it, a blank
    #[arg(long, value_name = "DATE")]
    pub(crate) reply_by: Option<jiff::civil::Date>,
    /// File to write: `.html` or `.pdf`, or `.toml` for the offer file; may be given several times; without it, the enquiry is
    /// printed. An offer file that is there is never overwritten
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Vec<PathBuf>,
    /// Sheets of a PDF
    #[arg(long, value_enum, default_value = "a4")]
    pub(crate) sheet: SheetArg,
}

/// Write what to look at when the copies arrive: loupe, Lab and tolerance, control patches, copies over and under
#[derive(Debug, Args)]
pub(crate) struct DeliveryArgs {
    #[command(flatten)]
    pub(crate) files: JobArgs,
    /// Name of the ink set that was ordered, as `price` prints it
    #[arg(long, value_name = "NAME")]
    pub(crate) option: String,
    /// Copies that were ordered instead of the job's quantities; may be given several times
    #[arg(long = "quantity", value_name = "COPIES", value_parser = clap::value_parser!(u64).range(1..=10_000_000))]
    pub(crate) quantities: Vec<u64>,
    /// File to write, `.html` with loupe views or `.pdf`; may be given several times; without it, the sheet is printed
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Vec<PathBuf>,
    /// Sheets of a PDF
    #[arg(long, value_enum, default_value = "a4")]
    pub(crate) sheet: SheetArg,
}

/// Find the nearest build of process inks for each colour of a palette, or see what a build prints as
#[derive(Debug, Args)]
pub(crate) struct ReachArgs {
    /// Palette: CSV with the columns name, L, a, b (D50, 2° observer, absolute), CGATS.17, CxF or an ICC named-colour
    /// profile
    #[arg(required_unless_present = "build")]
    pub(crate) palette: Option<PathBuf>,
    /// Printing condition: the name of a shipped one, or a characterisation table (CGATS.17 text); may be given several
    /// times with `--build`, which takes all shipped ones without it
    #[arg(long, value_name = "NAME|FILE", required_unless_present = "build")]
    pub(crate) condition: Vec<String>,
    /// Largest sum of tone values in percent; without it, the condition's own
    #[arg(long, value_name = "PERCENT")]
    pub(crate) ink_limit: Option<f64>,
    /// Process inks to build from, as letters, for instance `CMYK` or `MYK`
    #[arg(long, value_name = "LETTERS", default_value = "CMYK")]
    pub(crate) inks: String,
    /// For each colour that misses, the colours that are reached: nearest, of the same hue, of the same lightness
    #[arg(long)]
    pub(crate) near: bool,
    /// ΔE00 beyond which a colour counts as missed; 2 unless given, the usual one of a brand's colour
    #[arg(long, value_name = "ΔE00", requires = "near")]
    pub(crate) tolerance: Option<f64>,
    /// Say what this build prints as instead, for instance `"C80 M10"`
    #[arg(long, value_name = "TONES", conflicts_with_all = ["palette", "near", "ink_limit", "inks"])]
    pub(crate) build: Option<String>,
    /// How figures are printed
    #[arg(long, value_enum, default_value = "table")]
    pub(crate) format: Format,
}

/// Measure artwork: how much of each page every ink covers, which solids it names, what to look at
#[derive(Debug, Args)]
pub(crate) struct CoverageArgs {
    /// Artwork: PDF, TIFF, JPEG or PNG
    #[arg(required_unless_present = "write", value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// Write the colours and the coverage of the artwork into this job, in the place of what it says; comments and
    /// order stay. Without FILE, the artwork that the job names
    #[arg(long, value_name = "JOB", conflicts_with_all = ["condition", "ink_limit", "page_box", "resolution", "format"])]
    pub(crate) write: Option<PathBuf>,
    /// With --write: rate card (TOML); without it, the one that the job names
    #[arg(long, value_name = "FILE", requires = "write")]
    pub(crate) rates: Option<PathBuf>,
    /// With --write: also measure artwork that lies outside the folder of the job
    #[arg(long, requires = "write")]
    pub(crate) outside_artwork: bool,
    /// Also measure what RGB photographs lose on the way to paper (TIFF, JPEG, PNG, and those on the pages of a PDF), and
    /// write a picture of where into this folder: grey, lost areas in magenta
    #[arg(long, value_name = "FOLDER", conflicts_with = "write")]
    pub(crate) lost: Option<PathBuf>,
    /// Printing condition through which RGB and Lab are separated, and whose ink limit counts: the name of a shipped
    /// one, a characterisation table (CGATS.17 text) or an ICC output profile with CMYK
    #[arg(long, value_name = "NAME|FILE")]
    pub(crate) condition: Option<String>,
    /// Largest sum of tone values in percent; without it, the condition's own
    #[arg(long, value_name = "PERCENT", value_parser = crate::args::percent_of_four)]
    pub(crate) ink_limit: Option<f64>,
    /// Which box of a PDF page is counted
    #[arg(long = "box", value_name = "BOX", value_enum, default_value = "trim")]
    pub(crate) page_box: BoxArg,
    /// Pixels for an inch at which PDF pages are counted; very large pages are counted more coarsely
    #[arg(long, value_name = "DPI", default_value_t = 150, value_parser = clap::value_parser!(u16).range(36..=1200))]
    pub(crate) resolution: u16,
    /// How figures are printed
    #[arg(long, value_enum, default_value = "table")]
    pub(crate) format: Format,
}

/// Boxes of a PDF page
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum BoxArg {
    /// The trimmed page; the crop box where none is given
    Trim,
    /// The trimmed page with its bleed
    Bleed,
    /// What is shown
    Crop,
    /// The whole medium
    Media,
}

/// A sum of tone values, 1 to 400 percent.
pub(crate) fn percent_of_four(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|value| (1.0..=400.0).contains(value))
        .ok_or_else(|| format!("`{text}` is no percentage from 1 to 400"))
}

/// Show the printing conditions: shipped ones, a characterisation table or an ICC profile
#[derive(Debug, Args)]
pub(crate) struct ConditionArgs {
    #[command(subcommand)]
    pub(crate) action: ConditionAction,
}

#[derive(Debug, Subcommand)]
pub(crate) enum ConditionAction {
    /// List the shipped printing conditions
    List {
        /// How figures are printed
        #[arg(long, value_enum, default_value = "table")]
        format: Format,
    },
    /// Show paper, solids, overprints, tone value increase and the size of the reachable body of colours
    Show(OneConditionArgs),
    /// Tell how far the figures can be trusted, and how the solids sit against the claimed standard
    Check(OneConditionArgs),
}

/// One printing condition
#[derive(Debug, Args)]
pub(crate) struct OneConditionArgs {
    /// Name of a shipped condition, a characterisation table (CGATS.17 text) or an ICC output profile with CMYK
    #[arg(value_name = "NAME|FILE")]
    pub(crate) condition: String,
    /// How figures are printed
    #[arg(long, value_enum, default_value = "table")]
    pub(crate) format: Format,
}

/// Draw the sheets of a job with the pages in place, or cut equal pieces out of a sheet
///
/// With a job file alone: the chosen option's press sheets, front and back, with page numbers, heads, folds in their
/// order, cuts, gripper edge and grain. With a sheet and a piece: as many pieces as straight through cuts give.
#[derive(Debug, Args)]
pub(crate) struct LayoutArgs {
    /// Job file (TOML); or a sheet: a name such as `SRA1`, or width x height in mm such as `890x625`; `25x38in` for
    /// inches
    #[arg(value_name = "JOB|SHEET")]
    pub(crate) sheet: String,
    /// Piece with its bleed, written as a sheet is
    pub(crate) piece: Option<String>,
    /// Of a job: rate card (TOML); without it, the one that the job names
    #[arg(long, value_name = "FILE", conflicts_with = "piece")]
    pub(crate) rates: Option<PathBuf>,
    /// Of a job: also measure artwork that lies outside its folder
    #[arg(long, conflicts_with = "piece")]
    pub(crate) outside_artwork: bool,
    /// Of a job: copies; without them, the smallest of its quantities
    #[arg(long, value_name = "COPIES", conflicts_with = "piece")]
    pub(crate) quantity: Option<u64>,
    /// Of a job: name of the option to draw; without it, the recommended one
    #[arg(long, value_name = "NAME", conflicts_with = "piece")]
    pub(crate) option: Option<String>,
    /// Of a job: also write the drawing to a new SVG file
    #[arg(long, value_name = "FILE", conflicts_with = "piece")]
    pub(crate) svg: Option<PathBuf>,
    /// Edges left free: one length for all, or left,right,bottom,top
    #[arg(long, value_name = "MM[,MM,MM,MM]", requires = "piece")]
    pub(crate) margins: Option<String>,
    /// Distance between neighbouring pieces
    #[arg(long, value_name = "MM", requires = "piece")]
    pub(crate) gap: Option<String>,
    /// Do not turn pieces
    #[arg(long, requires = "piece")]
    pub(crate) upright: bool,
    /// How figures are printed
    #[arg(long, value_enum, default_value = "table")]
    pub(crate) format: Format,
}
