//! Pieces on sheets, signatures, work styles, forms and passes; knows no money.

mod error;
mod guillotine;
mod inks;
mod reach;
mod ticks;
mod trace;

pub use error::LayoutError;
pub use guillotine::{CountCache, Turning, count_pieces, guillotine, guillotine_turning};
pub use inks::{InkId, InkKind, InkSpec, PageInks, PartInks, PrintPlan};
pub use trace::{CutLine, PlacedPiece, SheetCut};
