//! A priced option: what is chosen, line by line.

use std::fmt;

use inkset_layout::{
    FormSide, Format, Imposition, InkId, LayoutError, PressSheet, Section, WorkStyle, impose,
};
use inkset_spec::{Job, Press, RateCard, struck_out};
use inkset_units::{Money, Size};
use rust_decimal::Decimal;

use crate::line::{CostLine, Stage};
use crate::reel::ReelUse;
use crate::versions::VersionLayout;
use crate::washing::PressWashing;
use crate::words::number;

/// The cheapest way to print one ink set at one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// Copies ordered.
    pub quantity: u64,
    /// Copies delivered, overs included.
    pub delivered: u64,
    /// How each part is printed, in the job's order.
    pub parts: Vec<PartChoice>,
    /// What is washed on each press, and which unit holds which ink.
    pub washing: Vec<PressWashing>,
    /// Every amount, by stage, within a stage by part, then what serves the whole product.
    pub lines: Vec<CostLine>,
    /// Sum of the lines.
    pub total: Money,
    /// Total for 1,000 copies ordered, rounded to the currency's smallest unit.
    pub per_thousand: Money,
    /// What 1,000 more copies would add to the total, each total at its own cheapest way.
    pub run_on: Money,
    /// Total of the same copies printed again in the same way from plates that were kept.
    pub reprint: Money,
    /// Copies more or less that a delivery may have.
    pub leeway: Leeway,
    /// The next cheapest way, one part printed otherwise.
    pub runner_up: Option<RunnerUp>,
}

impl Estimate {
    /// Names of the presses, each once, in the order of the parts.
    pub fn presses(&self) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::new();
        for part in &self.parts {
            let further = part.further.iter().map(|further| further.press.as_str());
            for press in further.chain([part.press.as_str()]).rev() {
                if !names.contains(&press) {
                    names.push(press);
                }
            }
        }
        names
    }

    /// Most inks on one form: units that print every side in one pass.
    pub fn units_needed(&self) -> u32 {
        self.parts.iter().map(|p| p.units_needed).max().unwrap_or(0)
    }

    /// Most passes that a side needs.
    pub fn passes(&self) -> u32 {
        self.parts.iter().map(|p| p.passes).max().unwrap_or(0)
    }

    /// Press sheets of all parts, make-ready and spoilage included.
    pub fn press_sheets(&self) -> u64 {
        self.parts.iter().map(|p| p.press_sheets).sum()
    }

    /// Parent sheets bought for all parts, packs whole.
    pub fn parent_sheets(&self) -> u64 {
        self.parts.iter().map(|p| p.bought_sheets).sum()
    }

    /// Sum of the lines of one stage.
    pub fn of_stage(&self, stage: Stage) -> Money {
        let lines = self.lines.iter().filter(|line| line.stage == stage);
        lines.map(|line| line.amount).sum()
    }

    /// A part of the cost with its share of the profit; `None` beyond 28 digits.
    pub fn with_profit(&self, cost: Money) -> Option<Money> {
        let closing = [Stage::Profit, Stage::Rounding, Stage::ByHand];
        let all = self.lines.iter();
        let all = all.filter(|line| !closing.contains(&line.stage));
        let all: Money = all.map(|line| line.amount).sum();
        if all == Money::ZERO {
            return Some(cost);
        }
        let profit = self.of_stage(Stage::Profit).amount();
        cost.times(Decimal::ONE + profit.checked_div(all.amount())?)
    }
}

/// Copies more or less than ordered that a delivery may have, and what they are charged or credited.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Leeway {
    /// Copies: the accepted share of the order, rounded down.
    pub copies: u64,
    /// Their price at the run-on.
    pub amount: Money,
}

/// How one part is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct PartChoice {
    /// Index into the job's parts.
    pub part: usize,
    /// Name of the press.
    pub press: String,
    /// Index of the press on the card.
    pub press_index: usize,
    /// Index of the way among those of the part.
    pub(crate) way: usize,
    /// Name of the stock.
    pub stock: String,
    /// Parent sheet as bought.
    pub parent: Size,
    /// Sheet as printed.
    pub sheet: PressSheet,
    /// Sections by size, largest first.
    pub sections: Vec<SectionChoice>,
    /// Press sheets, make-ready and spoilage included.
    pub press_sheets: u64,
    /// Parent sheets needed.
    pub parent_sheets: u64,
    /// Parent sheets bought, packs whole.
    pub bought_sheets: u64,
    /// Paper off reels, where the sheets are cut off them.
    pub reel: Option<ReelUse>,
    /// Plates.
    pub plates: u32,
    /// Most inks on one form.
    pub units_needed: u32,
    /// Most passes that a side needs.
    pub passes: u32,
    /// For each number of layouts of the part's versions the total of the job with its cheapest way; empty without
    /// versions.
    pub layout_totals: Vec<(u32, Money)>,
    /// Plates of another part that stay on the press for this one.
    pub kept: Option<KeptPlates>,
    /// The press that prints the last inks on the sheets that the first one leaves, because that has too few units.
    pub further: Option<FurtherPress>,
    /// Why none does, where the job names a part with the same image.
    pub own_plates: Option<OwnPlates>,
}

/// A press that prints the last inks of a part on the sheets that another leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct FurtherPress {
    /// Its name.
    pub press: String,
    /// Index of the press on the card.
    pub press_index: usize,
    /// Names of the inks that it prints, in printing order.
    pub inks: Vec<String>,
    /// Plates on it.
    pub plates: u32,
    /// The first press with the margins that both need.
    pub(crate) margins: Press,
}

/// `then Pumpkin orange on small`.
impl fmt::Display for FurtherPress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "then {} on {}", self.inks.join(" + "), self.press)
    }
}

/// Why a part has plates of its own though another carries the same image.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OwnPlates {
    /// No form of the other part serves it on any press that prints both alike.
    NoneFits,
    /// They would fit somewhere, but the job is no dearer without.
    NotCheaper,
}

/// Plates of one part that stay on the press while the paper is changed for another.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptPlates {
    /// Index of the part whose plates they are.
    pub of: usize,
    /// Its name.
    pub name: String,
    /// Plates that are changed with the paper all the same, in runs whose others stay on.
    pub changed: u32,
    /// Names of inks among them that the job does not name: they cover another share than on the other part.
    pub unasked: Vec<String>,
    /// Minutes to change the paper of a run; `None` = as making ready.
    pub paper_minutes: Option<f64>,
}

/// `plates of white stay on, 1 changed; paper changed, 8 min`.
impl fmt::Display for KeptPlates {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "plates of {} stay on", self.name)?;
        if self.changed > 0 {
            write!(f, ", {} changed", self.changed)?;
        }
        match self.paper_minutes {
            Some(minutes) => write!(f, "; paper changed, {} min", number(minutes)),
            None => write!(f, "; made ready for its paper"),
        }
    }
}

impl PartChoice {
    /// How the versions of the part are printed, the layouts of its first section that changes; empty without versions.
    pub fn version_layouts(&self) -> &[VersionLayout] {
        let mut layouts = self
            .sections
            .iter()
            .map(|section| section.layouts.as_slice());
        layouts.find(|layouts| !layouts.is_empty()).unwrap_or(&[])
    }

    /// The press, and the inks that a further one prints: `B2, then Pumpkin orange on small`.
    pub fn presses(&self) -> String {
        match &self.further {
            None => self.press.clone(),
            Some(further) => format!("{}, {further}", self.press),
        }
    }

    /// Indices of its presses on the card.
    pub fn press_indices(&self) -> impl Iterator<Item = usize> + '_ {
        let further = self.further.iter().map(|further| further.press_index);
        [self.press_index].into_iter().chain(further)
    }

    /// Its runs on a press of the card.
    pub fn runs_on(&self, press: usize) -> impl Iterator<Item = &RunChoice> {
        let runs = self.sections.iter().flat_map(|section| &section.runs);
        runs.filter(move |run| run.press_index == press)
    }

    /// Sheets that go into a press of the card, into the first run of every section there.
    pub fn sheets_into(&self, press: usize) -> u64 {
        if press == self.press_index {
            return self.press_sheets;
        }
        let sections = self.sections.iter().flat_map(|class| {
            let numbers = 0..class.count as usize;
            numbers.map(move |number| class.runs.iter().filter(move |run| run.section == number))
        });
        sections
            .filter_map(|mut runs| runs.find(|run| run.press_index == press))
            .map(RunChoice::sheets_in)
            .sum()
    }

    /// The press with the margins that the sheet leaves: on two presses the wider ones of both.
    pub fn margins<'p>(&'p self, card: &'p RateCard) -> &'p Press {
        let further = self.further.as_ref().map(|further| &further.margins);
        further.unwrap_or_else(|| &card.presses[self.press_index])
    }

    /// Lays a section of the part on its press sheet as it was priced.
    ///
    /// Errors: those of [`inkset_layout::impose`].
    pub fn impose(
        &self,
        (job, card): (&Job, &RateCard),
        (class, section): (&SectionChoice, &Section),
    ) -> Result<Imposition, LayoutError> {
        let imposition = impose(
            self.margins(card),
            (self.sheet, class.style, class.up),
            (section, &class.format),
            self.sheet.turning(job.product.grain_along_height()),
        )?;
        Ok(match struck_out(job, card, self.part) {
            Some(_) => imposition.struck_out(),
            None => imposition,
        })
    }
}

/// `press large, sheet 900 × 640 mm, 16 pages sheetwise 1 up`.
impl fmt::Display for PartChoice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, sheet {}", self.press, self.sheet.size)?;
        if self.sheet.per_parent > 1 {
            write!(f, " ({} from {})", self.sheet.per_parent, self.parent)?;
        }
        if self.reel.is_some() {
            write!(f, " off the reel")?;
        }
        for section in &self.sections {
            let (pages, style) = (section.pages, section.style.name());
            write!(f, ", {pages} pp {style} {} up", section.up)?;
        }
        if let Some(further) = &self.further {
            write!(f, ", {further}")?;
        }
        if let Some(versions) = in_words(self.version_layouts()) {
            write!(f, ", {versions}")?;
        }
        if let Some(kept) = &self.kept {
            write!(f, ", {kept}")?;
        }
        Ok(())
    }
}

/// `4 versions side by side on one layout`, `4 versions one after the other`, `7 versions on 3 layouts`.
fn in_words(layouts: &[VersionLayout]) -> Option<String> {
    let versions: usize = layouts.iter().map(|layout| layout.versions.len()).sum();
    Some(match layouts.len() {
        0 => return None,
        1 => format!("{versions} versions side by side"),
        n if n == versions => format!("{versions} versions one after the other"),
        n => format!("{versions} versions on {n} layouts"),
    })
}

/// Sections of one size and how they are printed.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionChoice {
    /// Pages of each section.
    pub pages: u32,
    /// Number of such sections in a copy.
    pub count: u32,
    /// Work style.
    pub style: WorkStyle,
    /// Sections from one printed press sheet.
    pub up: u32,
    /// How each lies unfolded.
    pub format: Format,
    /// The sections with their pages.
    pub sections: Vec<Section>,
    /// How many of them change from version to version.
    pub changing: u32,
    /// How the versions of the job lie on the sheets of a section that changes with them; none without versions. Their
    /// good sheets are those before operations on sheets and press spoil some.
    pub layouts: Vec<VersionLayout>,
    /// Every run of every section, in printing order.
    pub runs: Vec<RunChoice>,
}

/// One run through the press.
#[derive(Debug, Clone, PartialEq)]
pub struct RunChoice {
    /// Number of the section among those of its size, from 0.
    pub section: usize,
    /// Index of the press on the card.
    pub press_index: usize,
    /// What is printed.
    pub side: FormSide,
    /// Inks hung.
    pub inks: Vec<InkId>,
    /// Whether plates are mounted for it.
    pub makes_ready: bool,
    /// Good sheets that the run has to leave.
    pub good_sheets: u64,
    /// Sheets run at speed: good ones and those spoiled.
    pub running_sheets: u64,
    /// Sheets of make-ready.
    pub make_ready_sheets: u64,
    /// Whether the plates of another part stay on for it, and only the paper and `changes` plates are changed.
    pub kept: bool,
    /// Plates changed at each stop between versions, or with the paper where `kept`.
    pub changes: u32,
    /// Stops for changing plates between versions.
    pub stops: u32,
    /// Sheets spoilt at these stops.
    pub changing_sheets: u64,
    /// Inks of the front and the back on a digital press, which prints both in one pass; 0 on a press with plates.
    pub clicked: [u32; 2],
}

impl RunChoice {
    /// Sheets that go into the run.
    pub fn sheets_in(&self) -> u64 {
        self.running_sheets + self.make_ready_sheets + self.changing_sheets
    }
}

/// The next cheapest way.
#[derive(Debug, Clone, PartialEq)]
pub struct RunnerUp {
    /// The part that is printed otherwise, and how.
    pub choice: PartChoice,
    /// Total of the job with it.
    pub total: Money,
}
