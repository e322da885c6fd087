//! Pages to look at and to print: HTML with drawings, in one file.
//!
//! A page needs no network and no script. Whatever comes from a user's file goes through [`maud`], which escapes it, and
//! stands in an element of its own reading direction. Drawings are SVG of our own: figures with units, readable in grey,
//! labels placed so that they do not collide. Nothing here computes a price or a colour that is judged.

mod chart;
mod loupe;
mod paper;
mod report;
mod shell;
mod svg;
mod swatch;
mod table;
mod text;

pub use loupe::{
    FIELD, InkDots, Loupe, LoupeInk, RULINGS, SCREEN_ANGLES, loupe, loupe_drawing, ruling,
};
pub use paper::{Format, LoupeViews, arrival_page, paper_page, paper_pdf};
pub use report::{PageReport, PlacedSections, PriceCurve, SheetChoice, report_page};
pub use shell::{STYLE, Shell};
pub use swatch::{paper_ground, swatch};
pub use table::table;
pub use text::{copies, name};
