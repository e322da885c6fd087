//! Pieces on sheets, signatures, work styles, forms and passes; knows no money.

mod error;
mod folding;
mod guillotine;
mod imposition;
mod inks;
mod reach;
mod reel;
mod section;
mod sheet;
mod split;
mod style;
mod ticks;
mod trace;

pub use error::LayoutError;
pub use folding::{Folding, PagePlace};
pub use guillotine::{CountCache, Turning, count_pieces, guillotine, guillotine_turning};
pub use imposition::{FoldLine, Head, ImposedLeaf, ImposedSide, Imposition, Parting, impose};
pub use inks::{InkId, InkKind, InkOrigin, InkShare, InkSpec, PageInks, PartInks, PrintPlan};
pub use reel::reel_sheets;
pub use section::{Format, Scheme, Section, SectionClass, schemes};
pub use sheet::{
    PressSheet, press_sheets, printable, printable_with_gap, shortfall_mm, takes, with_margins_of,
};
pub use split::splits;
pub use style::{Form, FormSide, Run, WorkStyle, forms, passes_per_side, runs};
pub use trace::{CutLine, PlacedPiece, SheetCut};
