//! Reads job files and rate cards, checks them, fills in defaults and remembers where every value stands.

mod card;
pub mod codes;
mod job;
mod notice;
mod place;
mod read;

pub use card::*;
pub use job::*;
pub use notice::{Notice, Reading, Severity};
pub use place::{FileRole, Given, Place};
pub use read::{LONGEST_FILE, read_job, read_job_bytes, read_rate_card, read_rate_card_bytes};
