//! Reads job files, rate cards and offers, checks them, fills in defaults and remembers where every value stands.

mod actuals;
mod artwork;
mod card;
mod changed;
pub mod codes;
mod delivery;
mod die;
mod filled;
mod fit;
mod fit_plates;
mod fit_queue;
mod fit_version;
mod forms;
mod job;
mod notice;
mod offer;
mod operation;
mod palette;
mod piece;
mod place;
mod read;
mod readings;
mod reel;
mod render;
mod starter;
mod supplier;
mod version;

pub use actuals::*;
pub use artwork::{NamedArtwork, page_runs};
pub use card::*;
pub use changed::{RateGroup, changed_card, changed_rate, rate_groups};
pub use delivery::*;
pub use die::struck_out;
pub use filled::{CannotFill, Filled, FoundColour, with_colours, with_coverage};
pub use fit::{check_against, find_operation, is_built_in};
pub use forms::{actuals_schema, buyer_schema, job_schema, offer_schema, rate_card_schema};
pub use job::*;
pub use notice::{Notice, Reading, Severity};
pub use offer::*;
pub use operation::*;
pub use palette::{Coordinates, Ground, InkTint, MeasuredSpectrum, PaletteColour, read_palette};
pub use piece::{
    cover_size, leaflet_panels, open_leaflet, page_cell, smallest_piece, spine_mm, thickness_mm,
};
pub use place::{FileRole, Given, Place};
pub use read::{
    CardRanges, LONGEST_FILE, RangedRate, name_hint, read_card_ranges, read_job, read_job_bytes,
    read_rate_card, read_rate_card_bytes,
};
pub use readings::{FEWEST_READINGS, InkReadings, read_readings};
pub use reel::{Reel, Sheeter, reel_kilograms, reel_metres};
pub use render::{Look, Paint, Sources, render_notices, render_notices_as};
pub use starter::{starter_job, starter_rate_card};
pub use supplier::Supplier;
pub use version::*;
