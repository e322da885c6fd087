//! Screens: where dots lie, how large they are, what their mixture looks like.

use inkset_colour::{LabD50, linear_srgb_from_lab, linear_to_srgb, srgb_to_linear};

/// Screen angles of cyan, magenta, yellow and black, degrees. Common practice, no source.
pub const SCREEN_ANGLES: [f64; 4] = [15.0, 75.0, 0.0, 45.0];

/// The dots of one ink.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InkDots {
    /// Angle of the grid, degrees.
    pub angle: f64,
    /// Share of the area that is inked, 0 to 1.
    pub area: f64,
}

impl InkDots {
    /// Whether the ink is an even film.
    pub fn is_even(self) -> bool {
        self.area > 0.995
    }

    /// Whether paper shows as dots in the ink, rather than ink on the paper: from half of the area on.
    pub fn is_reversed(self) -> bool {
        self.area > 0.5
    }

    /// Radius of the dots, or of the holes, in distances of the grid.
    pub fn radius(self) -> f64 {
        let dot = if self.is_reversed() {
            1.0 - self.area
        } else {
            self.area
        };
        (dot.max(0.0) / std::f64::consts::PI).sqrt()
    }
}

/// Share of the area inked, from paper, full tone and tint: in the channel in which paper and full tone differ most.
pub(super) fn coverage_of(paper: [f64; 3], full: [f64; 3], tint: [f64; 3]) -> f64 {
    let widest = (0..3)
        .map(|at| (paper[at] - full[at], at))
        .max_by(|p, q| p.0.abs().total_cmp(&q.0.abs()));
    let Some((span, at)) = widest.filter(|(span, _)| span.abs() > 1e-9) else {
        return 0.0;
    };
    ((paper[at] - tint[at]) / span).clamp(0.0, 1.0)
}

/// Colours of the overlaps, scaled channel by channel in linear light so that their mean over the areas is `target`.
///
/// The areas of overlaps are products: screens at different angles fall on each other by chance (Demichel).
pub(super) fn mixed(corners: &[LabD50], areas: &[f64], target: [u8; 3]) -> Vec<[u8; 3]> {
    let linear: Vec<[f64; 3]> = corners
        .iter()
        .map(|lab| linear_srgb_from_lab(*lab))
        .collect();
    let weights: Vec<f64> = (0..corners.len()).map(|set| weight(set, areas)).collect();
    let target = target.map(|value| srgb_to_linear(f64::from(value) / 255.0));
    let factors: [f64; 3] = std::array::from_fn(|channel| {
        let values: Vec<(f64, f64)> = linear
            .iter()
            .zip(&weights)
            .map(|(rgb, weight)| (rgb[channel], *weight))
            .collect();
        factor(&values, target[channel])
    });
    linear
        .iter()
        .map(|rgb| {
            std::array::from_fn(|channel| {
                let value = (rgb[channel] * factors[channel]).clamp(0.0, 1.0);
                (linear_to_srgb(value) * 255.0 + 0.5) as u8
            })
        })
        .collect()
}

fn weight(set: usize, areas: &[f64]) -> f64 {
    let share = |(at, area): (usize, &f64)| {
        if set >> at & 1 == 1 {
            *area
        } else {
            1.0 - area
        }
    };
    areas.iter().enumerate().map(share).product()
}

/// By how much the values are scaled, each at most to 1, for their mean to be `target`: found by halving.
fn factor(values: &[(f64, f64)], target: f64) -> f64 {
    let mean = |factor: f64| -> f64 {
        let scaled = values
            .iter()
            .map(|(value, weight)| (value * factor).min(1.0) * weight);
        scaled.sum()
    };
    let (mut low, mut high) = (0.0, 8.0);
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if mean(middle) < target {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

#[cfg(test)]
mod tests {
    use inkset_colour::srgb_from_lab;

    use super::*;

    #[test]
    fn linear_light_agrees_with_the_swatches() {
        for lab in [
            LabD50::new(62.5, 29.8, 39.7),
            LabD50::new(93.0, 0.5, -2.0),
            LabD50::new(16.0, 0.0, 0.0),
        ] {
            let own = linear_srgb_from_lab(lab).map(|v| (linear_to_srgb(v) * 255.0 + 0.5) as u8);
            let shown = srgb_from_lab(lab);
            for (a, b) in own.iter().zip(shown) {
                assert!(a.abs_diff(b) <= 1, "{own:?} {shown:?}");
            }
        }
    }

    #[test]
    fn dots_have_their_area() {
        for area in [0.02, 0.3, 0.5, 0.51, 0.97] {
            let dots = InkDots { angle: 45.0, area };
            let round = std::f64::consts::PI * dots.radius() * dots.radius();
            let inked = if dots.is_reversed() {
                1.0 - round
            } else {
                round
            };
            assert!((inked - area).abs() < 1e-12);
            assert!(dots.radius() < 0.5, "dots do not touch");
        }
    }

    #[test]
    fn mixture_has_the_mean_asked_for() {
        let corners = [
            LabD50::new(95.0, 0.0, -2.0),
            LabD50::new(55.0, -37.0, -50.0),
            LabD50::new(48.0, 74.0, -3.0),
            LabD50::new(24.0, 22.0, -46.0),
        ];
        let areas = [0.4, 0.7];
        let target = [150, 110, 160];
        let colours = mixed(&corners, &areas, target);
        for channel in 0..3 {
            let mean: f64 = (0..4)
                .map(|set| {
                    weight(set, &areas) * srgb_to_linear(f64::from(colours[set][channel]) / 255.0)
                })
                .sum();
            let shown = linear_to_srgb(mean) * 255.0;
            assert!((shown - f64::from(target[channel])).abs() < 1.0, "{shown}");
        }
    }
}
