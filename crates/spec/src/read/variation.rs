//! Reads how much the presses of a plant vary.

use super::{Limits, TableReader, Value};
use crate::{Given, InkVariation, PlantVariation, codes};

const DENSITY: Limits = Limits::new(0.0, 1.0, "density", "0.05");
const TONE: Limits = Limits::new(0.0, 20.0, "points", "2.0");
const CORRELATION: Limits = Limits::new(-1.0, 1.0, "", "0.5");

/// Used unless given: the figures of the named size `controlled`. Common practice, no source.
const USUAL_DENSITY: f64 = 0.05;
const USUAL_TONE: f64 = 2.0;

/// Inks that may have figures of their own, in the order of [`PlantVariation::inks`].
const INKS: [&str; 5] = ["cyan", "magenta", "yellow", "black", "solid"];

/// `Err` when it is written and wrong.
pub(crate) fn variation(root: &TableReader<'_>) -> super::Optional<PlantVariation> {
    root.if_given("variation", |value| plant(value))
}

fn plant(value: &Value<'_>) -> Option<PlantVariation> {
    let table = TableReader::of(value, "`variation`")?;
    let all = all_inks(&table);
    let readings = table.if_given("readings", Value::text);
    let inks = INKS.map(|ink| {
        let all = all?;
        let own = table.if_given(ink, |value| one_ink(value, ink, all));
        own.ok().map(|own| own.unwrap_or(all))
    });
    table.finish();
    let [c, m, y, k, s] = inks;
    Some(PlantVariation {
        inks: [c?, m?, y?, k?, s?],
        readings: readings.ok()?,
    })
}

fn all_inks(table: &TableReader<'_>) -> Option<InkVariation> {
    let assumed = |what: &str, usual: f64| {
        let sentence = format!(
            "{what} not given; using {usual} for 95 % of sheets (common practice, no source)"
        );
        (codes::ASSUMED_VARIATION, sentence)
    };
    let density = table.or_assume(
        "density",
        |v| v.number(DENSITY),
        USUAL_DENSITY,
        assumed("variation of density", USUAL_DENSITY),
    );
    let tone = table.or_assume(
        "tone",
        |v| v.number(TONE),
        USUAL_TONE,
        assumed("variation of the tone value", USUAL_TONE),
    );
    let correlation = table.if_given("correlation", |v| v.number(CORRELATION));
    Some(InkVariation {
        density: density?,
        tone: tone?,
        correlation: correlation.ok()?.unwrap_or(Given::assumed(0.0)),
    })
}

/// What is left out of an ink's own table is that of all inks.
fn one_ink(value: &Value<'_>, ink: &str, all: InkVariation) -> Option<InkVariation> {
    let table = TableReader::of(value, format!("`variation.{ink}`"))?;
    let density = table.if_given("density", |v| v.number(DENSITY));
    let tone = table.if_given("tone", |v| v.number(TONE));
    let correlation = table.if_given("correlation", |v| v.number(CORRELATION));
    table.finish();
    Some(InkVariation {
        density: density.ok()?.unwrap_or(all.density),
        tone: tone.ok()?.unwrap_or(all.tone),
        correlation: correlation.ok()?.unwrap_or(all.correlation),
    })
}
