//! What RGB numbers look like: sRGB, or the matrix and curves of an embedded ICC profile.
//!
//! Source of the profile's layout: ICC.1:2022. A profile with tables in place of a matrix is not read.

use inkset_colour::{Xyz, srgb_to_linear};

/// Points of a tone curve that is sampled from a profile.
const CURVE: usize = 1024;

/// From device numbers to colour relative to the medium's white, which is D50.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct RgbSpace {
    /// Columns are the colorants, as XYZ with Y = 1 for white.
    matrix: [[f64; 3]; 3],
    curves: [Vec<f64>; 3],
}

impl RgbSpace {
    /// sRGB (IEC 61966-2-1), adapted to D50 by the Bradford matrix of ICC.1.
    pub(crate) fn srgb() -> Self {
        let curve: Vec<f64> = (0..CURVE)
            .map(|i| srgb_to_linear(i as f64 / (CURVE - 1) as f64))
            .collect();
        Self {
            matrix: [
                [0.436_065_7, 0.385_151_5, 0.143_079_8],
                [0.222_491_5, 0.716_887_0, 0.060_621_5],
                [0.013_923_9, 0.097_083_9, 0.714_099_4],
            ],
            curves: [curve.clone(), curve.clone(), curve],
        }
    }

    /// The matrix and curves of a profile; `None` if it has none, is damaged, or is not RGB.
    pub(crate) fn of_profile(profile: &[u8]) -> Option<Self> {
        if profile.get(16..20)? != b"RGB " || profile.get(20..24)? != b"XYZ " {
            return None;
        }
        let columns = [*b"rXYZ", *b"gXYZ", *b"bXYZ"].map(|name| colorant(tag(profile, name)?));
        let [r, g, b] = columns;
        let (r, g, b) = (r?, g?, b?);
        let [tr, tg, tb] = [*b"rTRC", *b"gTRC", *b"bTRC"].map(|name| curve(tag(profile, name)?));
        let matrix = std::array::from_fn(|row| [r[row], g[row], b[row]]);
        let space = Self {
            matrix,
            curves: [tr?, tg?, tb?],
        };
        let white = space.xyz([1.0; 3]);
        // A matrix whose white is nowhere near D50 is damage, not a colour space.
        let sound = (white.y - 100.0).abs() < 5.0 && (white.z - 82.5).abs() < 8.0;
        sound.then_some(space)
    }

    /// The colour of these numbers (0 to 1), with Y = 100 for the medium's white.
    pub(crate) fn xyz(&self, rgb: [f64; 3]) -> Xyz {
        let linear: [f64; 3] = std::array::from_fn(|i| sampled(&self.curves[i], rgb[i]));
        let row = |row: &[f64; 3]| -> f64 {
            row.iter().zip(linear).map(|(m, v)| m * v).sum::<f64>() * 100.0
        };
        Xyz {
            x: row(&self.matrix[0]),
            y: row(&self.matrix[1]),
            z: row(&self.matrix[2]),
        }
    }
}

fn sampled(curve: &[f64], v: f64) -> f64 {
    let at = v.clamp(0.0, 1.0) * (curve.len() - 1) as f64;
    let low = (at as usize).min(curve.len() - 2);
    let share = at - low as f64;
    curve[low] + (curve[low + 1] - curve[low]) * share
}

fn tag(profile: &[u8], name: [u8; 4]) -> Option<&[u8]> {
    let count = be32(profile, 128)?.min(200) as usize;
    let entries = profile.get(132..132 + 12 * count)?;
    let entry = entries.chunks_exact(12).find(|entry| entry[..4] == name)?;
    let from = be32(entry, 4)? as usize;
    let length = be32(entry, 8)? as usize;
    profile.get(from..from.checked_add(length)?)
}

fn be32(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

fn fixed(bytes: &[u8], at: usize) -> Option<f64> {
    Some(f64::from(be32(bytes, at)?.cast_signed()) / 65536.0)
}

fn colorant(tag: &[u8]) -> Option<[f64; 3]> {
    if tag.get(..4)? != b"XYZ " {
        return None;
    }
    Some([fixed(tag, 8)?, fixed(tag, 12)?, fixed(tag, 16)?])
}

fn curve(tag: &[u8]) -> Option<Vec<f64>> {
    let spread = |f: &dyn Fn(f64) -> f64| -> Vec<f64> {
        (0..CURVE)
            .map(|i| f(i as f64 / (CURVE - 1) as f64))
            .collect()
    };
    match tag.get(..4)? {
        b"curv" => match be32(tag, 8)? {
            0 => Some(vec![0.0, 1.0]),
            1 => {
                let gamma =
                    f64::from(u16::from_be_bytes(tag.get(12..14)?.try_into().ok()?)) / 256.0;
                Some(spread(&|v| libm::pow(v, gamma)))
            }
            n => {
                let points = tag.get(12..12 + 2 * (n.min(65_536) as usize))?;
                let value = |p: &[u8]| f64::from(u16::from_be_bytes([p[0], p[1]])) / 65535.0;
                Some(points.chunks_exact(2).map(value).collect())
            }
        },
        b"para" => parametric(tag).map(|f| spread(&f)),
        _ => None,
    }
}

/// The five forms of ICC.1:2022, table 68.
fn parametric(tag: &[u8]) -> Option<impl Fn(f64) -> f64> {
    let kind = u16::from_be_bytes(tag.get(8..10)?.try_into().ok()?);
    let count = *[1, 3, 4, 5, 7].get(usize::from(kind))?;
    let mut p = [0.0; 7];
    for (i, value) in p.iter_mut().take(count).enumerate() {
        *value = fixed(tag, 12 + 4 * i)?;
    }
    let [g, a, b, c, d, e, f] = p;
    Some(move |x: f64| -> f64 {
        let bent = |offset: f64| libm::pow((a * x + b).max(0.0), g) + offset;
        match kind {
            0 => libm::pow(x, g),
            1 if a * x + b >= 0.0 => bent(0.0),
            1 => 0.0,
            2 if a * x + b >= 0.0 => bent(c),
            2 => c,
            3 if x >= d => bent(0.0),
            3 => c * x,
            _ if x >= d => bent(e),
            _ => c * x + f,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use inkset_colour::{lab_from_srgb, lab_from_xyz};

    #[test]
    fn srgb_agrees_with_the_colour_crate() {
        for rgb in [[255, 255, 255], [128, 128, 128], [255, 0, 0], [12, 200, 90]] {
            let here = lab_from_xyz(RgbSpace::srgb().xyz(rgb.map(|v| f64::from(v) / 255.0)));
            let there = lab_from_srgb(rgb);
            let apart =
                (here.l - there.l).abs() + (here.a - there.a).abs() + (here.b - there.b).abs();
            assert!(apart < 0.3, "{rgb:?}: {here:?} {there:?}");
        }
    }

    #[test]
    fn garbage_is_no_profile() {
        assert_eq!(RgbSpace::of_profile(b"RGB"), None);
        let mut bytes = vec![0xff; 400];
        bytes[16..24].copy_from_slice(b"RGB XYZ ");
        assert_eq!(RgbSpace::of_profile(&bytes), None);
    }
}
