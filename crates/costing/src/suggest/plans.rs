//! Moves that change which ink is printed where.

use std::collections::BTreeSet;

use inkset_layout::{InkId, InkKind, InkSpec, PageInks, PartInks, PrintPlan, schemes};
use inkset_spec::Job;
use rayon::prelude::*;

use super::{Move, Tried, totals};
use crate::pricer::Pricer;

/// Forms tried for each plan with fewer inks; those with most of the pages that carry the inks come first.
const MOST_FORMS: usize = 64;

/// Place of black among the process inks.
const BLACK: InkKind = InkKind::Process(3);

/// Moves from one plan towards another, priced at these quantities.
pub(super) fn tried(
    (job, pricer): (&Job, &Pricer<'_>),
    (plans, which): (&[&PrintPlan], usize),
    quantities: &[u64],
) -> Vec<Tried> {
    let mut changed = other_forms((job, pricer), (plans, which));
    changed.extend(without_black(plans, which));
    let price = |(change, plan): &(Move, PrintPlan)| {
        let totals = totals(&pricer.prepare(plan).ok()?, quantities).ok()?;
        Some(Tried {
            change: change.clone(),
            totals,
        })
    };
    changed.par_iter().filter_map(price).collect()
}

/// For every plan with fewer further inks: those inks on one form, or on one part, and all else as in that plan.
fn other_forms(
    (job, pricer): (&Job, &Pricer<'_>),
    (plans, which): (&[&PrintPlan], usize),
) -> Vec<(Move, PrintPlan)> {
    let plan = plans[which];
    let own = further_inks(plan);
    let sides = sides(job, pricer);
    let mut all = Vec::new();
    for (instead, other) in plans.iter().enumerate() {
        let others = further_inks(other);
        if others == own || !others.is_subset(&own) {
            continue;
        }
        let inks: Vec<String> = own.difference(&others).map(|n| (*n).to_owned()).collect();
        for (part, pages) in worth_keeping(&pages_with(plan, &inks), &sides) {
            let keeps = |p: usize, page: u32| p == part && pages.contains(&page);
            let mixed = mixed(plan, other, keeps);
            let inks = inks.clone();
            all.push((
                Move::OneForm {
                    part,
                    pages,
                    inks,
                    instead,
                },
                mixed,
            ));
        }
    }
    all
}

/// Names of the inks of a plan beyond the process inks that are printed somewhere.
fn further_inks(plan: &PrintPlan) -> BTreeSet<&str> {
    let printed = printed(plan);
    let further = plan.inks.iter().filter(|ink| !ink.kind.is_process());
    let names = further.map(|ink| ink.name.as_str());
    names.filter(|name| printed.contains(name)).collect()
}

fn printed(plan: &PrintPlan) -> BTreeSet<&str> {
    let pages = plan.parts.iter().flat_map(|part| &part.pages);
    let ids = pages.flat_map(|page| page.inks.iter().map(|(id, _)| *id));
    ids.map(|id| plan.ink(id).name.as_str()).collect()
}

/// Part and page of every page that carries one of these inks.
fn pages_with(plan: &PrintPlan, inks: &[String]) -> Vec<(usize, u32)> {
    let is_one = |id: &InkId| inks.contains(&plan.ink(*id).name);
    let parts = plan.parts.iter().enumerate();
    parts
        .flat_map(|(part, of_part)| of_part.pages.iter().map(move |page| (part, page)))
        .filter(|(_, page)| {
            page.inks
                .iter()
                .any(|(id, share)| *share > 0.0 && is_one(id))
        })
        .map(|(part, page)| (part, page.page))
        .collect()
}

/// Pages that may share a form: each side of each section of each division, and the whole of each part; no two alike.
fn sides(job: &Job, pricer: &Pricer<'_>) -> BTreeSet<(usize, Vec<u32>)> {
    let mut all = BTreeSet::new();
    for (n, part) in job.parts.iter().enumerate() {
        all.insert((n, (1..=part.pages.value).collect::<Vec<u32>>()));
        for scheme in schemes(job, pricer.card, part) {
            for section in scheme.classes.iter().flat_map(|class| &class.sections) {
                all.insert((n, section.outer.clone()));
                all.insert((n, section.inner.clone()));
            }
        }
    }
    all
}

/// The pages of each side that carry the inks, where not all of those that do lie on it; most pages first.
fn worth_keeping(
    carrying: &[(usize, u32)],
    sides: &BTreeSet<(usize, Vec<u32>)>,
) -> Vec<(usize, Vec<u32>)> {
    let on_side = |(part, pages): &(usize, Vec<u32>)| {
        let on = carrying
            .iter()
            .filter(|(p, page)| p == part && pages.contains(page));
        (*part, on.map(|(_, page)| *page).collect::<Vec<u32>>())
    };
    let kept: BTreeSet<_> = sides.iter().map(on_side).collect();
    let some = |(_, pages): &(usize, Vec<u32>)| (1..carrying.len()).contains(&pages.len());
    let mut kept: Vec<_> = kept.into_iter().filter(some).collect();
    kept.sort_by_key(|(_, pages)| std::cmp::Reverse(pages.len()));
    kept.truncate(MOST_FORMS);
    kept
}

/// Some pages of one plan, all others of another.
fn mixed(one: &PrintPlan, other: &PrintPlan, keeps: impl Fn(usize, u32) -> bool) -> PrintPlan {
    let mut inks = one.inks.clone();
    let mut id_of = |ink: &InkSpec| {
        let at = inks.iter().position(|known| known == ink);
        let at = at.unwrap_or_else(|| {
            inks.push(ink.clone());
            inks.len() - 1
        });
        InkId(at as u16)
    };
    let ids: Vec<InkId> = other.inks.iter().map(&mut id_of).collect();
    let renumbered = |page: &PageInks| {
        let inks = page.inks.iter();
        PageInks {
            page: page.page,
            inks: inks
                .map(|(id, share)| (ids[usize::from(id.0)], *share))
                .collect(),
        }
    };
    let part = |(n, (a, b)): (usize, (&PartInks, &PartInks))| {
        let kept = a.pages.iter().filter(|page| keeps(n, page.page)).cloned();
        let changed = b
            .pages
            .iter()
            .filter(|page| !keeps(n, page.page))
            .map(renumbered);
        let mut pages: Vec<PageInks> = kept.chain(changed).collect();
        pages.sort_by_key(|page| page.page);
        PartInks { pages }
    };
    let parts = one
        .parts
        .iter()
        .zip(&other.parts)
        .enumerate()
        .map(part)
        .collect();
    PrintPlan { inks, parts }
}

/// The plan of the same inks without process black, where there is one.
fn without_black(plans: &[&PrintPlan], which: usize) -> Option<(Move, PrintPlan)> {
    let black = plans[which].inks.iter().find(|ink| ink.kind == BLACK)?;
    let mut wanted = printed(plans[which]);
    wanted.remove(black.name.as_str()).then_some(())?;
    let instead = plans.iter().position(|plan| printed(plan) == wanted)?;
    Some((Move::WithoutBlack { instead }, plans[instead].clone()))
}
