//! Tables with captions and headed rows and columns.

use inkset_report::{Align, Cell, RowKind, Table, TableRow, cell_text};
use maud::{Markup, html};

use crate::text::name;

/// A table under its caption. The first column of words heads its rows.
pub fn table(caption: &Markup, table: &Table) -> Markup {
    let heading = table
        .columns
        .iter()
        .position(|column| column.align == Align::Left)
        .unwrap_or(0);
    html! {
        table {
            caption { (caption) }
            thead {
                tr {
                    @for column in &table.columns {
                        @if column.title.is_empty() {
                            td class=(class(column.align)) {}
                        } @else {
                            th scope="col" class=(class(column.align)) { (name(&column.title)) }
                        }
                    }
                }
            }
            tbody {
                @for row in &table.rows { (table_row(table, row, heading)) }
            }
        }
    }
}

fn table_row(table: &Table, row: &TableRow, heading: usize) -> Markup {
    let kind = match row.kind {
        RowKind::Body => None,
        RowKind::Total => Some("total"),
    };
    html! {
        tr class=[kind] {
            @for (at, (column, cell)) in table.columns.iter().zip(&row.cells).enumerate() {
                @if at == heading && *cell != Cell::Empty {
                    th scope="row" class=(class(column.align)) { (cell_content(cell)) }
                } @else {
                    td class=(class(column.align)) { (cell_content(cell)) }
                }
            }
        }
    }
}

fn class(align: Align) -> &'static str {
    match align {
        Align::Left => "words",
        Align::Right => "figures",
    }
}

fn cell_content(cell: &Cell) -> Markup {
    match cell {
        Cell::Stack(cells) => html! {
            @for (at, cell) in cells.iter().enumerate() {
                @if at > 0 { br; }
                (cell_content(cell))
            }
        },
        Cell::Text(text) => name(text),
        other => html! { (cell_text(other)) },
    }
}

#[cfg(test)]
mod tests {
    use inkset_report::Column;

    use super::*;

    #[test]
    fn first_words_head_the_row() {
        let mut data = Table::new(vec![
            Column::figures(""),
            Column::words("Ink set"),
            Column::figures("EUR"),
        ]);
        data.row(vec![Cell::Count(1), Cell::text("<b>"), Cell::text("12.50")]);
        let text = table(&html! { "Prices" }, &data).into_string();
        assert!(text.contains("<caption>Prices</caption>"), "{text}");
        assert!(text.contains(r#"<th scope="row" class="words"><bdi>&lt;b&gt;</bdi></th>"#));
        assert!(text.contains(r#"<th scope="col" class="figures"><bdi>EUR</bdi></th>"#));
    }
}
