//! Reading characterisation tables in CGATS.17 text (ISO 28178).
//!
//! Taken as they come in practice: fields in any order, tabs or blanks, line ends of any system, decimal commas, patches
//! measured more than once. Everything wrong with a file is reported in one go. Nothing is allocated on the word of the
//! file: counts in the header are compared with what was found, never used to reserve memory.

mod fields;
mod problem;
mod words;

pub use problem::TableProblem;

use crate::condition::MAX_PATCHES;
use crate::table::{CharacterisationTable, ConditionInfo, Patch};
use fields::Fields;
use problem::{Place, Problems};
use words::{Word, lines, words};

/// The most rows that are read.
const MAX_ROWS: usize = 100_000;

/// The longest file that is read, in bytes.
const MAX_BYTES: usize = 64 << 20;

/// Reads a characterisation table; `name` is the file's name, used in messages and as the condition's name.
///
/// Colours are taken from the Lab columns, or from the XYZ columns if there are none.
pub fn read_characterisation(
    name: &str,
    bytes: &[u8],
) -> Result<CharacterisationTable, Vec<TableProblem>> {
    let mut problems = Problems::of(name);
    if let Some((code, message, hint)) = not_a_table(bytes) {
        problems.add(code, (1, 1), message, hint);
        return Err(problems.finish());
    }
    let text = String::from_utf8_lossy(bytes);
    let mut reader = Reader::new(condition_name(name));
    for (number, line) in lines(text.trim_start_matches('\u{feff}')) {
        reader.take_line(number, &words(line), &mut problems);
        if reader.section == Section::Done {
            break;
        }
    }
    reader.finish(&mut problems);
    if problems.is_empty() {
        Ok(reader.table)
    } else {
        Err(problems.finish())
    }
}

fn condition_name(file: &str) -> &str {
    let base = file.rsplit(['/', '\\']).next().unwrap_or(file);
    base.rsplit_once('.').map_or(base, |(stem, _)| stem)
}

/// Recognises files of another kind before any line of them is shown.
fn not_a_table(bytes: &[u8]) -> Option<(&'static str, String, &'static str)> {
    const HINT: &str = "expected CGATS.17 text with the fields CMYK_C, CMYK_M, CMYK_Y, CMYK_K and LAB_L, LAB_A, LAB_B";
    if bytes.len() > MAX_BYTES {
        let megabytes = bytes.len() >> 20;
        return Some((
            "table-too-long",
            format!("the file has {megabytes} MB, at most 64 are read"),
            HINT,
        ));
    }
    if bytes.get(36..40) == Some(b"acsp") {
        let class = String::from_utf8_lossy(&bytes[12..16]).trim().to_owned();
        let message = format!(
            "this is an ICC profile of class `{}`, not a table",
            class.escape_default()
        );
        return Some(("table-is-profile", message, HINT));
    }
    if bytes.iter().take(4096).any(|b| *b == 0) {
        return Some(("table-not-text", "the file is not text".to_owned(), HINT));
    }
    bytes
        .trim_ascii()
        .is_empty()
        .then(|| ("table-empty", "the file is empty".to_owned(), HINT))
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Section {
    Header,
    Format,
    Data,
    Done,
}

/// The state of reading, line by line.
struct Reader {
    section: Section,
    table: CharacterisationTable,
    format: Vec<(String, Place)>,
    fields: Option<Fields>,
    declared_sets: Option<(f64, Place)>,
    rows: usize,
    data_starts: Place,
    last_line: usize,
}

impl Reader {
    fn new(name: &str) -> Self {
        Self {
            section: Section::Header,
            table: CharacterisationTable {
                info: ConditionInfo::unknown(name),
                patches: Vec::new(),
            },
            format: Vec::new(),
            fields: None,
            declared_sets: None,
            rows: 0,
            data_starts: (1, 1),
            last_line: 1,
        }
    }

    fn take_line(&mut self, line: usize, words: &[Word<'_>], problems: &mut Problems) {
        let Some(first) = words.first() else { return };
        self.last_line = line;
        let place = (line, first.column);
        match (self.section, first.text.to_ascii_uppercase().as_str()) {
            (Section::Header, "BEGIN_DATA_FORMAT") => {
                self.section = Section::Format;
                self.take_format(line, &words[1..]);
            }
            (Section::Format, "END_DATA_FORMAT") => self.section = Section::Header,
            (Section::Format, _) => self.take_format(line, words),
            (Section::Header, "BEGIN_DATA") => self.begin_data(place, problems),
            (Section::Data, "END_DATA") => self.section = Section::Done,
            (Section::Data, _) => self.take_row(line, words, problems),
            (Section::Header, keyword) => self.take_keyword(keyword, place, &words[1..], problems),
            (Section::Done, _) => {}
        }
    }

    fn take_format(&mut self, line: usize, words: &[Word<'_>]) {
        // A real table has some dozens of fields, a spectral one some hundreds.
        let room = 4096_usize.saturating_sub(self.format.len());
        let names = words
            .iter()
            .take(room)
            .take_while(|w| !w.text.eq_ignore_ascii_case("END_DATA_FORMAT"));
        self.format
            .extend(names.map(|w| (w.text.to_ascii_uppercase(), (line, w.column))));
        if words
            .iter()
            .any(|w| w.text.eq_ignore_ascii_case("END_DATA_FORMAT"))
        {
            self.section = Section::Header;
        }
    }

    fn take_keyword(
        &mut self,
        keyword: &str,
        place: Place,
        rest: &[Word<'_>],
        problems: &mut Problems,
    ) {
        let value = rest.iter().map(|w| w.text).collect::<Vec<_>>().join(" ");
        match keyword {
            "NUMBER_OF_SETS" => self.declared_sets = words::number(&value).map(|n| (n, place)),
            "DEVICE_CLASS" if !value.eq_ignore_ascii_case("OUTPUT") => problems.add(
                "table-wrong-class",
                place,
                format!("the device class is `{value}`, not a press"),
                "a printing condition needs a table of class `OUTPUT`",
            ),
            "COLOR_REP" if value.to_ascii_uppercase().starts_with("RGB") => problems.add(
                "table-wrong-class",
                place,
                format!("the colours are `{value}`, not CMYK"),
                "a printing condition needs a table of cyan, magenta, yellow and black",
            ),
            "DESCRIPTOR" | "FILE_DESCRIPTOR" if !value.is_empty() => self.table.info.title = value,
            "ORIGINATOR" => self.table.info.source = value,
            "COPYRIGHT" => self.table.info.licence = value,
            "PRINT_CONDITIONS" => self.table.info.process = value,
            _ => {}
        }
    }

    fn begin_data(&mut self, place: Place, problems: &mut Problems) {
        self.section = Section::Data;
        self.data_starts = place;
        if self.format.is_empty() {
            problems.add(
                "table-no-format",
                place,
                "the data start before any field was named".to_owned(),
                "name the fields between BEGIN_DATA_FORMAT and END_DATA_FORMAT",
            );
        } else {
            self.fields = Fields::find(&self.format, problems);
        }
    }

    fn take_row(&mut self, line: usize, words: &[Word<'_>], problems: &mut Problems) {
        self.rows += 1;
        let Some(fields) = self.fields.as_ref().filter(|_| self.rows <= MAX_ROWS) else {
            return;
        };
        if words.len() != self.format.len() {
            let column = words.last().map_or(1, |w| w.column);
            let message = format!(
                "the row has {} values, the format names {} fields",
                words.len(),
                self.format.len()
            );
            problems.add(
                "table-row-length",
                (line, column),
                message,
                "put names that hold blanks in quotes",
            );
            return;
        }
        self.table
            .patches
            .extend(fields.patch(line, words, problems));
    }

    fn finish(&mut self, problems: &mut Problems) {
        let end = (self.last_line, 1);
        match self.section {
            Section::Header => problems.add(
                "table-no-data",
                end,
                "no BEGIN_DATA was found".to_owned(),
                "a table is CGATS.17 text: a header, the names of the fields, then the rows between BEGIN_DATA and END_DATA",
            ),
            Section::Format => problems.add("table-cut-off", end, "END_DATA_FORMAT is missing".to_owned(), "the file seems to be cut off"),
            Section::Data => problems.add("table-cut-off", end, "END_DATA is missing".to_owned(), "the file seems to be cut off"),
            Section::Done => {}
        }
        self.check_counts(problems);
        if problems.is_empty() {
            self.check_patches(problems);
        }
    }

    fn check_counts(&self, problems: &mut Problems) {
        if let Some((declared, place)) = self
            .declared_sets
            .filter(|(declared, _)| (declared - self.rows as f64).abs() > 0.5)
        {
            let message = format!(
                "NUMBER_OF_SETS is {declared}, but {} rows were found",
                self.rows
            );
            problems.add(
                "table-row-count",
                place,
                message,
                "correct the number, or look for lost rows",
            );
        }
        if self.rows > MAX_ROWS {
            let message = format!(
                "the table has {} rows, at most {MAX_ROWS} are read",
                self.rows
            );
            problems.add("table-too-long", self.data_starts, message, "");
        }
    }

    fn check_patches(&self, problems: &mut Problems) {
        for (tones, patch) in [
            ([0.0, 0.0, 0.0, 0.0], "the bare paper (0 0 0 0)"),
            ([100.0, 0.0, 0.0, 0.0], "solid cyan (100 0 0 0)"),
            ([0.0, 100.0, 0.0, 0.0], "solid magenta (0 100 0 0)"),
            ([0.0, 0.0, 100.0, 0.0], "solid yellow (0 0 100 0)"),
            ([0.0, 0.0, 0.0, 100.0], "solid black (0 0 0 100)"),
        ] {
            if !self.table.patches.iter().any(|p: &Patch| p.is_at(tones)) {
                let message = format!("{patch} was not measured");
                problems.add(
                    "table-no-primary",
                    self.data_starts,
                    message,
                    "tones are percent, 0 to 100",
                );
            }
        }
        let different = self.table.averaged().len();
        if different > MAX_PATCHES {
            let message = format!(
                "the table has {different} different patches, at most {MAX_PATCHES} are taken"
            );
            problems.add("table-too-long", self.data_starts, message, "");
        }
    }
}
