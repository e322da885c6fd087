//! Printing conditions, best builds, press variation, colour differences.
//!
//! A [`PrintingCondition`] is a function from ink tones to absolute Lab. [`best_build`] turns it round: the tones that
//! come nearest to a target. [`build_on_press`] and [`solid_on_press`] say what a run does to a colour. Nothing here
//! knows of jobs or money. Transcendental functions come from `libm` and every random number from a fixed seed, so a
//! figure is the same on every machine and with any number of threads.

mod cgats;
mod condition;
mod curve;
mod difference;
mod exact;
mod gamut;
mod grid;
mod icc;
mod ink;
mod lab;
mod linear;
mod neighbours;
mod neugebauer;
mod overprint;
mod press;
mod residual;
mod search;
mod shipped;
mod solid;
mod spectral;
mod standing;
mod stored;
mod table;
mod tint_curve;
mod tone_increase;
mod variation;

pub use cgats::{TableProblem, read_characterisation};
pub use condition::{
    ConditionError, MAX_PATCHES, PrintingCondition, condition_from_table, grid_from_table,
};
pub use difference::delta_e00;
pub use exact::ExactModel;
pub use gamut::{ALPHA_RADIUS, Gamut};
pub use icc::{
    ASSUMED_INK_LIMIT, OutputProfile, ProfileProblem, ProfileSeparation, grid_from_profile,
    is_icc_profile, read_output_profile,
};
pub use ink::{ProcessInk, ProcessSet};
pub use lab::{
    D50_WHITE, LabD50, Xyz, lab_from_srgb, lab_from_xyz, linear_srgb_from_lab, linear_to_srgb,
    srgb_from_lab, srgb_to_linear, xyz_from_lab,
};
pub use neighbours::{Direction, KEPT_HUE, KEPT_LIGHTNESS, Neighbour, hue_difference, neighbours};
pub use overprint::{
    FurtherBuild, FurtherInk, FurtherLimits, MOST_FURTHER, MOST_INKS_AT_ONCE, OverprintError,
    Overprints, Predicted, PrintOrder, TRAPPING, overprint_error,
};
pub use press::{PressSpread, build_on_press, drift_by_ink};
pub use search::{Build, BuildLimits, PREFERENCE_SLACK, best_build};
pub use shipped::{shipped, shipped_grid, shipped_names, shipped_table};
pub use solid::{DEFAULT_MATCH, SolidInk, solid_on_press, spot_tone_value};
pub use spectral::{Spectrum, SpectrumProblem};
pub use standing::{
    AIM_SOURCE, AIM_TOLERANCE, Aims, ChartSummary, ErrorSummary, SolidStanding, claimed_aims,
    grid_errors, left_out_errors, solids_against,
};
pub use table::{CharacterisationTable, ConditionInfo, Patch};
pub use tint_curve::{TintCurve, opacity_over_black};
pub use tone_increase::{PrintedTint, printed_tint, printed_tints, tone_value};
pub use variation::{Deviation, Variation};
