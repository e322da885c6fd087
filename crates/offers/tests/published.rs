//! Published bids and a published tariff, entered as offers.

#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test fails as the test does: loudly"
)]

mod support;

use std::path::Path;

use inkset_offers::{FlagKind, compare};
use inkset_spec::{Buyer, Offer, read_buyer};
use inkset_units::Money;
use rust_decimal::Decimal;
use support::*;

fn table(name: &str) -> Vec<csv::StringRecord> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference/costing");
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_path(folder.join(name))
        .unwrap();
    reader.records().map(Result::unwrap).collect()
}

/// The bids of one program, each bidder an offer with a price schedule.
fn bidders(program: &str) -> Vec<Offer> {
    let rows = table("gpo_bid_abstracts.csv");
    let rows: Vec<_> = rows.iter().filter(|row| &row[0] == program).collect();
    assert!(!rows.is_empty());
    (0..4)
        .map(|bidder| {
            let items = rows.iter().map(|row| {
                let count = &row[4];
                format!(
                    "{{ item = '{}', count = {count}, each = '{}' }}",
                    &row[2],
                    &row[5 + bidder]
                )
            });
            let items: Vec<String> = items.collect();
            let schedule = format!("schedule = [\n{}\n]", items.join(",\n"));
            offer(
                &format!("bidder {}", bidder + 1),
                "currency = \"USD\"",
                &process(&schedule),
            )
        })
        .collect()
}

fn sums(program: &str) -> (Vec<String>, Vec<usize>, usize) {
    let buyer = Buyer::default();
    let comparison = compare(&basis(&buyer, &[1000], "USD"), &bidders(program));
    let items = &comparison.items[0];
    let text = |m: &Option<Money>| m.unwrap().to_text(currency("USD"));
    let ranks = items.ranks.iter().map(|r| r.unwrap().rank);
    // The schedule and the price of the option agree.
    for (at, sum) in items.sums.iter().enumerate() {
        let own = comparison.offers[at].prices[0].as_ref().unwrap();
        assert_eq!(own.prices[0].total, *sum);
    }
    (
        items.sums.iter().map(text).collect(),
        ranks.collect(),
        items.dearer_items().len(),
    )
}

#[test]
fn lowest_aggregate_is_not_lowest_on_every_line() {
    let (totals, ranks, dearer) = sums("1823-S");
    assert_eq!(totals, ["80476.00", "104988.00", "48779.00", "80730.00"]);
    assert_eq!(ranks, [2, 4, 1, 3]);
    // Black for each side is 26 at the lowest bidder and 25 at the fourth, in two jobs.
    assert_eq!(dearer, 2);
    let (_, ranks, dearer) = sums("754-S");
    assert_eq!(ranks.iter().filter(|r| **r == 1).count(), 1);
    assert!(dearer > 0);
}

#[test]
fn published_line_totals_are_met() {
    // Rows C4 and C5 of worked_examples.csv.
    let buyer = Buyer::default();
    let comparison = compare(&basis(&buyer, &[1000], "USD"), &bidders("754-S"));
    let amount = |comparison: &inkset_offers::Comparison, name: &str| {
        let lines = &comparison.items[0].lines;
        let line = lines.iter().find(|line| line.name == name).unwrap();
        line.amounts[0].unwrap()
    };
    let page = "text page in black, make-ready, format A";
    assert_eq!(amount(&comparison, page), money("11384.00"));
    let running = "text page in black, running, format A";
    assert_eq!(amount(&comparison, running), money("9801.60"));
    let comparison = compare(&basis(&buyer, &[1000], "USD"), &bidders("1823-S"));
    let red = "one special red + black, face only (job 3)";
    assert_eq!(amount(&comparison, red), money("35925.00"));
}

#[test]
fn published_discounted_totals_are_met_to_the_cent() {
    // Row C3 of worked_examples.csv gives the discounts and the discounted totals. The bids before discount are what divides
    // back to them: the first two come out in whole dollars.
    let rows = table("worked_examples.csv");
    let row = rows.iter().find(|row| &row[0] == "C3").unwrap();
    let published: Vec<&str> = row[3].split("; ").collect();
    assert_eq!(published, ["190601.18", "195277.25", "210955.00"]);
    let bids = [
        ("194491.00", "2"),
        ("205555.00", "5"),
        ("212015.08", "'0.5 %'"),
    ];
    let offers: Vec<Offer> = bids
        .iter()
        .enumerate()
        .map(|(at, (bid, percent))| {
            let keys = format!(
                "currency = \"USD\"\ntax = \"excluded\"\ndiscount = {{ percent = {percent} }}"
            );
            let prices = format!("prices = [{{ copies = 1000, total = {bid} }}]");
            offer(&format!("bidder {at}"), &keys, &process(&prices))
        })
        .collect();
    let buyer = read_buyer(b"takes_discount = true").value.unwrap();
    let comparison = compare(&basis(&buyer, &[1000], "USD"), &offers);
    for (at, published) in published.iter().enumerate() {
        let own = comparison.offers[at].prices[0].as_ref().unwrap();
        assert_eq!(own.prices[0].total, Some(money(published)));
        assert_eq!(own.ranks[0].unwrap().rank, at + 1);
    }
}

/// A range of the tariff: the column with the price of its first quantity, thousands of that, the column with each further
/// thousand, and thousands at which it is entered.
type Range = (usize, u32, usize, [u32; 4]);

const RANGES: [Range; 5] = [
    (4, 1, 5, [1, 2, 3, 4]),
    (6, 5, 7, [5, 10, 17, 24]),
    (8, 25, 9, [25, 30, 40, 49]),
    (10, 50, 11, [50, 60, 75, 99]),
    (12, 100, 13, [100, 120, 400, 1_000]),
];

/// One range of a class as an offer for four and five colours, and its fixed and run part for one colour.
fn tariff_offer(row: &csv::StringRecord, range: Range) -> (Offer, [Decimal; 2]) {
    let figure = |at: usize| row[at].parse::<Decimal>().unwrap();
    let (first_at, from, each_at, entered) = range;
    let [plate, first, each] = [2, first_at, each_at].map(figure);
    let prices = |colours: u32| {
        let price = |thousands: u32| {
            let run = first + each * Decimal::from(thousands - from);
            let total = Decimal::from(colours) * (plate + run);
            format!("{{ copies = {}, total = '{total}' }}", thousands * 1_000)
        };
        format!("prices = [{}]", entered.map(price).join(", "))
    };
    let options = process(&prices(4)) + &with_moss(&prices(5));
    let offer = offer("Tariff", "currency = \"INR\"", &options);
    (offer, [plate + first - each * Decimal::from(from), each])
}

#[test]
fn published_tariff_comes_back_exactly() {
    let rows = table("tariff_offset_per_colour_2012.csv");
    assert_eq!(rows.len(), 6);
    for (row, range) in rows.iter().flat_map(|row| RANGES.map(|range| (row, range))) {
        let (offer, [fixed, each]) = tariff_offer(row, range);
        let buyer = Buyer::default();
        let comparison = compare(&basis(&buyer, &[1000], "INR"), &[offer]);
        let implied = &comparison.offers[0].implied;
        let four = Decimal::from(4);
        let exact = |m: inkset_offers::Measured| (m.value, m.plus_minus);
        let sure = |d: Decimal| (Money::new(d), Some(Money::ZERO));
        let rates = &implied.options[0];
        let place = format!("class {} from {},000", &row[0], range.1);
        assert_eq!(exact(rates.fixed), sure(four * fixed), "{place}");
        assert_eq!(exact(rates.per_thousand), sure(four * each), "{place}");
        // One more colour costs a quarter of four.
        let (ink, run) = implied.difference(1, 0).unwrap();
        assert_eq!(exact(ink), sure(fixed), "{place}");
        assert_eq!(exact(run), sure(each), "{place}");
    }
}

#[test]
fn published_price_drop_is_flagged() {
    // Class V: 49,000 cost 3,575 + 24 x 135 = 6,815, and 50,000 cost 6,150.
    let rows = table("tariff_offset_per_colour_2012.csv");
    let mut falls = Vec::new();
    for row in &rows {
        let figure = |at: usize| row[at].parse::<Decimal>().unwrap();
        for pair in RANGES.windows(2) {
            let (first_at, from, each_at, entered) = pair[0];
            let last = entered[3];
            let before = figure(first_at) + figure(each_at) * Decimal::from(last - from);
            let after = figure(pair[1].0);
            let prices = format!(
                "prices = [{{ copies = {}, total = '{before}' }}, {{ copies = {}, total = '{after}' }}]",
                last * 1_000,
                (last + 1) * 1_000
            );
            let offer = offer("Tariff", "currency = \"INR\"", &process(&prices));
            let comparison = compare(&basis(&Buyer::default(), &[1000], "INR"), &[offer]);
            let flags = comparison.offers[0].flags.iter();
            let told = flags.filter(|flag| matches!(flag.kind, FlagKind::PriceFalls { .. }));
            assert_eq!(told.count(), usize::from(after < before), "{}", &row[0]);
            if after < before {
                falls.push((row[0].to_owned(), last + 1));
            }
        }
    }
    assert_eq!(falls, [("V (cover)".to_owned(), 50)]);
}

#[test]
fn published_unit_prices_imply_their_rates() {
    // Row C1: set-up 300 and 1.00 each; 1.30 at 1,000 and 1.60 at 500.
    let prices = "prices = [{ copies = 500, each = 1.60 }, { copies = 1000, each = 1.30 }]";
    let offers = [offer("Printer", "", &process(prices))];
    let comparison = compared(&Buyer::default(), &[1000], &offers);
    let rates = &comparison.offers[0].implied.options[0];
    assert_eq!(rates.fixed.value, money("300"));
    assert_eq!(rates.per_thousand.value, money("1000"));
    // Two prices and two unknowns: nothing can be said about the uncertainty.
    assert_eq!(rates.fixed.plus_minus, None);
}
