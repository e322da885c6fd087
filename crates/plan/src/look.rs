//! What the colours of a job look like, with nothing left to look up.

use std::sync::Arc;

use inkset_colour::{LabD50, Spectrum, TintCurve, lab_from_srgb};
use inkset_spec::{Job, Target};

/// What a colour of a job looks like, and what is known of it as an ink.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// The full colour.
    pub target: LookTarget,
    /// Reflectance of its solid, where it was measured.
    pub spectrum: Option<Spectrum>,
    /// Its tints, where they were measured.
    pub tints: Option<Arc<TintCurve>>,
    /// Opacity of its ink, 0 (transparent, the usual one) to 1, where it was measured over black.
    pub opacity: Option<f64>,
}

/// A full colour.
#[derive(Debug, Clone, PartialEq)]
pub enum LookTarget {
    /// The same on every paper.
    Lab(LabD50),
    /// Process tones in percent as printed under a named condition; `None` = that of the paper.
    Build {
        /// C M Y K.
        tones: [f64; 4],
        /// Name of the printing condition.
        condition: Option<String>,
    },
}

impl Look {
    /// A colour of which nothing but its Lab is known.
    pub fn of_lab(lab: LabD50) -> Self {
        Self::of_target(LookTarget::Lab(lab))
    }

    /// What the job itself says of a colour; `None` when it stands in a palette.
    pub fn of(target: &Target) -> Option<Self> {
        let target = match target {
            Target::Lab { l, a, b } => LookTarget::Lab(LabD50::new(*l, *a, *b)),
            Target::Srgb(rgb) => LookTarget::Lab(lab_from_srgb(*rgb)),
            Target::Cmyk { tones, condition } => LookTarget::Build {
                tones: *tones,
                condition: condition.clone(),
            },
            Target::Palette { .. } => return None,
        };
        Some(Self::of_target(target))
    }

    /// The looks of all colours of a job; `None` when one of them stands in a palette.
    pub fn of_job(job: &Job) -> Option<Vec<Self>> {
        let targets = job.colours.iter().map(|colour| &colour.target.value);
        targets.map(Self::of).collect()
    }

    fn of_target(target: LookTarget) -> Self {
        Self {
            target,
            spectrum: None,
            tints: None,
            opacity: None,
        }
    }
}
