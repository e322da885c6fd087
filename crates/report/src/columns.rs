//! Cells of a table, broken between words so that its columns fit a width.

use crate::document::{Align, Table};
use crate::figures::printable;
use crate::text::cell_text;

/// Narrowest width to which a column of words is brought.
const NARROWEST: usize = 12;
/// Free behind each column.
const GUTTER: usize = 2;

/// Titles and rows as text: columns of words are narrowed, the widest first, then the titles above figures; figures are never broken.
///
/// `width` is that of the whole table, without the gutter of its last column. A no-break space holds its words together;
/// a word that is longer than its column is left whole.
pub(crate) fn fitted(table: &Table, width: usize) -> Vec<Vec<String>> {
    let titles = table
        .columns
        .iter()
        .map(|column| printable(&column.title))
        .collect();
    let rows = table.rows.iter();
    let rows = rows.map(|row| row.cells.iter().map(cell_text).collect());
    let mut cells: Vec<Vec<String>> = std::iter::once(titles).chain(rows).collect();
    let mut widths = natural(&cells, table.columns.len());
    let narrowest = narrowest(&cells, table);
    let total = |widths: &[usize]| widths.iter().map(|width| width + GUTTER).sum::<usize>();
    while total(&widths) > width + GUTTER {
        let wide = (0..widths.len()).filter(|&at| widths[at] > narrowest[at]);
        let words = |at: usize| table.columns[at].align == Align::Left;
        match wide.max_by_key(|&at| (words(at), widths[at])) {
            Some(at) => widths[at] -= 1,
            None => break,
        }
    }
    for row in &mut cells {
        for (cell, width) in row.iter_mut().zip(&widths) {
            *cell = broken(cell, *width);
        }
    }
    cells
}

/// Width of the longest line of each column.
fn natural(cells: &[Vec<String>], columns: usize) -> Vec<usize> {
    let longest = |text: &String| {
        let lines = text.lines().map(|line| line.chars().count());
        lines.max().unwrap_or(0)
    };
    let of_column = |at| {
        let column = cells.iter().filter_map(move |row| row.get(at));
        column.map(longest).max().unwrap_or(0)
    };
    (0..columns).map(of_column).collect()
}

/// Width to which each column may be brought: of words that of the longest word, of figures that of the longest figure and the longest
/// word of the title.
fn narrowest(cells: &[Vec<String>], table: &Table) -> Vec<usize> {
    let longest = |text: &String| {
        let held = held(text);
        let words = held.split([' ', '\n']).map(|word| word.chars().count());
        words.max().unwrap_or(0)
    };
    let figures = natural(&cells[1..], table.columns.len());
    let of_column = |at: usize| {
        if table.columns[at].align == Align::Right {
            return figures[at].max(longest(&cells[0][at]));
        }
        let column = cells.iter().filter_map(move |row| row.get(at));
        column.map(longest).max().unwrap_or(0).max(NARROWEST)
    };
    (0..table.columns.len()).map(of_column).collect()
}

/// Stands for a space within a size while lines are broken; a private character, which no text to be printed has.
const HELD: char = '\u{e000}';

/// The text with the spaces within its sizes and its builds of process inks held: `64 × 45 mm`, `M61 Y94`.
fn held(text: &str) -> String {
    let text = text.replace(" × ", &format!("{HELD}×{HELD}"));
    let text = text.replace(" mm", &format!("{HELD}mm"));
    let mut held = String::with_capacity(text.len());
    let mut before = "";
    for word in text.split_inclusive([' ', '\n']) {
        let bare = word.trim_end_matches([' ', '\n']);
        if held.ends_with(' ') && is_tone(before) && is_tone(bare) {
            held.pop();
            held.push(HELD);
        }
        held.push_str(word);
        before = bare;
    }
    held
}

/// Whether a word is a process ink with its tone: `M61`.
fn is_tone(word: &str) -> bool {
    let tone = word.strip_prefix(['C', 'M', 'Y', 'K']);
    tone.is_some_and(|tone| !tone.is_empty() && tone.bytes().all(|digit| digit.is_ascii_digit()))
}

/// Breaks lines that are too long between words, but not within sizes; others stay as they are.
fn broken(text: &str, width: usize) -> String {
    let mut lines: Vec<String> = Vec::new();
    for line in text.split('\n') {
        if line.chars().count() <= width {
            lines.push(line.to_owned());
            continue;
        }
        let line = held(line);
        let mut last = String::new();
        for word in line.split(' ').filter(|word| !word.is_empty()) {
            let room = last.chars().count() + 1 + word.chars().count() <= width;
            if last.is_empty() {
                word.clone_into(&mut last);
            } else if room {
                last.push(' ');
                last.push_str(word);
            } else {
                lines.push(std::mem::replace(&mut last, word.to_owned()));
            }
        }
        lines.push(last);
    }
    lines.join("\n").replace(HELD, " ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Cell, Column};

    #[test]
    fn lines_break_between_words() {
        assert_eq!(broken("aa bb cc", 5), "aa bb\ncc");
        assert_eq!(broken("aa bb cc", 8), "aa bb cc");
        assert_eq!(broken("12\u{a0}mm off", 5), "12\u{a0}mm\noff");
        assert_eq!(broken("off 64 × 45 mm", 12), "off\n64 × 45 mm");
        assert_eq!(broken("one\ntwo three", 6), "one\ntwo\nthree");
        assert_eq!(broken("nearest M61 Y94", 12), "nearest\nM61 Y94");
        assert_eq!(broken("build K100 over", 10), "build K100\nover");
    }

    #[test]
    fn titles_above_figures_break_last() {
        let mut table = Table::new(vec![
            Column::words("Page"),
            Column::figures("Lantern orange"),
            Column::figures("Punched hole"),
        ]);
        table.row(vec![
            Cell::text("1"),
            Cell::text("41.56"),
            Cell::text("0.02"),
        ]);
        let titles = |width| fitted(&table, width).swap_remove(0);
        assert_eq!(titles(34), ["Page", "Lantern orange", "Punched hole"]);
        assert_eq!(titles(24), ["Page", "Lantern\norange", "Punched\nhole"]);
    }

    #[test]
    fn only_words_are_narrowed() {
        let mut table = Table::new(vec![Column::words("Item"), Column::figures("Amount")]);
        table.row(vec![
            Cell::text("ink that is bought by the tin"),
            Cell::text("123456789012345"),
        ]);
        let cells = fitted(&table, 33);
        assert_eq!(cells[1][0], "ink that is\nbought by the\ntin");
        assert_eq!(cells[1][1], "123456789012345");
    }
}
