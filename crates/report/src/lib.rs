//! One document model, written as a text table, JSON or CSV.

mod document;
mod figures;
mod text;

pub use document::{Align, Block, Cell, Column, Document, RowKind, Table, TableRow};
pub use text::to_text;
