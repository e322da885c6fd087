//! The colour difference CIEDE2000.
//!
//! Source: Sharma, Wu and Dalal 2005 (the formula with its corner cases), ISO/CIE 11664-6. The cosines of multiples of
//! the mean hue are built from the hue's own sine and cosine, which keeps the function quick enough for a search.

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

    let offset = 0.5 * (x.l + y.l) - 50.0;
    let square = offset * offset;
    let s_l = 1.0 + 0.015 * square / (20.0 + square).sqrt();
    let s_c = 1.0 + 0.045 * mean_chroma;
    let s_h = 1.0 + 0.015 * mean_chroma * hue_weight(cos, sin);

    let l = (y.l - x.l) / s_l;
    let c = (q.chroma - p.chroma) / s_c;
    let h = hue_difference(&p, &q) / s_h;
    let rotation = rotation(mean_chroma, cos, sin);
    let rest = (1.0 - 0.25 * rotation * rotation).max(0.0).sqrt();
    [l, c + 0.5 * rotation * h, rest * h]
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
    let mut degrees = libm::atan2(sin, cos).to_degrees();
    if degrees < 0.0 {
        degrees += 360.0;
    }
    let distance = (degrees - 275.0) / 25.0;
    if distance.abs() > 6.5 {
        return 0.0;
    }
    let angle = (60.0 * libm::exp(-distance * distance)).to_radians();
    -2.0 * saturation(mean_chroma) * libm::sin(angle)
}

/// Returns how each part of [`difference_vector`] changes with the second colour's L, a and b.
///
/// By finite differences: `value` is the vector at `y` itself.
pub(crate) fn difference_jacobian(x: LabD50, y: LabD50, value: [f64; 3]) -> [[f64; 3]; 3] {
    const SMALL: f64 = 1e-4;
    let moved = [
        difference_vector(
            x,
            LabD50 {
                l: y.l + SMALL,
                ..y
            },
        ),
        difference_vector(
            x,
            LabD50 {
                a: y.a + SMALL,
                ..y
            },
        ),
        difference_vector(
            x,
            LabD50 {
                b: y.b + SMALL,
                ..y
            },
        ),
    ];
    std::array::from_fn(|part| {
        std::array::from_fn(|axis| (moved[axis][part] - value[part]) / SMALL)
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
