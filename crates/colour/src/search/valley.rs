//! Newton's method on the colour difference, for valleys that its slopes alone do not show.
//!
//! Far from the target, the difference's own curvature decides where a valley leads, and Gauss-Newton steps leave that out.
//! Here half the squared ΔE00 is taken as a quadratic in Lab, made to rise in every direction where it does not.

use crate::search::refine::{Linear, Point, Problem};
use crate::{LabD50, delta_e00};

/// Newton steps per walk.
const MOST_STEPS: usize = 20;

/// Distance of the differences that stand for derivatives, Lab units.
const STEP: f64 = 0.02;

/// Follows a valley down from a point.
pub(crate) fn follow(problem: &Problem<'_>, start: Point) -> Point {
    let mut here = start;
    let mut damping = 1e-6;
    for _ in 0..MOST_STEPS {
        let linear = linear(problem, here.tones);
        let before = here;
        for _ in 0..6 {
            let next = problem.nearer_end(here.tones, linear.shift(problem, here.tones, damping));
            if next.delta_e < here.delta_e {
                here = next;
                damping = f64::max(damping * 0.1, 1e-9);
                break;
            }
            damping *= 20.0;
        }
        if before.delta_e - here.delta_e < 1e-4 {
            break;
        }
    }
    here
}

/// A vector of half the squared difference's gradient and curvature by the tones.
fn linear(problem: &Problem<'_>, tones: [f64; 4]) -> Linear {
    let tangent = problem.condition().tangent(tones);
    let (gradient, curvature) = bowl(problem.target(), tangent.lab);
    let root = root(curvature);
    // With H = root' root, the vector root'^-1 gradient has the gradient of the bowl.
    let first = gradient[0] / root[0][0];
    let second = (gradient[1] - root[0][1] * first) / root[1][1];
    let third = (gradient[2] - root[0][2] * first - root[1][2] * second) / root[2][2];
    let slopes = tangent
        .slopes
        .map(|s| root.map(|row| row[0] * s[0] + row[1] * s[1] + row[2] * s[2]));
    Linear {
        value: [first, second, third],
        slopes,
    }
}

/// Gradient and curvature of half the squared ΔE00 by L, a and b.
fn bowl(target: LabD50, lab: [f64; 3]) -> ([f64; 3], [[f64; 3]; 3]) {
    let half = |shift: [f64; 3]| {
        let moved = LabD50 {
            l: lab[0] + shift[0],
            a: lab[1] + shift[1],
            b: lab[2] + shift[2],
        };
        let delta_e = delta_e00(target, moved);
        0.5 * delta_e * delta_e
    };
    let along = |axis: usize, step: f64| {
        let mut shift = [0.0; 3];
        shift[axis] = step;
        shift
    };
    let here = half([0.0; 3]);
    let up: [f64; 3] = std::array::from_fn(|i| half(along(i, STEP)));
    let down: [f64; 3] = std::array::from_fn(|i| half(along(i, -STEP)));
    let gradient = std::array::from_fn(|i| (up[i] - down[i]) / (2.0 * STEP));
    let mixed = |i: usize, j: usize| {
        let mut shift = along(i, STEP);
        shift[j] += STEP;
        (half(shift) - up[i] - up[j] + here) / (STEP * STEP)
    };
    let entry = |i: usize, j: usize| {
        if i == j {
            (up[i] + down[i] - 2.0 * here) / (STEP * STEP)
        } else {
            mixed(i, j)
        }
    };
    let curvature = std::array::from_fn(|i| std::array::from_fn(|j| entry(i, j)));
    (gradient, curvature)
}

/// Upper Cholesky factor, of the curvature itself or with as much added to its diagonal as it takes.
fn root(curvature: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let size = (0..3).map(|i| curvature[i][i].abs()).sum::<f64>() + 1e-6;
    let mut added = 0.0;
    loop {
        let raised = std::array::from_fn(|i| {
            std::array::from_fn(|j| curvature[i][j] + if i == j { added } else { 0.0 })
        });
        if let Some(root) = cholesky(raised, 1e-4 * size) {
            return root;
        }
        added = 3.0 * added + 1e-3 * size;
    }
}

/// `None` unless every pivot is larger than `least`.
fn cholesky(m: [[f64; 3]; 3], least: f64) -> Option<[[f64; 3]; 3]> {
    let mut root = [[0.0; 3]; 3];
    for i in 0..3 {
        let pivot = m[i][i] - (0..i).map(|k| root[k][i] * root[k][i]).sum::<f64>();
        if pivot <= least {
            return None;
        }
        root[i][i] = pivot.sqrt();
        for j in i + 1..3 {
            let known: f64 = (0..i).map(|k| root[k][i] * root[k][j]).sum();
            root[i][j] = (m[i][j] - known) / root[i][i];
        }
    }
    Some(root)
}

#[cfg(test)]
mod tests {
    use super::{cholesky, root};

    #[test]
    fn root_gives_back_a_rising_curvature() {
        let m = [[4.0, 2.0, 1.0], [2.0, 5.0, -1.0], [1.0, -1.0, 3.0]];
        let r = root(m);
        for i in 0..3 {
            for j in 0..3 {
                let product: f64 = (0..3).map(|k| r[k][i] * r[k][j]).sum();
                assert!((product - m[i][j]).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn root_of_a_saddle_is_made_to_rise() {
        let saddle = [[1.0, 3.0, 0.0], [3.0, 1.0, 0.0], [0.0, 0.0, -2.0]];
        assert!(cholesky(saddle, 0.0).is_none());
        assert!((0..3).all(|i| root(saddle)[i][i] > 0.0));
    }
}
