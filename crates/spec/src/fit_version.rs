//! Checks the versions of a job against the rate card.

use crate::fit_queue::ink_names;
use crate::read::known_names;
use crate::{FileRole, Given, Job, Notice, Press, RateCard, codes};

pub(crate) fn versions(job: &Job, card: &RateCard) -> Vec<Notice> {
    if job.versions.is_empty() {
        return Vec::new();
    }
    let inks = job.parts.iter().flat_map(|part| &part.version_inks);
    let mut notices = unknown_inks((job, card), inks, "version_inks");
    notices.extend(card.presses.iter().filter_map(plate_change));
    notices
}

/// Inks of a key that the job cannot print.
pub(crate) fn unknown_inks<'a>(
    (job, card): (&Job, &RateCard),
    inks: impl Iterator<Item = &'a Given<String>>,
    key: &str,
) -> Vec<Notice> {
    let known = ink_names(job, card);
    let same = |one: &str, other: &str| one.to_lowercase() == other.to_lowercase();
    let is_unknown = |name: &&Given<String>| !known.iter().any(|own| same(own, &name.value));
    let unknown = inks.filter(is_unknown);
    unknown
        .map(|name| {
            let message = format!("`{}` of `{key}` is no ink of the job", name.value);
            let hint = known_names(name, known.iter().copied());
            let notice = Notice::error(FileRole::Job, codes::UNKNOWN_INK, message);
            notice.at(name.place).hint(hint)
        })
        .collect()
}

/// What is taken for plate changes where the card does not say it.
pub(crate) fn plate_change(press: &Press) -> Option<Notice> {
    let (minutes, sheets) = (&press.plate_change_minutes, &press.plate_change_sheets);
    let told = press.digital.is_some() || minutes.place.is_some() && sheets.place.is_some();
    if told {
        return None;
    }
    let message = format!(
        "press `{}`: plate changes between versions or papers take {} minutes a plate and {} sheets a stop; what is not given is as for a further ink in make-ready",
        press.name.value, minutes.value, sheets.value
    );
    let notice = Notice::assumption(FileRole::Rates, codes::ASSUMED_PLATE_CHANGE, message);
    Some(notice.at(press.name.place))
}
