//! Where the money goes: a bar for each option, cut into stages.

use inkset_costing::{Estimate, Stage};
use inkset_units::Money;
use maud::{Markup, html};

use super::{WIDTH, drawn};
use crate::svg::{Fill, badge, fills, text_width, words};
use crate::text::number;

/// Stages that are shown as one, each with the letter and the name that it goes by.
pub(crate) const GROUPS: [(char, &str); 8] = [
    ('A', "paper"),
    ('B', "plates and proofs"),
    ('C', "make-ready and wash-up"),
    ('D', "press run"),
    ('E', "ink and coating"),
    ('F', "cutting, folding, finishing"),
    ('G', "packing and carriage"),
    ('H', "profit and rounding"),
];

/// Index into [`GROUPS`]; every stage has one, so that the groups add up to the total.
const fn group_of(stage: Stage) -> usize {
    match stage {
        Stage::Paper => 0,
        Stage::Plates | Stage::Proofs => 1,
        Stage::MakeReady | Stage::WashUp => 2,
        Stage::Clicks | Stage::Press => 3,
        Stage::Ink | Stage::Coating => 4,
        Stage::Cutting
        | Stage::Finishing
        | Stage::Folding
        | Stage::Stitching
        | Stage::Gathering
        | Stage::Sewing
        | Stage::Binding
        | Stage::Inserting
        | Stage::Collating
        | Stage::Padding => 5,
        Stage::Packing | Stage::Carriage => 6,
        Stage::Profit | Stage::Rounding | Stage::ByHand => 7,
    }
}

/// One bar.
#[derive(Debug, Clone)]
pub(crate) struct StageBar {
    /// Number of the option in the tables.
    pub(crate) option: usize,
    /// Recommended at this quantity.
    pub(crate) recommended: bool,
    /// One for each of [`GROUPS`].
    pub(crate) amounts: Vec<Money>,
    /// The total, as it is written.
    pub(crate) total: String,
}

/// Amounts of an estimate, group by group; they sum to its total.
pub(crate) fn group_amounts(estimate: &Estimate) -> Vec<Money> {
    let of = |group: usize| {
        let lines = estimate.lines.iter();
        let lines = lines.filter(|line| group_of(line.stage) == group);
        lines.map(|line| line.amount).sum()
    };
    (0..GROUPS.len()).map(of).collect()
}

const BAR: f64 = 26.0;
const STEP: f64 = 36.0;
const LEFT: f64 = 30.0;

/// Draws the bars under one scale; `id` names the patterns within the page.
pub(crate) fn stage_bars(id: &str, bars: &[StageBar], label: &str) -> Markup {
    let widest_total = bars.iter().map(|bar| text_width(&bar.total));
    let right = widest_total.fold(0.0, f64::max) + 10.0;
    let longest = bars.iter().map(length).fold(1e-6, f64::max);
    let scale = (WIDTH - LEFT - right) / longest;
    let height = STEP * bars.len() as f64;
    html! {
        svg class="chart" viewBox={ "0 0 " (number(WIDTH)) " " (number(height)) } role="img" aria-label=(label) {
            (fills(id, (0..GROUPS.len()).map(Fill)))
            @for (at, bar) in bars.iter().enumerate() {
                (one_bar(id, bar, (STEP * at as f64 + 4.0, scale)))
            }
        }
    }
}

/// What is taken off cannot be a length; the table tells it.
fn length(bar: &StageBar) -> f64 {
    bar.amounts
        .iter()
        .map(|amount| drawn(*amount).max(0.0))
        .sum()
}

fn one_bar(id: &str, bar: &StageBar, (top, scale): (f64, f64)) -> Markup {
    let mut pieces = Vec::new();
    let mut x = LEFT;
    for (group, amount) in bar.amounts.iter().enumerate() {
        let width = drawn(*amount).max(0.0) * scale;
        if width > 0.0 {
            pieces.push((group, x, width));
        }
        x += width;
    }
    html! {
        (badge((11.0, top + BAR / 2.0), bar.option, bar.recommended))
        @for (group, x, width) in &pieces {
            rect class="piece" style=(Fill(*group).paint(id)) x=(number(*x)) y=(number(top)) width=(number(*width))
                height=(number(BAR)) {}
            @if *width >= 17.0 {
                circle class="behind" cx=(number(x + width / 2.0)) cy=(number(top + BAR / 2.0)) r="8" {}
                (words("middle", (x + width / 2.0, top + BAR / 2.0 + 4.2), &GROUPS[*group].0.to_string()))
            }
        }
        (words("", (x + 6.0, top + BAR / 2.0 + 4.2), &bar.total))
    }
}

/// The fill of a group, for the table that explains the letters.
pub(crate) fn stage_key(id: &str, group: usize) -> Markup {
    html! {
        svg class="key" viewBox="0 0 18 12" aria-hidden="true" {
            (fills(id, std::iter::once(Fill(group))))
            rect class="piece" style=(Fill(group).paint(id)) width="18" height="12" {}
        }
    }
}
