//! How parts become sections: every page once, whatever the product.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use inkset_costing::estimate;
use inkset_layout::{Scheme, schemes};
use inkset_spec::{FoldScheme, Job, ProductKind, Role};
use support::{FOUR, all_pages, card, finish, given, inks, job, part, plan, size};

fn book(kind: ProductKind, pages: u32) -> Job {
    let mut cover = part("cover", 4);
    cover.role = given(Role::Cover);
    let parts = vec![cover, part("text", pages)];
    job(kind, size(148.0, 210.0), parts)
}

fn pages_of(scheme: &Scheme) -> Vec<u32> {
    let sections = scheme.classes.iter().flat_map(|class| &class.sections);
    let mut pages: Vec<u32> = sections
        .flat_map(|s| s.outer.iter().chain(&s.inner).copied())
        .collect();
    pages.sort_unstable();
    pages
}

fn assert_complete(kind: ProductKind, pages: u32) {
    let job = book(kind, pages);
    let all = schemes(&job, &card(), &job.parts[1]);
    assert!(!all.is_empty(), "{kind:?} {pages}");
    for scheme in &all {
        let wanted: Vec<u32> = (1..=pages).collect();
        assert_eq!(pages_of(scheme), wanted, "{kind:?} {pages}");
    }
}

#[test]
fn every_page_is_printed_once() {
    for pages in (8..=120).step_by(4) {
        assert_complete(ProductKind::SaddleStitched, pages);
        assert_complete(ProductKind::PerfectBound, pages);
        assert_complete(ProductKind::SectionSewn, pages);
    }
    assert_complete(ProductKind::PerfectBound, 50);
}

#[test]
fn sewn_and_stitched_sections_have_no_loose_leaf() {
    for kind in [ProductKind::SaddleStitched, ProductKind::SectionSewn] {
        let job = book(kind, 60);
        for scheme in schemes(&job, &card(), &job.parts[1]) {
            assert!(scheme.classes.iter().all(|class| class.pages % 4 == 0));
        }
    }
}

#[test]
fn leaflets_open_to_their_panels() {
    let parts = vec![part("leaflet", 8)];
    let mut leaflet = job(ProductKind::Folded, size(148.0, 210.0), parts);
    let open = |job: &Job| schemes(job, &card(), &job.parts[0])[0].classes[0].formats[0].size;
    assert_eq!(open(&leaflet), size(598.0, 216.0));
    leaflet.product.fold = given(FoldScheme::RightAngle);
    assert_eq!(open(&leaflet), size(302.0, 426.0));
    let scheme = &schemes(&leaflet, &card(), &leaflet.parts[0])[0];
    assert_eq!(scheme.classes[0].sections[0].outer, [1, 4, 5, 8]);
}

#[test]
fn glued_covers_are_two_pages_and_the_spine_wide() {
    // 160 pages: 80 leaves of 135 g/m² and 0.75 cm³/g are 80 × 0.10125 = 8.1 mm.
    let mut card = card();
    card.stocks[0].bulk = Some(given(0.75));
    let job = book(ProductKind::PerfectBound, 160);
    let cover = &schemes(&job, &card, &job.parts[0])[0].classes[0];
    let width = cover.formats[0].size.width.mm();
    assert!((width - (2.0 * 148.0 + 8.1 + 6.0)).abs() < 1e-9, "{width}");
    assert_eq!(cover.sections[0].outer, [1, 4]);
}

#[test]
fn milled_pages_are_wider_than_sewn_ones() {
    let spread = |kind| {
        let job = book(kind, 64);
        let all = schemes(&job, &card(), &job.parts[1]);
        let class = all.iter().flat_map(|s| &s.classes).find(|c| c.pages == 4);
        class.map(|c| c.formats[0].size.width.mm())
    };
    assert_eq!(spread(ProductKind::SectionSewn), Some(302.0));
    assert_eq!(spread(ProductKind::PerfectBound), Some(308.0));
}

#[test]
fn binding_may_be_difficult() {
    // Gluing at difficulty 2: set-up 80 and 60 a thousand twice, and twice its spoilage of everything before.
    let mut job = book(ProductKind::PerfectBound, 64);
    let print = plan(inks(&[]), vec![all_pages(4, &FOUR), all_pages(64, &FOUR)]);
    let total = |job: &Job| estimate(job, &card(), &print, 1_000).unwrap();
    let usual = total(&job);
    let mut difficult = finish("bind");
    difficult.difficulty = Some(given(2.0));
    job.finishes = vec![difficult];
    let dearer = total(&job);
    let binding = |found: &inkset_costing::Estimate| -> inkset_units::Money {
        let lines = found.lines.iter();
        let of_stage = lines.filter(|line| line.stage.name() == "binding");
        of_stage.map(|line| line.amount).sum()
    };
    // Through at 1 % and 30 to set up: 1,011 + 30 copies; at 2 % and 60: 1,021 + 60. The set-up has no pieces.
    assert_eq!(binding(&usual), support::money("142.46"));
    assert_eq!(binding(&dearer), support::money("289.72"));
    assert!(dearer.total > usual.total);
}
