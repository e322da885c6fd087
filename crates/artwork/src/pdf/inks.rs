//! The inks of a document, each by its place.

use crate::coverage::{Alternate, Ink};
use crate::error::ArtworkError;

/// Most inks of one document.
const MOST_INKS: usize = 64;
/// Place of black.
pub(super) const BLACK: usize = 3;

/// The four process inks, then every solid in the order in which it was met.
#[derive(Debug)]
pub(super) struct Inks {
    known: Vec<(Ink, Option<Alternate>)>,
}

impl Inks {
    pub(super) fn new() -> Self {
        Self {
            known: Ink::PROCESS.map(|ink| (ink, None)).to_vec(),
        }
    }

    /// Place of the ink of this name; a new one is added.
    pub(super) fn place(&mut self, name: &str) -> Result<usize, ArtworkError> {
        let ink = Ink::named(name);
        if let Some(at) = self.known.iter().position(|(known, _)| *known == ink) {
            return Ok(at);
        }
        if self.known.len() >= MOST_INKS {
            return Err(ArtworkError::TooLarge {
                what: "the document names inks",
                found: "more".to_owned(),
                allowed: MOST_INKS.to_string(),
            });
        }
        self.known.push((ink, None));
        Ok(self.known.len() - 1)
    }

    /// Keeps what stands for an ink, unless something is known already.
    pub(super) fn stands_for(&mut self, place: usize, alternate: Alternate) {
        let kept = &mut self.known[place].1;
        *kept = kept.or(Some(alternate));
    }

    pub(super) fn len(&self) -> usize {
        self.known.len()
    }

    pub(super) fn ink(&self, place: usize) -> &Ink {
        &self.known[place].0
    }

    /// Solids with what stands for them.
    pub(super) fn solids(&self) -> impl Iterator<Item = (&str, Option<Alternate>)> {
        self.known[4..]
            .iter()
            .map(|(ink, alternate)| (ink.name(), *alternate))
    }
}
