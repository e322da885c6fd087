//! Offers of different shapes come to one basis.

#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test fails as the test does: loudly"
)]

mod support;

use inkset_offers::{AdjustmentKind, ColourStanding, FlagKind, Origin, award, compare, splits};
use inkset_spec::{Buyer, read_buyer};
use inkset_units::Money;
use proptest::prelude::*;
use rust_decimal::Decimal;
use support::*;

fn buyer(text: &str) -> Buyer {
    read_buyer(text.as_bytes()).value.unwrap()
}

fn kinds(flags: &[inkset_offers::Flag]) -> Vec<&FlagKind> {
    flags.iter().map(|flag| &flag.kind).collect()
}

#[test]
fn tax_discount_and_carriage_come_to_one_basis() {
    let buyer = buyer(
        "takes_discount = true\ncarriage = { fixed = 10, per_thousand = 2 }\nproofs = { fixed = 5 }",
    );
    let net = offer(
        "Net",
        "tax = \"excluded\"\nincludes = { carriage = false, proofs = true }\ndiscount = { percent = 2 }",
        &process("prices = [{ copies = 1000, total = 100 }]"),
    );
    let gross = offer(
        "Gross",
        "tax = \"included\"\ntax_percent = 19\nincludes = { carriage = true, proofs = false }",
        &process("prices = [{ copies = 1000, total = 119 }]"),
    );
    let comparison = compared(&buyer, &[1000], &[net, gross]);
    // 100 less 2 %, and 10 + 2 for carriage; 119 less 19 % tax, and 5 for proofs.
    assert_eq!(total(&comparison, 0, 0).as_deref(), Some("110.00"));
    assert_eq!(total(&comparison, 1, 0).as_deref(), Some("105.00"));
    assert_eq!(
        (rank(&comparison, 0, 0), rank(&comparison, 1, 0)),
        ("2".into(), "1".into())
    );
    // Packing: nobody says that it is in, and there is no figure.
    assert_eq!(comparison.left_out, [AdjustmentKind::Packing]);
}

#[test]
fn should_cost_holds_what_prices_hold() {
    let priced = |keys: &str| {
        offer(
            "S",
            keys,
            &process("prices = [{ copies = 1000, total = 100 }]"),
        )
    };
    let should = |buyer_text: &str, own: [&str; 2], keys: &str| {
        let buyer = buyer(buyer_text);
        let mut basis = basis(&buyer, &[1000], "EUR");
        basis.options = should_cost(&["90"], &["150"], &["90"]);
        basis.options[0].own_extras = vec![inkset_offers::OwnExtras {
            proofs: money(own[0]),
            carriage: money(own[1]),
        }];
        let comparison = compare(&basis, &[priced(keys)]);
        (
            comparison.options[0].should_cost[0],
            comparison.lacks_of_should_cost,
        )
    };
    let carriage = "carriage = { fixed = 14 }";
    let none = Vec::new();
    // The buyer's figure where the card prices no carriage, the card's own where it does, never both.
    assert_eq!(
        should(carriage, ["0", "0"], ""),
        (money("104"), none.clone())
    );
    assert_eq!(
        should(carriage, ["0", "20"], ""),
        (money("90"), none.clone())
    );
    // The offer includes proofs: the card's own stay in, or are told as lacking.
    let proofs = "includes = { proofs = true }";
    assert_eq!(should("", ["30", "0"], proofs), (money("90"), none.clone()));
    let lacking = vec![AdjustmentKind::Proofs];
    assert_eq!(should("", ["0", "0"], proofs), (money("90"), lacking));
    // Nobody prices carriage or proofs: the card's own come off.
    assert_eq!(should("", ["30", "20"], ""), (money("40"), none));
}

#[test]
fn what_others_include_needs_a_figure() {
    let with = offer(
        "With",
        "includes = { carriage = true }",
        &process("prices = [{ copies = 1000, total = 100 }]"),
    );
    let without = offer(
        "Without",
        "includes = { carriage = false }",
        &process("prices = [{ copies = 1000, total = 80 }]"),
    );
    let comparison = compared(&Buyer::default(), &[1000], &[with, without]);
    assert_eq!(rank(&comparison, 0, 0), "1");
    assert_eq!(rank(&comparison, 1, 0), "–");
    let missing = FlagKind::ExtraWithoutFigure(AdjustmentKind::Carriage);
    assert!(kinds(&comparison.offers[1].flags).contains(&&missing));
}

#[test]
fn quantities_between_come_from_run_on_or_a_line() {
    let run_on = offer(
        "Run-on",
        "",
        &process(
            "prices = [{ copies = 2000, total = 100 }, { copies = 5000, total = 130 }]\nrun_on_per_thousand = 12",
        ),
    );
    let line = offer(
        "Line",
        "",
        &process("prices = [{ copies = 2000, total = 100 }, { copies = 5000, total = 130 }]"),
    );
    let comparison = compared(
        &Buyer::default(),
        &[1000, 3000, 5000, 6000],
        &[run_on, line],
    );
    let origin = |offer: usize, at: usize| {
        let own = comparison.offers[offer].prices[0].as_ref().unwrap();
        own.prices[at].offered.map(|(_, origin)| origin)
    };
    assert_eq!(total(&comparison, 0, 1).as_deref(), Some("112.00"));
    assert_eq!(origin(0, 1), Some(Origin::RunOn { from: 2000 }));
    assert_eq!(total(&comparison, 1, 1).as_deref(), Some("110.00"));
    assert_eq!(
        origin(1, 1),
        Some(Origin::Between {
            low: 2000,
            high: 5000
        })
    );
    assert_eq!(total(&comparison, 0, 3).as_deref(), Some("142.00"));
    assert_eq!(origin(1, 3), None);
    assert_eq!(origin(0, 0), None);
    let missing = comparison.offers[1]
        .flags
        .iter()
        .filter(|f| f.kind == FlagKind::QuantityMissing);
    assert_eq!(missing.count(), 2);
    // The line through its own prices still gives an estimate, 80 + 10 for each 1,000.
    let estimate = comparison.offers[1].implied.estimate(0, 6000).unwrap();
    assert_eq!(estimate.price.value, money("140"));
    assert!(estimate.outside);
}

#[test]
fn run_on_never_exceeds_the_next_quantity() {
    let steep = offer(
        "Steep",
        "",
        &process(
            "prices = [{ copies = 1000, total = 100 }, { copies = 3000, total = 120 }]\nrun_on_per_thousand = 50",
        ),
    );
    let comparison = compared(&Buyer::default(), &[2000], &[steep]);
    assert_eq!(total(&comparison, 0, 0).as_deref(), Some("120.00"));
}

#[test]
fn other_currencies_need_a_rate() {
    let pounds = offer(
        "Pounds",
        "currency = \"GBP\"",
        &process("prices = [{ copies = 1000, total = 100 }]"),
    );
    let offers = [pounds];
    let comparison = compared(&Buyer::default(), &[1000], &offers);
    assert_eq!(total(&comparison, 0, 0), None);
    assert!(kinds(&comparison.offers[0].flags).contains(&&FlagKind::NoRate("GBP")));
    let buyer = buyer("exchange = [{ currency = \"GBP\", rate = 1.15, date = 2026-11-20 }]");
    let comparison = compared(&buyer, &[1000], &offers);
    assert_eq!(total(&comparison, 0, 0).as_deref(), Some("115.00"));
}

#[test]
fn published_tolerance_limits_the_bill() {
    // Row C2 of worked_examples.csv: order 500, tolerance 5 %: 525 copies billed at most, 475 at least.
    let order = offer(
        "Printer",
        "overs = { over_percent = 5, under_percent = 5 }",
        &process("prices = [{ copies = 500, each = 1 }]"),
    );
    let comparison = compared(&Buyer::default(), &[500], &[order]);
    let own = comparison.offers[0].prices[0].as_ref().unwrap();
    let exposure = own.exposure[0].unwrap();
    assert_eq!((exposure.fewest, exposure.most), (475, 525));
    assert_eq!((exposure.low, exposure.high), (money("475"), money("525")));
}

#[test]
fn flags_say_what_is_odd() {
    let buyer = buyer("award_date = 2026-12-01");
    let odd = offer(
        "Odd",
        "valid_until = 2026-11-25\novers = { over_percent = 10, under_percent = 0 }",
        &[
            process("prices = [{ copies = 1000, total = 100, each = 0.11 }, { copies = 2000, total = 90 }]\nstock = \"matt-90\"\nsize = \"A4\"\ndeviations = [\"unfolded\"]"),
            with_moss("prices = [{ copies = 1000, total = 100 }]"),
        ]
        .concat(),
    );
    let dear = offer(
        "Dear",
        "tax = \"excluded\"\nvalid_until = 2026-12-31\novers = { over_percent = 5, under_percent = 5 }",
        &[
            process("prices = [{ copies = 1000, total = 200 }]"),
            with_moss("prices = [{ copies = 1000, total = 900 }]"),
        ]
        .concat(),
    );
    let mut basis = basis(&buyer, &[1000], "EUR");
    basis.options = should_cost(&["100"], &["180"], &["120"]);
    let comparison = compare(&basis, &[odd, dear]);
    let of = |offer: usize| -> Vec<String> {
        let flags = comparison.offers[offer].flags.iter();
        let text = flags.map(|f| format!("{:?}", f.kind));
        text.map(|t| t.split([' ', '(', '{']).next().unwrap().to_owned())
            .collect()
    };
    assert_eq!(
        of(0),
        [
            "Expired",
            "TaxUnsaid",
            "OversAbove",
            "StockDiffers",
            "SizeDiffers",
            "Deviates",
            "PriceFalls",
            "UnitPriceDiffers",
            "FarFromShouldCost",
            "InkFree"
        ]
    );
    assert_eq!(
        of(1),
        ["FarFromShouldCost", "FarFromShouldCost", "InkAbovePass"]
    );
}

#[test]
fn rounded_unit_prices_are_no_contradiction() {
    // 100 / 3,000 = 0.0333…: a unit price of four decimals is right within its last digit.
    let fair = offer(
        "Fair",
        "",
        &process("prices = [{ copies = 3000, total = 100, each = 0.0333 }]"),
    );
    let comparison = compared(&Buyer::default(), &[3000], &[fair]);
    let kinds = kinds(&comparison.offers[0].flags);
    assert!(
        !kinds
            .iter()
            .any(|k| matches!(k, FlagKind::UnitPriceDiffers { .. })),
        "{kinds:?}"
    );
}

#[test]
fn same_figures_of_two_suppliers_are_told() {
    let prices = process("prices = [{ copies = 1000, total = 100 }]");
    let other = process("prices = [{ copies = 1000, total = 101 }]");
    let offers = [
        offer("A", "", &prices),
        offer("B", "", &prices),
        offer("C", "", &other),
    ];
    let comparison = compared(&Buyer::default(), &[1000], &offers);
    let same = |offer: usize| {
        let kinds = kinds(&comparison.offers[offer].flags);
        kinds.iter().any(|k| matches!(k, FlagKind::SameFigures(_)))
    };
    assert_eq!([same(0), same(1), same(2)], [true, true, false]);
    assert_eq!(rank(&comparison, 0, 0), "1=");
    assert_eq!(rank(&comparison, 1, 0), "1=");
    assert_eq!(rank(&comparison, 2, 0), "3");
}

#[test]
fn odd_offers_stand_out_among_four() {
    let totals = [100, 103, 98, 240];
    let offers: Vec<_> = totals
        .iter()
        .map(|t| {
            offer(
                &t.to_string(),
                "",
                &process(&format!("prices = [{{ copies = 1000, total = {t} }}]")),
            )
        })
        .collect();
    let far = |n: usize| {
        let comparison = compared(&Buyer::default(), &[1000], &offers[4 - n..]);
        let flagged = comparison.offers.iter().filter(|offer| {
            kinds(&offer.flags)
                .iter()
                .any(|k| matches!(k, FlagKind::FarFromOthers { count: 4, .. }))
        });
        flagged
            .map(|offer| offer.supplier.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(far(4), ["240"]);
    assert!(
        far(3).is_empty(),
        "three offers are too few to call one far"
    );
}

#[test]
fn second_wins_at_the_price_told() {
    let option = |total: &str| process(&format!("prices = [{{ copies = 1000, total = {total} }}]"));
    let offers = [
        offer("A", "", &option("100")),
        offer("B", "", &option("110")),
    ];
    let comparison = compared(&Buyer::default(), &[1000], &offers);
    let by_price = (Decimal::ONE_HUNDRED, Decimal::ZERO);
    let award = award(&comparison, Some(0), by_price, currency("EUR")).unwrap();
    assert_eq!((award.candidates[0].offer, award.tied), (0, 1));
    assert_eq!(award.second_wins_below, Some(money("100.00")));
    assert_eq!(award.changes_at_colour_weight, None);
}

/// Baskets of two offers for one ink set, judged by price and colour.
fn judged(baskets: [&str; 2], weights: (i64, i64)) -> (usize, usize) {
    let buyer = Buyer::default();
    let mut basis = basis(&buyer, &[1000], "EUR");
    basis.options = should_cost(&["100"], &["150"], &["90"]);
    for option in &mut basis.options {
        option.colour = Some(ColourStanding {
            holds: 2,
            drifts: 0,
            misses: 1,
            worst_delta_e: 3.0,
        });
    }
    let total = |total: &str| process(&format!("prices = [{{ copies = 1000, total = {total} }}]"));
    let offers = [
        offer("A", "", &total(baskets[0])),
        offer("B", "", &total(baskets[1])),
    ];
    let comparison = compare(&basis, &offers);
    let weights = (weights.0.into(), weights.1.into());
    let award = award(&comparison, None, weights, currency("EUR")).unwrap();
    (award.candidates[0].offer, award.tied)
}

#[test]
fn a_cent_decides_and_only_equal_offers_tie() {
    for weights in [(100, 0), (70, 30), (1, 99)] {
        for (dear, cheap) in [("10.01", "10.00"), ("99999999.99", "99999999.98")] {
            assert_eq!(judged([dear, cheap], weights), (1, 1), "{weights:?}");
            assert_eq!(judged([cheap, dear], weights), (0, 1), "{weights:?}");
            assert_eq!(judged([dear, dear], weights).1, 2, "{weights:?}");
        }
    }
}

#[test]
fn colour_may_outweigh_the_price() {
    let buyer = Buyer::default();
    let mut basis = basis(&buyer, &[1000], "EUR");
    basis.options = should_cost(&["100"], &["150"], &["90"]);
    let standing = |holds, misses| {
        Some(inkset_offers::ColourStanding {
            holds,
            drifts: 0,
            misses,
            worst_delta_e: 1.0,
        })
    };
    basis.options[0].colour = standing(1, 1);
    basis.options[1].colour = standing(2, 0);
    let both = [
        process("prices = [{ copies = 1000, total = 100 }]"),
        with_moss("prices = [{ copies = 1000, total = 160 }]"),
    ]
    .concat();
    let comparison = compare(&basis, &[offer("A", "", &both)]);
    let chosen = |weight: u32| {
        let colour = Decimal::from(weight);
        let award = award(
            &comparison,
            None,
            (Decimal::ONE_HUNDRED - colour, colour),
            currency("EUR"),
        );
        let award = award.unwrap();
        (award.candidates[0].option, award)
    };
    // Price points 100 and 62.5, colour points 50 and 100: they are level at 37.5 / 87.5 = 42.9 %.
    assert_eq!(chosen(42).0, 0);
    assert_eq!(chosen(43).0, 1);
    let (_, award) = chosen(30);
    assert_eq!(award.changes_at_colour_weight, Some(Decimal::new(429, 1)));
    // At the price told, the second is level to the cent.
    let wanted = award.second_wins_below.unwrap();
    let points = |price: Money| {
        let lowest = price.min(money("100"));
        let of = |p: Money, colour: u32| {
            Decimal::from(70) * lowest.amount() / p.amount() * Decimal::ONE_HUNDRED
                + Decimal::from(30 * colour)
        };
        (of(money("100"), 50), of(price, 100))
    };
    let cent = money("0.01");
    let (first, second) = points(wanted - cent);
    assert!(second > first, "{wanted:?}");
    let (first, second) = points(wanted + cent);
    assert!(second < first, "{wanted:?}");
}

#[test]
fn splitting_is_told_where_it_is_cheaper() {
    let small = offer(
        "Small",
        "",
        &process("prices = [{ copies = 1000, total = 50 }, { copies = 9000, total = 400 }]"),
    );
    let large = offer(
        "Large",
        "",
        &process("prices = [{ copies = 1000, total = 90 }, { copies = 9000, total = 300 }]"),
    );
    let comparison = compared(&Buyer::default(), &[1000, 9000], &[small, large]);
    let all = splits(&comparison, false);
    assert_eq!(all[0].total, money("350"));
    assert_eq!(all[0].single, Some((1, money("390"))));
    assert_eq!(all[0].saving(), Some(money("40")));
    assert_eq!(all[0].suppliers(), 2);
}

proptest! {
    /// Rounding is monotone, so no offer that is exactly cheaper ever ranks behind; equal sums share a rank.
    #[test]
    fn rounding_never_changes_a_rank(
        prices in proptest::collection::vec((1_000_u32..2_000_000, 1_u32..30, 0_u32..8), 2..6),
    ) {
        let buyer = buyer("takes_discount = true\ncarriage = { fixed = 1.0050, per_thousand = 0.3333 }");
        let mut offers = Vec::new();
        let mut exact = Vec::new();
        for (at, (thousandths, tax, discount)) in prices.iter().enumerate() {
            let price = Decimal::new(i64::from(*thousandths), 4);
            let percent = Decimal::from(*tax);
            let keys = format!(
                "tax = \"included\"\ntax_percent = {tax}\nincludes = {{ carriage = {} }}\ndiscount = {{ percent = {discount} }}",
                at % 2 == 0
            );
            offers.push(offer(&format!("S{at}"), &keys, &process(&format!("prices = [{{ copies = 700, total = {price:.4} }}]"))));
            let net = price * Decimal::ONE_HUNDRED / (Decimal::ONE_HUNDRED + percent);
            let discounted = net - net * (Decimal::from(*discount) / Decimal::ONE_HUNDRED);
            let carriage = Decimal::new(1_005, 3) + Decimal::new(3_333, 4) * Decimal::new(7, 1);
            exact.push(discounted + if at % 2 == 0 { Decimal::ZERO } else { carriage });
        }
        let comparison = compared(&buyer, &[700], &offers);
        let own = |at: usize| comparison.offers[at].prices[0].as_ref().unwrap();
        for one in 0..offers.len() {
            let price = &own(one).prices[0];
            let steps: Money = price.adjustments.iter().map(|step| step.amount).sum();
            prop_assert_eq!(price.converted.unwrap() + steps, price.total.unwrap());
            for other in 0..offers.len() {
                let ranks = (own(one).ranks[0].unwrap().rank, own(other).ranks[0].unwrap().rank);
                if exact[one] < exact[other] {
                    prop_assert!(ranks.0 <= ranks.1);
                }
                let shown = (price.total, own(other).prices[0].total);
                prop_assert_eq!(shown.0 == shown.1, ranks.0 == ranks.1);
            }
        }
    }
}
