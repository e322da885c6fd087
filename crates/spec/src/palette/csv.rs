//! Palettes from CSV text.
//!
//! Columns `name, L, a, b` in any order, with a header line; more columns may follow and are ignored. The separator is a
//! comma, a semicolon or a tab, whichever the header uses; with semicolon or tab a decimal comma is understood.
//! Lines that start with `#` are remarks.

use super::notes::{Figure, Notes, with_point};
use super::{Coordinates, PaletteColour};
use crate::codes;

/// Reads the colours; whatever is wrong is told.
pub(super) fn colours(text: &str, notes: &mut Notes<'_>) -> Option<Vec<PaletteColour>> {
    let mut lines = lines_of(text);
    let Some((start, line)) = lines.next() else {
        notes.tell(codes::MISSING_COLUMN, "the palette is empty", 0..0);
        return None;
    };
    let header = header(notes, start, line)?;
    let mut colours = Vec::new();
    for (start, line) in lines {
        colours.extend(colour(notes, &header, start, line));
        if notes.is_full() {
            break;
        }
    }
    if colours.is_empty() && notes.is_clean() {
        let message = "the palette has a header and no colours";
        notes.tell(codes::EMPTY_LIST, message, 0..0);
    }
    Some(colours)
}

/// Where the four columns stand.
struct Header {
    separator: char,
    /// Column of the name, then of L, a, b.
    columns: [usize; 4],
}

/// Titles of the name, L, a and b.
const TITLES: [&[&str]; 4] = [
    &["name", "colour", "color"],
    &["l", "l*", "lab_l"],
    &["a", "a*", "lab_a"],
    &["b", "b*", "lab_b"],
];

/// A field with its bytes in the text, quotes included.
pub(crate) struct Field<'t> {
    raw: &'t str,
    start: usize,
}

impl Field<'_> {
    pub(crate) fn text(&self) -> String {
        let trimmed = self.raw.trim();
        let quoted = trimmed.strip_prefix('"').and_then(|t| t.strip_suffix('"'));
        match quoted {
            Some(inner) => inner.replace("\"\"", "\""),
            None => trimmed.to_owned(),
        }
    }

    pub(crate) fn span(&self) -> std::ops::Range<usize> {
        self.start..self.start + self.raw.len()
    }
}

fn header(notes: &mut Notes<'_>, start: usize, line: &str) -> Option<Header> {
    let separators = [';', '\t', ','].into_iter();
    let separator = separators
        .into_iter()
        .find(|s| line.contains(*s))
        .unwrap_or(',');
    let fields = split(line, start, separator);
    let titles: Vec<String> = fields.iter().map(|f| f.text().to_lowercase()).collect();
    let found = TITLES.map(|names| titles.iter().position(|t| names.contains(&t.as_str())));
    if let [Some(name), Some(l), Some(a), Some(b)] = found {
        let columns = [name, l, a, b];
        return Some(Header { separator, columns });
    }
    let missing = TITLES.iter().zip(found).filter(|(_, at)| at.is_none());
    let missing: Vec<&str> = missing.map(|(names, _)| names[0]).collect();
    let plural = if missing.len() > 1 { "s" } else { "" };
    let listed = crate::read::words(missing);
    let message = format!("the header lacks the column{plural} {listed}");
    let hint = "the first line names the columns: `name,L,a,b`";
    notes.tell_with(
        codes::MISSING_COLUMN,
        message,
        start..start + line.len(),
        hint,
    );
    None
}

fn colour(
    notes: &mut Notes<'_>,
    header: &Header,
    start: usize,
    line: &str,
) -> Option<PaletteColour> {
    let span = start..start + line.len();
    let fields = split(line, start, header.separator);
    let needed = header.columns.iter().max().map_or(0, |last| last + 1);
    if fields.len() < needed {
        let message = format!("the line has {} of {needed} fields", fields.len());
        notes.tell(codes::MISSING_COLUMN, message, span);
        return None;
    }
    let [name, l, a, b] = header.columns.map(|column| &fields[column]);
    let place = notes.place(span.clone());
    let named = notes.name(&name.text(), span);
    let mut axis = |axis, field: &Field<'_>| {
        let written = field.text();
        let written = if header.separator == ',' {
            written
        } else {
            with_point(&written)
        };
        notes.number(&written, Figure::lab(axis), field.span())
    };
    let (l, a, b) = (axis(0, l), axis(1, a), axis(2, b));
    let lab = [l?, a?, b?];
    named.then(|| PaletteColour {
        name: name.text(),
        coordinates: Some(Coordinates::Lab(lab)),
        spectrum: None,
        tint: None,
        place: Some(place),
    })
}

/// Lines with their first byte; blank lines and remarks left out, a byte order mark skipped.
pub(crate) fn lines_of(text: &str) -> impl Iterator<Item = (usize, &str)> {
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
pub(crate) fn split(line: &str, start: usize, separator: char) -> Vec<Field<'_>> {
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
    use crate::{codes, palette::Coordinates, read_palette};
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
            assert_eq!(colours.len(), 1, "{text}");
            assert_eq!(colours[0].name, "Moss", "{text}");
            let lab = Coordinates::Lab([50.0, -20.0, 30.0]);
            assert_eq!(colours[0].coordinates, Some(lab), "{text}");
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
