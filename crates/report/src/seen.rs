//! What one build prints as on several printing conditions.

use inkset_colour::{LabD50, srgb_from_lab};
use serde::Serialize;

use crate::document::{Cell, Column, Document, Table};
use crate::figures::{CAUTION_SCREEN, LETTERS, hex, round2};
use crate::near::lab_text;

/// A build and the colours that it prints as.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenBuild {
    /// Cyan, magenta, yellow, black in percent.
    pub tones: [f64; 4],
    /// One for each printing condition.
    pub on: Vec<SeenOn>,
}

/// The build on one printing condition.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenOn {
    /// Short name of the condition.
    pub condition: String,
    /// Its title for people.
    pub title: String,
    /// What the build prints as.
    pub lab: LabD50,
    /// Largest sum of tone values there, percent.
    pub ink_limit: f64,
    /// Smallest tone that still prints there, percent.
    pub smallest_dot: f64,
}

impl SeenBuild {
    fn sum(&self) -> f64 {
        self.tones.iter().sum()
    }

    fn text(&self) -> String {
        let inked = LETTERS.iter().zip(self.tones).filter(|(_, t)| *t > 0.0);
        let words: Vec<String> = inked.map(|(l, tone)| format!("{l}{tone}")).collect();
        if words.is_empty() {
            "paper".to_owned()
        } else {
            words.join(" ")
        }
    }

    /// What keeps the build from being printed so there.
    fn remarks(&self, on: &SeenOn) -> Vec<String> {
        let over = (self.sum() > on.ink_limit).then(|| {
            format!(
                "{}: {} % of ink, more than the limit of {} %",
                on.condition,
                self.sum(),
                on.ink_limit
            )
        });
        let thin = LETTERS
            .iter()
            .zip(self.tones)
            .find(|(_, tone)| *tone > 0.0 && *tone < on.smallest_dot);
        let thin = thin.map(|(letter, tone)| {
            format!(
                "{}: {letter}{tone} is below the smallest dot of {} % and may not print",
                on.condition, on.smallest_dot
            )
        });
        over.into_iter().chain(thin).collect()
    }
}

/// For people.
pub fn seen_document(report: &SeenBuild) -> Document {
    let mut document = Document::default();
    document.heading(format!("{} as printed", report.text()));
    let mut table = Table::new(vec![
        Column::words("Printing condition"),
        Column::words("Name"),
        Column::figures("L a b"),
        Column::words("sRGB"),
    ]);
    for on in &report.on {
        table.row(vec![
            Cell::text(&on.title),
            Cell::text(&on.condition),
            Cell::text(lab_text(on.lab)),
            Cell::text(hex(srgb_from_lab(on.lab))),
        ]);
    }
    document.table(table);
    document.list(report.on.iter().flat_map(|on| report.remarks(on)).collect());
    document.text(CAUTION_SCREEN);
    document
}

#[derive(Serialize)]
struct SeenJson<'a> {
    condition: &'a str,
    title: &'a str,
    lab: [f64; 3],
    srgb: String,
    within_ink_limit: bool,
    remarks: Vec<String>,
}

/// For programs: one object a printing condition.
pub fn seen_json(report: &SeenBuild) -> String {
    let rows: Vec<SeenJson<'_>> = report
        .on
        .iter()
        .map(|on| SeenJson {
            condition: &on.condition,
            title: &on.title,
            lab: [on.lab.l, on.lab.a, on.lab.b].map(round2),
            srgb: hex(srgb_from_lab(on.lab)),
            within_ink_limit: report.sum() <= on.ink_limit,
            remarks: report.remarks(on),
        })
        .collect();
    crate::json::pretty(&rows)
}

/// For spreadsheets.
pub fn seen_csv(report: &SeenBuild) -> String {
    let header = [
        "condition",
        "C",
        "M",
        "Y",
        "K",
        "L",
        "a",
        "b",
        "srgb",
        "remarks",
    ];
    let rows = report.on.iter().map(|on| {
        let mut row = vec![on.condition.clone()];
        row.extend(report.tones.map(|tone| tone.to_string()));
        row.extend([on.lab.l, on.lab.a, on.lab.b].map(|v| format!("{:.2}", round2(v))));
        row.push(hex(srgb_from_lab(on.lab)));
        row.push(report.remarks(on).join("; "));
        row
    });
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}
