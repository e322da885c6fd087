//! Reads which parts of a set are printed from the plates of another, and checks that they can be.

use super::job::known_names;
use super::pages::numbered_pages;
use super::version::names;
use super::{TableReader, shown};
use crate::{Given, Job, Part, ProductKind, codes};

/// The part whose plates stay on, and what is changed all the same.
pub(crate) struct Kept {
    pub(crate) of: Option<Given<String>>,
    pub(crate) inks: Vec<Given<String>>,
    pub(crate) pages: Vec<u32>,
}

/// Reads it for a part; `None` of one that could not be read itself.
pub(crate) fn kept(
    table: &TableReader<'_>,
    part: Option<&Part>,
    kind: Option<ProductKind>,
) -> Option<Kept> {
    let [of, inks, pages] =
        ["plates_of", "changed_inks", "changed_pages"].map(|key| table.optional(key));
    let is_other = kind.is_some_and(|kind| kind != ProductKind::Set);
    if let Some(of) = of.as_ref().filter(|_| is_other) {
        let message = format!("{} is given for a product that is no set", of.subject());
        let hint =
            "only the leaves of a `set` carry one image on several papers; leave the key out";
        return of.refuse(codes::KEY_OF_OTHER_KIND, message, hint);
    }
    let alone = [
        (inks.as_ref().filter(|_| of.is_none()), "plates_of"),
        (pages.as_ref().filter(|_| inks.is_none()), "changed_inks"),
    ];
    for (value, wanted) in alone {
        if let Some(value) = value {
            let message = format!("{} is given without `{wanted}`", value.subject());
            let hint = format!("write `{wanted}`, or leave the key out");
            return value.refuse(codes::UNFIT_KEY, message, hint);
        }
    }
    let of = match of {
        Some(of) => Some(of.text()?),
        None => None,
    };
    let inks = match inks {
        Some(inks) => names(&inks)?,
        None => Vec::new(),
    };
    let last = part?.pages.value;
    let pages = match pages {
        Some(pages) => numbered_pages(&pages, (&part?.name, last))?,
        None if inks.is_empty() => Vec::new(),
        None => (1..=last).collect(),
    };
    Some(Kept { of, inks, pages })
}

/// Refuses parts that cannot be printed from the plates of the part that they name.
pub(crate) fn check(root: &TableReader<'_>, job: &Job) -> Option<()> {
    let mut right = Some(());
    for (at, part) in job.parts.iter().enumerate() {
        let Some(of) = &part.plates_of else { continue };
        let named = job.plates_of(at).map(|other| &job.parts[other]);
        let (code, message, hint) = match named {
            None => {
                let message = format!(
                    "`plates_of` of part `{}` is `{}`, which the job does not have",
                    part.name.value,
                    shown(&of.value)
                );
                let names = job.parts.iter().map(|part| part.name.value.as_str());
                let names = names.filter(|name| *name != part.name.value);
                (codes::UNKNOWN_PART, message, known_names(&of.value, names))
            }
            Some(other) => match fault(part, other) {
                Some((message, hint)) => (codes::PLATES_OF, message, hint),
                None => continue,
            },
        };
        let notice = root.log().error(code, message);
        root.log().report(notice.at(of.place).hint(hint));
        right = None;
    }
    right
}

/// Why a part cannot be printed from the plates of another, and what to do.
fn fault(part: &Part, other: &Part) -> Option<(String, String)> {
    let (name, of) = (&part.name.value, &other.name.value);
    if part.name == other.name {
        let message = format!("part `{name}` names itself in `plates_of`");
        return Some((message, "name the part that is printed first".to_owned()));
    }
    if let Some(first) = &other.plates_of {
        let message = format!(
            "part `{name}` is to have the plates of `{of}`, which has those of `{}` itself",
            first.value
        );
        let hint = format!(
            "let one part have plates, and name it in all others: `plates_of = \"{}\"`",
            first.value
        );
        return Some((message, hint));
    }
    let [own, others] = [part, other].map(|part| part.bleed.value.mm());
    if (own - others).abs() > 1e-9 {
        let message = format!(
            "part `{name}` has {own} mm of bleed, `{of}`, whose plates it is to have, {others} mm"
        );
        return Some((message, "give both the same bleed".to_owned()));
    }
    let changing = [part, other]
        .into_iter()
        .find(|part| !part.version_inks.is_empty())?;
    let message = format!(
        "part `{name}` is to have the plates of `{of}`, but those of `{}` change from version to version",
        changing.name.value
    );
    let hint = "write `version_inks = []` for both, or leave `plates_of` out".to_owned();
    Some((message, hint))
}
