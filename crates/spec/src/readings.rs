//! Control-strip readings over a run: how much each ink really varied.
//!
//! CSV with the columns `ink, density, tone50` in any order, one line a reading: the ink (`cyan`, `magenta`, `yellow`, `black` or `solid`), the
//! density of its solid patch, and the tone value of its 50 % patch in percent. More columns may follow and are ignored.
//! The separator is a comma, a semicolon or a tab; with the latter two a decimal comma is understood.

use crate::notice::Positions;
use crate::{FileRole, Notice, Reading, codes};

/// Longest table accepted, bytes.
const LONGEST: usize = 16 << 20;
/// Fewest readings of an ink from which a spread is taken. Our own choice.
pub const FEWEST_READINGS: usize = 10;
/// Words for the inks, in the order of [`crate::PlantVariation::inks`].
const INKS: [&str; 5] = ["cyan", "magenta", "yellow", "black", "solid"];
/// Columns with the largest value that is believed.
const COLUMNS: [(&str, f64); 2] = [("density", 4.0), ("tone50", 100.0)];

/// What the readings say of one ink.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InkReadings {
    /// Index into [`crate::PlantVariation::inks`].
    pub ink: usize,
    /// Number of readings.
    pub count: usize,
    /// Mean density of the solid.
    pub density_mean: f64,
    /// Two standard deviations of it.
    pub density_two_sd: f64,
    /// Mean tone value of the middle tone, percent.
    pub tone_mean: f64,
    /// Two standard deviations of it, points.
    pub tone_two_sd: f64,
    /// Correlation of the two, -1 to 1.
    pub correlation: f64,
}

/// Reads control-strip readings; every problem is told, and nothing is returned if there is one.
pub fn read_readings(bytes: &[u8]) -> Reading<Vec<InkReadings>> {
    let error = |code, message: String| Notice::error(FileRole::Table, code, message);
    if bytes.len() > LONGEST {
        let message = format!(
            "the readings have {} bytes; at most {LONGEST} are read",
            bytes.len()
        );
        return Reading::new(None, vec![error(codes::FILE_TOO_LONG, message)]);
    }
    let Ok(text) = std::str::from_utf8(bytes) else {
        let message = "the readings are no UTF-8 text".to_owned();
        return Reading::new(None, vec![error(codes::NOT_UTF_8, message)]);
    };
    let mut reader = Reader {
        text,
        positions: Positions::new(FileRole::Table, text),
        notices: Vec::new(),
    };
    let read = reader.readings();
    let sound = read.filter(|_| reader.notices.is_empty());
    Reading::new(sound, reader.notices)
}

struct Reader<'t> {
    text: &'t str,
    positions: Positions<'t>,
    notices: Vec<Notice>,
}

/// The separator, and where ink, density and tone value stand.
struct Header {
    separator: char,
    columns: [usize; 3],
}

/// Most problems told.
const MOST_PROBLEMS: usize = 50;

impl Reader<'_> {
    fn readings(&mut self) -> Option<Vec<InkReadings>> {
        let text = self.text;
        let mut lines = text
            .split_inclusive('\n')
            .scan(0, |at, line| {
                let start = *at;
                *at += line.len();
                Some((start, line.trim_end()))
            })
            .filter(|(_, line)| !line.is_empty() && !line.starts_with('#'));
        let header = self.header(lines.next())?;
        let mut of_inks: [Vec<[f64; 2]>; 5] = Default::default();
        for (start, line) in lines {
            if let Some((ink, values)) = self.line(&header, start, line) {
                of_inks[ink].push(values);
            }
            if self.notices.len() >= MOST_PROBLEMS {
                return None;
            }
        }
        self.judged(&of_inks)
    }

    fn tell(&mut self, code: &'static str, message: String, (start, line): (usize, &str)) {
        let place = self.positions.place(start..start + line.len());
        self.notices
            .push(Notice::error(FileRole::Table, code, message).at(Some(place)));
    }

    fn header(&mut self, line: Option<(usize, &str)>) -> Option<Header> {
        let line = line.unwrap_or((0, ""));
        let plain = line.1.trim_start_matches('\u{feff}');
        let separator = [';', '\t'].into_iter().find(|c| plain.contains(*c));
        let separator = separator.unwrap_or(',');
        let names: Vec<String> = plain
            .split(separator)
            .map(|name| name.trim().trim_matches('"').to_ascii_lowercase())
            .collect();
        let wanted = ["ink", COLUMNS[0].0, COLUMNS[1].0];
        let found = wanted.map(|name| names.iter().position(|known| known == name));
        if let [Some(ink), Some(density), Some(tone)] = found {
            return Some(Header {
                separator,
                columns: [ink, density, tone],
            });
        }
        let missing: Vec<&str> = (0..3)
            .filter(|i| found[*i].is_none())
            .map(|i| wanted[i])
            .collect();
        let message = format!("the readings have no column {}", missing.join(", "));
        self.tell(codes::MISSING_COLUMN, message, line);
        None
    }

    fn line(&mut self, header: &Header, start: usize, line: &str) -> Option<(usize, [f64; 2])> {
        let fields: Vec<&str> = line
            .split(header.separator)
            .map(|field| field.trim().trim_matches('"'))
            .collect();
        let field = |at: usize| fields.get(header.columns[at]).copied().unwrap_or("");
        let word = field(0).to_lowercase();
        let ink = INKS.iter().position(|known| *known == word);
        if ink.is_none() {
            let message = format!(
                "`{}` is no ink; known: {}",
                crate::read::shown(field(0)),
                INKS.join(", ")
            );
            self.tell(codes::UNKNOWN_WORD, message, (start, line));
        }
        let mut values = [0.0; 2];
        for (at, (name, most)) in COLUMNS.into_iter().enumerate() {
            let written = field(at + 1);
            let decimal = if header.separator == ',' {
                written.to_owned()
            } else {
                written.replace(',', ".")
            };
            match decimal.parse::<f64>() {
                Ok(value) if (0.0..=most).contains(&value) => values[at] = value,
                _ => {
                    let message = format!(
                        "{name} is `{}`, must be 0 to {most}",
                        crate::read::shown(written)
                    );
                    self.tell(codes::OUT_OF_RANGE, message, (start, line));
                    return None;
                }
            }
        }
        ink.map(|ink| (ink, values))
    }

    fn judged(&mut self, of_inks: &[Vec<[f64; 2]>; 5]) -> Option<Vec<InkReadings>> {
        let few = |readings: &Vec<[f64; 2]>| (1..FEWEST_READINGS).contains(&readings.len());
        for (ink, readings) in of_inks
            .iter()
            .enumerate()
            .filter(|(_, readings)| few(readings))
        {
            let message = format!(
                "{} has {} readings; a spread needs at least {FEWEST_READINGS}",
                INKS[ink],
                readings.len()
            );
            self.notices
                .push(Notice::error(FileRole::Table, codes::EMPTY_LIST, message));
        }
        if of_inks.iter().all(Vec::is_empty) {
            let message = "the table has no readings".to_owned();
            self.notices
                .push(Notice::error(FileRole::Table, codes::EMPTY_LIST, message));
            return None;
        }
        let measured = of_inks.iter().enumerate().filter(|(_, r)| !r.is_empty());
        Some(
            measured
                .map(|(ink, readings)| summed_up(ink, readings))
                .collect(),
        )
    }
}

/// Mean and spread; the spread divides by one less than the number of readings.
fn summed_up(ink: usize, readings: &[[f64; 2]]) -> InkReadings {
    let count = readings.len() as f64;
    let mean = |at: usize| readings.iter().map(|r| r[at]).sum::<f64>() / count;
    let means = [mean(0), mean(1)];
    let moment = |p: usize, q: usize| {
        let products = readings
            .iter()
            .map(|r| (r[p] - means[p]) * (r[q] - means[q]));
        products.sum::<f64>() / (count - 1.0).max(1.0)
    };
    let [density, tone] = [moment(0, 0).sqrt(), moment(1, 1).sqrt()];
    let correlation = if density * tone > 0.0 {
        (moment(0, 1) / (density * tone)).clamp(-1.0, 1.0)
    } else {
        0.0
    };
    InkReadings {
        ink,
        count: readings.len(),
        density_mean: means[0],
        density_two_sd: 2.0 * density,
        tone_mean: means[1],
        tone_two_sd: 2.0 * tone,
        correlation,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mean_spread_and_correlation_are_those_of_a_pencil() {
        let mut text = "ink;tone50;density;sheet\n".to_owned();
        for at in 0..10 {
            let step = f64::from(at) - 4.5;
            let line = format!("Cyan;{:.3};{:.3};{at}\n", 64.0 + step, 1.40 + 0.01 * step);
            text.push_str(&line.replace('.', ","));
        }
        let reading = read_readings(text.as_bytes());
        let found = reading
            .value
            .unwrap_or_else(|| panic!("{:?}", reading.notices));
        assert_eq!((found.len(), found[0].ink, found[0].count), (1, 0, 10));
        // Ten numbers one apart have a standard deviation of √(82.5 / 9).
        let two_sd = 2.0 * (82.5_f64 / 9.0).sqrt();
        assert!((found[0].tone_two_sd - two_sd).abs() < 1e-9);
        assert!((found[0].density_two_sd - 0.01 * two_sd).abs() < 1e-9);
        assert!((found[0].tone_mean - 64.0).abs() < 1e-9);
        assert!((found[0].correlation - 1.0).abs() < 1e-9);
    }

    #[test]
    fn every_mistake_is_told_and_nothing_panics() {
        for (text, told) in [
            ("", 1),
            ("ink,density\n", 1),
            ("ink,density,tone50\n", 1),
            ("ink,density,tone50\ncyan,1.4,64\n", 1),
            (
                "ink,density,tone50\norange,1.4,64\ncyan,nan,64\ncyan,1.4\n",
                3 + 1,
            ),
        ] {
            let reading = read_readings(text.as_bytes());
            assert!(reading.value.is_none(), "{text}");
            assert_eq!(reading.notices.len(), told, "{text} {:?}", reading.notices);
        }
        assert!(read_readings(&[0xFF, 0xFE]).value.is_none());
    }
}
