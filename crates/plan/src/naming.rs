//! Names of ink sets that hang the same inks and print some colour otherwise.

use crate::{ExtendedInk, PlannedSet, Rendering, Row};

/// Most colours that a name tells apart.
const MOST_TOLD: usize = 2;

/// Gives every set a name of its own. The first of several keeps the plain one; the others say which colour they print
/// otherwise than it, and how.
pub(crate) fn tell_apart(sets: &mut [PlannedSet], rows: &[Row], extended: &[ExtendedInk]) {
    let plain: Vec<String> = sets.iter().map(|set| set.name.clone()).collect();
    for at in 0..sets.len() {
        let first = plain.iter().position(|name| *name == plain[at]);
        let Some(first) = first.filter(|first| *first < at) else {
            continue;
        };
        let pair = [at, first].map(|set| sets[set].renderings.as_slice());
        let told = otherwise(rows, pair, extended);
        let wanted = format!("{}, with {told}", plain[at]);
        let taken = |name: &str| sets[..at].iter().any(|set| set.name == name);
        let numbered = (2..).map(|n| format!("{wanted} ({n})"));
        let mut names = std::iter::once(wanted.clone()).chain(numbered);
        let name = names.find(|name| !taken(name));
        sets[at].name = name.unwrap_or(wanted);
    }
}

/// `Hawthorn red (cover) as build`: rows printed otherwise than in another set.
fn otherwise(rows: &[Row], [own, other]: [&[Rendering]; 2], extended: &[ExtendedInk]) -> String {
    let pairs = rows.iter().zip(own.iter().zip(other));
    let differing = pairs.filter(|(_, (own, other))| own.tones() != other.tones());
    let told = differing.take(MOST_TOLD).map(|(row, (own, other))| {
        let tones = if own.kind == other.kind {
            tones(own, extended)
        } else {
            String::new()
        };
        format!("{} as {}{tones}", row.name, own.kind.word())
    });
    let told: Vec<String> = told.collect();
    told.join(" and ")
}

/// ` M100 Y91 K15 green 29`, and of one solid ` 40 %`.
fn tones(rendering: &Rendering, extended: &[ExtendedInk]) -> String {
    let process = ["C", "M", "Y", "K"].iter().zip(rendering.process);
    let process = process.filter(|(_, tone)| *tone > 0);
    let process = process.map(|(letter, tone)| format!(" {letter}{tone}"));
    let further = rendering.extended.iter();
    let further = further.map(|(ink, tone)| format!(" {} {tone}", extended[*ink].name));
    let solid = rendering.solid.iter().map(|(_, tone)| format!(" {tone} %"));
    process.chain(further).chain(solid).collect()
}
