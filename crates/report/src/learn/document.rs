//! What actuals teach, for people.

use inkset_actuals::{Group, Measure, Subject};

use super::{LearnReport, kept, plain};
use crate::document::{Cell, Column, Document, Table};
use crate::figures::grouped;

/// The comparison, the proposed rates, what is set aside.
pub fn learn_document(report: &LearnReport<'_>) -> Document {
    let mut document = Document::default();
    let jobs = if report.jobs == 1 { "job" } else { "jobs" };
    document.heading(format!("Estimated against actual: {} {jobs}", report.jobs));
    document.text(format!(
        "Rate card: {} of {}, `{}`.",
        report.card.title, report.card.date.value, report.card_file
    ));
    for groups in by_subject(report) {
        document.table(ratios(report, groups));
    }
    document.text(
        "Ratio: actual by estimated, each job counted once; jobs left out are told below. Mean: where \
         the mean of ever more such jobs lies, nine times in ten. Next job: where one more such job lies, \
         nine times in ten. To 2\u{a0}000 and the like: by sheets of the run.",
    );
    document.heading("Rates that follow");
    if report.proposals().next().is_none() {
        document.text("None: too few jobs, or too uncertain.");
    }
    for groups in by_subject(report) {
        document.table(rates(report, groups));
    }
    document.heading("Set aside, and what does not suffice");
    let remarks = report.remarks();
    if remarks.is_empty() {
        document.text("Nothing.");
    }
    document.list(remarks);
    document.heading("Mind");
    document.list(vec![
        "nothing is changed: `--proposed` prints the lines for the rate card, a person decides"
            .to_owned(),
        "one rate in ten lies outside its interval by chance; a new crew or paper makes more"
            .to_owned(),
    ]);
    document
}

/// Groups of the same subject, in order.
fn by_subject<'r>(report: &'r LearnReport<'_>) -> impl Iterator<Item = &'r [Group]> {
    let groups = &report.learned.groups;
    groups.chunk_by(|a, b| a.subject == b.subject)
}

fn interval([low, high]: [f64; 2]) -> Cell {
    Cell::text(format!("{low:.2}–{high:.2}"))
}

fn ratios(report: &LearnReport<'_>, groups: &[Group]) -> Table {
    let mut table = Table::new(vec![
        Column::words(report.subject(&groups[0].subject)),
        Column::figures("Jobs"),
        Column::figures("Estimated"),
        Column::figures("Actual"),
        Column::figures("Ratio"),
        Column::figures("Mean"),
        Column::figures("Next job"),
    ]);
    for group in groups {
        let decimals = decimals(group);
        let mut cells = vec![
            Cell::text(report.measure((&group.subject, group.measure))),
            Cell::Count(kept(group) as u64),
            sum(group.estimated, decimals),
            sum(group.actual, decimals),
        ];
        cells.extend(match group.ratio {
            None => [Cell::Empty, Cell::Empty, Cell::Empty],
            Some(ratio) => [
                Cell::Number(ratio.mean, 2),
                interval(ratio.interval),
                interval(ratio.next_job),
            ],
        });
        table.row(cells);
    }
    table
}

fn decimals(group: &Group) -> usize {
    match group.measure {
        Measure::Ink => 2,
        Measure::MakeReadySheets
        | Measure::Sheets
        | Measure::Spoilage(_)
        | Measure::OperationSpoilage => 0,
        _ => 1,
    }
}

fn sum(value: f64, decimals: usize) -> Cell {
    Cell::text(grouped(&format!("{value:.decimals$}")))
}

fn rates(report: &LearnReport<'_>, groups: &[Group]) -> Table {
    let mut table = Table::new(vec![
        Column::words(report.subject(&groups[0].subject)),
        Column::figures("On the card"),
        Column::figures("Proposed"),
        Column::figures("9 of 10 within"),
        Column::figures("Jobs"),
    ]);
    for (group, proposal) in groups
        .iter()
        .flat_map(|g| g.proposals.iter().map(move |p| (g, p)))
    {
        let [low, high] = proposal.interval;
        let proposed = if group.stays() {
            format!("keep ({})", plain(proposal.proposed))
        } else {
            plain(proposal.proposed)
        };
        table.row(vec![
            Cell::text(report.rate(&group.subject, proposal.rate)),
            Cell::text(plain(proposal.card)),
            Cell::text(proposed),
            Cell::text(format!("{}–{}", plain(low), plain(high))),
            Cell::Count(kept(group) as u64),
        ]);
    }
    table
}

impl LearnReport<'_> {
    /// Whether a press is among the subjects.
    pub(super) fn has(&self, subject: &Subject) -> bool {
        self.proposals().any(|(group, _)| group.subject == *subject)
    }
}
