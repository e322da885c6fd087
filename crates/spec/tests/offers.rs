//! Offers and buyer's files: what is read, what is refused, what is told.

#![expect(
    clippy::expect_used,
    reason = "a test may stop at the first thing that is missing"
)]

mod support;

use inkset_spec::{
    Buyer, Notice, OfferedOption, OfferedPrice, Sources, Tax, check_offers, codes, read_buyer,
    read_job, read_offers, read_rate_card, render_notices,
};
use proptest::prelude::*;
use support::workspace;

fn told(name: &str, text: &str, notices: &[Notice]) -> String {
    let sources = Sources {
        offer: Some((name, text)),
        ..Sources::default()
    };
    render_notices(notices, &sources)
}

fn card() -> inkset_spec::RateCard {
    let text = std::fs::read_to_string(workspace().join("rates/seven-inks.toml")).expect("shipped");
    read_rate_card(&text).value.expect("right")
}

#[test]
fn faulty_offers_are_told() {
    let folder = workspace().join("tests/offers/invalid");
    let entries = std::fs::read_dir(folder).expect("the folder is shipped");
    let mut paths: Vec<_> = entries.map(|e| e.expect("can be listed").path()).collect();
    paths.sort();
    assert!(!paths.is_empty());
    for path in paths {
        let text = std::fs::read_to_string(&path).expect("text");
        let name = path
            .file_name()
            .expect("named")
            .to_string_lossy()
            .into_owned();
        let reading = read_offers(text.as_bytes());
        assert_eq!(reading.value, None, "{name}");
        insta::assert_snapshot!(name.replace('.', "_"), told(&name, &text, &reading.notices));
    }
}

const TOML: &str = r#"
supplier = "Alder Lane Print"
job = "Flyer for the pumpkin weeks"
date = 2026-11-20
valid_days = 30
currency = "EUR"
tax = "included"
tax_percent = 20
[[option]]
inks = ["process"]
prices = [ { copies = 5000, per_thousand = 50.00 }, { copies = 2000, set_up = 90, each = 0.05 } ]
[[option]]
inks = ["process"]
solids = ["Pumpkin orange"]
schedule = [ { item = "plates", count = 5, each = 9 }, { item = "run", count = 5, per_thousand = 4.5 } ]
[[option]]
inks = ["black"]
prices = [ { set_up = 60, per_thousand = 20 } ]
"#;

#[test]
fn prices_of_all_forms_come_to_totals() {
    let offers = read_offers(TOML.as_bytes()).value.expect("right");
    let offer = &offers[0];
    assert_eq!(offer.tax, Tax::Included(20.into()));
    let until = offer.valid_until.expect("given").value;
    assert_eq!(until.to_string(), "2026-12-20");
    let names: Vec<String> = offer.options.iter().map(OfferedOption::name).collect();
    assert_eq!(names, ["CMYK", "CMYK + Pumpkin orange", "K"]);
    let total = |option: usize, copies| {
        let quoted = offer.options[option].quoted(copies);
        quoted.map(|m| m.amount().normalize().to_string())
    };
    assert_eq!(total(0, 2000).as_deref(), Some("190"));
    assert_eq!(total(0, 5000).as_deref(), Some("250"));
    assert_eq!(total(0, 3000), None);
    assert_eq!(total(1, 2000).as_deref(), Some("90"));
    assert_eq!(total(2, 3000).as_deref(), Some("120"));
}

#[test]
fn tables_hold_many_offers() {
    let text = "\u{feff}supplier;job;date;currency;inks;copies;total;run_on_per_thousand;tax;tax_percent\r\n\
        Alder;Leaflet;2026-11-20;EUR;process;2000;189,50;21,5;included;20\r\n\
        Alder;;;;process;5000;246;;;\r\n\
        Beacon;Leaflet;2026-11-20;EUR;black + Moss;2000;150;;;\r\n\
        alder;;;;process + Moss;2000;301,00;;;\r\n";
    let reading = read_offers(text.as_bytes());
    let offers = reading.value.expect("right");
    assert_eq!(offers.len(), 2);
    assert_eq!(offers[0].options.len(), 2);
    let OfferedPrice::Breaks(breaks) = &offers[0].options[0].price else {
        panic!("breaks");
    };
    assert_eq!(breaks.len(), 2);
    assert_eq!(breaks[0].total.amount().to_string(), "189.50");
    assert_eq!(offers[1].options[0].name(), "K + Moss");
    assert_eq!(offers[1].tax, Tax::Unsaid);
}

#[test]
fn ten_thousand_offers_are_refused() {
    let header = "supplier,job,date,currency,inks,copies,total".to_owned();
    let lines = (0..10_000).map(|n| format!("S{n},Leaflet,2026-11-20,EUR,process,2000,189"));
    let text: Vec<String> = std::iter::once(header).chain(lines).collect();
    let text = text.join("\n");
    let reading = read_offers(text.as_bytes());
    let all: Vec<_> = reading.notices.iter().map(|n| n.code).collect();
    assert_eq!(all, [codes::TOO_MANY_OFFERS]);
    assert!(
        reading.notices[0]
            .message
            .contains("10000 suppliers; at most 1000")
    );
}

#[test]
fn more_than_a_thousand_offers_of_any_files_are_refused() {
    let job = std::fs::read_to_string(workspace().join("jobs/flyer-orange.toml")).expect("shipped");
    let job = read_job(&job).value.expect("right");
    let one = read_offers(TOML.as_bytes()).value.expect("right").remove(0);
    let offers = |count: usize| {
        let offers = (0..count).map(|n| {
            let mut offer = one.clone();
            offer.supplier.value = format!("S{n}");
            offer
        });
        offers.collect::<Vec<_>>()
    };
    assert_eq!(check_offers(&job, &card(), &offers(1_000)), []);
    let notices = check_offers(&job, &card(), &offers(1_001));
    let told: Vec<_> = notices.iter().map(|(at, n)| (*at, n.code)).collect();
    assert_eq!(told, [(1_000, codes::TOO_MANY_OFFERS)]);
}

#[test]
fn offers_for_something_else_are_told() {
    let job = std::fs::read_to_string(workspace().join("jobs/flyer-orange.toml")).expect("shipped");
    let job = read_job(&job).value.expect("right");
    let wrong = TOML
        .replace("pumpkin weeks", "melon weeks")
        .replace("Pumpkin orange", "Pumpkin");
    let mut offers = read_offers(wrong.as_bytes())
        .value
        .expect("right by itself");
    offers.extend(read_offers(TOML.as_bytes()).value.expect("right"));
    let notices: Vec<Notice> = check_offers(&job, &card(), &offers)
        .into_iter()
        .map(|(_, n)| n)
        .collect();
    insta::assert_snapshot!(
        "offers_for_something_else",
        told("offer.toml", &wrong, &notices)
    );
}

#[test]
fn extended_inks_are_known_by_name() {
    let job = std::fs::read_to_string(workspace().join("jobs/flyer-orange.toml")).expect("shipped");
    let told = |job: &str, ink: &str| {
        let job = read_job(job).value.expect("right");
        let offer = TOML.replace(
            "solids = [\"Pumpkin orange\"]",
            &format!("solids = [\"{ink}\"]"),
        );
        let offers = read_offers(offer.as_bytes()).value.expect("right");
        let notices = check_offers(&job, &card(), &offers).into_iter();
        let notices: Vec<String> = notices.map(|(_, notice)| notice.message).collect();
        notices
    };
    assert_eq!(told(&job, "Orange"), [""; 0]);
    assert_eq!(
        told(&job, "Oranje"),
        ["neither the job has a colour nor the rate card an extended ink `Oranje`"]
    );
    let clash = job.replace("Pumpkin orange", "Orange");
    assert_eq!(
        told(&clash, "orange"),
        ["`orange` is a colour of the job and an extended ink of the rate card too"]
    );
}

#[test]
fn buyers_need_not_say_anything() {
    assert_eq!(read_buyer(b"").value, Some(Buyer::default()));
    let text = "colour_weight = 30\nbasket = [{ copies = 5000, orders = 3 }]\n\
        exchange = [{ currency = \"GBP\", rate = 1.15, date = 2026-11-20 }]\ncarriage = { fixed = 18 }";
    let buyer = read_buyer(text.as_bytes()).value.expect("right");
    assert_eq!(buyer.price_weight, 70.into());
    assert_eq!(buyer.basket[0].orders, 3.into());
    for (text, code) in [
        ("price_weight = 60\ncolour_weight = 30", codes::OUT_OF_RANGE),
        ("colour_weight = 0.3", codes::AMBIGUOUS_PERCENT),
        (
            "basket = [{ copies = 5 }, { copies = 5 }]",
            codes::DUPLICATE_QUANTITY,
        ),
        (
            "exchange = [{ currency = \"GBP\", rate = 0, date = 2026-11-20 }]",
            codes::OUT_OF_RANGE,
        ),
    ] {
        let told: Vec<_> = read_buyer(text.as_bytes())
            .notices
            .iter()
            .map(|n| n.code)
            .collect();
        assert_eq!(told, [code], "{text}");
    }
}

proptest! {
    #[test]
    fn no_bytes_make_offers_panic(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        read_offers(&bytes);
        read_buyer(&bytes);
        read_offers(&[b"supplier,job,date,currency,inks,copies,total\n".as_slice(), &bytes].concat());
        read_offers(&[TOML.as_bytes(), &bytes].concat());
    }
}
