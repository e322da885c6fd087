//! Proposed rates as lines for a rate card: a TOML text of its own, each table named as the card names it.

use std::fmt::Write as _;

use inkset_actuals::{Group, InkEntry, Proposal, RateKey, Subject};

use super::{LearnReport, kept, plain};

/// Longest line of a comment.
const WIDTH: usize = 78;

/// The rates that differ from the card; those that nothing speaks against stand in comments.
///
/// With `ranges`, each is written `{ low = , typical = , high = }`, so that prices carry the uncertainty.
pub fn learn_toml(report: &LearnReport<'_>, ranges: Ranges) -> String {
    let mut text = String::new();
    let jobs = if report.jobs == 1 { "job" } else { "jobs" };
    comment(
        &mut text,
        &format!(
            "Rates that {} finished {jobs} speak for. Replace the keys of the tables of the same name \
             in `{}`; every other key of a table stays as it is.",
            report.jobs, report.card_file
        ),
    );
    if report.proposals().all(|(group, _)| group.stays()) {
        comment(&mut text, "Nothing speaks for a change.");
    }
    spoilage(&mut text, report, ranges);
    let groups = &report.learned.groups;
    for of_subject in groups.chunk_by(|a, b| a.subject == b.subject) {
        if of_subject[0].subject != Subject::Card {
            table(&mut text, report, (of_subject, ranges));
        }
    }
    text
}

/// Whether rates are written as ranges.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ranges {
    /// Single values.
    No,
    /// Low, typical and high.
    Yes,
}

fn comment(text: &mut String, sentence: &str) {
    let mut line = "#".to_owned();
    for word in sentence.split(' ') {
        if line.len() + 1 + word.len() > WIDTH {
            writeln!(text, "{line}").expect("memory takes every line");
            "#".clone_into(&mut line);
        }
        line.push(' ');
        line.push_str(word);
    }
    writeln!(text, "{line}").expect("memory takes every line");
}

fn header(report: &LearnReport<'_>, subject: &Subject) -> String {
    let quoted = |name: &str| format!("name = {}", quoted(name));
    match subject {
        Subject::Press(press) => {
            let name = &report.card.presses[*press].name.value;
            format!("[[press]]\n{}", quoted(name))
        }
        Subject::Card => String::new(),
        Subject::Ink(InkEntry::Process) => "[ink.process]".to_owned(),
        Subject::Ink(InkEntry::Solid) => "[ink.solid]".to_owned(),
        Subject::Ink(InkEntry::Effect(word)) => format!("[ink.{word}]"),
        Subject::Ink(InkEntry::Named(name)) => format!("[[ink.named]]\n{}", quoted(name)),
        Subject::Operation(name) => {
            let mut further = report.card.finishing.further.iter();
            if further.any(|operation| operation.name.value == *name) {
                format!("[[operation]]\n{}", quoted(name))
            } else {
                format!("[finishing.{name}]")
            }
        }
    }
}

/// A TOML text: names may hold quotation marks and backslashes.
fn quoted(name: &str) -> String {
    let escaped: String = name
        .chars()
        .flat_map(|c| match c {
            '"' | '\\' => vec!['\\', c],
            c => vec![c],
        })
        .collect();
    format!("\"{escaped}\"")
}

/// What a proposal rests on.
fn because(group: &Group, proposal: &Proposal) -> String {
    let [low, high] = proposal.interval;
    let unit = proposal.rate.unit();
    format!(
        "from {} jobs, nine times in ten within {} to {} {unit}; the card has {}",
        kept(group),
        plain(low),
        plain(high),
        plain(proposal.card)
    )
}

fn value(proposal: &Proposal, ranges: Ranges) -> String {
    let [low, high] = proposal.interval;
    match ranges {
        Ranges::No => plain(proposal.proposed),
        Ranges::Yes => format!(
            "{{ low = {}, typical = {}, high = {} }}",
            plain(low),
            plain(proposal.proposed),
            plain(high)
        ),
    }
}

fn table(text: &mut String, report: &LearnReport<'_>, (groups, ranges): (&[Group], Ranges)) {
    let subject = &groups[0].subject;
    if !report.has(subject) {
        return;
    }
    let all = || {
        groups
            .iter()
            .flat_map(|g| g.proposals.iter().map(move |p| (g, p)))
    };
    let changes = !groups.iter().all(Group::stays);
    text.push('\n');
    if changes {
        writeln!(text, "{}", header(report, subject)).expect("memory takes every line");
    } else {
        comment(text, &format!("{}:", report.subject(subject)));
    }
    for (group, proposal) in all().filter(|(_, p)| !matches!(p.rate, RateKey::Speed(_))) {
        let key = proposal.rate.key();
        if group.stays() {
            let keep = because(group, proposal);
            comment(text, &format!("{key} stays: {keep}, which lies within"));
        } else {
            comment(text, &because(group, proposal));
            writeln!(text, "{key} = {}", value(proposal, ranges)).expect("memory takes every line");
        }
    }
    if let Subject::Press(press) = subject {
        let speeds = report.card.presses[*press].speeds.iter();
        let steps: Vec<_> = speeds.map(|s| (s.up_to, s.sheets_per_hour.value)).collect();
        let found: Vec<_> = all().collect();
        let keys = ("speeds", "sheets_per_hour");
        steps_of(text, (&steps, keys), (&found, ranges));
    }
}

fn spoilage(text: &mut String, report: &LearnReport<'_>, ranges: Ranges) {
    let steps = report.card.run_spoilage.steps.iter();
    let steps: Vec<_> = steps.map(|s| (s.up_to, s.percent.percent())).collect();
    let of_card = report
        .proposals()
        .filter(|(g, _)| g.subject == Subject::Card);
    let found: Vec<_> = of_card.collect();
    if !found.is_empty() {
        text.push('\n');
        steps_of(
            text,
            (&steps, ("run_spoilage", "percent")),
            (&found, ranges),
        );
    }
}

/// Where a step of a table ends, and its rate.
type Step = (Option<u64>, f64);

/// A table by run length, written whole: steps without a proposal keep the card's value.
fn steps_of(
    text: &mut String,
    (steps, (list, key)): (&[Step], (&str, &str)),
    (found, ranges): (&[(&Group, &Proposal)], Ranges),
) {
    let of = |at: usize| {
        found.iter().find(|(_, proposal)| {
            matches!(proposal.rate, RateKey::Speed(step) | RateKey::RunSpoilage(step) if step == at)
        })
    };
    let mut lines = String::new();
    let mut changes = false;
    for (at, (up_to, card)) in steps.iter().enumerate() {
        let up_to = up_to.map_or_else(String::new, |end| format!("up_to = {end}, "));
        let (rate, why) = match of(at) {
            None => (plain(*card), "no proposal".to_owned()),
            Some((group, proposal)) if group.stays() => {
                let keep = because(group, proposal);
                (plain(*card), format!("{keep}, which lies within"))
            }
            Some((group, proposal)) => {
                changes = true;
                (value(proposal, ranges), because(group, proposal))
            }
        };
        let mut about = String::new();
        comment(&mut about, &why);
        for line in about.lines() {
            writeln!(lines, "  {line}").expect("memory takes every line");
        }
        writeln!(lines, "  {{ {up_to}{key} = {rate} }},").expect("memory takes every line");
    }
    if changes {
        write!(text, "{list} = [\n{lines}]\n").expect("memory takes every line");
    } else if (0..steps.len()).any(|at| of(at).is_some()) {
        comment(
            text,
            &format!("{list} stay as they are: the card's values lie within what was measured."),
        );
    }
}
