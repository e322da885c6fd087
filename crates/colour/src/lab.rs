//! Colours as the eye sees them: CIELAB and CIEXYZ under D50, and sRGB for the screen.
//!
//! Positive `a` is reddish, negative greenish; positive `b` is yellowish, negative bluish (CIE 15:2018). Everything
//! transcendental goes through `libm`, so that a figure is the same on every machine.

/// White point of D50 for the 2° observer, as CIEXYZ with Y = 100. Source: ISO 13655, ICC.1 (96.42, 100, 82.49).
pub const D50_WHITE: Xyz = Xyz {
    x: 96.42,
    y: 100.0,
    z: 82.49,
};

/// CIELAB colour, absolute (paper included), illuminant D50, 2° observer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LabD50 {
    /// Lightness, 0 (black) to 100 (the perfect white).
    pub l: f64,
    /// Red (positive) to green (negative), about -130 to 130.
    pub a: f64,
    /// Yellow (positive) to blue (negative), about -130 to 130.
    pub b: f64,
}

/// CIEXYZ colour under D50, 2° observer, on the scale where the perfect white has Y = 100.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Xyz {
    /// Red-ish response, 0 to about 96.4 on paper.
    pub x: f64,
    /// Luminance factor in percent.
    pub y: f64,
    /// Blue-ish response, 0 to about 82.5 on paper.
    pub z: f64,
}

impl LabD50 {
    /// Names the three figures in their usual order.
    pub const fn new(l: f64, a: f64, b: f64) -> Self {
        Self { l, a, b }
    }

    /// Returns the chroma C*, the distance from grey.
    pub fn chroma(self) -> f64 {
        (self.a * self.a + self.b * self.b).sqrt()
    }

    /// Returns the hue angle h in degrees, 0 (red) to 360; 0 for a grey.
    pub fn hue(self) -> f64 {
        libm::atan2(self.b, self.a).to_degrees().rem_euclid(360.0)
    }

    /// Returns whether all three figures are finite numbers.
    pub fn is_finite(self) -> bool {
        self.l.is_finite() && self.a.is_finite() && self.b.is_finite()
    }

    pub(crate) fn to_array(self) -> [f64; 3] {
        [self.l, self.a, self.b]
    }

    pub(crate) fn from_array([l, a, b]: [f64; 3]) -> Self {
        Self { l, a, b }
    }
}

impl Xyz {
    /// Names the three figures in their usual order.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    pub(crate) fn to_array(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }

    pub(crate) fn from_array([x, y, z]: [f64; 3]) -> Self {
        Self { x, y, z }
    }
}

/// Converts CIEXYZ (Y = 100 scale, D50) to CIELAB. Source: CIE 15:2018, 8.2.1.
pub fn lab_from_xyz(xyz: Xyz) -> LabD50 {
    let x = lightness_root(xyz.x / D50_WHITE.x);
    let y = lightness_root(xyz.y / D50_WHITE.y);
    let z = lightness_root(xyz.z / D50_WHITE.z);
    LabD50::new(116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z))
}

/// Converts CIELAB to CIEXYZ (Y = 100 scale, D50). Source: CIE 15:2018, 8.2.1, solved for XYZ.
pub fn xyz_from_lab(lab: LabD50) -> Xyz {
    let y = (lab.l + 16.0) / 116.0;
    Xyz {
        x: D50_WHITE.x * root_to_ratio(y + lab.a / 500.0),
        y: D50_WHITE.y * root_to_ratio(y),
        z: D50_WHITE.z * root_to_ratio(y - lab.b / 200.0),
    }
}

/// Converts an sRGB colour to CIELAB. Sources: IEC 61966-2-1 (curve and matrix), Bradford adaptation from D65 to D50.
pub fn lab_from_srgb(rgb: [u8; 3]) -> LabD50 {
    let linear = rgb.map(|v| srgb_to_linear(f64::from(v) / 255.0));
    let cone = multiply(&BRADFORD, multiply(&SRGB_TO_XYZ, linear));
    let adapted = multiply(&BRADFORD_INVERSE, scale_each(cone, cone_gains()));
    lab_from_xyz(Xyz::from_array(adapted.map(|v| v * 100.0)))
}

/// Converts CIELAB to sRGB, clipping what a screen cannot show.
///
/// For swatches only: no screen colour is a proof of a printed one.
pub fn srgb_from_lab(lab: LabD50) -> [u8; 3] {
    linear_srgb_from_lab(lab).map(|v| {
        let encoded = linear_to_srgb(v);
        (encoded * 255.0 + 0.5).clamp(0.0, 255.0) as u8
    })
}

/// Converts CIELAB to linear sRGB, each 0 to 1, clipping what a screen cannot show.
pub fn linear_srgb_from_lab(lab: LabD50) -> [f64; 3] {
    let xyz = xyz_from_lab(lab).to_array().map(|v| v / 100.0);
    let gains = cone_gains().map(|g| 1.0 / g);
    let d65 = multiply(
        &BRADFORD_INVERSE,
        scale_each(multiply(&BRADFORD, xyz), gains),
    );
    multiply(&XYZ_TO_SRGB, d65).map(|v| v.clamp(0.0, 1.0))
}

type Matrix = [[f64; 3]; 3];

/// Linear sRGB to CIEXYZ under D65. Source: IEC 61966-2-1, four-digit matrix.
const SRGB_TO_XYZ: Matrix = [
    [0.4124, 0.3576, 0.1805],
    [0.2126, 0.7152, 0.0722],
    [0.0193, 0.1192, 0.9505],
];

/// Inverse of [`SRGB_TO_XYZ`].
const XYZ_TO_SRGB: Matrix = inverse(&SRGB_TO_XYZ);

/// CIEXYZ to the sharpened cone space of the Bradford transform. Source: ICC.1, annex E.
const BRADFORD: Matrix = [
    [0.8951, 0.2664, -0.1614],
    [-0.7502, 1.7135, 0.0367],
    [0.0389, -0.0685, 1.0296],
];

const BRADFORD_INVERSE: Matrix = inverse(&BRADFORD);

/// D65 from its chromaticity (0.3127, 0.3290), Y = 1. Source: IEC 61966-2-1.
const D65_WHITE: [f64; 3] = [0.3127 / 0.3290, 1.0, (1.0 - 0.3127 - 0.3290) / 0.3290];

fn cone_gains() -> [f64; 3] {
    let from = multiply(&BRADFORD, D65_WHITE);
    let to = multiply(&BRADFORD, D50_WHITE.to_array().map(|v| v / 100.0));
    [to[0] / from[0], to[1] / from[1], to[2] / from[2]]
}

fn multiply(m: &Matrix, v: [f64; 3]) -> [f64; 3] {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

fn scale_each(v: [f64; 3], by: [f64; 3]) -> [f64; 3] {
    [v[0] * by[0], v[1] * by[1], v[2] * by[2]]
}

const fn inverse(m: &Matrix) -> Matrix {
    let [[a, b, c], [d, e, f], [g, h, i]] = *m;
    let (p, q, r) = (e * i - f * h, f * g - d * i, d * h - e * g);
    let det = a * p + b * q + c * r;
    [
        [p / det, (c * h - b * i) / det, (b * f - c * e) / det],
        [q / det, (a * i - c * g) / det, (c * d - a * f) / det],
        [r / det, (b * g - a * h) / det, (a * e - b * d) / det],
    ]
}

/// Bounds of the straight part of the CIELAB curve. Source: CIE 15:2018.
const EPSILON: f64 = 216.0 / 24389.0;
const KAPPA: f64 = 24389.0 / 27.0;

fn lightness_root(ratio: f64) -> f64 {
    if ratio > EPSILON {
        libm::cbrt(ratio)
    } else {
        (KAPPA * ratio + 16.0) / 116.0
    }
}

fn root_to_ratio(root: f64) -> f64 {
    let cube = root * root * root;
    if cube > EPSILON {
        cube
    } else {
        (116.0 * root - 16.0) / KAPPA
    }
}

/// Light of an sRGB value, both 0 to 1. Source: IEC 61966-2-1.
pub fn srgb_to_linear(v: f64) -> f64 {
    if v <= 0.04045 {
        v / 12.92
    } else {
        libm::pow((v + 0.055) / 1.055, 2.4)
    }
}

/// The sRGB value of light, both 0 to 1. Source: IEC 61966-2-1.
pub fn linear_to_srgb(v: f64) -> f64 {
    if v <= 0.003_130_8 {
        v * 12.92
    } else {
        1.055 * libm::pow(v, 1.0 / 2.4) - 0.055
    }
}
