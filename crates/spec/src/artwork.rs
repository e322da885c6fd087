//! Artwork that a job names; whoever reads files measures it.

use crate::Given;

/// Pages of a file that lie on pages of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedArtwork {
    /// File, relative to the job file.
    pub file: Given<String>,
    /// Page of the file that lies on the first of `pages`, from 1; the others follow in order.
    pub first: Given<u64>,
    /// Index into [`crate::Job::parts`].
    pub part: usize,
    /// Page numbers within the part, from 1, ascending; no page of a part has two artworks.
    pub pages: Vec<u32>,
}
