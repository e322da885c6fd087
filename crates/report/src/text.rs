//! Documents as text for a terminal or a file: no colour codes, fitted to a width.

use std::fmt::Write as _;

use tabled::builder::Builder;
use tabled::settings::formatting::AlignmentStrategy;
use tabled::settings::object::{Columns, Rows};
use tabled::settings::peaker::Peaker;
use tabled::settings::style::{HorizontalLine, Style};
use tabled::settings::themes::Theme;
use tabled::settings::{Alignment, Padding, Width};

use crate::columns::fitted;
use crate::document::{Align, Block, Cell, Document, RowKind, Table};
use crate::figures::{difference_text, money_text, printable};

/// Narrowest width that documents are fitted to.
const NARROWEST: usize = 60;

/// Writes a document as text of at most `width` columns (60 or more).
pub fn to_text(document: &Document, width: usize) -> String {
    let width = width.max(NARROWEST);
    let mut out = String::new();
    for (at, block) in document.blocks.iter().enumerate() {
        if at > 0 && !matches!(document.blocks[at - 1], Block::Heading(_)) {
            out.push('\n');
        }
        write_block(&mut out, block, width);
    }
    out
}

fn write_block(out: &mut String, block: &Block, width: usize) {
    match block {
        Block::Heading(text) => {
            let text = printable(text);
            out.push_str(&wrapped(&text, width, "", ""));
            let _ = writeln!(out, "{}", "═".repeat(text.chars().count().min(width)));
        }
        Block::Text(text) => out.push_str(&wrapped(&printable(text), width, "", "")),
        Block::List(items) => {
            for item in items {
                out.push_str(&wrapped(&printable(item), width, "· ", "  "));
            }
        }
        Block::Table(table) => out.push_str(&drawn(table, width)),
        Block::Sketch(text) => {
            let _ = writeln!(out, "{text}");
        }
    }
}

fn drawn(table: &Table, width: usize) -> String {
    let mut builder = Builder::default();
    for row in fitted(table, width) {
        builder.push_record(row);
    }
    let mut drawn = builder.build();
    drawn.with(ruled(table)).with(Padding::new(0, 2, 0, 0));
    for (at, column) in table.columns.iter().enumerate() {
        if column.align == Align::Right {
            drawn.modify(Columns::one(at), Alignment::right());
            drawn.modify((0, at), AlignmentStrategy::PerLine);
        }
    }
    drawn.modify(Rows::first(), Alignment::bottom());
    drawn.with(
        Width::wrap(width + 2)
            .priority(WordsFirst::of(table))
            .keep_words(true),
    );
    let mut text = String::new();
    for line in drawn.to_string().lines() {
        let line: String = if line.starts_with('─') {
            line.chars().take(line.chars().count() - 2).collect()
        } else {
            line.to_owned()
        };
        let _ = writeln!(text, "{}", line.trim_end());
    }
    text
}

/// A rule under the titles and above every total; nothing else.
fn ruled(table: &Table) -> Theme {
    let mut theme = Theme::from_style(Style::empty());
    theme.insert_horizontal_line(1, HorizontalLine::new('─'));
    let totals = (1..table.rows.len()).filter(|&at| table.rows[at].kind == RowKind::Total);
    for at in totals {
        theme.insert_horizontal_line(at + 1, HorizontalLine::new('─'));
    }
    theme
}

/// Breaks words that are longer than their column, the widest column first; figures are never broken.
#[derive(Clone)]
struct WordsFirst {
    words: Vec<bool>,
}

impl WordsFirst {
    fn of(table: &Table) -> Self {
        Self {
            words: table
                .columns
                .iter()
                .map(|column| column.align == Align::Left)
                .collect(),
        }
    }
}

impl Peaker for WordsFirst {
    fn peak(&mut self, min_widths: &[usize], widths: &[usize]) -> Option<usize> {
        (0..widths.len())
            .filter(|&at| {
                self.words[at]
                    && widths[at] > 12
                    && min_widths.get(at).is_none_or(|min| widths[at] > *min)
            })
            .max_by_key(|&at| widths[at])
    }
}

/// One cell as text; several values stand under one another.
pub fn cell_text(cell: &Cell) -> String {
    match cell {
        Cell::Empty => String::new(),
        Cell::Text(text) => printable(text),
        Cell::Count(count) => crate::figures::grouped(&count.to_string()),
        Cell::Money(money, currency) => money_text(*money, *currency),
        Cell::Difference(money, currency) => difference_text(*money, *currency),
        Cell::DeltaE(delta_e) => format!("{delta_e:.2}"),
        Cell::Number(number, decimals) => format!("{number:.decimals$}"),
        Cell::Stack(cells) => cells.iter().map(cell_text).collect::<Vec<_>>().join("\n"),
    }
}

fn wrapped(text: &str, width: usize, first: &str, rest: &str) -> String {
    let mut out = String::new();
    let mut line = first.to_owned();
    let mut empty = true;
    // A no-break space holds its words together.
    let words = text
        .split([' ', '\t', '\n'])
        .filter(|word| !word.is_empty());
    for word in words {
        if !empty && line.chars().count() + 1 + word.chars().count() > width {
            let _ = writeln!(out, "{}", line.trim_end());
            rest.clone_into(&mut line);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    let _ = writeln!(out, "{}", line.trim_end());
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Column;
    use inkset_units::{Currency, Money};

    fn priced() -> Table {
        let eur = Currency::from_code("EUR").unwrap();
        let mut table = Table::new(vec![Column::words("Item"), Column::figures("Amount EUR")]);
        for (item, amount) in [
            (
                "plates for a rather long form name that has to be broken somewhere or other",
                "1234.5",
            ),
            ("ink", "9.99"),
        ] {
            table.row(vec![
                Cell::text(item),
                Cell::Money(Money::parse(amount).unwrap(), eur),
            ]);
        }
        table.total(vec![
            Cell::text("Total"),
            Cell::Money(Money::parse("1244.49").unwrap(), eur),
        ]);
        table
    }

    #[test]
    fn tables_keep_within_the_width() {
        let mut document = Document::default();
        document.heading("Prices");
        document.table(priced());
        let text = to_text(&document, 60);
        assert!(
            text.lines().all(|line| line.chars().count() <= 60),
            "{text}"
        );
        assert!(
            text.contains("1\u{a0}234.50") && text.contains("1\u{a0}244.49"),
            "{text}"
        );
    }

    #[test]
    fn words_wrap_under_their_bullet() {
        assert_eq!(wrapped("aa bb cc", 6, "· ", "  "), "· aa\n  bb\n  cc\n");
    }

    #[test]
    fn control_characters_do_not_reach_the_terminal() {
        let mut document = Document::default();
        document.text("red \u{1b}[31m and \u{202e}reversed");
        let text = to_text(&document, 80);
        assert!(
            !text.contains('\u{1b}') && !text.contains('\u{202e}'),
            "{text:?}"
        );
    }
}
