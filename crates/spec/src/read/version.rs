//! Reads the versions of a job, and which inks and pages of a part change with them.

use super::job::report_duplicate_names;
use super::pages::numbered_pages;
use super::{Limits, TableReader, Value};
use crate::{Given, Part, Version, VersionPortion, codes};

const COPIES: Limits = Limits::new(1.0, 10_000_000.0, "copies", "250");
/// Most versions of one job.
const MOST_VERSIONS: usize = 100;
/// How far shares may miss the whole before it is told: 33.3 % thrice is meant to be all.
const SHARE_SLACK: f64 = 0.002;

/// Whether the job has versions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Edition {
    Single,
    Versions,
}

impl Edition {
    pub(crate) fn of(root: &TableReader<'_>) -> Self {
        if root.has("version") {
            Self::Versions
        } else {
            Self::Single
        }
    }
}

pub(crate) fn versions(
    root: &TableReader<'_>,
    quantities: Option<&Vec<Given<u64>>>,
) -> Option<Vec<Version>> {
    let Some(listed) = root.optional("version") else {
        return Some(Vec::new());
    };
    let read: Vec<_> = listed.filled_list()?.iter().map(version).collect();
    let versions: Vec<Version> = read.into_iter().collect::<Option<_>>()?;
    report_duplicate_names(root, "versions", versions.iter().map(|v| v.name.clone()));
    let least = quantities.and_then(|q| q.first()).map(|q| q.value);
    match fault(&versions, least) {
        Some((message, hint)) => listed.refuse(codes::VERSION_PORTIONS, message, hint),
        None => Some(versions),
    }
}

fn version(entry: &Value<'_>) -> Option<Version> {
    let table = TableReader::of(entry, "a version")?;
    let name = table.name("name", "name = \"German\"");
    if let Some(name) = &name {
        table.call(format!("version `{}`", name.value));
    }
    let copies = table.if_given("copies", |v| v.count(COPIES));
    let share = table.optional("share");
    table.finish();
    let portion = match (copies.ok()?, share) {
        (None, None) => VersionPortion::Alike,
        (Some(copies), None) => VersionPortion::Copies(copies),
        (None, Some(value)) => {
            let share = value.coverage()?;
            if share.value.fraction() <= 0.0 {
                let message = format!("{} is 0: the version has no copies", value.subject());
                return value.refuse(codes::VERSION_PORTIONS, message, "leave the version out");
            }
            VersionPortion::Share(share)
        }
        (Some(_), Some(value)) => {
            let message = format!("{} is given together with `copies`", value.subject());
            return value.refuse(codes::UNFIT_KEY, message, "keep one of the two");
        }
    };
    Some(Version {
        name: name?,
        portion,
    })
}

/// What is wrong with the versions together, and what to do.
fn fault(versions: &[Version], least: Option<u64>) -> Option<(String, &'static str)> {
    let number = versions.len();
    if number < 2 {
        let hint = "write a `[[version]]` for each, or leave it out";
        return Some((
            "the job has one version; there are at least two".to_owned(),
            hint,
        ));
    }
    if number > MOST_VERSIONS {
        let message = format!("the job has {number} versions, at most {MOST_VERSIONS}");
        return Some((message, "divide them among several jobs"));
    }
    let (mut copies, mut shares) = (Vec::new(), Vec::new());
    for version in versions {
        match version.portion {
            VersionPortion::Alike => {}
            VersionPortion::Copies(own) => copies.push(own.value),
            VersionPortion::Share(share) => shares.push(share.value.fraction()),
        }
    }
    let all_alike = copies.is_empty() && shares.is_empty();
    if !all_alike && copies.len() != number && shares.len() != number {
        let message = format!(
            "of {number} versions {} give `copies`, {} give `share`",
            copies.len(),
            shares.len()
        );
        let hint =
            "give `copies` of all versions, or `share` of all, or neither: then all are alike";
        return Some((message, hint));
    }
    let (sum, share): (u64, f64) = (copies.iter().sum(), shares.iter().sum());
    if let Some(least) = least.filter(|least| !copies.is_empty() && *least != sum) {
        let message = format!("the versions add up to {sum} copies, the smallest order is {least}");
        let hint = "write how many copies of each make up the smallest order; larger orders keep the proportions";
        return Some((message, hint));
    }
    if !shares.is_empty() && (share - 1.0).abs() > SHARE_SLACK {
        let message = format!("the versions take {:.1} % of the copies", 100.0 * share);
        return Some((message, "shares add up to 1"));
    }
    if let Some(least) = least.filter(|least| (*least as usize) < number) {
        let message =
            format!("the job has {number} versions, the smallest order is {least} copies");
        return Some((message, "order at least one copy of each version"));
    }
    None
}

/// Inks of a part that change from version to version, and the pages on which they do.
pub(crate) struct Changing {
    pub(crate) inks: Vec<Given<String>>,
    pub(crate) pages: Vec<u32>,
}

/// Reads what changes on a part of this name and number of pages.
pub(crate) fn changing(
    table: &TableReader<'_>,
    (name, pages_of_part): (Option<&Given<String>>, Option<Given<u32>>),
    edition: Edition,
) -> Option<Changing> {
    let (inks, pages) = (
        table.optional("version_inks"),
        table.optional("version_pages"),
    );
    if edition == Edition::Single {
        for value in [inks, pages].into_iter().flatten() {
            let message = format!(
                "{} is given for a job without `[[version]]`",
                value.subject()
            );
            let hint = "write a `[[version]]` for each version, or leave the key out";
            value.refuse::<()>(codes::UNFIT_KEY, message, hint);
        }
        let none = Changing {
            inks: Vec::new(),
            pages: Vec::new(),
        };
        return Some(none);
    }
    let inks = inks.map_or_else(
        || Some(vec![assumed_ink(table, name)]),
        |value| names(&value),
    );
    // Without the pages of the part nothing can be said of those that change.
    let (last, name) = (pages_of_part?.value, name?);
    let pages = match pages {
        Some(value) => numbered_pages(&value, (name, last)),
        None => Some((1..=last).collect()),
    };
    Some(Changing {
        inks: inks?,
        pages: pages?,
    })
}

fn assumed_ink(table: &TableReader<'_>, part: Option<&Given<String>>) -> Given<String> {
    let name = part.map_or("", |name| name.value.as_str());
    let sentence =
        format!("no `version_inks` given for part `{name}`; its versions differ in black alone");
    table.assume("black".to_owned(), (codes::ASSUMED_VERSION_INKS, sentence))
}

pub(crate) fn names(value: &Value<'_>) -> Option<Vec<Given<String>>> {
    let read: Vec<Option<Given<String>>> = value.list()?.iter().map(Value::text).collect();
    read.into_iter().collect()
}

/// Refuses versions that do not differ.
pub(crate) fn check_difference(
    root: &TableReader<'_>,
    (versions, parts): (&[Version], &[Part]),
) -> Option<()> {
    let Some(first) = versions.first() else {
        return Some(());
    };
    if parts.iter().any(|part| !part.version_inks.is_empty()) {
        return Some(());
    }
    let message = "the job has versions, but no ink of any part changes with them";
    let notice = root.log().error(codes::VERSION_PORTIONS, message);
    let hint = "write `version_inks = [\"black\"]` for the part that changes";
    root.log().report(notice.at(first.name.place).hint(hint));
    None
}
