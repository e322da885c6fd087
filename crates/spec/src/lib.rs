//! Reads job files and rate cards, checks them, fills in defaults and remembers where every value stands.

mod card;
mod job;
mod place;

pub use card::*;
pub use job::*;
pub use place::{FileRole, Given, Place};
