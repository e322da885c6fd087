//! Output profiles of presses: ICC versions 2 and 4 with cyan, magenta, yellow and black.
//!
//! Read by our own bounded reader, so that a damaged file is told with its byte and never costs more memory than a few
//! times its length. The colorimetric table (`A2B1`, else `A2B0`) gives the colour relative to the paper; the media
//! white makes it absolute. Source: ICC.1:2022 and ICC.1:2001-04, 6.3 and annex E.

mod bytes;
mod curve;
mod device;
mod header;
mod lut;
mod problem;
mod separation;
mod text;

pub use problem::ProfileProblem;
pub use separation::ProfileSeparation;

use crate::condition::{ConditionError, grid_from_function};
use crate::lab::{lab_from_xyz, xyz_from_lab};
use crate::table::ConditionInfo;
use crate::{D50_WHITE, LabD50, Xyz};
use bytes::Bytes;
use device::{Coding, DeviceTable};
use header::Header;
use lut::{Channels, Lut, read_lut};

/// The longest profile that is read, in bytes.
const MAX_BYTES: usize = 64 << 20;

/// Ink limit of a profile that does not show one, percent. Common practice, no source.
pub const ASSUMED_INK_LIMIT: f64 = 300.0;

/// A press's profile: from tones to colours.
#[derive(Debug)]
pub struct OutputProfile {
    name: String,
    description: String,
    copyright: String,
    version: (u8, u8),
    white: Xyz,
    /// Cube roots of the media white over D50: what absolute does to relative in the cube-root space of Lab.
    white_roots: [f64; 3],
    device: DeviceTable,
    ink_limit: Option<f64>,
    separation: Option<ProfileSeparation>,
}

/// Returns whether the bytes look like any ICC profile.
pub fn is_icc_profile(bytes: &[u8]) -> bool {
    bytes.get(36..40) == Some(b"acsp")
}

/// Reads an output profile; `name` is the file's name, used in messages and as the condition's name.
pub fn read_output_profile(name: &str, bytes: &[u8]) -> Result<OutputProfile, ProfileProblem> {
    let bytes = Bytes {
        file: name,
        all: bytes,
    };
    let header = Header::read(&bytes, MAX_BYTES)?;
    let white = media_white(&bytes, &header)?;
    let (at, tag) = header.first_of(&bytes, [*b"A2B1", *b"A2B0"])?;
    let channels = Channels {
        inputs: 4,
        outputs: 3,
    };
    let lut = read_lut(&bytes, at, tag, channels)?;
    let coding = Coding::of(header.connection, lut.form);
    let device = DeviceTable::of(lut, coding).ok_or_else(|| {
        let message = format!("the table `{tag}` is incomplete");
        bytes.problem("profile-table-size", at, message, "")
    })?;
    let ratios = [
        white.x / D50_WHITE.x,
        white.y / D50_WHITE.y,
        white.z / D50_WHITE.z,
    ];
    let separation = ProfileSeparation::read(&bytes, &header, |tones| device.lab(tones));
    Ok(OutputProfile {
        separation,
        name: stem(name).to_owned(),
        description: text::read(&bytes, header.tag(*b"desc")),
        copyright: text::read(&bytes, header.tag(*b"cprt")),
        version: header.version,
        white,
        white_roots: ratios.map(libm::cbrt),
        device,
        ink_limit: ink_limit(&bytes, &header),
    })
}

impl OutputProfile {
    /// Returns the colour that these tones (percent, 0 to 100) print as, paper included.
    #[inline]
    pub fn lab(&self, tones: [f64; 4]) -> LabD50 {
        self.absolute(self.device.lab(tones))
    }

    /// Returns the colour relative to the paper, which has L* 100 there.
    #[inline]
    pub fn lab_relative(&self, tones: [f64; 4]) -> LabD50 {
        self.device.lab(tones)
    }

    /// Returns the media white, CIEXYZ under D50 with Y up to 100.
    pub fn white(&self) -> Xyz {
        self.white
    }

    /// Returns the profile's own description; empty if it has none.
    pub fn description(&self) -> &str {
        &self.description
    }

    /// Returns the version of the format, such as (2, 4).
    pub fn version(&self) -> (u8, u8) {
        self.version
    }

    /// Returns the largest sum of tones of the profile's own separations, percent; `None` if it has none.
    pub fn ink_limit(&self) -> Option<f64> {
        self.ink_limit
    }

    /// Returns how the profile itself separates colours; `None` if it has no table for that in Lab.
    pub fn separation(&self) -> Option<&ProfileSeparation> {
        self.separation.as_ref()
    }

    /// Returns what is known of the condition besides its colours.
    pub fn info(&self) -> ConditionInfo {
        let mut info = ConditionInfo::unknown(&self.name);
        if !self.description.is_empty() {
            info.title.clone_from(&self.description);
        }
        let (major, minor) = self.version;
        info.source = format!(
            "ICC profile, version {major}.{minor}; {}",
            self.ink_limit_basis()
        );
        info.licence.clone_from(&self.copyright);
        info.ink_limit = self.ink_limit.unwrap_or(ASSUMED_INK_LIMIT);
        info
    }

    /// Returns where the ink limit comes from, as half a sentence.
    pub fn ink_limit_basis(&self) -> &'static str {
        if self.ink_limit.is_some() {
            "ink limit as used by its own separations"
        } else {
            "no ink limit in it, common practice taken"
        }
    }

    #[inline]
    fn absolute(&self, relative: LabD50) -> LabD50 {
        // Where the cube root rules before and after, scaling XYZ is scaling its root.
        const CURVED: f64 = 24.0 / 116.0;
        let y = (relative.l + 16.0) * (1.0 / 116.0);
        let roots = [
            y + relative.a * (1.0 / 500.0),
            y,
            y - relative.b * (1.0 / 200.0),
        ];
        let [x, y, z] = std::array::from_fn(|i| roots[i] * self.white_roots[i]);
        let curved = |root: &f64| *root > CURVED;
        if roots.iter().chain(&[x, y, z]).all(curved) {
            LabD50::new(116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z))
        } else {
            self.absolute_by_xyz(relative)
        }
    }

    fn absolute_by_xyz(&self, relative: LabD50) -> LabD50 {
        let xyz = xyz_from_lab(relative);
        lab_from_xyz(Xyz::new(
            xyz.x * self.white.x / D50_WHITE.x,
            xyz.y * self.white.y / D50_WHITE.y,
            xyz.z * self.white.z / D50_WHITE.z,
        ))
    }
}

/// Computes the stored form of the condition that a profile describes; opened with `PrintingCondition::from_bytes`.
pub fn grid_from_profile(profile: &OutputProfile) -> Result<Vec<u8>, ConditionError> {
    grid_from_function(&profile.info(), |tones| profile.lab(tones))
}

/// The paper's white. Version 4 writes it as seen under D50 already, so that `chad` has nothing to add.
fn media_white(bytes: &Bytes<'_>, header: &Header) -> Result<Xyz, ProfileProblem> {
    const TAG: &str = "the media white `wtpt`";
    let Some(at) = header.tag(*b"wtpt") else {
        let message = "the profile has no media white (`wtpt`)".to_owned();
        let hint = "without it no colour can be told absolutely, paper included";
        return Err(bytes.problem("profile-no-white", 128, message, hint));
    };
    let mut xyz = [0.0; 3];
    for (i, value) in xyz.iter_mut().enumerate() {
        *value = bytes.fixed(at + 8 + 4 * i, TAG)? * 100.0;
    }
    if xyz.iter().any(|v| !(5.0..=150.0).contains(v)) {
        let message = format!(
            "{TAG} is X {:.2}, Y {:.2}, Z {:.2}; papers have 5 to 150",
            xyz[0], xyz[1], xyz[2]
        );
        return Err(bytes.problem("profile-no-white", at + 8, message, ""));
    }
    Ok(Xyz::from_array(xyz))
}

/// The largest sum of tones that the profile's own separations use; a table that cannot be read says nothing.
fn ink_limit(bytes: &Bytes<'_>, header: &Header) -> Option<f64> {
    let (at, tag) = header.first_of(bytes, [*b"B2A1", *b"B2A0"]).ok()?;
    let channels = Channels {
        inputs: 3,
        outputs: 4,
    };
    let lut = read_lut(bytes, at, tag, channels).ok()?;
    let largest = largest_sum(&lut).min(400.0);
    // Below 100 % no solid could be printed, so that such a table means something else.
    (largest >= 100.0).then_some(largest)
}

fn largest_sum(lut: &Lut) -> f64 {
    let sums = lut.values.as_chunks::<4>().0.iter().map(|node| {
        node.iter()
            .zip(&lut.last)
            .map(|(value, curve)| f64::from(curve.at(*value)))
            .sum::<f64>()
    });
    // Half a percent more or less is the rounding of the table.
    libm::floor(sums.fold(0.0, f64::max) * 100.0 + 0.5)
}

fn stem(file: &str) -> &str {
    let base = file.rsplit(['/', '\\']).next().unwrap_or(file);
    base.rsplit_once('.').map_or(base, |(stem, _)| stem)
}
