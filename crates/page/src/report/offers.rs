//! Suppliers' offers side by side.

use inkset_report::{Block, Document, Table};
use maud::{Markup, html};

use crate::table::table;
use crate::text::told;

/// The comparison of offers as a section, nothing without one.
pub(super) fn offers(comparison: Option<&Document>) -> Markup {
    let Some(comparison) = comparison else {
        return html! {};
    };
    let mut heading = "Offers";
    html! {
        section #offers aria-labelledby="offers-title" {
            h2 #offers-title { "What suppliers offered" }
            @for block in &comparison.blocks {
                @if let Block::Heading(title) = block {
                    @let () = heading = title;
                    h3 { (told(title)) }
                } @else {
                    (below(heading, block))
                }
            }
        }
    }
}

fn below(heading: &str, block: &Block) -> Markup {
    match block {
        Block::Heading(_) => html! {},
        Block::Text(text) => html! { p { (told(text)) } },
        Block::List(items) => html! { ul { @for item in items { li { (told(item)) } } } },
        Block::Table(data) => html! {
            @let name = html! { span .skip { (told(&caption(heading, data))) } };
            div .under-heading { (table(&name, data)) }
        },
        Block::Sketch(text) => html! { pre { (text) } },
    }
}

/// The heading with the columns after it, so that no two tables of a page have the same name.
fn caption(heading: &str, table: &Table) -> String {
    let titles = table.columns.iter().map(|column| column.title.as_str());
    let titles: Vec<&str> = titles.filter(|title| *title != "Supplier").collect();
    format!("{heading}: {}", titles.join(", "))
}

#[cfg(test)]
mod tests {
    use inkset_report::{Cell, Column};

    use super::*;

    #[test]
    fn tables_are_named_by_heading_and_columns() {
        let mut document = Document::default();
        document.heading("CMYK <1>");
        for copies in ["2 000 copies", "5 000 copies"] {
            let mut table = Table::new(vec![Column::words("Supplier"), Column::figures(copies)]);
            table.row(vec![Cell::text("A & B"), Cell::text("12.50")]);
            document.table(table);
        }
        document.list(vec!["look at `x<y`".to_owned()]);
        let text = offers(Some(&document)).into_string();
        for said in [
            "<h3>CMYK &lt;1&gt;</h3>",
            "<caption><span class=\"skip\">CMYK &lt;1&gt;: 2 000 copies</span></caption>",
            "<caption><span class=\"skip\">CMYK &lt;1&gt;: 5 000 copies</span></caption>",
            "<bdi>A &amp; B</bdi>",
            "<q><bdi>x&lt;y</bdi></q>",
        ] {
            assert!(text.contains(said), "{said}\n{text}");
        }
        assert_eq!(offers(None).into_string(), "");
    }
}
