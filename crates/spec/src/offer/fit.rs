//! What is wrong between offers and the job that they are for.

use std::collections::BTreeMap;

use super::{MOST_OFFERS, Offer};
use crate::read::{known_names, shown};
use crate::{FileRole, Job, Notice, codes};

/// Checks that all offers are for the job, name its colours and come from different suppliers.
///
/// Each notice comes with the index of the offer that it is about; places are those of that offer's file.
pub fn check_offers(job: &Job, offers: &[Offer]) -> Vec<(usize, Notice)> {
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
            .chain(unknown_solids(job, offer));
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

fn unknown_solids(job: &Job, offer: &Offer) -> Vec<Notice> {
    let known = |name: &str| {
        let mut colours = job.colours.iter();
        colours.any(|c| c.name.value.eq_ignore_ascii_case(name))
    };
    let solids = offer.options.iter().flat_map(|option| &option.solids);
    let unknown = solids.filter(|solid| !known(&solid.value));
    unknown
        .map(|solid| {
            let message = format!("the job has no colour `{}`", shown(&solid.value));
            let names = job.colours.iter().map(|c| c.name.value.as_str());
            let notice = Notice::error(FileRole::Offer, codes::UNKNOWN_SOLID, message);
            notice
                .at(solid.place)
                .hint(known_names(&solid.value, names))
        })
        .collect()
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
