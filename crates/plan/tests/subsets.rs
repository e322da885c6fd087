//! Every subset of the solids, up to its price.
#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

mod support;

use inkset_colour::shipped;
use inkset_costing::{Pricer, price_tags};
use inkset_layout::InkKind;
use inkset_plan::{Conditions, Look, SolidSubsets, solid_subsets};
use inkset_spec::Job;
use inkset_units::Money;
use proptest::prelude::*;
use support::{Brand, booklet, card, condition_of};

fn conditions(job: &Job) -> Conditions<'static> {
    let parts = job.parts.iter();
    let coated = shipped("coated-fogra39").unwrap();
    Conditions {
        of_parts: parts.map(|part| condition_of(&part.stock.value)).collect(),
        plant: None,
        extended: Vec::new(),
        looks: Look::of_job(job).unwrap(),
        named: vec![("coated-fogra39".to_owned(), coated)],
    }
}

fn subsets(job: &Job) -> SolidSubsets {
    solid_subsets(job, &conditions(job))
}

fn brand(lab: [f64; 3]) -> Brand {
    Brand {
        lab,
        tolerance: 2.0,
        solid: "allowed",
    }
}

fn prices(job: &Job, subsets: &SolidSubsets, copies: u64) -> Vec<Money> {
    let card = card();
    let pricer = Pricer::new(job, &card).unwrap();
    let cheapest = |plans: &Vec<_>| -> Option<Money> {
        let totals = pricer.totals(plans, &[copies]).into_iter();
        totals.map(|totals| totals.unwrap()[0]).min()
    };
    subsets.plans.iter().map(|p| cheapest(p).unwrap()).collect()
}

#[test]
fn each_subset_prints_its_solids_and_no_others() {
    let job = booklet(
        "matt-135",
        &[brand([62.0, 60.0, 75.0]), brand([45.0, -8.0, -18.0])],
    );
    let subsets = subsets(&job);
    assert_eq!(
        (subsets.solids.as_slice(), subsets.plans.len()),
        (&[1, 2][..], 4)
    );
    for (subset, plans) in subsets.plans.iter().enumerate() {
        assert!(!plans.is_empty());
        for plan in plans {
            let solids: Vec<&str> = plan
                .inks
                .iter()
                .filter(|ink| ink.kind == InkKind::Solid)
                .map(|ink| ink.name.as_str())
                .collect();
            let expected: Vec<&str> = (0..2)
                .filter(|bit| subset & (1 << bit) != 0)
                .map(|bit| ["Brand 0", "Brand 1"][bit])
                .collect();
            assert_eq!(solids, expected);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, ..ProptestConfig::default() })]

    #[test]
    fn price_tags_sum_to_all_solids_less_none(
        labs in prop::collection::vec((25.0..80.0, -70.0..75.0, -60.0..90.0), 1..4),
        copies in 500_u64..20_000,
    ) {
        let brands: Vec<Brand> = labs.into_iter().map(|(l, a, b)| brand([l, a, b])).collect();
        let job = booklet("matt-135", &brands);
        let subsets = subsets(&job);
        let prices = prices(&job, &subsets, copies);
        let tags = price_tags(&prices, job.currency.value).unwrap();
        prop_assert_eq!(tags.len(), subsets.solids.len());
        let sum: Money = tags.iter().map(|tag| tag.share).sum();
        prop_assert_eq!(sum, prices[prices.len() - 1] - prices[0]);
    }
}
