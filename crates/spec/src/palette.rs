//! Palettes: named colours with their CIELAB values, from CSV text.
//!
//! Columns `name, L, a, b` in any order, with a header line; more columns may follow and are ignored. The separator is a
//! comma, a semicolon or a tab, whichever the header uses; with semicolon or tab a decimal comma is understood.
//! Lines that start with `#` are remarks.

use std::collections::HashSet;

use crate::notice::Positions;
use crate::{FileRole, Notice, Reading, codes};

/// Longest palette accepted, bytes.
const LONGEST: usize = 64 << 20;
/// Most problems told before reading stops.
const MOST_PROBLEMS: usize = 200;
/// CIELAB ranges: L 0..=100 (paper may measure a little over), a and b as far as any surface goes.
const RANGES: [(&str, f64, f64); 3] = [
    ("L", 0.0, 101.0),
    ("a", -160.0, 160.0),
    ("b", -160.0, 160.0),
];

/// One colour of a palette.
#[derive(Debug, Clone, PartialEq)]
pub struct PaletteColour {
    /// Its name.
    pub name: String,
    /// CIELAB L, a, b; D50, 2° observer, absolute.
    pub lab: [f64; 3],
}

/// Reads a palette; every problem is told, and no colours are returned if there is one.
pub fn read_palette(bytes: &[u8]) -> Reading<Vec<PaletteColour>> {
    let text = match text_of(bytes) {
        Ok(text) => text,
        Err(notice) => return Reading::new(None, vec![*notice]),
    };
    let mut reader = PaletteReader {
        text,
        positions: Positions::new(FileRole::Palette, text),
        notices: Vec::new(),
    };
    let colours = reader.colours();
    Reading::new(colours, reader.notices)
}

fn text_of(bytes: &[u8]) -> Result<&str, Box<Notice>> {
    let error = |code, message: String| Notice::error(FileRole::Palette, code, message);
    if bytes.len() > LONGEST {
        let message = format!(
            "the palette has {} bytes; at most {LONGEST} are read",
            bytes.len()
        );
        return Err(Box::new(error(codes::FILE_TOO_LONG, message)));
    }
    std::str::from_utf8(bytes).map_err(|bad| {
        let line = bytes[..bad.valid_up_to()]
            .split(|byte| *byte == b'\n')
            .count();
        let message = format!("the palette is no UTF-8 text from line {line} on");
        Box::new(error(codes::NOT_UTF_8, message).hint("save it as CSV in UTF-8"))
    })
}

struct PaletteReader<'t> {
    text: &'t str,
    positions: Positions<'t>,
    notices: Vec<Notice>,
}

/// Where the four columns stand.
struct Header {
    separator: char,
    /// Column of the name, then of L, a, b.
    columns: [usize; 4],
}

/// A field with its bytes in the text, quotes included.
struct Field<'t> {
    raw: &'t str,
    start: usize,
}

impl Field<'_> {
    fn text(&self) -> String {
        let trimmed = self.raw.trim();
        match trimmed
            .strip_prefix('"')
            .and_then(|rest| rest.strip_suffix('"'))
        {
            Some(inner) => inner.replace("\"\"", "\""),
            None => trimmed.to_owned(),
        }
    }
}

impl<'t> PaletteReader<'t> {
    fn colours(&mut self) -> Option<Vec<PaletteColour>> {
        let text = self.text;
        let mut lines = lines_of(text);
        let Some((start, line)) = lines.next() else {
            self.tell(
                codes::MISSING_COLUMN,
                "the palette is empty".to_owned(),
                0..0,
            );
            return None;
        };
        let header = self.header(start, line)?;
        let mut names = HashSet::new();
        let mut colours = Vec::new();
        for (start, line) in lines {
            if self.notices.len() >= MOST_PROBLEMS {
                self.tell(
                    codes::TOO_MANY_PROBLEMS,
                    format!("{MOST_PROBLEMS} problems told; reading stops here"),
                    start..start,
                );
                break;
            }
            if let Some(colour) = self.colour(&header, start, line) {
                if !names.insert(colour.name.to_lowercase()) {
                    let message = format!("`{}` is in the palette twice", colour.name);
                    self.tell(codes::DUPLICATE_NAME, message, start..start + line.len());
                }
                colours.push(colour);
            }
        }
        if colours.is_empty() && self.notices.is_empty() {
            self.tell(
                codes::EMPTY_LIST,
                "the palette has a header and no colours".to_owned(),
                0..0,
            );
        }
        Some(colours)
    }

    fn header(&mut self, start: usize, line: &'t str) -> Option<Header> {
        let separator = [';', '\t', ',']
            .into_iter()
            .find(|s| line.contains(*s))
            .unwrap_or(',');
        let titles: Vec<String> = split(line, start, separator)
            .iter()
            .map(|field| field.text().to_lowercase())
            .collect();
        let find = |names: &[&str]| {
            titles
                .iter()
                .position(|title| names.contains(&title.as_str()))
        };
        let columns = [
            &["name", "colour", "color"][..],
            &["l", "l*", "lab_l"],
            &["a", "a*", "lab_a"],
            &["b", "b*", "lab_b"],
        ];
        let found: Vec<Option<usize>> = columns.iter().map(|names| find(names)).collect();
        let missing: Vec<&str> = columns
            .iter()
            .zip(&found)
            .filter(|(_, at)| at.is_none())
            .map(|(names, _)| names[0])
            .collect();
        if missing.is_empty() {
            return Some(Header {
                separator,
                columns: [found[0]?, found[1]?, found[2]?, found[3]?],
            });
        }
        let message = format!(
            "the header lacks the column{} {}",
            if missing.len() > 1 { "s" } else { "" },
            quoted(&missing)
        );
        let span = start..start + line.len();
        let place = self.positions.place(span);
        self.notices.push(
            Notice::error(FileRole::Palette, codes::MISSING_COLUMN, message)
                .at(Some(place))
                .hint("the first line names the columns: `name,L,a,b`"),
        );
        None
    }

    fn colour(&mut self, header: &Header, start: usize, line: &'t str) -> Option<PaletteColour> {
        let fields = split(line, start, header.separator);
        let needed = header.columns.iter().max().map_or(0, |last| last + 1);
        if fields.len() < needed {
            let message = format!("the line has {} of {needed} fields", fields.len());
            self.tell(codes::MISSING_COLUMN, message, start..start + line.len());
            return None;
        }
        let name = fields[header.columns[0]].text();
        if name.is_empty() {
            self.tell(
                codes::EMPTY_TEXT,
                "the colour has no name".to_owned(),
                start..start + line.len(),
            );
        }
        let mut lab = [0.0; 3];
        let mut whole = !name.is_empty();
        for (axis, &column) in header.columns[1..].iter().enumerate() {
            match self.number(&fields[column], header.separator, axis) {
                Some(number) => lab[axis] = number,
                None => whole = false,
            }
        }
        whole.then_some(PaletteColour { name, lab })
    }

    fn number(&mut self, field: &Field<'_>, separator: char, axis: usize) -> Option<f64> {
        let (title, least, most) = RANGES[axis];
        let written = field.text();
        let decimal = if separator == ',' {
            written.clone()
        } else {
            written.replace(',', ".")
        };
        let plain = decimal
            .chars()
            .all(|c| c.is_ascii_digit() || "+-.eE".contains(c));
        let span = field.start..field.start + field.raw.len();
        match decimal
            .parse::<f64>()
            .ok()
            .filter(|n| plain && n.is_finite())
        {
            None => {
                self.tell(
                    codes::WRONG_TYPE,
                    format!("{title} is `{written}`, which is no number"),
                    span,
                );
                None
            }
            Some(number) if !(least..=most).contains(&number) => {
                self.tell(
                    codes::OUT_OF_RANGE,
                    format!("{title} is {written}; allowed are {least} to {most}"),
                    span,
                );
                None
            }
            number => number,
        }
    }

    fn tell(&mut self, code: &'static str, message: String, span: std::ops::Range<usize>) {
        let place = self.positions.place(span);
        self.notices
            .push(Notice::error(FileRole::Palette, code, message).at(Some(place)));
    }
}

fn quoted(names: &[&str]) -> String {
    names
        .iter()
        .map(|name| format!("`{name}`"))
        .collect::<Vec<_>>()
        .join(", ")
}

/// Lines with their first byte; blank lines and remarks left out, a byte order mark skipped.
fn lines_of(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut start = 0;
    text.split_inclusive('\n').filter_map(move |whole| {
        let marks = if start == 0 && whole.starts_with('\u{feff}') {
            '\u{feff}'.len_utf8()
        } else {
            0
        };
        let line = (start + marks, whole[marks..].trim_end_matches(['\n', '\r']));
        start += whole.len();
        (!line.1.trim().is_empty() && !line.1.starts_with('#')).then_some(line)
    })
}

/// Fields of one line; a separator within double quotes belongs to the field.
fn split(line: &str, start: usize, separator: char) -> Vec<Field<'_>> {
    let mut fields = Vec::new();
    let mut from = 0;
    let mut quoted = false;
    for (at, c) in line.char_indices() {
        match c {
            '"' => quoted = !quoted,
            c if c == separator && !quoted => {
                fields.push(Field {
                    raw: &line[from..at],
                    start: start + from,
                });
                from = at + c.len_utf8();
            }
            _ => {}
        }
    }
    fields.push(Field {
        raw: &line[from..],
        start: start + from,
    });
    fields
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn problems(text: &str) -> Vec<(&'static str, u32, u32)> {
        let reading = read_palette(text.as_bytes());
        assert!(reading.value.is_none(), "{text}");
        reading
            .notices
            .iter()
            .map(|n| (n.code, n.place.unwrap().line, n.place.unwrap().column))
            .collect()
    }

    #[test]
    fn columns_come_in_any_order() {
        for text in [
            "name,L,a,b\nMoss,50,-20,30\n",
            "\u{feff}b;a;L;name\r\n30,0;-20;50;Moss\r\n",
            "# remark\n\nid\tname\tL*\ta*\tb*\n1\t\"Moss\"\t50\t-20\t3e1\n",
        ] {
            let colours = read_palette(text.as_bytes()).value.unwrap();
            assert_eq!(
                colours,
                [PaletteColour {
                    name: "Moss".to_owned(),
                    lab: [50.0, -20.0, 30.0]
                }],
                "{text}"
            );
        }
    }

    #[test]
    fn all_problems_are_told_with_their_place() {
        let told = problems("name,L,a,b\nMoss,x,-20,999\nSky,50\n,50,0,0\nFir,50,0,nan\n");
        assert_eq!(
            told,
            [
                (codes::WRONG_TYPE, 2, 6),
                (codes::OUT_OF_RANGE, 2, 12),
                (codes::MISSING_COLUMN, 3, 1),
                (codes::EMPTY_TEXT, 4, 1),
                (codes::WRONG_TYPE, 5, 10)
            ]
        );
    }

    #[test]
    fn header_and_doubles_are_checked() {
        assert_eq!(
            problems("name,L,a\nMoss,1,2\n"),
            [(codes::MISSING_COLUMN, 1, 1)]
        );
        assert_eq!(
            problems("name,L,a,b\nMoss,1,2,3\nmoss,1,2,3\n"),
            [(codes::DUPLICATE_NAME, 3, 1)]
        );
        assert_eq!(problems("name,L,a,b\n"), [(codes::EMPTY_LIST, 1, 1)]);
        assert_eq!(problems(""), [(codes::MISSING_COLUMN, 1, 1)]);
        assert!(read_palette(b"name,L,a,b\n\xff").value.is_none());
    }

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
            read_palette(&bytes);
            read_palette(&[b"name,L,a,b\n".as_slice(), &bytes].concat());
        }
    }
}
