//! A printing condition: what ink tones look like on one paper, printed one way.

use std::sync::OnceLock;

use crate::exact::ExactModel;
use crate::grid::{Grid, Tangent};
use crate::neugebauer::Neugebauer;
use crate::overprint::{Bands, PrimarySpectra};
use crate::search::StartNodes;
use crate::table::{CharacterisationTable, ConditionInfo, Patch};
use crate::{LabD50, stored};

/// A function from ink tones to absolute Lab, with the limits of the process.
///
/// Cheap to share between threads; one answer costs well under a microsecond.
#[derive(Debug)]
pub struct PrintingCondition {
    info: ConditionInfo,
    grid: Grid,
    areas: Neugebauer,
    starts: OnceLock<StartNodes>,
    spectra: PrimarySpectra,
}

/// What keeps a table from becoming a printing condition.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ConditionError {
    /// The bare paper or a solid was not measured.
    #[error(
        "the table lacks the bare paper or one of the four solids; these five patches must be there"
    )]
    NoPrimaries,
    /// The system of the residual grows with the square of the patches.
    #[error("the table has {found} different patches; at most {allowed} are taken")]
    TooManyPatches {
        /// Different combinations of tones in the table.
        found: usize,
        /// The most that are taken.
        allowed: usize,
    },
    /// A stored grid that cannot be used.
    #[error("the stored grid cannot be used: {0}")]
    Stored(&'static str),
}

/// The most different patches that a table may have; the largest usual chart has 1,617.
pub const MAX_PATCHES: usize = 4000;

/// Computes a printing condition from a characterisation table; takes about half a second for 1,600 patches.
pub fn condition_from_table(
    table: &CharacterisationTable,
) -> Result<PrintingCondition, ConditionError> {
    PrintingCondition::from_bytes(&grid_from_table(table)?)
}

/// Computes the stored form of a condition, the same bytes on every machine.
pub fn grid_from_table(table: &CharacterisationTable) -> Result<Vec<u8>, ConditionError> {
    let patches = table.averaged();
    if patches.len() > MAX_PATCHES {
        return Err(ConditionError::TooManyPatches {
            found: patches.len(),
            allowed: MAX_PATCHES,
        });
    }
    let model = ExactModel::fit(&patches).ok_or(ConditionError::NoPrimaries)?;
    Ok(stored::encode(
        &table.info,
        &model.areas,
        &Grid::compute(&model),
    ))
}

/// Computes the stored form of a condition given as a function, with an area model fitted to samples of it.
pub(crate) fn grid_from_function(
    info: &ConditionInfo,
    lab: impl Fn([f64; 4]) -> LabD50,
) -> Result<Vec<u8>, ConditionError> {
    let patches: Vec<Patch> = sample_tones()
        .into_iter()
        .map(|tones| Patch {
            tones,
            lab: lab(tones),
        })
        .collect();
    let areas = Neugebauer::fit(&patches).ok_or(ConditionError::NoPrimaries)?;
    Ok(stored::encode(info, &areas, &Grid::sampled(lab)))
}

/// A coarse lattice of tones in percent and a fine ramp of each ink.
fn sample_tones() -> Vec<[f64; 4]> {
    let quarter = |i: usize| 25.0 * (i % 5) as f64;
    let lattice = (0..625).map(|i| {
        [
            quarter(i / 125),
            quarter(i / 25),
            quarter(i / 5),
            quarter(i),
        ]
    });
    let ramps = (0..4).flat_map(|ink| {
        let between = (1..20).filter(|step| step % 5 != 0);
        between.map(move |step| {
            std::array::from_fn(|i| if i == ink { 5.0 * f64::from(step) } else { 0.0 })
        })
    });
    lattice.chain(ramps).collect()
}

impl PrintingCondition {
    pub(crate) fn from_parts(info: ConditionInfo, areas: Neugebauer, grid: Grid) -> Self {
        Self {
            info,
            grid,
            areas,
            starts: OnceLock::new(),
            spectra: PrimarySpectra::default(),
        }
    }

    /// Reads a stored grid, as written by [`grid_from_table`]; damage is found by its checksum.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, ConditionError> {
        stored::decode(bytes).map_err(ConditionError::Stored)
    }

    /// Returns the short name, such as `coated-tr006`.
    pub fn name(&self) -> &str {
        &self.info.name
    }

    /// Returns the title for people.
    pub fn title(&self) -> &str {
        &self.info.title
    }

    /// Returns where the figures come from.
    pub fn source(&self) -> &str {
        &self.info.source
    }

    /// Returns the terms on which the figures may be passed on.
    pub fn licence(&self) -> &str {
        &self.info.licence
    }

    /// Returns the kind of paper, such as `coated` or `newsprint`; empty if unknown.
    pub fn paper_kind(&self) -> &str {
        &self.info.paper_kind
    }

    /// Returns the process and the standard that the condition claims; empty if unknown.
    pub fn process(&self) -> &str {
        &self.info.process
    }

    /// Returns everything known besides the colours.
    pub fn info(&self) -> &ConditionInfo {
        &self.info
    }

    /// Returns the largest sum of tones, percent.
    pub fn ink_limit(&self) -> f64 {
        self.info.ink_limit
    }

    /// Returns the largest tone of black, percent.
    pub fn black_limit(&self) -> f64 {
        self.info.black_limit
    }

    /// Returns the smallest tone that still prints, percent.
    pub fn smallest_dot(&self) -> f64 {
        self.info.smallest_dot
    }

    /// Returns the colour that these tones of cyan, magenta, yellow and black (percent, 0 to 100) print as.
    ///
    /// Tones outside the range are taken as the nearer end.
    pub fn lab(&self, tones: [f64; 4]) -> LabD50 {
        self.grid.lab(tones)
    }

    /// Returns the share of the paper that the dots of each ink cover at these tones (percent), 0 to 1, by the area model:
    /// dots as they lie on the paper, before light that scatters in it makes them seem larger.
    pub fn dot_areas(&self, tones: [f64; 4]) -> [f64; 4] {
        self.areas.areas(tones).map(|area| area.clamp(0.0, 1.0))
    }

    /// Returns the Yule-Nielsen exponent of the area model, 1 (no light scatters in the paper) upwards.
    pub fn light_spreading(&self) -> f64 {
        self.areas.exponent
    }

    /// Returns the colour of the bare paper.
    pub fn paper(&self) -> LabD50 {
        self.lab([0.0; 4])
    }

    pub(crate) fn tangent(&self, tones: [f64; 4]) -> Tangent {
        self.grid.tangent(tones)
    }

    pub(crate) fn area_model(&self) -> &Neugebauer {
        &self.areas
    }

    pub(crate) fn primary_spectra(&self) -> &[Bands; 16] {
        self.spectra.of(&self.areas.primaries)
    }

    pub(crate) fn starts(&self) -> &StartNodes {
        self.starts.get_or_init(|| StartNodes::of(&self.grid))
    }
}
