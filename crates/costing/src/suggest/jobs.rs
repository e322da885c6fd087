//! Moves that change the job: its parts, its papers, its size.

use inkset_layout::{PageInks, PartInks, PrintPlan};
use inkset_spec::{Given, Job, PaperPrice, Part, ProductKind, RateCard, Role, Stock};
use inkset_units::{Millimetres, Size};
use rayon::prelude::*;

use super::{Move, Tried, totals};
use crate::pricer::Pricer;

/// Largest cut of the trimmed size that is tried, mm an edge.
const MOST_TRIM_MM: u32 = 5;
/// Farthest weight of another paper that is tried, percent.
const NEAR_WEIGHT: f64 = 20.0;
/// Pages of a cover: the first two and the last two of the whole.
const COVER_PAGES: u32 = 4;

struct Changed {
    change: Move,
    job: Job,
    plan: PrintPlan,
}

/// Moves to another job with the inks of this plan, priced at these quantities.
pub(super) fn tried(
    (job, card): (&Job, &RateCard),
    plan: &PrintPlan,
    quantities: &[u64],
) -> Vec<Tried> {
    let same_inks = |(change, job)| Changed {
        change,
        job,
        plan: plan.clone(),
    };
    let mut changed: Vec<Changed> = ganged(job, plan).into_iter().collect();
    changed.extend(other_papers(job, card).into_iter().map(same_inks));
    changed.extend(smaller_sizes(job).map(same_inks));
    let price = |changed: Changed| {
        let pricer = Pricer::new(&changed.job, card).ok()?;
        let totals = totals(&pricer.prepare(&changed.plan).ok()?, quantities).ok()?;
        Some(Tried {
            change: changed.change,
            totals,
        })
    };
    changed.into_par_iter().filter_map(price).collect()
}

/// A cover of four pages on the paper of the text, printed with it as one part.
///
/// Not where a finish or a way to print is meant for one of the two, because the other would get it too.
fn ganged(job: &Job, plan: &PrintPlan) -> Option<Changed> {
    let [cover, text] = &job.parts[..] else {
        return None;
    };
    let stitched = job.product.kind.value == ProductKind::SaddleStitched;
    let both_bound = [cover, text]
        .iter()
        .all(|part| part.role.value != Role::LooseInsert);
    let alike = cover.stock.value == text.stock.value && cover.bleed.value == text.bleed.value;
    let of_one_part = job.finishes.iter().any(|finish| finish.part.is_some());
    let same_finish = !of_one_part && job.printing.is_empty();
    if !(stitched && both_bound && cover.pages.value == COVER_PAGES && alike && same_finish) {
        return None;
    }
    let more = text.pages.value;
    let part = Part {
        pages: Given::assumed(more + COVER_PAGES),
        ..text.clone()
    };
    let moved = |page: &PageInks, by: u32| PageInks {
        page: page.page + by,
        inks: page.inks.clone(),
    };
    let behind = |page: &PageInks| if page.page > COVER_PAGES / 2 { more } else { 0 };
    let cover = plan.parts[0]
        .pages
        .iter()
        .map(|page| moved(page, behind(page)));
    let text = plan.parts[1]
        .pages
        .iter()
        .map(|page| moved(page, COVER_PAGES / 2));
    let mut pages: Vec<PageInks> = cover.chain(text).collect();
    pages.sort_by_key(|page| page.page);
    Some(Changed {
        change: Move::Gang { parts: [0, 1] },
        job: Job {
            parts: vec![part],
            ..job.clone()
        },
        plan: PrintPlan {
            inks: plan.inks.clone(),
            parts: vec![PartInks { pages }],
        },
    })
}

/// Every part on every paper of the same surface and about the same weight that the printer buys.
///
/// Not the leaves of sets, whose papers differ by their place in the set.
fn other_papers(job: &Job, card: &RateCard) -> Vec<(Move, Job)> {
    let mut all = Vec::new();
    if job.product.kind.value == ProductKind::Set {
        return all;
    }
    for (n, part) in job.parts.iter().enumerate() {
        let own = card
            .stocks
            .iter()
            .find(|s| s.name.value == part.stock.value);
        let Some(own) = own else {
            continue;
        };
        for stock in card.stocks.iter().filter(|stock| is_like(stock, own)) {
            let mut changed = job.clone();
            changed.parts[n].stock = Given::assumed(stock.name.value.clone());
            let stock = stock.name.value.clone();
            all.push((Move::Paper { part: n, stock }, changed));
        }
    }
    all
}

fn is_like(stock: &Stock, own: &Stock) -> bool {
    let bought = |s: &Stock| !matches!(s.price.value, PaperPrice::Supplied { .. });
    let ratio = stock.gsm.value.value() / own.gsm.value.value();
    let near = (ratio - 1.0).abs() * 100.0 <= NEAR_WEIGHT;
    let another = stock.name.value != own.name.value;
    another && stock.kind.value == own.kind.value && near && bought(stock) && bought(own)
}

/// Up to five millimetres off width, height or both.
fn smaller_sizes(job: &Job) -> impl Iterator<Item = (Move, Job)> {
    let cuts = (1..=MOST_TRIM_MM).flat_map(|mm| [[mm, 0], [0, mm], [mm, mm]]);
    cuts.filter_map(|off| {
        let trim = job.product.trim.value;
        let less = |edge: Millimetres, by: u32| edge.mm() - f64::from(by);
        let size = Size::from_mm(less(trim.width, off[0]), less(trim.height, off[1]))?;
        let mut changed = job.clone();
        changed.product.trim = Given::assumed(size);
        Some((Move::Trim { off }, changed))
    })
}
