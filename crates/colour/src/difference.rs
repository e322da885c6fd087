//! The colour difference CIEDE2000.
//!
//! Source: Sharma, Wu and Dalal 2005 (the formula with its corner cases), ISO/CIE 11664-6. The cosines of multiples of
//! the mean hue are built from the hue's own sine and cosine, which keeps the function quick enough for a search.

use std::sync::LazyLock;

use crate::LabD50;

/// Returns ΔE00 between two colours, with all weighting factors 1.
///
/// About 1 is just visible side by side; the formula is symmetric.
pub fn delta_e00(x: LabD50, y: LabD50) -> f64 {
    let [l, c, h] = difference_vector(x, y);
    (l * l + c * c + h * h).sqrt()
}

/// Returns a vector whose length is ΔE00, for searches that need a direction as well.
///
/// The rotation term is split off by completing the square, so that the three parts stand at right angles.
pub(crate) fn difference_vector(x: LabD50, y: LabD50) -> [f64; 3] {
    let boost = a_boost(0.5 * (x.chroma() + y.chroma()));
    let p = Hue::new(x.a * boost, x.b);
    let q = Hue::new(y.a * boost, y.b);
    let mean_chroma = 0.5 * (p.chroma + q.chroma);
    let (cos, sin) = mean_direction(&p, &q);

    let s_c = 1.0 + 0.045 * mean_chroma;
    let s_h = 1.0 + 0.015 * mean_chroma * hue_weight(cos, sin);

    let l = lightness_part(x.l, y.l);
    let c = (q.chroma - p.chroma) / s_c;
    let h = hue_difference(&p, &q) / s_h;
    let rotation = rotation(mean_chroma, cos, sin);
    let rest = (1.0 - 0.25 * rotation * rotation).max(0.0).sqrt();
    [l, c + 0.5 * rotation * h, rest * h]
}

/// The part of ΔE00 that lightness makes: no colours of these lightnesses are nearer.
fn lightness_part(x: f64, y: f64) -> f64 {
    let offset = 0.5 * (x + y) - 50.0;
    let square = offset * offset;
    (y - x) / (1.0 + 0.015 * square / (20.0 + square).sqrt())
}

/// A colour's chroma and the direction of its hue; the direction of a grey is zero.
struct Hue {
    a: f64,
    b: f64,
    chroma: f64,
    cos: f64,
    sin: f64,
}

impl Hue {
    fn new(a: f64, b: f64) -> Self {
        let chroma = (a * a + b * b).sqrt();
        let (cos, sin) = if chroma > 0.0 {
            (a / chroma, b / chroma)
        } else {
            (0.0, 0.0)
        };
        Self {
            a,
            b,
            chroma,
            cos,
            sin,
        }
    }
}

const POW_25_7: f64 = 6_103_515_625.0;

/// Chroma's share in the saturating terms: sqrt(C^7 / (C^7 + 25^7)).
fn saturation(chroma: f64) -> f64 {
    let square = chroma * chroma;
    let seventh = square * square * square * chroma;
    (seventh / (seventh + POW_25_7)).sqrt()
}

fn a_boost(mean_chroma: f64) -> f64 {
    1.0 + 0.5 * (1.0 - saturation(mean_chroma))
}

/// Cosine and sine of the mean hue along the shorter arc.
fn mean_direction(p: &Hue, q: &Hue) -> (f64, f64) {
    let (a, b) = (p.cos + q.cos, p.sin + q.sin);
    let length = (a * a + b * b).sqrt();
    if length > 1e-12 {
        (a / length, b / length)
    } else if p.chroma > 0.0 {
        // Exactly opposite hues: the published rule takes the plain mean of the two angles in 0..360.
        let first_is_smaller = p.sin > 0.0 || (p.sin == 0.0 && p.cos > 0.0);
        if first_is_smaller {
            (-p.sin, p.cos)
        } else {
            (p.sin, -p.cos)
        }
    } else {
        (1.0, 0.0)
    }
}

/// 2 sqrt(C1 C2) sin(Δh/2), with the sign of the turn from `p` to `q`.
fn hue_difference(p: &Hue, q: &Hue) -> f64 {
    let squared = 2.0 * (p.chroma * q.chroma - p.a * q.a - p.b * q.b);
    let cross = p.a * q.b - p.b * q.a;
    // The product loses its digits for small turns, where chord and cross product agree.
    let dot = p.a * q.a + p.b * q.b;
    if dot > 0.0 {
        let sum = p.chroma * q.chroma + dot;
        return cross * (2.0 / sum).sqrt();
    }
    let size = squared.max(0.0).sqrt();
    if cross < 0.0 { -size } else { size }
}

const SIN_30: f64 = 0.5;
const COS_30: f64 = 0.866_025_403_784_438_6;
const COS_6: f64 = 0.994_521_895_368_273_3;
const SIN_6: f64 = 0.104_528_463_267_653_47;
const COS_63: f64 = 0.453_990_499_739_546_75;
const SIN_63: f64 = 0.891_006_524_188_367_9;

/// The term T of the published formula, from the mean hue's cosine and sine.
fn hue_weight(cos: f64, sin: f64) -> f64 {
    let (cos_2, sin_2) = (cos * cos - sin * sin, 2.0 * sin * cos);
    let (cos_3, sin_3) = (cos_2 * cos - sin_2 * sin, sin_2 * cos + cos_2 * sin);
    let (cos_4, sin_4) = (cos_2 * cos_2 - sin_2 * sin_2, 2.0 * sin_2 * cos_2);
    1.0 - 0.17 * (cos * COS_30 + sin * SIN_30)
        + 0.24 * cos_2
        + 0.32 * (cos_3 * COS_6 - sin_3 * SIN_6)
        - 0.20 * (cos_4 * COS_63 + sin_4 * SIN_63)
}

/// The term `R_T`, which tilts the ellipses of blue.
fn rotation(mean_chroma: f64, cos: f64, sin: f64) -> f64 {
    // The formula counts from 0 to 360 degrees, so that hues just above 0 are far from 275.
    if sin >= 0.0 && cos > 0.0 {
        return 0.0;
    }
    // 1 - cos of the distance.
    let away = 1.0 - (cos * COS_275 + sin * SIN_275);
    -2.0 * saturation(mean_chroma) * bell(away)
}

const COS_275: f64 = 0.087_155_742_747_658_2;
const SIN_275: f64 = -0.996_194_698_091_745_5;

/// Pieces of the bell's table.
const PIECES: usize = 1024;

/// Where the table ends, 139 degrees from the middle: beyond, the bell is below 1e-13.
const BELL_END: f64 = 1.75;

/// sin(60° exp(-(distance / 25°)²)) of 1 - cos(distance), by cubic pieces; off by less than 3e-9.
fn bell(away: f64) -> f64 {
    static CUBICS: LazyLock<Vec<[f64; 4]>> = LazyLock::new(bell_pieces);
    let place = away.max(0.0) * (PIECES as f64 / BELL_END);
    let piece = place as usize;
    let Some([p, q, r, s]) = CUBICS.get(piece) else {
        return 0.0;
    };
    let t = place - piece as f64;
    p + t * (q + t * (r + t * s))
}

fn bell_pieces() -> Vec<[f64; 4]> {
    let step = BELL_END / PIECES as f64;
    let ends: Vec<[f64; 2]> = (0..=PIECES).map(|i| exact_bell(i as f64 * step)).collect();
    let piece = |ends: &[[f64; 2]]| {
        let ([p, dp], [q, dq]) = (ends[0], ends[1]);
        let (dp, dq) = (dp * step, dq * step);
        [
            p,
            dp,
            3.0 * (q - p) - 2.0 * dp - dq,
            2.0 * (p - q) + dp + dq,
        ]
    };
    ends.windows(2).map(piece).collect()
}

/// The bell and its slope.
fn exact_bell(away: f64) -> [f64; 2] {
    let width = 25_f64.to_radians();
    let distance = libm::acos(1.0 - away);
    let ratio = distance / width;
    let angle = 60_f64.to_radians() * libm::exp(-ratio * ratio);
    // The slope of distance² / 2, which is 1 in the middle.
    let turn = if away > 0.0 {
        distance / (away * (2.0 - away)).sqrt()
    } else {
        1.0
    };
    let slope = libm::cos(angle) * angle * -2.0 * turn / (width * width);
    [libm::sin(angle), slope]
}

/// Returns how each part of [`difference_vector`] changes with the second colour's L, a and b.
///
/// By finite differences in a and b: `value` is the vector at `y` itself. L moves the first part alone.
pub(crate) fn difference_jacobian(x: LabD50, y: LabD50, value: [f64; 3]) -> [[f64; 3]; 3] {
    const SMALL: f64 = 1e-4;
    let lighter = (lightness_part(x.l, y.l + SMALL) - value[0]) / SMALL;
    let part = |a: f64, b: f64| difference_vector(x, LabD50 { l: y.l, a, b });
    let (by_a, by_b) = (part(y.a + SMALL, y.b), part(y.a, y.b + SMALL));
    std::array::from_fn(|at| {
        let by_l = if at == 0 { lighter } else { 0.0 };
        let (by_a, by_b) = (by_a[at] - value[at], by_b[at] - value[at]);
        [by_l, by_a / SMALL, by_b / SMALL]
    })
}

/// ΔE00 close to one colour: the length of `rows` times a small Lab difference.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Metric {
    rows: [[f64; 3]; 3],
}

impl Metric {
    pub(crate) fn at(colour: LabD50) -> Self {
        Self {
            rows: difference_jacobian(colour, colour, [0.0; 3]),
        }
    }

    /// Returns the size of a small Lab difference in ΔE00.
    pub(crate) fn size(&self, d: [f64; 3]) -> f64 {
        let parts = self.rows.map(|r| r[0] * d[0] + r[1] * d[1] + r[2] * d[2]);
        parts.iter().map(|p| p * p).sum::<f64>().sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::{BELL_END, bell, exact_bell};

    #[test]
    fn bell_pieces_follow_the_bell() {
        let steps = 10_000;
        for step in 0..steps {
            let away = BELL_END * f64::from(step) / f64::from(steps);
            let off = bell(away) - exact_bell(away)[0];
            assert!(off.abs() < 3e-9, "{away}: {off}");
        }
        assert!(exact_bell(BELL_END)[0] < 1e-13);
        assert!(bell(2.0).abs() < f64::MIN_POSITIVE);
        assert!((bell(-1e-16) - exact_bell(0.0)[0]).abs() < 1e-15);
    }
}
