//! What is wrong between actuals and the rate card that they are held against.

use super::Actuals;
use crate::read::{BUILT_IN, known_names, shown};
use crate::{FileRole, Given, Notice, RateCard, codes};

/// Checks that presses and operations of the actuals are on the card; places are those of the actuals' file.
pub fn check_actuals(actuals: &Actuals, card: &RateCard) -> Vec<Notice> {
    let mut notices = Vec::new();
    let presses: Vec<&str> = card.presses.iter().map(|p| p.name.value.as_str()).collect();
    let further = card.finishing.further.iter().map(|o| o.name.value.as_str());
    let operations: Vec<&str> = BUILT_IN.into_iter().chain(further).collect();
    for job in &actuals.jobs {
        let named = job.presses.iter().map(|press| &press.press);
        notices.extend(
            named.filter_map(|name| unknown(name, &presses, ("press", codes::UNKNOWN_PRESS))),
        );
        let named = job.operations.iter().map(|operation| &operation.operation);
        notices.extend(named.filter_map(|name| {
            unknown(name, &operations, ("operation", codes::UNKNOWN_OPERATION))
        }));
    }
    notices
}

fn unknown(
    name: &Given<String>,
    known: &[&str],
    (what, code): (&str, &'static str),
) -> Option<Notice> {
    let wanted = name.to_lowercase();
    if known.iter().any(|known| known.to_lowercase() == wanted) {
        return None;
    }
    let message = format!("the rate card has no {what} `{}`", shown(name));
    let notice = Notice::error(FileRole::Actuals, code, message).at(name.place);
    Some(notice.hint(known_names(name, known.iter().copied())))
}
