//! Published figures on prices by quantity and on ink: a tariff, a survey of presses, rules of ink makers.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use std::collections::BTreeMap;

use inkset_costing::{Stage, estimate, falls, fitted};
use inkset_spec::{Job, ProductKind, RateCard};
use inkset_units::{Money, Size};
use rust_decimal::Decimal;
use support::{
    all_pages, card, euro, given, inks, job, operation, part, percent, plan, press, size,
};

const TARIFF: &str =
    include_str!("../../../tests/reference/costing/tariff_offset_per_colour_2012.csv");
const SURVEY: &str =
    include_str!("../../../tests/reference/costing/press_productivity_survey_2004.csv");
const EXAMPLES: &str = include_str!("../../../tests/reference/costing/worked_examples.csv");

fn rows(table: &str) -> Vec<Vec<String>> {
    // The first two lines are source and header.
    table.lines().skip(2).map(support::fields).collect()
}

/// A class of the tariff: rupees for each colour and side at whole thousands of copies.
struct Class {
    name: String,
    plate: u64,
    /// First thousand, each further one, at 5,000, each further one, … each further one above 100,000.
    steps: Vec<u64>,
}

impl Class {
    fn all() -> Vec<Self> {
        let class = |row: &Vec<String>| Self {
            name: row[0].clone(),
            plate: row[2].parse().unwrap(),
            steps: row[4..14]
                .iter()
                .map(|cell| cell.parse().unwrap())
                .collect(),
        };
        rows(TARIFF).iter().map(class).collect()
    }

    fn price(&self, thousands: u64) -> u64 {
        let starts = [1, 5, 25, 50, 100];
        let at = starts
            .iter()
            .rposition(|start| *start <= thousands)
            .unwrap();
        self.steps[2 * at] + (thousands - starts[at]) * self.steps[2 * at + 1]
    }
}

fn rupees(whole: u64) -> Money {
    Money::new(Decimal::from(whole))
}

#[test]
fn tariff_of_2012_charges_a_fifth_colour_a_quarter_more() {
    // Row C6: class I, 10,000 copies, one side, plates included.
    let class = &Class::all()[0];
    let colours = |n: u64| n * (class.plate + class.price(10));
    assert_eq!([colours(4), colours(5)], [7_400, 9_250]);
}

#[test]
fn tariff_of_2012_falls_at_one_break_and_that_is_told() {
    let mut told = Vec::new();
    for class in Class::all() {
        let points: Vec<_> = (1..=120)
            .map(|thousands| (thousands * 1_000, rupees(class.price(thousands))))
            .collect();
        told.extend(
            falls(&points)
                .into_iter()
                .map(|fall| (class.name.clone(), fall.from, fall.to)),
        );
    }
    // Row C7.
    let only = (
        "V (cover)".to_owned(),
        (49_000, rupees(6_815)),
        (50_000, rupees(6_150)),
    );
    assert_eq!(told, [only]);
}

#[test]
fn survey_of_2004_has_a_fixed_and_a_variable_part() {
    let mut by_type: BTreeMap<String, Vec<(u64, Money)>> = BTreeMap::new();
    for row in rows(SURVEY) {
        // Thousandths of an hour stand in for money: the line is the same.
        let hours: f64 = row[4].parse().unwrap();
        let point = (
            row[3].parse().unwrap(),
            rupees((hours * 1_000.0).round() as u64),
        );
        by_type.entry(row[0].clone()).or_default().push(point);
    }
    assert!(by_type.len() >= 3, "{by_type:?}");
    for (kind, points) in by_type {
        let split = fitted(&points, euro()).unwrap();
        assert!(split.fixed > Money::ZERO, "{kind}: {split:?}");
        assert!(split.per_thousand > Money::ZERO, "{kind}: {split:?}");
    }
}

#[test]
fn press_hours_have_the_shape_of_the_survey() {
    // The fewer copies share one make-ready, the fewer impressions an hour: the survey's rising medians.
    let plan = plan(inks(&[]), vec![all_pages(2, &support::FOUR)]);
    let per_hour = |copies: u64| {
        let estimate = estimate(&support::flyer(), &card(), &plan, copies).unwrap();
        let hours: Decimal = estimate
            .lines
            .iter()
            .filter(|line| matches!(line.stage, Stage::MakeReady | Stage::Press))
            .map(|line| line.quantity)
            .sum();
        Decimal::from(copies) / hours
    };
    let rates = [1_000, 4_000, 16_000, 64_000].map(per_hour);
    assert!(rates.is_sorted(), "{rates:?}");
}

/// A card that spoils nothing and loses no ink, with this film.
fn bare_card(film: f64) -> RateCard {
    let mut card = card();
    card.presses = vec![press("press", 1)];
    card.presses[0].make_ready_sheets = given(0);
    card.presses[0].make_ready_sheets_per_ink = given(0);
    card.inks.process = support::ink_rate("9.00", film, 0.0, 0.0);
    for step in &mut card.run_spoilage.steps {
        step.percent = percent(0.0);
    }
    card.finishing.cut = Some(operation("0", "0", 0, 0.0));
    card.finishing.fold = Some(operation("0", "0", 0, 0.0));
    card.finishing.stitch = Some(operation("0", "0", 0, 0.0));
    card
}

fn black_kilograms(job: &Job, card: &RateCard, pages: u32, coverage: f64, copies: u64) -> f64 {
    let plan = plan(
        inks(&[]),
        vec![all_pages(pages, &[(support::BLACK, coverage)])],
    );
    let estimate = estimate(job, card, &plan, copies).unwrap();
    let line = estimate.lines.iter().find(|line| line.stage == Stage::Ink);
    line.unwrap().quantity.to_string().parse().unwrap()
}

fn letter() -> Size {
    Size::parse("8.5x11in").unwrap()
}

fn example(id: &str) -> Vec<String> {
    let all = rows(EXAMPLES);
    all.into_iter().find(|row| row[0] == id).unwrap()
}

#[test]
fn ink_makers_rules_of_thumb_are_met() {
    // Rows I2 and I3: a letter-sized solid, 100,000 impressions, in pounds; the film in the exact result of the row.
    for (id, pounds) in [("I2", 30.0), ("I3", 45.0)] {
        let row = example(id);
        assert!(row[3].starts_with(&format!("{pounds} lb")), "{row:?}");
        let film = row[4]
            .split_once("= ")
            .unwrap()
            .1
            .rsplit_once("= ")
            .unwrap()
            .1;
        let film = film.trim_end_matches(" g/m2").parse().unwrap();
        let job = job(ProductKind::Flat, letter(), vec![part("sheet", 1)]);
        let used = black_kilograms(&job, &bare_card(film), 1, 1.0, 100_000) / 0.453_592_37;
        assert!((used - pounds).abs() < 0.01, "{id}: {used} lb");
    }
}

#[test]
fn published_covered_area_is_met() {
    // Row I1: 16 pages of 9 x 12 in at 30 % are 518.4 square inches a copy; at 1 g/m2 and 10,000 copies, kilograms.
    let row = example("I1");
    assert_eq!(row[4], "518.4");
    let job = job(
        ProductKind::SaddleStitched,
        size(9.0 * 25.4, 12.0 * 25.4),
        vec![part("text", 16)],
    );
    let used = black_kilograms(&job, &bare_card(1.0), 16, 0.3, 10_000);
    let square_inches = used * 1_000.0 / 10_000.0 / (0.0254 * 0.0254);
    assert!((square_inches - 518.4).abs() < 1.0, "{square_inches}");
}
