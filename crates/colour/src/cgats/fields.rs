//! Which columns of a table hold what, and reading a row by them.

use super::problem::{Place, Problems};
use super::words::{Word, number};
use crate::table::Patch;
use crate::{LabD50, Xyz, lab_from_xyz};

const TONES: [&str; 4] = ["CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K"];
const LAB: [&str; 3] = ["LAB_L", "LAB_A", "LAB_B"];
const XYZ: [&str; 3] = ["XYZ_X", "XYZ_Y", "XYZ_Z"];

/// Ranges in which a measured figure makes sense; beyond them the columns are most likely mixed up.
const LAB_RANGES: [(f64, f64); 3] = [(-2.0, 120.0), (-200.0, 200.0), (-200.0, 200.0)];
const XYZ_RANGE: (f64, f64) = (-2.0, 200.0);

/// The columns that matter.
pub(super) struct Fields {
    tones: [usize; 4],
    colour: [usize; 3],
    is_lab: bool,
}

impl Fields {
    /// Finds the columns; reports what is missing or named twice.
    pub(super) fn find(format: &[(String, Place)], problems: &mut Problems) -> Option<Self> {
        report_repeats(format, problems);
        let lab = columns(format, LAB);
        let colour = lab.or_else(|| columns(format, XYZ));
        let tones = columns(format, TONES);
        let place = format.first().map_or((1, 1), |(_, place)| *place);
        if tones.is_none() {
            report_no_tones(format, place, problems);
        }
        if colour.is_none() {
            problems.add(
                "table-no-colours",
                place,
                "the table has no measured colours".to_owned(),
                "name the fields LAB_L, LAB_A, LAB_B or XYZ_X, XYZ_Y, XYZ_Z",
            );
        }
        Some(Self {
            tones: tones?,
            colour: colour?,
            is_lab: lab.is_some(),
        })
    }

    /// Reads one row; reports every figure that is wrong.
    pub(super) fn patch(
        &self,
        line: usize,
        row: &[Word<'_>],
        problems: &mut Problems,
    ) -> Option<Patch> {
        let tones = self
            .tones
            .map(|column| in_range(line, row[column], (0.0, 100.0), problems));
        let colour: [Option<f64>; 3] = std::array::from_fn(|i| {
            let range = if self.is_lab {
                LAB_RANGES[i]
            } else {
                XYZ_RANGE
            };
            in_range(line, row[self.colour[i]], range, problems)
        });
        let [Some(c), Some(m), Some(y), Some(k)] = tones else {
            return None;
        };
        let [Some(p), Some(q), Some(r)] = colour else {
            return None;
        };
        let lab = if self.is_lab {
            LabD50::new(p, q, r)
        } else {
            lab_from_xyz(Xyz::new(p, q, r))
        };
        Some(Patch {
            tones: [c, m, y, k],
            lab,
        })
    }
}

fn columns<const N: usize>(format: &[(String, Place)], names: [&str; N]) -> Option<[usize; N]> {
    let found = names.map(|name| format.iter().position(|(field, _)| field == name));
    found
        .iter()
        .all(Option::is_some)
        .then(|| found.map(Option::unwrap_or_default))
}

fn report_repeats(format: &[(String, Place)], problems: &mut Problems) {
    for name in TONES.iter().chain(&LAB).chain(&XYZ) {
        let mut places = format
            .iter()
            .filter(|(field, _)| field == name)
            .map(|(_, place)| *place);
        if let (Some(_), Some(again)) = (places.next(), places.next()) {
            problems.add(
                "table-field-twice",
                again,
                format!("the field {name} is named twice"),
                "",
            );
        }
    }
}

fn report_no_tones(format: &[(String, Place)], place: Place, problems: &mut Problems) {
    let is_rgb = format.iter().any(|(field, _)| field.starts_with("RGB_"));
    let message = if is_rgb {
        "the table is of RGB colours, not of process inks"
    } else {
        "the table has no tones of the process inks"
    };
    let hint = "name the fields CMYK_C, CMYK_M, CMYK_Y and CMYK_K";
    problems.add(
        if is_rgb {
            "table-wrong-class"
        } else {
            "table-no-tones"
        },
        place,
        message.to_owned(),
        hint,
    );
}

fn in_range(
    line: usize,
    word: Word<'_>,
    (low, high): (f64, f64),
    problems: &mut Problems,
) -> Option<f64> {
    let shown: String = word
        .text
        .chars()
        .take(24)
        .flat_map(char::escape_default)
        .collect();
    let place = (line, word.column);
    let Some(value) = number(word.text) else {
        problems.add(
            "table-not-a-number",
            place,
            format!("`{shown}` is not a number"),
            "",
        );
        return None;
    };
    if (low..=high).contains(&value) {
        return Some(value);
    }
    problems.add(
        "table-out-of-range",
        place,
        format!("{shown} is outside {low} to {high}"),
        "",
    );
    None
}
