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
    /// Inks of the file that are not printed.
    pub unprinted: Vec<Given<String>>,
}

/// `page 4`, `pages 1-8, 12`: the pages of a part, neighbours drawn together.
pub fn page_runs(pages: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &page in pages {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == page => *last = page,
            _ => runs.push((page, page)),
        }
    }
    let run = |&(first, last): &(u32, u32)| match last - first {
        0 => first.to_string(),
        _ => format!("{first}-{last}"),
    };
    let word = if pages.len() == 1 { "page" } else { "pages" };
    format!(
        "{word} {}",
        runs.iter().map(run).collect::<Vec<_>>().join(", ")
    )
}
