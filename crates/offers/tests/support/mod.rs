//! Small offers and a basis to compare them on.

#![allow(dead_code, reason = "every test file uses its own part")]
#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test fails as the test does: loudly"
)]

use inkset_offers::{Basis, BasisOption, Comparison, compare};
use inkset_spec::{Buyer, Offer, read_offers};
use inkset_units::{Currency, Money, Size};
use rust_decimal::Decimal;

pub(crate) fn money(text: &str) -> Money {
    Money::parse(text).unwrap()
}

pub(crate) fn currency(code: &str) -> Currency {
    Currency::from_code(code).unwrap()
}

/// An offer with these top-level keys and options.
pub(crate) fn offer(supplier: &str, keys: &str, options: &str) -> Offer {
    let text = format!(
        "supplier = \"{supplier}\"\njob = \"Leaflet\"\ndate = 2026-11-20\n{}{keys}\n{options}",
        if keys.contains("currency") {
            ""
        } else {
            "currency = \"EUR\"\n"
        }
    );
    let reading = read_offers(text.as_bytes());
    reading
        .value
        .unwrap_or_else(|| panic!("{:?}\n{text}", reading.notices))
        .remove(0)
}

/// One option in four inks with these prices.
pub(crate) fn process(prices: &str) -> String {
    format!("[[option]]\ninks = [\"process\"]\n{prices}\n")
}

/// One option in four inks and a solid.
pub(crate) fn with_moss(prices: &str) -> String {
    format!("[[option]]\ninks = [\"process\"]\nsolids = [\"Moss\"]\n{prices}\n")
}

/// The basis without a should-cost.
pub(crate) fn basis<'b>(buyer: &'b Buyer, quantities: &[u64], code: &str) -> Basis<'b> {
    Basis {
        currency: currency(code),
        quantities: quantities.to_vec(),
        options: Vec::new(),
        stocks: vec!["gloss-150".to_owned()],
        size: Size::parse("A5").unwrap(),
        usual_overs: Decimal::from(5),
        buyer,
    }
}

/// A should-cost of four inks, and of four inks with the solid.
pub(crate) fn should_cost(four: &[&str], five: &[&str], pass: &[&str]) -> Vec<BasisOption> {
    let all = |texts: &[&str]| texts.iter().map(|t| money(t)).collect::<Vec<_>>();
    let option = |solids: Vec<String>, should, second_pass| BasisOption {
        process: [true; 4],
        name: inkset_spec::ink_set_name([true; 4], solids.iter().map(String::as_str)),
        solids,
        should_cost: should,
        own_extras: Vec::new(),
        second_pass,
        colour: None,
    };
    vec![
        option(Vec::new(), all(four), Vec::new()),
        option(vec!["Moss".to_owned()], all(five), vec![all(pass)]),
    ]
}

pub(crate) fn compared(buyer: &Buyer, quantities: &[u64], offers: &[Offer]) -> Comparison {
    compare(&basis(buyer, quantities, "EUR"), offers)
}

/// Comparable price of an offer for the first option.
pub(crate) fn total(comparison: &Comparison, offer: usize, at: usize) -> Option<String> {
    let own = comparison.offers[offer].prices[0].as_ref()?;
    own.prices[at].total.map(|m| m.to_text(currency("EUR")))
}

/// Rank of an offer for the first option, with `=` where it is shared.
pub(crate) fn rank(comparison: &Comparison, offer: usize, at: usize) -> String {
    let own = comparison.offers[offer].prices[0].as_ref().unwrap();
    own.ranks[at].map_or("–".to_owned(), |r| {
        format!("{}{}", r.rank, if r.tied { "=" } else { "" })
    })
}
