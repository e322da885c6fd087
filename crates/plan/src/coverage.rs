//! From renderings to ink on pages: what layout and costing need to know of the colours.

use std::collections::BTreeMap;

use inkset_layout::{InkId, InkKind, InkSpec, PageInks, PartInks, PrintPlan};
use inkset_spec::{Job, PROCESS_INKS};

use crate::{ExtendedInk, Rendering, Row};

/// An ink before it has a number: process inks first, then extended ones, then solids in the order of the job's colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Ink {
    Process(u8),
    Extended(usize),
    Of(usize),
}

/// Share of each page that each ink covers. Overlaps are not known from a job file: shares add up, to at most the page.
pub(crate) fn print_plan(
    job: &Job,
    (rows, renderings): (&[Row], &[Rendering]),
    always: &[usize],
    extended: &[ExtendedInk],
) -> PrintPlan {
    let mut pages: Vec<BTreeMap<u32, BTreeMap<Ink, f64>>> = vec![BTreeMap::new(); job.parts.len()];
    let mut add = |part: usize, page: u32, ink: Ink, share: f64| {
        if share > 0.0 {
            let covered = pages[part]
                .entry(page)
                .or_default()
                .entry(ink)
                .or_insert(0.0);
            *covered = (*covered + share).min(1.0);
        }
    };
    for (row, rendering) in rows.iter().zip(renderings) {
        for place in job.colours[row.colour]
            .uses
            .iter()
            .filter(|u| belongs(row, u.part, u.tint.percent()))
        {
            for &page in &place.pages {
                for (ink, tone) in inks_of(rendering) {
                    add(place.part, page, ink, place.coverage.fraction() * tone);
                }
            }
        }
    }
    for picture in &job.pictures {
        for &page in &picture.pages {
            for (ink, share) in (0..4).zip(picture.inks.value) {
                add(
                    picture.part,
                    page,
                    Ink::Process(ink),
                    picture.area.fraction() * share,
                );
            }
        }
    }
    numbered((job, extended), &pages, always)
}

fn belongs(row: &Row, part: usize, tone: f64) -> bool {
    row.parts.contains(&part) && row.tone.total_cmp(&tone).is_eq()
}

fn inks_of(rendering: &Rendering) -> Vec<(Ink, f64)> {
    let process = (0..4)
        .zip(rendering.process)
        .map(|(ink, tone)| (Ink::Process(ink), f64::from(tone) / 100.0));
    let extended = rendering.extended.iter();
    let extended = extended.map(|(ink, tone)| (Ink::Extended(*ink), f64::from(*tone) / 100.0));
    let solids = [rendering.solid, rendering.second_solid]
        .into_iter()
        .flatten();
    let solids = solids.map(|(colour, tone)| (Ink::Of(colour), tone / 100.0));
    process
        .filter(|(_, tone)| *tone > 0.0)
        .chain(extended)
        .chain(solids)
        .collect()
}

fn numbered(
    named: (&Job, &[ExtendedInk]),
    pages: &[BTreeMap<u32, BTreeMap<Ink, f64>>],
    always: &[usize],
) -> PrintPlan {
    let mut inks: Vec<Ink> = pages
        .iter()
        .flat_map(BTreeMap::values)
        .flat_map(BTreeMap::keys)
        .copied()
        .collect();
    inks.extend(always.iter().map(|&colour| Ink::Of(colour)));
    inks.sort_unstable();
    inks.dedup();
    let id = |ink: &Ink| {
        InkId(
            inks.binary_search(ink)
                .expect("every ink on a page is listed") as u16,
        )
    };
    let parts = pages
        .iter()
        .map(|of_part| PartInks {
            pages: of_part
                .iter()
                .map(|(&page, shares)| PageInks {
                    page,
                    inks: shares
                        .iter()
                        .map(|(ink, share)| (id(ink), *share))
                        .collect(),
                })
                .collect(),
        })
        .collect();
    PrintPlan {
        inks: inks.iter().map(|ink| spec(named, *ink)).collect(),
        parts,
    }
}

fn spec((job, extended): (&Job, &[ExtendedInk]), ink: Ink) -> InkSpec {
    match ink {
        Ink::Process(at) => InkSpec {
            name: PROCESS_INKS[usize::from(at)].to_owned(),
            kind: InkKind::Process(at),
            named_rate: None,
        },
        Ink::Extended(at) => InkSpec {
            name: extended[at].name.clone(),
            kind: InkKind::Extended(at as u8),
            named_rate: Some(extended[at].name.clone()),
        },
        Ink::Of(colour) => {
            let colour = &job.colours[colour];
            InkSpec {
                name: colour.name.value.clone(),
                kind: colour
                    .effect
                    .map_or(InkKind::Solid, |effect| InkKind::Effect(effect.value)),
                named_rate: colour.ink.as_ref().map(|name| name.value.clone()),
            }
        }
    }
}

/// Whether `one` prints no more of any ink on any page than `other`.
pub(crate) fn no_more_ink(one: &PrintPlan, other: &PrintPlan) -> bool {
    inks_compare(one, other, |share, other_share| share <= other_share)
}

/// Whether `one` prints on every page only inks that `other` prints there.
pub(crate) fn no_further_ink(one: &PrintPlan, other: &PrintPlan) -> bool {
    inks_compare(one, other, |_, _| true)
}

/// Whether every ink on every page of `one` is on that page of `other`, with shares that compare so.
fn inks_compare(one: &PrintPlan, other: &PrintPlan, compare: fn(f64, f64) -> bool) -> bool {
    one.parts.iter().zip(&other.parts).all(|(a, b)| {
        a.pages.iter().all(|page| {
            page.inks.iter().all(|(id, share)| {
                b.on_page(page.page).iter().any(|(other_id, other_share)| {
                    other.ink(*other_id) == one.ink(*id) && compare(*share, *other_share)
                })
            })
        })
    })
}
