//! Checks plates that stay on the press while the paper changes against the rate card.

use crate::fit_version::{plate_change, unknown_inks};
use crate::{FileRole, Given, Job, Notice, Press, RateCard, codes};

pub(crate) fn plates(job: &Job, card: &RateCard) -> Vec<Notice> {
    if job.parts.iter().all(|part| part.plates_of.is_none()) {
        return Vec::new();
    }
    let inks = job.parts.iter().flat_map(|part| &part.changed_inks);
    let mut notices = unknown_inks((job, card), inks.clone(), "changed_inks");
    notices.extend(card.presses.iter().filter_map(paper_change));
    // With versions it is told anyway.
    if inks.count() > 0 && job.versions.is_empty() {
        notices.extend(card.presses.iter().filter_map(plate_change));
    }
    notices
}

/// What is taken for a change of paper where the card does not say it.
fn paper_change(press: &Press) -> Option<Notice> {
    let (minutes, sheets) = (&press.paper_change_minutes, &press.paper_change_sheets);
    if press.digital.is_some() || minutes.is_some() && sheets.is_some() {
        return None;
    }
    let minutes = figure(minutes.as_ref(), "minutes");
    let sheets = figure(sheets.as_ref(), "sheets");
    let message = format!(
        "press `{}`: changing the paper while plates stay on takes {minutes} and {sheets}",
        press.name.value
    );
    let notice = Notice::assumption(FileRole::Rates, codes::ASSUMED_PAPER_CHANGE, message);
    Some(notice.at(press.name.place))
}

fn figure<T: std::fmt::Display>(given: Option<&Given<T>>, noun: &str) -> String {
    given.map_or_else(
        || format!("as many {noun} as making ready"),
        |given| format!("{} {noun}", given.value),
    )
}
