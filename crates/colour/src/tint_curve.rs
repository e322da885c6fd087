//! The tints of a solid as they were measured.

use crate::LabD50;
use crate::curve::{SmoothCurve, ToneCurve};

/// How tints run from the paper to the solid.
///
/// Each measured tint is kept as the share of the way from its paper to its solid, and as what it lies beside that straight
/// line: so a curve that was measured on one paper serves on another. Between the tints the first is a rising curve and the
/// second a smooth one; neither overshoots.
#[derive(Debug, Clone, PartialEq)]
pub struct TintCurve {
    /// Share of the way, by tone as a fraction.
    along: ToneCurve,
    /// Beside the straight line, in L, a, b, by tone as a fraction.
    beside: [SmoothCurve; 3],
}

impl TintCurve {
    /// Takes tints (tone in percent, colour) measured on `paper`, whose full solid is `solid`.
    ///
    /// Tones outside 0 to 100, the ends themselves and repeated tones are left out. `None` when nothing is left, or when the
    /// solid looks like its paper.
    pub fn measured(paper: LabD50, solid: LabD50, tints: &[(f64, LabD50)]) -> Option<Self> {
        let (from, to) = (paper.to_array(), solid.to_array());
        let way: [f64; 3] = std::array::from_fn(|i| to[i] - from[i]);
        let length: f64 = way.iter().map(|v| v * v).sum();
        if length < 1.0 {
            return None;
        }
        let placed = |(tone, lab): &(f64, LabD50)| {
            let lab = lab.to_array();
            let along: f64 = (0..3).map(|i| (lab[i] - from[i]) * way[i]).sum();
            let share = (along / length).clamp(0.0, 1.0);
            let bow: [f64; 3] = std::array::from_fn(|i| lab[i] - from[i] - way[i] * share);
            (tone / 100.0, share, bow)
        };
        let between = |(tone, _): &&(f64, LabD50)| *tone > 0.0 && *tone < 100.0;
        let placed: Vec<_> = tints.iter().filter(between).map(placed).collect();
        if placed.is_empty() {
            return None;
        }
        let shares = placed.iter().map(|(tone, share, _)| (*tone, *share));
        let beside = |i: usize| {
            let bows = placed.iter().map(|(tone, _, bow)| (*tone, bow[i]));
            SmoothCurve::through((0.0, 0.0), bows.collect(), (1.0, 0.0))
        };
        Some(Self {
            along: ToneCurve::through(shares.collect()),
            beside: [beside(0), beside(1), beside(2)],
        })
    }

    /// Share of the way and what lies beside it at a tone of 0 to 100 %.
    pub(crate) fn at(&self, tone: f64) -> (f64, [f64; 3]) {
        let tone = tone / 100.0;
        let bow = std::array::from_fn(|i| self.beside[i].at(tone));
        (self.along.at(tone), bow)
    }
}

/// Returns the opacity of an ink, 0 to 1, from its solid on paper and on black, and from the black alone.
///
/// How far the ink lifts the lightness of the black, of what lies between the black and the ink on paper; a transparent
/// ink lifts nothing. Common practice for a quick figure (a contrast ratio is its complement), no source.
pub fn opacity_over_black(on_paper: LabD50, on_black: LabD50, black: LabD50) -> f64 {
    let whole = on_paper.l - black.l;
    if whole < 1.0 {
        return 0.0;
    }
    ((on_black.l - black.l) / whole).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::{SolidInk, delta_e00};

    const PAPER: LabD50 = LabD50::new(94.0, 0.0, -3.0);
    const SOLID: LabD50 = LabD50::new(40.0, 60.0, 20.0);

    #[test]
    fn measured_tints_come_back_on_their_paper() {
        let tints = [
            (50.0, LabD50::new(62.0, 36.0, 4.0)),
            (25.0, LabD50::new(78.0, 17.0, -1.0)),
            (50.0, LabD50::new(10.0, 0.0, 0.0)),
            (0.0, LabD50::new(90.0, 1.0, 1.0)),
        ];
        let curve = TintCurve::measured(PAPER, SOLID, &tints).expect("two tints are usable");
        let ink = SolidInk {
            tints: Some(Arc::new(curve)),
            ..SolidInk::new(SOLID)
        };
        for (tone, lab) in [(0.0, PAPER), tints[1], tints[0], (100.0, SOLID)] {
            let printed = ink.tint(PAPER, tone);
            assert!(delta_e00(printed, lab) < 1e-9, "{tone} {printed:?}");
        }
        // On another paper the ends are that paper's, and the bow is kept.
        let other = LabD50::new(80.0, 2.0, 10.0);
        assert!(delta_e00(ink.tint(other, 0.0), other) < 1e-9);
        let straight = SolidInk::new(SOLID);
        assert!(delta_e00(ink.tint(other, 50.0), straight.tint(other, 50.0)) > 1.0);
    }

    #[test]
    fn without_tints_between_there_is_no_curve() {
        assert!(TintCurve::measured(PAPER, SOLID, &[]).is_none());
        assert!(TintCurve::measured(PAPER, SOLID, &[(100.0, SOLID)]).is_none());
        assert!(TintCurve::measured(PAPER, PAPER, &[(50.0, SOLID)]).is_none());
    }

    #[test]
    fn opacity_is_what_hides_the_black() {
        let black = LabD50::new(16.0, 0.0, 0.0);
        let opacity =
            |on_black: f64| opacity_over_black(SOLID, LabD50::new(on_black, 3.0, 2.0), black);
        assert!(opacity(14.0).abs() < 1e-12);
        assert!((opacity(28.0) - 0.5).abs() < 1e-12);
        assert!((opacity(60.0) - 1.0).abs() < 1e-12);
        assert!(opacity_over_black(black, SOLID, black).abs() < 1e-12);
    }
}
