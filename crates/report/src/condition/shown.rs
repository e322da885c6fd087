//! What one printing condition prints.

use inkset_colour::{
    ALPHA_RADIUS, LabD50, PrintedTint, PrintingCondition, ProcessSet, srgb_from_lab,
};
use serde::Serialize;

use super::{Fact, fact, facts_csv, known};
use crate::document::{Cell, Column, Document, Table};
use crate::figures::{CAUTION_SCREEN, grouped, hex, round2};

/// A condition with its measures.
#[derive(Debug)]
pub struct ShownCondition<'a> {
    /// The condition.
    pub condition: &'a PrintingCondition,
    /// How tints of each ink print.
    pub tints: Vec<PrintedTint>,
    /// Volume of the reachable colours as an alpha shape, CIELAB units cubed.
    pub volume: f64,
    /// Volume of their convex hull, CIELAB units cubed.
    pub convex_volume: f64,
}

impl ShownCondition<'_> {
    /// Paper, solids, and every overprint within the ink limit, fewer inks first.
    fn colours(&self) -> Vec<(String, LabD50)> {
        let mut sets: Vec<ProcessSet> = ProcessSet::every()
            .filter(|set| set.len() as f64 * 100.0 <= self.condition.ink_limit())
            .collect();
        sets.sort_by_key(|set| (set.len(), std::cmp::Reverse(order(*set))));
        sets.into_iter()
            .map(|set| (name(set), self.condition.lab(tones(set))))
            .collect()
    }
}

/// Tones of an overprint of solids.
fn tones(set: ProcessSet) -> [f64; 4] {
    let mut tones = [0.0; 4];
    for ink in set.iter() {
        tones[ink.index()] = 100.0;
    }
    tones
}

/// Sets with cyan come first, then those with magenta.
fn order(set: ProcessSet) -> [bool; 4] {
    tones(set).map(|tone| tone > 0.0)
}

fn name(set: ProcessSet) -> String {
    if set.is_empty() {
        "paper".to_owned()
    } else {
        set.iter().map(inkset_colour::ProcessInk::letter).collect()
    }
}

/// For people.
pub fn shown_document(shown: &ShownCondition<'_>) -> Document {
    let condition = shown.condition;
    let mut document = Document::default();
    document.heading(format!("{} ({})", condition.title(), condition.name()));
    document.list(vec![
        format!("Source: {}", known(condition.source())),
        format!("Licence: {}", known(condition.licence())),
        format!(
            "Paper kind: {}. Process: {}",
            known(condition.paper_kind()),
            known(condition.process())
        ),
        format!(
            "Ink limit {} %, black up to {} %, smallest dot {} %",
            condition.ink_limit(),
            condition.black_limit(),
            condition.smallest_dot()
        ),
        format!(
            "Reachable colours: {} CIELAB units cubed (alpha shape, radius {ALPHA_RADIUS}); convex hull {}",
            grouped(&format!("{:.0}", shown.volume)),
            grouped(&format!("{:.0}", shown.convex_volume))
        ),
    ]);
    document.table(colours_table(shown));
    document.table(tints_table(shown));
    document.text(
        "Increase by Murray and Davies over X − 0.55 Z for cyan, Y for magenta and black, Z for yellow; spot tone value by ISO 20654.",
    );
    document.text(CAUTION_SCREEN);
    document
}

fn colours_table(shown: &ShownCondition<'_>) -> Table {
    let mut table = Table::new(vec![
        Column::words("Solids"),
        Column::figures("L*"),
        Column::figures("a*"),
        Column::figures("b*"),
        Column::words("sRGB"),
    ]);
    for (name, lab) in shown.colours() {
        let mut row = vec![Cell::text(name)];
        row.extend([lab.l, lab.a, lab.b].map(|v| Cell::Number(round2(v), 1)));
        row.push(Cell::text(hex(srgb_from_lab(lab))));
        table.row(row);
    }
    table
}

fn tints_table(shown: &ShownCondition<'_>) -> Table {
    let mut table = Table::new(vec![
        Column::words("Tint"),
        Column::figures("On paper %"),
        Column::figures("Increase"),
        Column::figures("Spot tone value %"),
    ]);
    for tint in &shown.tints {
        table.row(vec![
            Cell::text(format!("{}{}", tint.ink.letter(), tint.tone)),
            Cell::Number(tint.tone_value, 1),
            Cell::Number(tint.increase(), 1),
            Cell::Number(tint.spot_tone_value, 1),
        ]);
    }
    table
}

#[derive(Serialize)]
struct ShownJson<'a> {
    name: &'a str,
    title: &'a str,
    paper_kind: &'a str,
    process: &'a str,
    source: &'a str,
    licence: &'a str,
    ink_limit: f64,
    black_limit: f64,
    smallest_dot: f64,
    gamut_volume: f64,
    convex_volume: f64,
    solids: Vec<ColourJson>,
    tints: Vec<TintJson>,
}

#[derive(Serialize)]
struct ColourJson {
    inks: String,
    lab: [f64; 3],
    srgb: String,
}

#[derive(Serialize)]
struct TintJson {
    ink: char,
    tone: f64,
    tone_value: f64,
    increase: f64,
    spot_tone_value: f64,
}

/// For programs.
pub fn shown_json(shown: &ShownCondition<'_>) -> String {
    let condition = shown.condition;
    let colour = |(inks, lab): (String, LabD50)| ColourJson {
        inks,
        lab: [lab.l, lab.a, lab.b].map(round2),
        srgb: hex(srgb_from_lab(lab)),
    };
    let tint = |tint: &PrintedTint| TintJson {
        ink: tint.ink.letter(),
        tone: tint.tone,
        tone_value: round2(tint.tone_value),
        increase: round2(tint.increase()),
        spot_tone_value: round2(tint.spot_tone_value),
    };
    crate::json::pretty(&ShownJson {
        name: condition.name(),
        title: condition.title(),
        paper_kind: condition.paper_kind(),
        process: condition.process(),
        source: condition.source(),
        licence: condition.licence(),
        ink_limit: condition.ink_limit(),
        black_limit: condition.black_limit(),
        smallest_dot: condition.smallest_dot(),
        gamut_volume: shown.volume.round(),
        convex_volume: shown.convex_volume.round(),
        solids: shown.colours().into_iter().map(colour).collect(),
        tints: shown.tints.iter().map(tint).collect(),
    })
}

/// For spreadsheets: one figure a row.
pub fn shown_csv(shown: &ShownCondition<'_>) -> String {
    let condition = shown.condition;
    let mut facts: Vec<Fact> = vec![
        fact(
            "condition",
            condition.name(),
            "title",
            condition.title().to_owned(),
        ),
        fact(
            "condition",
            condition.name(),
            "ink_limit",
            condition.ink_limit().to_string(),
        ),
        fact(
            "condition",
            condition.name(),
            "black_limit",
            condition.black_limit().to_string(),
        ),
        fact(
            "condition",
            condition.name(),
            "smallest_dot",
            condition.smallest_dot().to_string(),
        ),
        fact(
            "condition",
            condition.name(),
            "gamut_volume",
            format!("{:.0}", shown.volume),
        ),
        fact(
            "condition",
            condition.name(),
            "convex_volume",
            format!("{:.0}", shown.convex_volume),
        ),
    ];
    for (name, lab) in shown.colours() {
        for (figure, value) in [("L", lab.l), ("a", lab.a), ("b", lab.b)] {
            facts.push(fact(
                "solids",
                &name,
                figure,
                format!("{:.2}", round2(value)),
            ));
        }
        facts.push(fact("solids", &name, "srgb", hex(srgb_from_lab(lab))));
    }
    for tint in &shown.tints {
        let name = format!("{}{}", tint.ink.letter(), tint.tone);
        for (figure, value) in [
            ("tone_value", tint.tone_value),
            ("increase", tint.increase()),
            ("spot_tone_value", tint.spot_tone_value),
        ] {
            facts.push(fact("tints", &name, figure, format!("{value:.2}")));
        }
    }
    facts_csv(facts)
}
