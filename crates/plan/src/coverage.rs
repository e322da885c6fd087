//! From renderings to ink on pages: what layout and costing need to know of the colours.

use std::collections::BTreeMap;

use inkset_layout::{InkId, InkKind, InkOrigin, InkShare, InkSpec, PageInks, PartInks, PrintPlan};
use inkset_spec::{Job, PROCESS_INKS};

use crate::{ExtendedInk, Rendering, Row};

/// An ink before it has a number: process inks first, then extended ones, then solids in the order of the job's colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Ink {
    Process(u8),
    Extended(usize),
    Of(usize),
}

/// Ink that a colour or a picture puts on a page.
struct Share {
    part: usize,
    page: u32,
    ink: Ink,
    origin: InkOrigin,
    area: f64,
    tone: f64,
}

/// Share of each page that each ink covers. Overlaps are not known from a job file: shares add up, to at most the page.
pub(crate) fn print_plan(
    job: &Job,
    (rows, renderings): (&[Row], &[Rendering]),
    always: &[usize],
    extended: &[ExtendedInk],
) -> PrintPlan {
    let mut pages: Vec<BTreeMap<u32, BTreeMap<Ink, f64>>> = vec![BTreeMap::new(); job.parts.len()];
    each_share(job, (rows, renderings), |share| {
        let covered = pages[share.part]
            .entry(share.page)
            .or_default()
            .entry(share.ink)
            .or_insert(0.0);
        *covered = (*covered + share.area * share.tone).min(1.0);
    });
    numbered((job, extended), &pages, always)
}

/// What each ink of a set covers on each page, colour by colour and picture by picture.
pub(crate) fn ink_shares(
    job: &Job,
    (rows, renderings): (&[Row], &[Rendering]),
    (print, extended): (&PrintPlan, &[String]),
) -> Vec<InkShare> {
    let mut shares = Vec::new();
    each_share(job, (rows, renderings), |share| {
        let name = match share.ink {
            Ink::Process(at) => PROCESS_INKS[usize::from(at)],
            Ink::Extended(at) => extended[at].as_str(),
            Ink::Of(colour) => job.colours[colour].name.value.as_str(),
        };
        let is_process = matches!(share.ink, Ink::Process(_) | Ink::Extended(_));
        let mut inks = print.inks.iter();
        let found = inks.position(|ink| ink.name == name && ink.kind.is_process() == is_process);
        shares.extend(found.map(|ink| InkShare {
            part: share.part,
            page: share.page,
            ink: InkId(ink as u16),
            origin: share.origin,
            area: share.area,
            tone: share.tone,
        }));
    });
    shares
}

fn each_share(job: &Job, (rows, renderings): (&[Row], &[Rendering]), mut take: impl FnMut(Share)) {
    for (row, rendering) in rows.iter().zip(renderings) {
        let places = job.colours[row.colour].uses.iter().enumerate();
        for (at, place) in places.filter(|(_, u)| belongs(row, u.part, u.tint.percent())) {
            let inks = inks_of(rendering);
            for (&page, (ink, tone)) in pairs(&place.pages, &inks) {
                let share = Share {
                    part: place.part,
                    page,
                    ink: *ink,
                    origin: InkOrigin::Use(row.colour, at),
                    area: place.coverage.fraction(),
                    tone: *tone,
                };
                if share.area * share.tone > 0.0 {
                    take(share);
                }
            }
        }
    }
    for (at, picture) in job.pictures.iter().enumerate() {
        let inks: Vec<(u8, f64)> = (0..4).zip(picture.inks.value).collect();
        for (&page, (ink, tone)) in pairs(&picture.pages, &inks) {
            let share = Share {
                part: picture.part,
                page,
                ink: Ink::Process(*ink),
                origin: InkOrigin::Picture(at),
                area: picture.area.fraction(),
                tone: *tone,
            };
            if share.area * share.tone > 0.0 {
                take(share);
            }
        }
    }
}

/// Every page with every ink, page by page.
fn pairs<'a, A, B>(pages: &'a [A], inks: &'a [B]) -> impl Iterator<Item = (&'a A, &'a B)> {
    pages
        .iter()
        .flat_map(move |page| inks.iter().map(move |ink| (page, ink)))
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
