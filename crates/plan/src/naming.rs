//! Names of ink sets that hang the same inks and print some colour otherwise.

use crate::{PlannedSet, Rendering, Row};

/// Most colours that a name tells apart.
const MOST_TOLD: usize = 2;

/// Gives every set a name of its own. The first of several keeps the plain one; the others say which colour they print
/// otherwise than it, and how.
pub(crate) fn tell_apart(sets: &mut [PlannedSet], rows: &[Row]) {
    let plain: Vec<String> = sets.iter().map(|set| set.name.clone()).collect();
    for at in 0..sets.len() {
        let first = plain.iter().position(|name| *name == plain[at]);
        let Some(first) = first.filter(|first| *first < at) else {
            continue;
        };
        let told = otherwise(rows, &sets[at].renderings, &sets[first].renderings);
        let wanted = format!("{}, with {told}", plain[at]);
        let taken = |name: &str| sets[..at].iter().any(|set| set.name == name);
        let numbered = (2..).map(|n| format!("{wanted} ({n})"));
        let mut names = std::iter::once(wanted.clone()).chain(numbered);
        let name = names.find(|name| !taken(name));
        sets[at].name = name.unwrap_or(wanted);
    }
}

/// `Hawthorn red (cover) as build`: rows printed otherwise than in another set.
fn otherwise(rows: &[Row], own: &[Rendering], other: &[Rendering]) -> String {
    let way = |r: &Rendering| (r.process, r.solid, r.second_solid, r.extended.clone());
    let pairs = rows.iter().zip(own.iter().zip(other));
    let differing = pairs.filter(|(_, (own, other))| way(own) != way(other));
    let told = differing.take(MOST_TOLD).map(|(row, (own, other))| {
        let tones = if own.kind == other.kind {
            tones(own)
        } else {
            String::new()
        };
        format!("{} as {}{tones}", row.name, own.kind.word())
    });
    let told: Vec<String> = told.collect();
    told.join(" and ")
}

/// ` M100 Y91 K15`.
fn tones(rendering: &Rendering) -> String {
    let tones = ["C", "M", "Y", "K"].iter().zip(rendering.process);
    let tones = tones.filter(|(_, tone)| *tone > 0);
    let words: Vec<String> = tones
        .map(|(letter, tone)| format!(" {letter}{tone}"))
        .collect();
    words.concat()
}
