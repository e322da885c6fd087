//! Reads the inks of a rate card.

use super::card::price;
use super::colour::effects;
use super::job::report_duplicate_names;
use super::target::lab_or_palette;
use super::{Limits, Optional, Refused, TableReader, Value};
use crate::{Effect, ExtendedInk, Given, InkRate, InkRates, PaperKind, Target, codes};

const FILM: Limits = Limits::new(0.1, 20.0, "g/m²", "0.9");
const KILOGRAMS: Limits = Limits::new(0.0, 1_000.0, "kg", "0.3");

const OPACITY: Limits = Limits::new(0.0, 1.0, "", "0.1");
const TRAPPING: Limits = Limits::new(0.1, 1.0, "", "0.9");
/// Measured on published overprints of process inks: `docs/colour.md`.
const USUAL_TRAPPING: f64 = 0.9;
/// Most extended process inks of a card.
const MOST_EXTENDED: usize = 4;

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
/// An extended process ink stays in its unit and is bought like the other process inks.
const EXTENDED: Usual = Usual {
    film: [0.9, 1.2, 1.4],
    loss: 0.3,
    order: 0.0,
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
    let named = named?;
    Some(InkRates {
        process: process?,
        solid: solid?,
        effects: effects.into_iter().flatten().collect(),
        extended: named
            .iter()
            .filter_map(|(.., extended)| extended.clone())
            .collect(),
        named: named
            .into_iter()
            .map(|(name, rate, _)| (name, rate))
            .collect(),
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

type Named = (Given<String>, InkRate, Option<ExtendedInk>);

fn named(inks: &TableReader<'_>) -> Option<Vec<Named>> {
    let Some(listed) = inks.optional("named") else {
        return Some(Vec::new());
    };
    let read: Vec<Option<Named>> = listed.list()?.iter().map(named_ink).collect();
    let names = read.iter().flatten().map(|(name, ..)| name.clone());
    report_duplicate_names(inks, "inks", names);
    report_too_many_extended(inks, read.iter().flatten());
    read.into_iter().collect()
}

fn named_ink(entry: &Value<'_>) -> Option<Named> {
    let table = TableReader::of(entry, "an ink")?;
    let name = table.name("name", "name = \"House green\"");
    if let Some(name) = &name {
        table.call(format!("ink `{}`", name.value));
    }
    let extended = table.optional("extended");
    let usual = if extended.is_some() { EXTENDED } else { SOLID };
    let rate = rate(&table, usual);
    table.finish();
    let name = name?;
    let extended = match extended {
        Some(value) => Some(extended_ink(&value, &name)?),
        None => None,
    };
    Some((name, rate?, extended))
}

/// What makes a named ink a process ink.
fn extended_ink(value: &Value<'_>, name: &Given<String>) -> Option<ExtendedInk> {
    let subject = format!("`extended` of ink `{}`", name.value);
    let table = TableReader::of(value, subject.clone())?;
    let kinds = [
        ("coated", PaperKind::Coated),
        ("uncoated", PaperKind::Uncoated),
        ("newsprint", PaperKind::Newsprint),
    ];
    let solids: Vec<Optional<(PaperKind, Given<Target>)>> = kinds
        .into_iter()
        .map(|(key, kind)| table.if_given(key, |v| Some((kind, lab_or_palette(v)?))))
        .collect();
    let opacity = opacity(&table, &solids, name);
    let trapping = table.or_assume(
        "trapping",
        |v| v.number(TRAPPING),
        USUAL_TRAPPING,
        (
            codes::ASSUMED_TRAPPING,
            format!(
                "trapping of ink `{}` not given; using {USUAL_TRAPPING}, near the best for the published overprints of process inks",
                name.value
            ),
        ),
    );
    let order = table.if_given("printed", |v| {
        v.choice(&[("before", true), ("after", false)])
    });
    table.finish();
    let solids: Vec<Option<(PaperKind, Given<Target>)>> =
        solids.into_iter().collect::<Result<_, Refused>>().ok()?;
    let solids: Vec<_> = solids.into_iter().flatten().collect();
    if solids.is_empty() {
        return value.refuse(
            codes::EXTENDED_WITHOUT_SOLID,
            format!("{subject} gives the look of its solid on no paper"),
            "write `coated = [65.0, 58.0, 85.0]` (L, a, b as measured under D50), or `uncoated` or `newsprint`",
        );
    }
    Some(ExtendedInk {
        name: name.clone(),
        solids,
        opacity: opacity.ok()?,
        trapping: trapping?,
        first: order.ok()?.is_some_and(|first| first.value),
    })
}

/// A palette may have measured it; only where every solid is a plain Lab is it known to be unknown.
fn opacity(
    table: &TableReader<'_>,
    solids: &[Optional<(PaperKind, Given<Target>)>],
    name: &Given<String>,
) -> Optional<Given<f64>> {
    let opacity = table.if_given("opacity", |v| v.number(OPACITY));
    let measured = |solid: &Optional<(PaperKind, Given<Target>)>| matches!(solid, Ok(Some((_, target))) if matches!(target.value, Target::Palette { .. }));
    if matches!(opacity, Ok(None)) && !solids.iter().any(measured) {
        let sentence = format!(
            "opacity of ink `{}` not given; taking it as transparent, as process inks are",
            name.value
        );
        table.assume(0.0, (codes::ASSUMED_OPACITY, sentence));
    }
    opacity
}

fn report_too_many_extended<'n>(inks: &TableReader<'_>, named: impl Iterator<Item = &'n Named>) {
    let mut extended = named.filter_map(|(name, _, extended)| extended.is_some().then_some(name));
    if let Some(name) = extended.nth(MOST_EXTENDED) {
        let message = format!(
            "ink `{}` is one extended process ink too many; at most {MOST_EXTENDED} are taken",
            name.value
        );
        let notice = inks.log().error(codes::TOO_MANY_EXTENDED, message);
        inks.log().report(
            notice
                .at(name.place)
                .hint("take `extended` out of the inks that are mixed for a job"),
        );
    }
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
