//! What is wrong between offers and the job that they are for.

use std::collections::BTreeMap;

use super::{MOST_OFFERS, Offer};
use crate::read::{known_names, shown};
use crate::{FileRole, Given, Job, Notice, RateCard, codes};

/// Checks that all offers are for the job, name its colours or extended inks of the card, and come from different suppliers.
///
/// Each notice comes with the index of the offer that it is about; places are those of that offer's file.
pub fn check_offers(job: &Job, card: &RateCard, offers: &[Offer]) -> Vec<(usize, Notice)> {
    let mut notices = Vec::new();
    if offers.len() > MOST_OFFERS {
        let message = format!(
            "there are {} offers; at most {MOST_OFFERS} are compared",
            offers.len()
        );
        let notice = Notice::error(FileRole::Offer, codes::TOO_MANY_OFFERS, message);
        return vec![(MOST_OFFERS, notice)];
    }
    for (at, offer) in offers.iter().enumerate() {
        let told = other_job(job, offer)
            .into_iter()
            .chain(unknown_solids((job, card), offer));
        notices.extend(told.map(|notice| (at, notice)));
    }
    notices.extend(same_suppliers(offers));
    notices
}

fn plain(text: &str) -> String {
    let words: Vec<String> = text.split_whitespace().map(str::to_lowercase).collect();
    words.join(" ")
}

fn other_job(job: &Job, offer: &Offer) -> Option<Notice> {
    if plain(&offer.job.value) == plain(&job.title) {
        return None;
    }
    let message = format!(
        "the offer is for `{}`, the job is `{}`",
        shown(&offer.job.value),
        shown(&job.title)
    );
    let hint = "take it out, or write the job's title once it is certain that it is meant";
    let notice = Notice::error(FileRole::Offer, codes::OTHER_JOB, message);
    Some(notice.at(offer.job.place).hint(hint))
}

fn unknown_solids((job, card): (&Job, &RateCard), offer: &Offer) -> Vec<Notice> {
    let colours = || job.colours.iter().map(|c| c.name.value.as_str());
    let extended = || card.inks.extended.iter().map(|ink| ink.name.value.as_str());
    let notice = |solid: &Given<String>| {
        let is = |name: &str| name.to_lowercase() == solid.value.to_lowercase();
        let name = shown(&solid.value);
        let (message, hint) = match (colours().any(is), extended().any(is)) {
            (true, false) | (false, true) => return None,
            (true, true) => (
                format!("`{name}` is a colour of the job and an extended ink of the rate card too"),
                "give one of the two another name".to_owned(),
            ),
            (false, false) if card.inks.extended.is_empty() => (
                format!("the job has no colour `{name}`"),
                known_names(&solid.value, colours()),
            ),
            (false, false) => (
                format!("neither the job has a colour nor the rate card an extended ink `{name}`"),
                known_names(&solid.value, colours().chain(extended())),
            ),
        };
        let notice = Notice::error(FileRole::Offer, codes::UNKNOWN_SOLID, message);
        Some(notice.at(solid.place).hint(hint))
    };
    let solids = offer.options.iter().flat_map(|option| &option.solids);
    solids.filter_map(notice).collect()
}

fn same_suppliers(offers: &[Offer]) -> Vec<(usize, Notice)> {
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let mut notices = Vec::new();
    for (at, offer) in offers.iter().enumerate() {
        if let Some(first) = seen.insert(plain(&offer.supplier.value), at) {
            let of = |at: usize| {
                let number = offers[at].number.as_deref().unwrap_or("without number");
                format!("{number} of {}", offers[at].date.value)
            };
            let message = format!(
                "two offers come from `{}`: {} and {}",
                shown(&offer.supplier.value),
                of(first),
                of(at)
            );
            let hint = "compare the one that holds; to compare both, tell them apart in `supplier`";
            let notice = Notice::error(FileRole::Offer, codes::SAME_SUPPLIER, message);
            notices.push((at, notice.at(offer.supplier.place).hint(hint)));
        }
    }
    notices
}
