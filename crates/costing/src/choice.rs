//! Which of several options to recommend.

use inkset_units::Money;

/// What a recommendation weighs of one option.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Weighed {
    /// Colours outside their tolerance at the aim.
    pub misses: usize,
    /// Colours inside it at the aim, outside it on press.
    pub drifts: usize,
    /// What the option costs.
    pub total: Money,
}

/// Index of the recommended option: the cheapest of those in which fewest colours miss and, of these, fewest drift.
///
/// `None` without options; of equals the first.
pub fn recommended(options: &[Weighed]) -> Option<usize> {
    (0..options.len()).min_by_key(|&at| (options[at].misses, options[at].drifts, options[at].total))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(options: &[(usize, usize, &str)], expected: Option<usize>) {
        let options: Vec<Weighed> = options
            .iter()
            .map(|&(misses, drifts, total)| Weighed {
                misses,
                drifts,
                total: Money::parse(total).unwrap(),
            })
            .collect();
        assert_eq!(recommended(&options), expected);
    }

    #[test]
    fn cheapest_that_holds_is_recommended() {
        check(
            &[(1, 0, "100"), (0, 0, "140"), (0, 0, "150"), (0, 1, "90")],
            Some(1),
        );
    }

    #[test]
    fn fewest_misses_win_where_some_always_miss() {
        check(&[(2, 0, "100"), (1, 1, "140"), (1, 1, "130")], Some(2));
        check(&[], None);
    }
}
