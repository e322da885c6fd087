//! What somebody should look at, alike findings of several pages in one line.

use inkset_artwork::{Finding, Ink};

use super::{MeasuredFile, build};
use crate::figures::runs;

/// What a file's pages show, in the order of the pages; then names that are too near each other.
pub(super) fn finding_lines(file: &MeasuredFile) -> Vec<String> {
    let mut alike: Vec<Alike> = Vec::new();
    for page in file.pages() {
        for finding in &page.findings {
            match alike.iter_mut().find(|known| known.takes(finding)) {
                Some(known) => known.add(page.page, finding),
                None => alike.push(Alike::new(page.page, finding)),
            }
        }
    }
    let mut lines: Vec<String> = alike.iter().map(Alike::line).collect();
    lines.extend(near_names(file));
    lines
}

/// One finding, and the pages that show it or one that differs in its size only.
struct Alike<'a> {
    pages: Vec<usize>,
    /// The gravest of them, and its page.
    gravest: (usize, &'a Finding),
}

impl<'a> Alike<'a> {
    fn new(page: usize, finding: &'a Finding) -> Self {
        Self {
            pages: vec![page],
            gravest: (page, finding),
        }
    }

    fn takes(&self, other: &Finding) -> bool {
        match (self.gravest.1, other) {
            (
                Finding::ThinInTwoInks { what, inks, .. },
                Finding::ThinInTwoInks {
                    what: other_what,
                    inks: other_inks,
                    ..
                },
            ) => what == other_what && inks == other_inks,
            (
                Finding::RichBlack { tones, .. },
                Finding::RichBlack {
                    tones: other_tones, ..
                },
            ) => build(tones) == build(other_tones),
            (known, other) => sentence(known) == sentence(other),
        }
    }

    fn add(&mut self, page: usize, finding: &'a Finding) {
        if self.pages.last() != Some(&page) {
            self.pages.push(page);
        }
        if graver(finding, self.gravest.1) {
            self.gravest = (page, finding);
        }
    }

    fn line(&self) -> String {
        let (gravest_page, finding) = self.gravest;
        if let [page] = self.pages[..] {
            return format!("Page {page}: {}", sentence(finding));
        }
        let told = match finding {
            Finding::ThinInTwoInks { .. } | Finding::RichBlack { .. } => {
                format!("{} (page {gravest_page})", sentence(finding))
            }
            _ => sentence(finding),
        };
        format!("Pages {}: {told}", runs(&self.pages))
    }
}

/// Whether type or a rule is smaller, or black covers more.
fn graver(finding: &Finding, known: &Finding) -> bool {
    match (finding, known) {
        (
            Finding::ThinInTwoInks { size, .. },
            Finding::ThinInTwoInks {
                size: known_size, ..
            },
        ) => size < known_size,
        (
            Finding::RichBlack { share, .. },
            Finding::RichBlack {
                share: known_share, ..
            },
        ) => share > known_share,
        _ => false,
    }
}

/// One finding of a page, without its page.
pub(super) fn sentence(finding: &Finding) -> String {
    match finding {
        Finding::Separated { what } => format!(
            "{what}: separated through the printing condition, not as the file's maker would"
        ),
        Finding::NotCounted(what) => format!("not counted, or only nearly so: {what}"),
        Finding::ThinInTwoInks { what, size, inks } => {
            let inks: Vec<String> = inks.iter().map(Ink::short).collect();
            let thin = if *what == "type" {
                format!("smallest type in two or more inks: {size:.1} pt")
            } else {
                format!("thinnest {what} in two or more inks: {size:.2} mm")
            };
            format!("{thin} in {}; register shows here first", inks.join(" + "))
        }
        Finding::RichBlack { tones, share } => {
            format!(
                "black with other inks beneath it: {} on {:.2} % of the page",
                build(tones),
                share * 100.0
            )
        }
        Finding::VanishingWhite { what } => {
            format!("white {what} set to overprint: it vanishes on press")
        }
    }
}

/// Names that differ only in case, blanks or signs, from each other or from a process ink's, make two plates for one ink.
fn near_names(file: &MeasuredFile) -> Vec<String> {
    let plain = |name: &str| -> String {
        name.chars()
            .filter(|c| c.is_alphanumeric())
            .flat_map(char::to_lowercase)
            .collect()
    };
    let process = Ink::PROCESS.map(|ink| ink.name().to_owned());
    let solids: Vec<&str> = file
        .artwork
        .solids
        .iter()
        .map(|solid| solid.name.as_str())
        .collect();
    let mut lines = Vec::new();
    for (at, &solid) in solids.iter().enumerate() {
        if let Some(ink) = process.iter().find(|ink| plain(ink) == plain(solid)) {
            lines.push(format!(
                "`{solid}` is a solid beside the process ink {ink}: two plates for one ink"
            ));
        }
        for other in &solids[at + 1..] {
            if plain(solid) == plain(other) {
                lines.push(format!(
                    "`{solid}` and `{other}` differ only in case, blanks or signs: two plates for one ink"
                ));
            }
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use inkset_artwork::{Artwork, FileKind, NamedSolid, PageCoverage, PageSize, Peak};

    use super::*;

    fn page(number: usize, findings: Vec<Finding>) -> PageCoverage {
        PageCoverage {
            page: number,
            size: PageSize {
                millimetres: None,
                pixels: (1, 1),
            },
            inks: Vec::new(),
            peak: Peak {
                percent: 0.0,
                pixel: (0, 0),
            },
            above_limit: 0.0,
            flats: Vec::new(),
            findings,
            photographs: Vec::new(),
        }
    }

    fn lines(pages: Vec<PageCoverage>, solids: &[&str]) -> Vec<String> {
        finding_lines(&MeasuredFile {
            name: "some.pdf".to_owned(),
            artwork: Artwork {
                kind: FileKind::Pdf,
                page_count: pages.len(),
                pages: pages.into_iter().map(Ok).collect(),
                solids: solids
                    .iter()
                    .map(|&name| NamedSolid {
                        name: name.to_owned(),
                        alternate: None,
                        pages: vec![1],
                    })
                    .collect(),
                assumptions: Vec::new(),
            },
        })
    }

    fn type_of(size: f64) -> Finding {
        Finding::ThinInTwoInks {
            what: "type",
            size,
            inks: vec![Ink::PROCESS[0].clone(), Ink::PROCESS[1].clone()],
        }
    }

    #[test]
    fn alike_findings_are_one_line() {
        let white = Finding::VanishingWhite { what: "text" };
        let pages = vec![
            page(1, vec![white.clone(), type_of(7.0)]),
            page(2, vec![white.clone(), type_of(5.5)]),
            page(4, vec![white]),
        ];
        assert_eq!(
            lines(pages, &[]),
            [
                "Pages 1-2, 4: white text set to overprint: it vanishes on press",
                "Pages 1-2: smallest type in two or more inks: 5.5 pt in C + M; register shows here first (page 2)",
            ]
        );
    }

    #[test]
    fn solid_named_like_a_process_ink() {
        assert_eq!(
            lines(vec![page(1, Vec::new())], &["black", "Harbour Red"]),
            ["`black` is a solid beside the process ink Black: two plates for one ink"]
        );
    }
}
