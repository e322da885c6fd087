//! Pieces on sheets, signatures, work styles, forms and passes; knows no money.

mod inks;

pub use inks::{InkId, InkKind, InkSpec, PageInks, PartInks, PrintPlan};
