//! Every flag: one change to a plain offer raises it, and nothing else.

mod support;

use inkset_offers::{FlagKind, compare};
use inkset_spec::{Buyer, read_buyer};
use support::*;

const KEYS: &str = "tax = \"excluded\"\nvalid_until = 2026-12-31\n\
    overs = { over_percent = 5, under_percent = 5 }\n\
    includes = { proofs = true, carriage = true, packing = true }\n";
const PROCESS: &str = "prices = [{ copies = 1000, total = 200 }, { copies = 2000, total = 260 }]\n";
const MOSS: &str = "prices = [{ copies = 1000, total = 280 }, { copies = 2000, total = 345 }]\n";
const OTHERS: [&str; 3] = ["205", "207", "209"];
const BUYER: &str = "award_date = 2026-12-01\nfar_percent = 60\ncarriage = { fixed = 10 }\n\
    exchange = [{ currency = \"GBP\", rate = 1, date = 2026-11-20 }]\n";

/// Where a case changes something, what stands there and what then stands there.
enum Change {
    Keys(&'static str, &'static str),
    Process(&'static str, &'static str),
    Moss(&'static str, &'static str),
    Buyer(&'static str, &'static str),
}

fn replaced(text: &str, from: &str, to: &str) -> String {
    assert!(
        from.is_empty() || text.contains(from),
        "`{from}` is not in {text}"
    );
    if from.is_empty() {
        format!("{text}{to}")
    } else {
        text.replace(from, to)
    }
}

/// A name for each kind; a new kind does not compile before it has one, and a case.
fn name(kind: &FlagKind) -> &'static str {
    match kind {
        FlagKind::OptionMissing => "option missing",
        FlagKind::QuantityMissing => "quantity missing",
        FlagKind::Reckoned(_) => "reckoned",
        FlagKind::StockDiffers(_) => "stock differs",
        FlagKind::SizeDiffers(_) => "size differs",
        FlagKind::Deviates(_) => "deviates",
        FlagKind::Expired { .. } => "expired",
        FlagKind::ValidityUnsaid => "validity unsaid",
        FlagKind::ValidityNotJudged => "validity not judged",
        FlagKind::PriceFalls { .. } => "price falls",
        FlagKind::UnitPriceDiffers { .. } => "unit price differs",
        FlagKind::InkFree { .. } => "ink free",
        FlagKind::InkAbovePass { .. } => "ink above pass",
        FlagKind::Converted { .. } => "converted",
        FlagKind::NoRate(_) => "no rate",
        FlagKind::TaxUnsaid => "tax unsaid",
        FlagKind::OversUnsaid(_) => "overs unsaid",
        FlagKind::OversAbove { .. } => "overs above",
        FlagKind::ExtraUnsaid(_) => "extra unsaid",
        FlagKind::ExtraWithoutFigure(_) => "extra without figure",
        FlagKind::DiscountNotTaken(_) => "discount not taken",
        FlagKind::FarFromShouldCost { .. } => "far from should-cost",
        FlagKind::FarFromOthers { .. } => "far from others",
        FlagKind::SameFigures(_) => "same figures",
    }
}

/// Flags of an offer with these changes beside so many others, with the quantities that they are about.
fn flags(changes: &[Change], others: usize) -> Vec<String> {
    let [mut keys, mut process_prices, mut moss, mut buyer] =
        [KEYS, PROCESS, MOSS, BUYER].map(str::to_owned);
    for change in changes {
        match change {
            Change::Keys(from, to) => keys = replaced(&keys, from, to),
            Change::Process(from, to) => process_prices = replaced(&process_prices, from, to),
            Change::Moss(from, to) => moss = replaced(&moss, from, to),
            Change::Buyer(from, to) => buyer = replaced(&buyer, from, to),
        }
    }
    let moss = if moss.is_empty() {
        moss
    } else {
        with_moss(&moss)
    };
    let mut offers = vec![offer("Own", &keys, &(process(&process_prices) + &moss))];
    for total in &OTHERS[..others] {
        let plain = process(&PROCESS.replace("total = 200", &format!("total = {total}")))
            + &with_moss(MOSS);
        offers.push(offer(&format!("At {total}"), KEYS, &plain));
    }
    let buyer: Buyer = read_buyer(buyer.as_bytes()).value.expect("right");
    let mut basis = basis(&buyer, &[1_000, 2_000], "EUR");
    basis.options = should_cost(&["200", "260"], &["280", "345"], &["90", "95"]);
    let comparison = compare(&basis, &offers);
    let told = comparison.offers[0].flags.iter().map(|flag| {
        let copies = flag.copies.map(|copies| format!(" {copies}"));
        format!("{}{}", name(&flag.kind), copies.unwrap_or_default())
    });
    told.collect()
}

#[test]
fn plain_offer_raises_none() {
    assert_eq!(flags(&[], 1), [""; 0]);
    assert_eq!(flags(&[], 3), [""; 0]);
}

#[test]
fn every_flag_of_terms_is_raised_alone() {
    use Change::{Buyer, Keys};
    let overs = "overs = { over_percent = 5, under_percent = 5 }\n";
    let cases = [
        (Keys("2026-12-31", "2026-11-30"), "expired"),
        (Keys("valid_until = 2026-12-31\n", ""), "validity unsaid"),
        (
            Buyer("award_date = 2026-12-01\n", ""),
            "validity not judged",
        ),
        (Keys("", "currency = \"GBP\"\n"), "converted"),
        (Keys("", "currency = \"CHF\"\n"), "no rate"),
        (Keys("tax = \"excluded\"\n", ""), "tax unsaid"),
        (Keys(overs, ""), "overs unsaid"),
        (Keys("over_percent = 5", "over_percent = 6"), "overs above"),
        (Keys("carriage = true, ", ""), "extra unsaid"),
        (
            Keys("packing = true", "packing = false"),
            "extra without figure",
        ),
        (
            Keys("", "discount = { percent = 2 }\n"),
            "discount not taken",
        ),
    ];
    for (change, expected) in cases {
        assert_eq!(flags(&[change], 1), [expected]);
    }
    let taken = [
        Keys("", "discount = { percent = 2 }\n"),
        Buyer("", "takes_discount = true\n"),
    ];
    assert_eq!(flags(&taken, 1), [""; 0]);
    assert_eq!(
        flags(&[Keys("2026-12-31", "2026-12-01")], 1),
        [""; 0],
        "the last day counts"
    );
}

#[test]
fn every_flag_of_an_option_is_raised_alone() {
    use Change::{Moss, Process};
    let second = ", { copies = 2000, total = 345 }";
    let cases = [
        (Moss(MOSS, ""), "option missing"),
        (Moss(second, ""), "quantity missing 2000"),
        (Process("", "stock = \"matt-90\"\n"), "stock differs"),
        (Process("", "size = \"A6\"\n"), "size differs"),
        (Process("", "deviations = [\"unfolded\"]\n"), "deviates"),
        (
            Process("total = 200", "total = 200, each = 0.21"),
            "unit price differs 1000",
        ),
    ];
    for (change, expected) in cases {
        assert_eq!(flags(&[change], 1), [expected]);
    }
    let run_on = [Moss(second, ""), Moss("", "run_on_per_thousand = 65\n")];
    assert_eq!(flags(&run_on, 1), ["reckoned 2000"]);
    let between = [Moss("1000, total = 280", "500, total = 250")];
    assert_eq!(flags(&between, 1), ["reckoned 1000"]);
    assert_eq!(
        flags(&[Process("", "stock = \"GLOSS-150\"\nsize = \"A5\"\n")], 1),
        [""; 0]
    );
}

#[test]
fn every_flag_of_prices_is_raised_alone() {
    use Change::{Buyer, Moss, Process};
    let falls = [Process("260", "195"), Moss("345", "279")];
    assert_eq!(flags(&falls, 1), ["price falls 2000", "price falls 2000"]);
    assert_eq!(flags(&[Moss("280", "200")], 1), ["ink free 1000"]);
    assert_eq!(
        flags(&[Moss("280", "299")], 1),
        [""; 0],
        "a tenth above a pass is borne"
    );
    assert_eq!(flags(&[Moss("280", "300")], 1), ["ink above pass 1000"]);
    let far = [Buyer("far_percent = 60", "far_percent = 4")];
    // 200 and 280 are 4.8 and 3.4 % below 210 and 290; 260 and 345 are 3.7 and 2.8 % below.
    assert_eq!(flags(&far, 1), ["far from should-cost 1000"]);
    let low = [Process("total = 200", "total = 180"), Moss("280", "265")];
    assert_eq!(flags(&low, 3), ["far from others 1000"]);
    assert_eq!(
        flags(&low, 2),
        [""; 0],
        "three offers are too few to call one far"
    );
    assert_eq!(
        flags(&[Process("total = 200", "total = 205")], 1),
        ["same figures"]
    );
}
