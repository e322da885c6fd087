//! The way of a part through the bindery.

use inkset_spec::{Job, Part, ProductKind, Role};

/// Which operations a part goes through on its way into the product.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Route {
    /// Cut to its size.
    Flat,
    /// Cut to leaves, which are collated where they belong to sets, and glued to pads.
    Leaf,
    /// Cut out and folded to a leaflet.
    Leaflet,
    /// Folded to sections, which are stitched one within the other.
    Stitched,
    /// Folded to sections, which are gathered and bound.
    Gathered,
    /// Cut out and glued around the spine.
    GluedCover,
    /// Cut out, and folded if it has panels, and laid into the finished product.
    LaidIn {
        /// Whether it is folded.
        folded: bool,
    },
}

impl Route {
    pub(crate) fn of(job: &Job, part: &Part) -> Self {
        match (job.product.kind.value, part.role.value) {
            (ProductKind::Flat, _) => Self::Flat,
            (ProductKind::Folded, _) => Self::Leaflet,
            (ProductKind::Pad | ProductKind::Set, _) => Self::Leaf,
            (_, Role::LooseInsert) => Self::LaidIn {
                folded: part.pages.value > 2,
            },
            (ProductKind::SaddleStitched, _) => Self::Stitched,
            (_, Role::Cover) => Self::GluedCover,
            (ProductKind::PerfectBound | ProductKind::SectionSewn, _) => Self::Gathered,
        }
    }

    /// The way of the first part that is bound in, or of the only part.
    pub(crate) fn of_product(job: &Job) -> Self {
        let routes = || job.parts.iter().map(|part| Self::of(job, part));
        let bound = routes().find(|route| route.is_bound());
        bound.or_else(|| routes().next()).unwrap_or(Self::Flat)
    }

    /// Whether it is stitched or glued in.
    pub(crate) const fn is_bound(self) -> bool {
        matches!(self, Self::Stitched | Self::Gathered | Self::GluedCover)
    }

    /// Whether it becomes leaves of pads or sets.
    pub(crate) const fn is_leaf(self) -> bool {
        matches!(self, Self::Leaf)
    }

    pub(crate) const fn is_gathered(self) -> bool {
        matches!(self, Self::Gathered)
    }

    pub(crate) const fn is_folded(self) -> bool {
        match self {
            Self::Flat | Self::Leaf | Self::GluedCover => false,
            Self::Leaflet | Self::Stitched | Self::Gathered => true,
            Self::LaidIn { folded } => folded,
        }
    }

    /// Whether a section alone on its sheet is folded as it is; all else is cut out.
    pub(crate) const fn folds_uncut(self) -> bool {
        matches!(self, Self::Stitched | Self::Gathered)
    }
}
