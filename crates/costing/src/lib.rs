//! Prices ink sets from a rate card, line by line.

pub use inkset_layout::{InkId, InkKind, InkSpec, PageInks, PartInks, PrintPlan};
