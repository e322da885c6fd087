//! Tone value increase against the reference.

mod common;

use common::{Row, reference};
use inkset_colour::{
    ProcessInk, Xyz, printed_tint, shipped, shipped_table, spot_tone_value, tone_value,
    xyz_from_lab,
};

/// Points by which tone values may differ from the reference.
const ALLOWED: f64 = 0.3;

fn ink(row: &Row) -> ProcessInk {
    let letter = row.text(1).chars().next();
    ProcessInk::ALL
        .into_iter()
        .find(|ink| Some(ink.letter()) == letter)
        .expect("a letter of a process ink")
}

/// Tone value by Murray and Davies, then by ISO 20654.
fn wanted(row: &Row) -> [f64; 2] {
    [row.number(3), row.number(4)]
}

#[test]
fn steps_of_the_tables_have_the_reference_tone_values() {
    let rows = reference("tvi");
    for row in &rows {
        let table = shipped_table(row.text(0)).expect("its table is shipped");
        let patches = table.averaged();
        let ink = ink(row);
        let colour = |tone: f64| -> Xyz {
            let mut tones = [0.0; 4];
            tones[ink.index()] = tone;
            let patch = patches.iter().find(|p| p.is_at(tones));
            xyz_from_lab(patch.expect("the step was measured").lab)
        };
        let three = [colour(0.0), colour(100.0), colour(row.number(2))];
        let found = [
            tone_value(ink, three),
            spot_tone_value(three[0], three[1], three[2]),
        ];
        for (found, wanted) in found.into_iter().zip(wanted(row)) {
            assert!(
                (found - wanted).abs() <= ALLOWED,
                "{}: found {found:.2}",
                row.line
            );
        }
    }
    assert!(rows.len() > 200);
}

/// The steps that are shown for a condition.
#[test]
fn conditions_print_the_reference_tone_values() {
    let rows = reference("tvi");
    let shown = rows
        .iter()
        .filter(|row| [25.0, 50.0, 75.0].contains(&row.number(2)));
    let mut judged = 0;
    for row in shown {
        let condition = shipped(row.text(0)).expect("a shipped condition");
        let tint = printed_tint(condition, ink(row), row.number(2));
        let found = [tint.tone_value, tint.spot_tone_value];
        for (found, wanted) in found.into_iter().zip(wanted(row)) {
            assert!(
                (found - wanted).abs() <= ALLOWED,
                "{}: found {found:.2}",
                row.line
            );
        }
        judged += 1;
    }
    assert!(judged >= 20, "{judged}");
}
