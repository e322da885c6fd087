//! Checks what a job says of the presses before and after it against the rate card.

use crate::fit::unknown_press;
use crate::read::known_names;
use crate::{FileRole, Given, Job, Notice, PROCESS_INKS, Press, Queue, RateCard, codes};

pub(crate) fn queues(job: &Job, card: &RateCard) -> Vec<Notice> {
    let notices = job.queue.iter().map(|queue| {
        let press = card.presses.iter();
        let mut press = press.filter(|press| same(&press.name.value, &queue.press.value));
        match press.next() {
            None => {
                let subject = format!(
                    "the job has a queue for press `{}`, which",
                    queue.press.value
                );
                vec![unknown_press(&subject, &queue.press, card)]
            }
            Some(press) => {
                let mut notices: Vec<Notice> = beyond_units(queue, press).into_iter().collect();
                notices.extend(unknown_inks(job, card, queue));
                notices
            }
        }
    });
    notices.flatten().collect()
}

fn same(one: &str, other: &str) -> bool {
    one.to_lowercase() == other.to_lowercase()
}

fn beyond_units(queue: &Queue, press: &Press) -> Option<Notice> {
    let units = press.units.value as usize;
    let (message, hint) = if press.digital.is_some() {
        let message = format!(
            "press `{}` of a queue is digital and has no units on which inks hang",
            press.name.value
        );
        (message, "take the queue out".to_owned())
    } else {
        let most = queue.before.len().max(queue.after.len());
        if most <= units {
            return None;
        }
        let message = format!(
            "the queue hangs {most} inks on press `{}`, which has {units} units",
            press.name.value
        );
        (message, format!("list at most {units} inks"))
    };
    let notice = Notice::error(FileRole::Job, codes::QUEUE_BEYOND_UNITS, message);
    Some(notice.at(queue.press.place).hint(hint))
}

/// Names by which inks of the job go: process inks, its colours, entries of the card; some may be there twice.
pub(crate) fn ink_names<'n>(job: &'n Job, card: &'n RateCard) -> Vec<&'n str> {
    let colours = job.colours.iter().map(|colour| colour.name.value.as_str());
    let named = card.inks.named.iter().map(|(name, _)| name.value.as_str());
    PROCESS_INKS
        .into_iter()
        .chain(colours)
        .chain(named)
        .collect()
}

/// What stays for the next job must hang there before or be an ink that this job may print.
fn unknown_inks(job: &Job, card: &RateCard, queue: &Queue) -> Vec<Notice> {
    let before = queue.before.iter().map(|name| name.value.as_str());
    // Every press may have the process inks on its units.
    let mut known = ink_names(job, card);
    known.extend(before);
    let mut names = Vec::new();
    known.retain(|name| {
        let new = !names.contains(&name.to_lowercase());
        names.push(name.to_lowercase());
        new
    });
    let is_unknown = |name: &&Given<String>| !known.iter().any(|own| same(own, &name.value));
    let unknown = queue.after.iter().filter(is_unknown);
    unknown
        .map(|name| {
            let message = format!(
                "`{}` cannot stay on press `{}`: the job does not print it, and it does not hang there before",
                name.value, queue.press.value
            );
            let hint = known_names(name, known.iter().copied());
            let notice = Notice::error(FileRole::Job, codes::UNKNOWN_INK, message);
            notice.at(name.place).hint(hint)
        })
        .collect()
}
