//! Reading the reference figures, and numbers that look random and repeat.

#![allow(dead_code, reason = "every test file uses its own part")]

use std::path::Path;

/// One row of a reference table; remembers its line for messages.
pub(crate) struct Row {
    pub(crate) line: String,
    fields: Vec<String>,
}

impl Row {
    pub(crate) fn text(&self, column: usize) -> &str {
        &self.fields[column]
    }

    pub(crate) fn number(&self, column: usize) -> f64 {
        self.fields[column]
            .parse()
            .expect("the reference tables hold numbers here")
    }
}

/// Reads `tests/reference/colour/NAME.csv` without its comments and its column names.
pub(crate) fn reference(name: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join(format!("../../tests/reference/colour/{name}.csv"));
    let text =
        std::fs::read_to_string(&path).expect("the reference table is part of the repository");
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    lines
        .map(|line| Row {
            line: line.to_owned(),
            fields: line.split(',').map(str::to_owned).collect(),
        })
        .collect()
}

/// A seeded stream of numbers from 0 to 1.
pub(crate) struct Stream(pub(crate) u64);

impl Stream {
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / (1_u64 << 31) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Tones in percent whose sum stays within the limit.
    pub(crate) fn tones(&mut self, ink_limit: f64) -> [f64; 4] {
        loop {
            let tones = [(); 4].map(|()| self.between(0.0, 100.0));
            if tones.iter().sum::<f64>() <= ink_limit {
                return tones;
            }
        }
    }
}

/// Mean, 95th percentile and maximum.
pub(crate) fn summary(mut values: Vec<f64>) -> (f64, f64, f64) {
    values.sort_by(f64::total_cmp);
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    (
        mean,
        values[values.len() * 95 / 100],
        values[values.len() - 1],
    )
}
