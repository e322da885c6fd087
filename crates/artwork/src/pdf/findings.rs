//! Collects what somebody should look at while a page is painted.

use std::collections::BTreeSet;

use crate::coverage::{Finding, Ink};

/// Most different remarks of one kind on a page.
const MOST_REMARKS: usize = 20;

/// Findings of one page.
#[derive(Debug, Default)]
pub(super) struct Findings {
    separated: BTreeSet<(&'static str, &'static str)>,
    vanishing: BTreeSet<&'static str>,
    not_counted: BTreeSet<String>,
    /// Size in points, with the inks.
    smallest_type: Option<(f64, Vec<Ink>)>,
    /// Width in millimetres, with the inks.
    thinnest_rule: Option<(f64, Vec<Ink>)>,
}

impl Findings {
    /// A colour of RGB or Lab.
    pub(super) fn separated(&mut self, family: &'static str, what: &'static str) {
        self.separated.insert((family, what));
    }

    /// White that overprints.
    pub(super) fn vanishing(&mut self, what: &'static str) {
        self.vanishing.insert(what);
    }

    /// Something that is not counted, or only nearly so.
    pub(super) fn not_counted(&mut self, what: impl Into<String>) {
        if self.not_counted.len() < MOST_REMARKS {
            self.not_counted.insert(what.into());
        }
    }

    /// Type out of two or more inks.
    pub(super) fn small_type(&mut self, points: f64, inks: Vec<Ink>) {
        smaller(&mut self.smallest_type, points, inks);
    }

    /// A line out of two or more inks.
    pub(super) fn thin_rule(&mut self, millimetres: f64, inks: Vec<Ink>) {
        smaller(&mut self.thinnest_rule, millimetres, inks);
    }

    /// All of them, the gravest first.
    pub(super) fn finish(self) -> Vec<Finding> {
        let mut all: Vec<Finding> = self
            .not_counted
            .into_iter()
            .map(Finding::NotCounted)
            .collect();
        all.extend(
            self.vanishing
                .into_iter()
                .map(|what| Finding::VanishingWhite { what }),
        );
        let separated = self.separated.into_iter();
        all.extend(separated.map(|(family, what)| Finding::Separated {
            what: format!("{family} {what}"),
        }));
        for (what, thin) in [("type", self.smallest_type), ("rule", self.thinnest_rule)] {
            all.extend(thin.map(|(size, inks)| Finding::ThinInTwoInks { what, size, inks }));
        }
        all
    }
}

fn smaller(kept: &mut Option<(f64, Vec<Ink>)>, size: f64, inks: Vec<Ink>) {
    if size > 0.0 && kept.as_ref().is_none_or(|(known, _)| size < *known) {
        *kept = Some((size, inks));
    }
}
