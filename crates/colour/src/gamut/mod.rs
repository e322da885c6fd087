//! The body of all colours that a printing condition reaches under its ink limit.
//!
//! Sampled at every 10 % of each ink and divided into tetrahedra. All of them together fill the convex hull; those whose
//! circumsphere has a radius of at most 15 units fill the alpha shape, which follows hollows that are wider than that.
//! Source of the alpha shape: Edelsbrunner and Mücke 1994; the radius is our own choice.

mod tetrahedra;

use crate::{LabD50, PrintingCondition};
use tetrahedra::Tetrahedra;

/// Largest circumradius of a tetrahedron of the alpha shape, CIELAB units.
pub const ALPHA_RADIUS: f64 = 15.0;

/// Percent between the samples of each ink.
const STEP: usize = 10;

/// How far a sample is moved so that no five of them lie on one sphere, CIELAB units.
const JITTER: f64 = 1e-4;

/// The reachable colours as a body in CIELAB.
#[derive(Debug)]
pub struct Gamut {
    mesh: Tetrahedra,
    /// Whether each tetrahedron is part of the alpha shape.
    kept: Vec<bool>,
    volume: f64,
    convex_volume: f64,
}

impl Gamut {
    /// Samples a condition up to this sum of tones in percent; takes some tenths of a second.
    pub fn of(condition: &PrintingCondition, ink_limit: f64) -> Self {
        let mesh = Tetrahedra::of(&samples(condition, ink_limit));
        let mut gamut = Self {
            kept: vec![false; mesh.len()],
            mesh,
            volume: 0.0,
            convex_volume: 0.0,
        };
        for (at, corners) in gamut.mesh.inner() {
            let (volume, radius) = volume_and_circumradius(corners);
            gamut.convex_volume += volume;
            if radius <= ALPHA_RADIUS {
                gamut.volume += volume;
                gamut.kept[at] = true;
            }
        }
        gamut
    }

    /// Returns the volume of the alpha shape, CIELAB units cubed.
    pub fn volume(&self) -> f64 {
        self.volume
    }

    /// Returns the volume of the convex hull, CIELAB units cubed.
    pub fn convex_volume(&self) -> f64 {
        self.convex_volume
    }

    /// Returns whether a colour lies within the alpha shape.
    pub fn holds(&self, lab: LabD50) -> bool {
        lab.is_finite() && self.kept[self.mesh.holding(lab.to_array())]
    }
}

/// Colours of all tones on the lattice within the limit, each once, in no order.
fn samples(condition: &PrintingCondition, ink_limit: f64) -> Vec<[f64; 3]> {
    let levels = 100 / STEP + 1;
    let tone = |at: usize, place: usize| (at / place % levels * STEP) as f64;
    let places = [levels * levels * levels, levels * levels, levels, 1];
    let mut numbers = Numbers(0x9e37_79b9_7f4a_7c15);
    let mut points: Vec<[f64; 3]> = (0..levels * places[0])
        .map(|at| places.map(|place| tone(at, place)))
        .filter(|tones| tones.iter().sum::<f64>() <= ink_limit + 1e-9)
        .map(|tones| {
            let lab = condition.lab(tones).to_array();
            lab.map(|v| v + JITTER * (numbers.unit() - 0.5))
        })
        .collect();
    for i in (1..points.len()).rev() {
        points.swap(i, (numbers.unit() * (i + 1) as f64) as usize);
    }
    points
}

/// Volume of a tetrahedron and radius of the sphere through its corners.
fn volume_and_circumradius([origin, a, b, c]: [[f64; 3]; 4]) -> (f64, f64) {
    let from_origin = |p: [f64; 3]| std::array::from_fn(|i| p[i] - origin[i]);
    let [a, b, c]: [[f64; 3]; 3] = [a, b, c].map(from_origin);
    let (bc, ca, ab) = (cross(b, c), cross(c, a), cross(a, b));
    let six_volumes = dot(a, bc).abs();
    let way: [f64; 3] =
        std::array::from_fn(|i| dot(a, a) * bc[i] + dot(b, b) * ca[i] + dot(c, c) * ab[i]);
    let radius = dot(way, way).sqrt() / (2.0 * six_volumes).max(f64::MIN_POSITIVE);
    (six_volumes / 6.0, radius)
}

fn dot(p: [f64; 3], q: [f64; 3]) -> f64 {
    p[0] * q[0] + p[1] * q[1] + p[2] * q[2]
}

fn cross(p: [f64; 3], q: [f64; 3]) -> [f64; 3] {
    [
        p[1] * q[2] - p[2] * q[1],
        p[2] * q[0] - p[0] * q[2],
        p[0] * q[1] - p[1] * q[0],
    ]
}

/// A seeded stream of numbers from 0 to just below 1. Source of the constants: Knuth, MMIX.
struct Numbers(u64);

impl Numbers {
    fn unit(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / (1_u64 << 31) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corner_of_a_cube_has_its_volume_and_sphere() {
        let corner = [[0.0; 3], [2.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.0, 0.0, 2.0]];
        let (volume, radius) = volume_and_circumradius(corner);
        assert!((volume - 8.0 / 6.0).abs() < 1e-12);
        assert!((radius - 3.0_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn tetrahedra_fill_a_ball() {
        let mut numbers = Numbers(4);
        let mut points = Vec::new();
        while points.len() < 4000 {
            let p: [f64; 3] = std::array::from_fn(|_| 2.0 * numbers.unit() - 1.0);
            let length = dot(p, p).sqrt();
            if length <= 1.0 {
                // Half of them lie on the surface.
                let onto = if points.len() % 2 == 0 {
                    10.0 / length
                } else {
                    10.0
                };
                points.push(p.map(|v| v * onto));
            }
        }
        let mesh = Tetrahedra::of(&points);
        let volume: f64 = mesh
            .inner()
            .map(|(_, c)| volume_and_circumradius(c).0)
            .sum();
        let ball = 4.0 / 3.0 * std::f64::consts::PI * 1000.0;
        assert!((volume / ball - 1.0).abs() < 0.01, "{volume} of {ball}");
    }
}
