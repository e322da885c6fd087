//! The best plan is truly the best: against every way to print, tried one by one.
//!
//! This test reckons with nothing but `docs/costing.md`: its own pieces on a sheet, its own sections, forms and runs, its
//! own decimal lines. Of the crate under test it takes the totals only.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod further;
mod jobs;
mod plates;
mod price;
mod sections;
mod sheets;
#[path = "../support/mod.rs"]
mod support;
mod versions;
mod washing;
mod waste;
mod ways;

use std::collections::BTreeMap;

use inkset_costing::{Estimate, estimate};
use inkset_spec::ProductKind;
use jobs::{Dice, few_units, random_card, random_job, random_leaves, random_plan};
use plates::{add_plates, alike};
use versions::add_versions;
use ways::Shop;

/// The price of the crate under test beside the cheapest of all ways.
#[track_caller]
fn compare(shop: &Shop<'_>, found: &Estimate, case: &str) {
    let (job, card, plan) = (shop.job, shop.card, shop.plan);
    assert_eq!(
        found.total.amount(),
        shop.total(),
        "{case}: {job:?}\n{card:?}\n{plan:?}\n{found:?}"
    );
}

#[test]
fn no_way_is_cheaper_than_the_best() {
    let mut dice = Dice(2_026);
    let mut compared: BTreeMap<&str, u32> = BTreeMap::new();
    let mut sections: BTreeMap<u32, u32> = BTreeMap::new();
    let (mut digital, mut off_reels, mut apart) = (0, 0, 0);
    let (mut of_versions, mut of_plates) = (Dice(55), Dice(77));

    let mut layouts: BTreeMap<&str, u32> = BTreeMap::new();
    while compared.values().sum::<u32>() < 300 {
        let mut card = random_card(&mut dice);
        let mut job = random_job(&mut dice);
        add_versions(&mut of_versions, &mut job, &mut card);
        add_plates(&mut of_plates, &mut job, &mut card);
        let (card, job) = (card, job);
        let mut plan = random_plan(&mut dice, &job);
        alike(&mut of_plates, &job, &mut plan);
        let plan = plan;
        let quantity = dice.between(1, 20_000);
        let shop = Shop::new(&job, &card, &plan, quantity);
        let Ok(found) = estimate(&job, &card, &plan, quantity) else {
            assert!(
                (0..job.parts.len()).any(|part| shop.ways(part).is_empty()),
                "{job:?} {card:?}"
            );
            continue;
        };
        compare(&shop, &found, &format!("case {compared:?}"));
        *compared.entry(job.product.kind.value.word()).or_default() += 1;
        for part in &found.parts {
            let versions: usize = part
                .version_layouts()
                .iter()
                .map(|l| l.versions.len())
                .sum();
            let kind = match part.version_layouts().len() {
                0 => continue,
                1 => "together",
                n if n == versions => "one after the other",
                _ => "mixed",
            };
            *layouts.entry(kind).or_default() += 1;
        }
        digital += shop.cheapest_digital();
        off_reels += shop.cheapest_off_reels();
        apart += u32::from(job.product.allowances.gap.mm() > 0.0);
        for pages in shop.cheapest_sections() {
            *sections.entry(pages).or_default() += 1;
        }
    }
    for kind in ProductKind::ALL {
        let times = compared.get(kind.word()).copied().unwrap_or(0);
        assert!(times >= 20, "{kind:?}: {compared:?}");
    }
    // Parts for which a digital press was the cheapest, and by far not all of them.
    assert!((30..400).contains(&digital), "{digital}");
    // Versions lay together, followed one another, and both.
    for kind in ["together", "one after the other", "mixed"] {
        assert!(
            layouts.get(kind).is_some_and(|n| *n >= 5),
            "{kind}: {layouts:?}"
        );
    }
    // The same for reels, and jobs whose pieces lie apart.
    assert!((30..400).contains(&off_reels), "{off_reels}");
    assert!(apart >= 30, "{apart}");
    // Every size of signature was the cheapest somewhere.
    for pages in [2, 4, 6, 8, 12, 16, 24, 32] {
        assert!(sections.contains_key(&pages), "{pages}: {sections:?}");
    }
}

#[test]
fn plates_stay_on_where_that_is_cheapest() {
    let mut dice = Dice(4_711);
    let (mut compared, mut named, mut kept, mut changed) = (0, 0, 0, 0);
    while compared < 60 {
        let mut card = random_card(&mut dice);
        let mut job = random_leaves(&mut dice, ProductKind::Set);
        add_plates(&mut dice, &mut job, &mut card);
        let mut plan = random_plan(&mut dice, &job);
        alike(&mut dice, &job, &mut plan);
        let quantity = dice.between(1, 5_000);
        let Ok(found) = estimate(&job, &card, &plan, quantity) else {
            continue;
        };
        let shop = Shop::new(&job, &card, &plan, quantity);
        compare(&shop, &found, &format!("case {compared:?}"));
        compared += 1;
        let parts = 0..job.parts.len();
        named += parts.filter(|part| job.plates_of(*part).is_some()).count();
        kept += shop.cheapest_kept();
        let told = found.parts.iter().filter_map(|part| part.kept.as_ref());
        changed += told.filter(|kept| kept.changed > 0).count();
    }
    // Plates stayed on for some parts and not for others, some of them changed and all the same.
    assert!(kept >= 25 && named >= kept + 12, "{kept} of {named}");
    assert!(changed >= 10 && kept >= changed + 10, "{changed} of {kept}");
}

#[test]
fn a_further_press_prints_where_that_is_cheapest() {
    let mut dice = Dice(815);
    let (mut compared, mut parts, mut on_two) = (0, 0, 0);
    let mut passes: BTreeMap<u32, u32> = BTreeMap::new();
    while compared < 60 {
        let mut card = random_card(&mut dice);
        few_units(&mut dice, &mut card);
        let mut job = random_job(&mut dice);
        add_versions(&mut dice, &mut job, &mut card);
        let plan = random_plan(&mut dice, &job);
        let quantity = dice.between(1, 20_000);
        let Ok(found) = estimate(&job, &card, &plan, quantity) else {
            continue;
        };
        let shop = Shop::new(&job, &card, &plan, quantity);
        compare(&shop, &found, &format!("case {compared:?}"));
        compared += 1;
        parts += found.parts.len();
        on_two += shop.cheapest_on_two();
        for part in found.parts.iter().filter(|part| part.further.is_some()) {
            *passes.entry(part.passes).or_default() += 1;
        }
    }
    // Not seldom, and by far not always; in two passes and in more.
    assert!(on_two >= 10 && parts >= 2 * on_two, "{on_two} of {parts}");
    assert!(passes.len() >= 2, "{passes:?}");
}
