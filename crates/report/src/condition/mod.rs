//! Printing conditions: which are shipped, what one prints, how far it can be trusted.

mod checked;
mod listed;
mod shown;

pub use checked::{CheckedCondition, checked_csv, checked_document, checked_json};
pub use listed::{listed_csv, listed_document, listed_json};
pub use shown::{ShownCondition, shown_csv, shown_document, shown_json};

/// One figure of a condition for spreadsheets: section, name, figure, value.
type Fact = [String; 4];

fn fact(section: &str, name: &str, figure: &str, value: String) -> Fact {
    [
        section.to_owned(),
        name.to_owned(),
        figure.to_owned(),
        value,
    ]
}

fn facts_csv(facts: Vec<Fact>) -> String {
    let header = ["section", "name", "figure", "value"]
        .map(str::to_owned)
        .to_vec();
    crate::csv::csv_text(header, facts.into_iter().map(|fact| fact.to_vec()))
}

/// An empty text is said to be so.
fn known(text: &str) -> &str {
    if text.is_empty() { "not stated" } else { text }
}
