//! Reads the inks of a rate card.

use super::card::price;
use super::colour::effects;
use super::job::report_duplicate_names;
use super::{Limits, Optional, Refused, TableReader, Value};
use crate::{Effect, Given, InkRate, InkRates, codes};

const FILM: Limits = Limits::new(0.1, 20.0, "g/m²", "0.9");
const KILOGRAMS: Limits = Limits::new(0.0, 1_000.0, "kg", "0.3");

/// What is used unless given. Common practice, no source.
#[derive(Clone, Copy)]
struct Usual {
    /// g/m² at full coverage on coated, uncoated, newsprint.
    film: [f64; 3],
    /// kg lost at each make-ready.
    loss: f64,
    /// kg of the smallest order.
    order: f64,
}

const PROCESS: Usual = Usual {
    film: [0.9, 1.2, 1.4],
    loss: 0.3,
    order: 0.0,
};
const SOLID: Usual = Usual {
    film: [1.1, 1.5, 1.6],
    loss: 0.3,
    order: 1.0,
};
const EFFECT: Usual = Usual {
    film: [1.5, 1.9, 2.0],
    loss: 0.3,
    order: 1.0,
};

pub(crate) fn inks(root: &TableReader<'_>) -> Option<InkRates> {
    let value = root.required("ink", "[ink.process]")?;
    let table = TableReader::of(&value, "`ink`")?;
    let process = required_rate(&table, "process", PROCESS);
    let solid = required_rate(&table, "solid", SOLID);
    let effects: Vec<Optional<(Effect, InkRate)>> = effects()
        .into_iter()
        .map(|(word, effect)| effect_rate(&table, word, effect))
        .collect();
    let named = named(&table);
    table.finish();
    let effects: Vec<Option<(Effect, InkRate)>> =
        effects.into_iter().collect::<Result<_, Refused>>().ok()?;
    Some(InkRates {
        process: process?,
        solid: solid?,
        effects: effects.into_iter().flatten().collect(),
        named: named?,
    })
}

fn required_rate(inks: &TableReader<'_>, key: &'static str, usual: Usual) -> Option<InkRate> {
    let value = inks.required(key, &format!("[ink.{key}]"))?;
    rate_of(&value, key, usual)
}

fn rate_of(value: &Value<'_>, key: &str, usual: Usual) -> Option<InkRate> {
    let table = TableReader::of(value, format!("`ink.{key}`"))?;
    let rate = rate(&table, usual);
    table.finish();
    rate
}

fn effect_rate(
    inks: &TableReader<'_>,
    key: &'static str,
    effect: Effect,
) -> Optional<(Effect, InkRate)> {
    inks.if_given(key, |value| Some((effect, rate_of(value, key, EFFECT)?)))
}

fn named(inks: &TableReader<'_>) -> Option<Vec<(Given<String>, InkRate)>> {
    let Some(listed) = inks.optional("named") else {
        return Some(Vec::new());
    };
    let read: Vec<Option<(Given<String>, InkRate)>> =
        listed.list()?.iter().map(named_ink).collect();
    let names = read.iter().flatten().map(|(name, _)| name.clone());
    report_duplicate_names(inks, "inks", names);
    read.into_iter().collect()
}

fn named_ink(entry: &Value<'_>) -> Option<(Given<String>, InkRate)> {
    let table = TableReader::of(entry, "an ink")?;
    let name = table.name("name", "name = \"House green\"");
    if let Some(name) = &name {
        table.call(format!("ink `{}`", name.value));
    }
    let rate = rate(&table, SOLID);
    table.finish();
    Some((name?, rate?))
}

fn rate(table: &TableReader<'_>, usual: Usual) -> Option<InkRate> {
    let price_per_kg = price(table, "price_per_kg");
    let [coated, uncoated, newsprint] = usual.film;
    let film_coated = film(table, "film_coated", coated);
    let film_uncoated = film(table, "film_uncoated", uncoated);
    let film_newsprint = film(table, "film_newsprint", newsprint);
    let fixed_loss_kg = fixed_loss(table, usual.loss);
    let smallest_order_kg = smallest_order(table, usual.order);
    Some(InkRate {
        price_per_kg: price_per_kg?,
        film_coated: film_coated?,
        film_uncoated: film_uncoated?,
        film_newsprint: film_newsprint?,
        fixed_loss_kg: fixed_loss_kg?,
        smallest_order_kg: smallest_order_kg?,
    })
}

fn film(table: &TableReader<'_>, key: &'static str, usual: f64) -> Option<Given<f64>> {
    let sentence = format!("`{key}` not given; using {usual} g/m² (common practice, no source)");
    table.or_assume(
        key,
        |v| v.number(FILM),
        usual,
        (codes::ASSUMED_FILM, sentence),
    )
}

fn fixed_loss(table: &TableReader<'_>, usual: f64) -> Option<Given<f64>> {
    let sentence = format!(
        "ink lost at each make-ready not given; using {usual} kg (common practice, no source)"
    );
    table.or_assume(
        "fixed_loss_kg",
        |v| v.number(KILOGRAMS),
        usual,
        (codes::ASSUMED_INK_LOSS, sentence),
    )
}

fn smallest_order(table: &TableReader<'_>, usual: f64) -> Option<Given<f64>> {
    let sentence =
        format!("smallest order not given; using {usual} kg (common practice, no source)");
    table.or_assume(
        "smallest_order_kg",
        |v| v.number(KILOGRAMS),
        usual,
        (codes::ASSUMED_SMALLEST_ORDER, sentence),
    )
}
