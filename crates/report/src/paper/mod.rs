//! Papers that go out: what stands on them, before anybody decides how it looks.
//!
//! A paper is text in blocks with a head: who, to whom, number, date. The terminal, HTML and PDF write the same value.

mod arrival;
mod colours;
mod enquiry;
mod quotation;
mod specification;

use inkset_plan::{Conditions, PlannedSet};

use crate::document::{Block, Document, Table};

pub use arrival::{Arrival, arrival_paper};
pub(crate) use colours::paper_colours;
pub use colours::{PaperColour, PaperInk};
pub use enquiry::{Enquiry, enquiry_offer, enquiry_paper};
pub use quotation::{
    Issued, Quotation, QuotedResult, quotation_csv, quotation_json, quotation_paper, quoted_result,
};

/// A paper that goes out.
#[derive(Debug, Clone, PartialEq)]
pub struct Paper {
    /// What it is: `Quotation`.
    pub kind: &'static str,
    /// Title of the job.
    pub title: String,
    /// Why it binds nobody yet; `None` once it does.
    pub draft: Option<String>,
    /// Who sends it, a line each.
    pub from: Vec<String>,
    /// Who gets it, a line each.
    pub to: Vec<String>,
    /// Number, date and the like, with their names.
    pub facts: Vec<(&'static str, String)>,
    /// From top to bottom.
    pub blocks: Vec<PaperBlock>,
    /// At the foot of every sheet.
    pub foot: String,
}

/// One piece of a paper.
#[derive(Debug, Clone, PartialEq)]
pub enum PaperBlock {
    /// A heading, a paragraph, a list or a table.
    Plain(Block),
    /// Colours with swatches.
    Colours(Vec<PaperColour>),
    /// Where loupe views of all colours belong.
    Loupes,
    /// Lines to fill in by hand, each with what belongs there.
    Blanks(Vec<String>),
}

impl Paper {
    fn heading(&mut self, text: &str) {
        self.blocks
            .push(PaperBlock::Plain(Block::Heading(text.to_owned())));
    }

    fn text(&mut self, text: impl Into<String>) {
        self.blocks
            .push(PaperBlock::Plain(Block::Text(text.into())));
    }

    /// A list under its heading; neither when there is nothing to list.
    fn list(&mut self, heading: &str, items: Vec<String>) {
        if !items.is_empty() {
            self.heading(heading);
            self.blocks.push(PaperBlock::Plain(Block::List(items)));
        }
    }

    fn table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.blocks.push(PaperBlock::Plain(Block::Table(table)));
        }
    }
}

/// An ink set with what its colours were judged on.
pub(crate) type SetOnPaper<'a> = (&'a PlannedSet, &'a Conditions<'a>);

/// For the terminal.
pub fn paper_document(paper: &Paper) -> Document {
    let mut document = Document::default();
    document.heading(format!("{}: {}", paper.kind, paper.title));
    if let Some(draft) = &paper.draft {
        document.text(draft);
    }
    let mut head: Vec<String> = paper
        .facts
        .iter()
        .map(|(what, value)| format!("{what}: {value}"))
        .collect();
    for (what, lines) in [("From", &paper.from), ("To", &paper.to)] {
        if !lines.is_empty() {
            head.push(format!("{what}: {}", lines.join(", ")));
        }
    }
    document.list(head);
    for block in &paper.blocks {
        match block {
            PaperBlock::Plain(block) => document.blocks.push(block.clone()),
            // Names and inks stand in the table below them; a terminal shows no swatches.
            PaperBlock::Colours(_) | PaperBlock::Loupes => {}
            PaperBlock::Blanks(fields) => {
                document.list(
                    fields
                        .iter()
                        .map(|field| format!("{field}: ____"))
                        .collect(),
                );
            }
        }
    }
    document
}
