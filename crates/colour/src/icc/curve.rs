//! One-channel curves of a profile: tables and parametric forms.
//!
//! Source: ICC.1:2022, 10.6 (`curveType`) and 10.18 (`parametricCurveType`).

use super::ProfileProblem;
use super::bytes::{Bytes, shown};

/// The most entries of a table; the largest usual one has 4,096.
const MOST_ENTRIES: usize = 1 << 16;

/// A function of one channel; both sides run from 0 to 1.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Curve {
    /// Nothing is changed.
    Identity,
    /// Evenly spaced steps, straight in between.
    Table(Vec<f32>),
    /// `(a x + b)^g + e` from `d` upwards, `c x + f` below; in the order g a b c d e f.
    Parametric([f64; 7]),
}

impl Curve {
    /// Makes the curve of table entries, recognising the one that changes nothing.
    pub(super) fn from_table(entries: Vec<f32>) -> Self {
        let last = entries.len().saturating_sub(1).max(1) as f32;
        let straight = |(i, v): (usize, &f32)| (v - i as f32 / last).abs() < 1e-6;
        if entries.len() < 2 || entries.iter().enumerate().all(straight) {
            Self::Identity
        } else {
            Self::Table(entries)
        }
    }

    #[inline]
    pub(super) fn at(&self, x: f32) -> f32 {
        match self {
            Self::Identity => x,
            Self::Table(entries) => interpolated(entries, x),
            Self::Parametric(form) => parametric(form, f64::from(x)) as f32,
        }
    }
}

#[inline]
fn interpolated(entries: &[f32], x: f32) -> f32 {
    let last = entries.len() - 1;
    let place = unit(x) * last as f32;
    let low = (place as i32 as usize).min(last - 1);
    let within = place - low as f32;
    entries[low] + (entries[low + 1] - entries[low]) * within
}

/// Keeps a number between 0 and 1; what is no number becomes 0.
#[inline]
pub(super) fn unit(x: f32) -> f32 {
    if x > 0.0 { x.min(1.0) } else { 0.0 }
}

fn parametric([g, a, b, c, d, e, f]: &[f64; 7], x: f64) -> f64 {
    let value = if x >= *d {
        libm::pow((a * x + b).max(0.0), *g) + e
    } else {
        c * x + f
    };
    if value.is_finite() { value } else { 0.0 }
}

/// Reads `count` curves that stand one after the other, each padded to four bytes.
pub(super) fn read_curves(
    bytes: &Bytes<'_>,
    at: usize,
    count: usize,
) -> Result<Vec<Curve>, ProfileProblem> {
    let mut place = at;
    let mut curves = Vec::with_capacity(count.min(16));
    for _ in 0..count {
        let (curve, length) = read_curve(bytes, place)?;
        curves.push(curve);
        place += length.next_multiple_of(4);
    }
    Ok(curves)
}

fn read_curve(bytes: &Bytes<'_>, at: usize) -> Result<(Curve, usize), ProfileProblem> {
    match &bytes.signature(at, "a curve")? {
        b"curv" => read_table(bytes, at),
        b"para" => read_parametric(bytes, at),
        other => Err(bytes.problem(
            "profile-unknown-form",
            at,
            format!(
                "a curve has the form `{}`; known are `curv` and `para`",
                shown(*other)
            ),
            "",
        )),
    }
}

fn read_table(bytes: &Bytes<'_>, at: usize) -> Result<(Curve, usize), ProfileProblem> {
    let count = bytes.u32(at + 8, "a curve")?;
    if count > MOST_ENTRIES {
        let message = format!("a curve has {count} entries, at most {MOST_ENTRIES} are taken");
        return Err(bytes.problem("profile-too-large", at + 8, message, ""));
    }
    let curve = if count == 1 {
        let exponent = bytes.u16(at + 12, "a curve")? as f64 / 256.0;
        Curve::Parametric([exponent, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0])
    } else {
        Curve::from_table(words(bytes, at + 12, count, "a curve")?)
    };
    Ok((curve, 12 + 2 * count))
}

fn read_parametric(bytes: &Bytes<'_>, at: usize) -> Result<(Curve, usize), ProfileProblem> {
    let form = bytes.u16(at + 8, "a curve")?;
    let Some(&count) = [1, 3, 4, 5, 7].get(form) else {
        let message = format!("a parametric curve has the form {form}; known are 0 to 4");
        return Err(bytes.problem("profile-unknown-form", at + 8, message, ""));
    };
    let mut p = [0.0; 7];
    for (i, value) in p[..count].iter_mut().enumerate() {
        *value = bytes.fixed(at + 12 + 4 * i, "a curve")?;
    }
    Ok((Curve::Parametric(spelt_out(form, p)), 12 + 4 * count))
}

/// The five forms as cases of the last one.
fn spelt_out(form: usize, [g, a, b, c, d, e, f]: [f64; 7]) -> [f64; 7] {
    let knee = if a == 0.0 { 0.0 } else { -b / a };
    match form {
        0 => [g, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        1 => [g, a, b, 0.0, knee, 0.0, 0.0],
        2 => [g, a, b, 0.0, knee, c, c],
        _ => [g, a, b, c, d, e, f],
    }
}

/// Reads `count` 16-bit numbers as fractions.
pub(super) fn words(
    bytes: &Bytes<'_>,
    at: usize,
    count: usize,
    what: &str,
) -> Result<Vec<f32>, ProfileProblem> {
    let length = count.saturating_mul(2);
    let pairs = bytes.part(at, length, what)?.as_chunks::<2>().0;
    Ok(pairs
        .iter()
        .map(|pair| f32::from(u16::from_be_bytes(*pair)) / 65535.0)
        .collect())
}

/// Reads `count` 8-bit numbers as fractions.
pub(super) fn octets(
    bytes: &Bytes<'_>,
    at: usize,
    count: usize,
    what: &str,
) -> Result<Vec<f32>, ProfileProblem> {
    let part = bytes.part(at, count, what)?;
    Ok(part.iter().map(|byte| f32::from(*byte) / 255.0).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms_meet_their_definition() {
        let x = 0.5_f64;
        for (form, given, wanted) in [
            (0, [2.0, 9.0, 9.0, 9.0, 9.0, 9.0, 9.0], x * x),
            (1, [2.0, 0.8, 0.2, 0.0, 0.0, 0.0, 0.0], 0.36),
            (2, [2.0, 0.8, 0.2, 0.1, 0.0, 0.0, 0.0], 0.46),
            (3, [2.0, 0.8, 0.2, 0.3, 0.6, 0.0, 0.0], 0.15),
            (4, [2.0, 0.8, 0.2, 0.3, 0.4, 0.1, 0.2], 0.46),
        ] {
            let found = parametric(&spelt_out(form, given), x);
            assert!((found - wanted).abs() < 1e-12, "form {form}: {found}");
        }
    }

    #[test]
    fn table_is_straight_between_its_steps() {
        let curve = Curve::from_table(vec![0.0, 0.8, 1.0]);
        for (x, wanted) in [(-1.0, 0.0), (0.25, 0.4), (0.75, 0.9), (2.0, 1.0)] {
            assert!((curve.at(x) - wanted).abs() < 1e-6, "{x}");
        }
        assert_eq!(Curve::from_table(vec![0.0, 0.5, 1.0]), Curve::Identity);
    }
}
