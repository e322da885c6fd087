//! What each solid costs, what a looser tolerance saves, what a budget buys.

use inkset_report::{
    Budget, Cell, Column, Looser, LooserWhy, SolidTags, Table, difference_text, tally,
};
use inkset_units::Money;
use maud::{Markup, html};

use super::PageReport;
use crate::table::table;
use crate::text::{copies, name};

/// The price tag of every solid, by quantity.
pub(super) fn tags(report: &PageReport<'_>) -> Markup {
    let tags = match &report.weigh.tags {
        Ok(tags) if !tags.is_empty() => tags,
        _ => return html! {},
    };
    html! {
        h3 { "What each further ink adds" }
        @for quantities in report.quantity_tables() {
            (table(&html! { "Price tag of each own ink, " (report.code()) }, &tag_table(report, tags, &quantities)))
        }
        p .fine {
            "A tag is the job with the ink less the job without it, averaged over every order in which the inks can join: so \
             inks that share a pass through the press share its cost, and the tags sum to the last line. A minus means that \
             the ink saves more process inks than it costs."
        }
        @for colour in &report.weigh.fixed {
            p .fine { (name(report.weigh.colour_name(*colour))) " is required and in every price." }
        }
    }
}

fn tag_table(report: &PageReport<'_>, tags: &[SolidTags], quantities: &[usize]) -> Table {
    let mut columns = vec![Column::words("Ink mixed for")];
    columns.extend(quantities.iter().map(|at| heading(report, *at)));
    let mut data = Table::new(columns);
    let difference = |amount| Cell::text(difference_text(amount, report.price().currency()));
    for tag in tags {
        let mut cells = vec![Cell::text(report.weigh.colour_name(tag.colour))];
        cells.extend(quantities.iter().map(|at| difference(tag.tags[*at].share)));
        data.row(cells);
    }
    let mut cells = vec![Cell::text("All of them")];
    let sum = |at: &usize| -> Money { tags.iter().map(|tag| tag.tags[*at].share).sum() };
    cells.extend(quantities.iter().map(|at| difference(sum(at))));
    data.total(cells);
    data
}

fn heading(report: &PageReport<'_>, quantity: usize) -> Column {
    Column::figures(copies(report.price().quantities[quantity]))
}

/// What less colour saves.
pub(super) fn looser(report: &PageReport<'_>) -> Markup {
    let saves = |looser: &&Looser| looser.prices.iter().any(|p| p.saved() > Money::ZERO);
    let saving: Vec<&Looser> = report.weigh.looser.iter().filter(saves).collect();
    if report.weigh.looser.is_empty() {
        return html! {};
    }
    html! {
        h3 { "What less colour saves" }
        @if saving.is_empty() {
            p { "Nothing: no looser tolerance of a single colour makes the job cheaper." }
        } @else {
            @for quantities in report.quantity_tables() {
                (table(
                    &html! { "Saved by accepting more in one colour, " (report.code()) },
                    &looser_table(report, &saving, &quantities),
                ))
            }
            p .fine {
                "ΔE00 is how far a copy may look from the colour wanted: up to 1 looks the same, up to 2 barely different, \
                 up to 3.5 different side by side, up to 6 plainly different."
            }
        }
    }
}

fn looser_table(report: &PageReport<'_>, saving: &[&Looser], quantities: &[usize]) -> Table {
    let mut columns = vec![Column::words("Accept"), Column::figures("ΔE00")];
    columns.extend(quantities.iter().map(|at| heading(report, *at)));
    let mut data = Table::new(columns);
    for looser in saving {
        let why = match looser.why {
            LooserWhy::OneMore => "",
            LooserWhy::FourInksHold => " from process inks alone",
        };
        let colour = report.weigh.colour_name(looser.colour);
        let mut cells = vec![
            Cell::text(format!("{colour}{why}")),
            Cell::text(format!("{:.2} for {:.2}", looser.to, looser.from)),
        ];
        let saved = quantities.iter().map(|at| looser.prices[*at].saved());
        cells.extend(saved.map(|saved| Cell::Money(saved, report.price().currency())));
        data.row(cells);
    }
    data
}

/// What the budget buys that was asked about.
pub(super) fn budget(report: &PageReport<'_>) -> Markup {
    let Some(budget) = &report.weigh.budget else {
        return html! {};
    };
    html! {
        h3 { "Within " (report.code()) "\u{a0}" (report.money(budget.limit)) }
        (table(&html! { "Best colour that the budget buys" }, &budget_table(report, budget)))
    }
}

fn budget_table(report: &PageReport<'_>, budget: &Budget) -> Table {
    let mut data = Table::new(vec![
        Column::words("Order"),
        Column::words("Ink set"),
        Column::figures(format!("Left, {}", report.code())),
    ]);
    for (at, best) in budget.best.iter().enumerate() {
        let order = Cell::text(copies(report.price().quantities[at]));
        let cells = match best {
            Some(option) => {
                let option = &report.options()[*option];
                let left = budget.limit - option.estimates[at].total;
                let text = format!("{} ({})", option.set.name, tally(option.set));
                vec![order, Cell::text(text), Cell::text(report.money(left))]
            }
            None => vec![order, Cell::text("nothing"), Cell::Empty],
        };
        data.row(cells);
    }
    data
}
