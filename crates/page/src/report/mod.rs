//! The report of a job: one page that a decision can be taken from.

mod choice;
mod colours;
mod money;
mod notes;
mod offers;
mod opening;
mod options;
mod sheets;
mod tags;

pub(crate) use colours::{dots_text, loupe_label};

use inkset_colour::{LabD50, Neighbour};
use inkset_layout::Imposition;
use inkset_plan::{Alone, Conditions, Rendering, Row, Verdict};
use inkset_report::{Document, PriceReport, PricedOption, WeighReport, money_text, seen_as};
use inkset_units::Money;
use maud::{Markup, html};

use crate::shell::Shell;

/// Most quantities side by side in one table.
const MOST_COLUMNS: usize = 3;

/// Everything that the page shows.
pub struct PageReport<'a> {
    /// Options, prices, price tags.
    pub weigh: &'a WeighReport<'a>,
    /// What the colours were judged on.
    pub conditions: &'a Conditions<'a>,
    /// Price of 1,000 copies by quantity, for the options worth showing.
    pub curves: Vec<PriceCurve>,
    /// Every row of the plan for itself: its best build, its own ink.
    pub alone: Vec<Alone>,
    /// For each row of the plan, colours that are reached; empty unless its build misses.
    pub near: Vec<Vec<Neighbour>>,
    /// How the recommended options lie on their sheets.
    pub sheets: Vec<SheetChoice>,
    /// Suppliers' offers side by side, if any are given.
    pub offers: Option<&'a Document>,
}

/// Price of an option over many quantities.
pub struct PriceCurve {
    /// Index into the options.
    pub option: usize,
    /// Copies and price per 1,000, ascending by copies.
    pub points: Vec<(u64, Money)>,
}

/// How one part of recommended options is laid out.
pub struct SheetChoice {
    /// Index into the job's parts.
    pub part: usize,
    /// Quantities at which it is printed so.
    pub quantities: Vec<u64>,
    /// Press, sheet, work style, number up.
    pub text: String,
    /// Where the sections lie, as far as known.
    pub placed: Vec<PlacedSections>,
}

/// Sections of one size on their press sheet.
pub struct PlacedSections {
    /// Pages of each section.
    pub pages: u32,
    /// One of them, as often as it fits.
    pub imposition: Imposition,
}

/// The whole file.
pub fn report_page(report: &PageReport<'_>) -> String {
    let job = report.price().plan.job;
    let body = html! {
        a class="skip" href="#choice" { "To the choice" }
        header { (opening::opening(report)) }
        main {
            (choice::choice(report))
            (colours::colours(report))
            (money::money(report))
            (offers::offers(report.offers))
            (sheets::sheets(report))
            (notes::notes(report))
        }
        footer { (notes::footer()) }
    };
    Shell {
        title: &job.title,
        body,
    }
    .into_text()
}

impl<'a> PageReport<'a> {
    fn price(&self) -> &'a PriceReport<'a> {
        self.weigh.price
    }

    fn rows(&self) -> &'a [Row] {
        &self.price().plan.plan.rows
    }

    fn options(&self) -> &'a [PricedOption<'a>] {
        &self.price().options
    }

    fn code(&self) -> &'static str {
        self.price().currency().code()
    }

    fn money(&self, amount: Money) -> String {
        money_text(amount, self.price().currency())
    }

    /// Number by which an option goes in tables and charts.
    fn number_of(&self, option: usize) -> Option<usize> {
        let mut shown = self.price().shown();
        shown.position(|(at, _)| at == option).map(|at| at + 1)
    }

    /// Whether an option is recommended at a quantity.
    fn is_best(&self, option: usize, quantity: usize) -> bool {
        self.price().best[quantity] == option
    }

    /// Indices of the smallest and the largest quantity.
    fn told_quantities(&self) -> Vec<usize> {
        let count = self.price().quantities.len();
        let mut told = vec![0, count.saturating_sub(1)];
        told.dedup();
        told
    }

    /// Indices of the quantities, table by table: at most three columns, because a telephone is narrow, and as many in each.
    fn quantity_tables(&self) -> Vec<Vec<usize>> {
        let all: Vec<usize> = (0..self.price().quantities.len()).collect();
        let tables = all.len().div_ceil(MOST_COLUMNS).max(1);
        let columns = all.len().div_ceil(tables).max(1);
        all.chunks(columns).map(<[usize]>::to_vec).collect()
    }

    fn paper(&self, row: &Row) -> LabD50 {
        self.conditions.of_parts[row.parts[0]].paper()
    }

    /// How a row is printed: out of process inks, with an extended ink, from a solid or effect.
    fn ways(&self, row: usize) -> Vec<Way<'_>> {
        let alone = &self.alone[row];
        let of_kind = |kind: WayKind| {
            let rendering = match kind {
                WayKind::Process => alone.build.as_ref(),
                WayKind::Extended => self.in_sets(row, kind),
                WayKind::Solid => self.in_sets(row, kind).or(alone.own_ink.as_ref()),
            };
            rendering.map(|rendering| Way { kind, rendering })
        };
        WayKind::ALL.into_iter().filter_map(of_kind).collect()
    }

    /// The best rendering of a kind in the sets, those suggested first.
    fn in_sets(&self, row: usize, kind: WayKind) -> Option<&'a Rendering> {
        let suggested = self.price().best.iter().map(|&at| self.options()[at].set);
        let all = suggested.chain(&self.price().plan.plan.sets);
        let of_kind = all.map(|set| &set.renderings[row]).filter(|r| kind.is(r));
        of_kind.reduce(|best, next| {
            let better = (next.verdict, next.delta_e) < (best.verdict, best.delta_e);
            if better { next } else { best }
        })
    }
}

/// One way to print a colour.
struct Way<'a> {
    kind: WayKind,
    rendering: &'a Rendering,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum WayKind {
    Process,
    Extended,
    Solid,
}

impl WayKind {
    const ALL: [Self; 3] = [Self::Process, Self::Extended, Self::Solid];

    fn is(self, rendering: &Rendering) -> bool {
        let own = rendering.solid.is_some() || rendering.kind == inkset_plan::RenderingKind::Effect;
        match self {
            Self::Process => !own && rendering.extended.is_empty() && rendering.lab.is_some(),
            Self::Extended => !own && !rendering.extended.is_empty(),
            Self::Solid => own,
        }
    }

    fn title(self) -> &'static str {
        match self {
            Self::Process => "Process inks",
            Self::Extended => "With an extended ink",
            Self::Solid => "Own ink",
        }
    }
}

/// `holds` and so on, with what it means.
fn verdict_words(rendering: &Rendering, tolerance: f64) -> String {
    match rendering.verdict {
        Verdict::Holds => "holds on press".to_owned(),
        Verdict::Drifts => format!(
            "drifts: right at the aim, but not within {tolerance:.1} on 95\u{a0}% of sheets"
        ),
        Verdict::Misses => format!("misses: {}", seen_as(rendering.delta_e)),
    }
}

/// `holds`, `drifts`, `misses` with a sign that is told apart in grey.
fn verdict_mark(verdict: Verdict) -> Markup {
    let class = verdict.word();
    html! { span class={ "verdict " (class) } { (class) } }
}

/// The number of an option as it stands in tables.
fn option_badge(number: usize, recommended: bool) -> Markup {
    html! {
        span class={ "number" @if recommended { " best" } } { (number) }
    }
}
