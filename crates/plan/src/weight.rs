//! How much each colour counts when the colours of a set become one number.

use inkset_spec::Importance;

use crate::rendering::shown;
use crate::{PlannedSet, Row};

/// How much a colour counts beside a decorative one: how many times tighter its usual tolerance is.
///
/// Brand 3, matching 1.71, decorative 1. Our own choice, so that the tolerances stay the only figures of taste.
pub const fn importance_weight(importance: Importance) -> f64 {
    Importance::Decorative.usual_tolerance() / importance.usual_tolerance()
}

impl PlannedSet {
    /// Mean ΔE00 at the aim of all rows, weighted by [`importance_weight`], to two decimals; 0 without rows.
    pub fn weighted_delta_e(&self, rows: &[Row]) -> f64 {
        let weights = || rows.iter().map(|row| importance_weight(row.importance));
        let total: f64 = weights().sum();
        if total <= 0.0 {
            return 0.0;
        }
        let pairs = weights().zip(&self.renderings);
        let sum: f64 = pairs.map(|(weight, r)| weight * r.delta_e).sum();
        shown(sum / total)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brand_counts_three_times_as_much() {
        assert!((importance_weight(Importance::Brand) - 3.0).abs() < 1e-12);
        assert!((importance_weight(Importance::Matching) - 12.0 / 7.0).abs() < 1e-12);
        assert!((importance_weight(Importance::Decorative) - 1.0).abs() < 1e-12);
    }
}
