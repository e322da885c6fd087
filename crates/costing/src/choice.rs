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

/// Index of the cheapest option in which no colour misses and none drifts; of equals the first.
pub fn cheapest_that_holds(options: &[Weighed]) -> Option<usize> {
    cheapest_as_good(options, (0, 0))
}

/// Index of the cheapest option with no more misses than `tally.0` and, at as many, no more drifts than `tally.1`.
pub fn cheapest_as_good(options: &[Weighed], tally: (usize, usize)) -> Option<usize> {
    let good = |at: &usize| (options[*at].misses, options[*at].drifts) <= tally;
    let all = (0..options.len()).filter(good);
    all.min_by_key(|&at| options[at].total)
}

/// Index of the option with the best colour that costs no more than `budget`; of equally good ones the cheapest.
///
/// An option is its total and one number for its colour, smaller being better; one that is not a number is worst.
pub fn best_within(options: &[(Money, f64)], budget: Money) -> Option<usize> {
    let rank = |at: usize| {
        let colour = options[at].1;
        if colour.is_nan() {
            f64::INFINITY
        } else {
            colour
        }
    };
    let affordable = (0..options.len()).filter(|&at| options[at].0 <= budget);
    affordable.min_by(|&a, &b| {
        let colour = rank(a).total_cmp(&rank(b));
        colour.then(options[a].0.cmp(&options[b].0))
    })
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

    #[test]
    fn cheapest_that_holds_may_not_exist() {
        let weighed = |misses, drifts, total| Weighed {
            misses,
            drifts,
            total: Money::parse(total).unwrap(),
        };
        let options = [
            weighed(1, 0, "50"),
            weighed(0, 1, "60"),
            weighed(0, 0, "90"),
        ];
        assert_eq!(cheapest_that_holds(&options), Some(2));
        assert_eq!(cheapest_that_holds(&options[..2]), None);
        assert_eq!(cheapest_as_good(&options, (0, 1)), Some(1));
        assert_eq!(cheapest_as_good(&options, (1, 0)), Some(0));
    }

    #[test]
    fn budget_buys_the_best_colour_it_reaches() {
        let money = |text| Money::parse(text).unwrap();
        let options = [
            (money("50"), 7.0),
            (money("60"), 2.0),
            (money("55"), 2.0),
            (money("90"), 1.0),
        ];
        assert_eq!(best_within(&options, money("60")), Some(2));
        assert_eq!(best_within(&options, money("54.99")), Some(0));
        assert_eq!(best_within(&options, money("90")), Some(3));
        assert_eq!(best_within(&options, money("49.99")), None);
        assert_eq!(best_within(&[(money("1"), f64::NAN)], money("1")), Some(0));
    }
}
