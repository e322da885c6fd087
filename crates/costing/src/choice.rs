//! Which of several options to recommend.

use inkset_units::Money;

/// What a recommendation weighs of one option.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weighed {
    /// How bad the worst colour's verdict is: 0 every colour holds, 1 some drift, 2 some miss.
    pub verdict: u8,
    /// Largest ΔE00 on press as a share of its tolerance.
    pub share_of_tolerance: f64,
    /// What the option costs.
    pub total: Money,
}

/// Index of the recommended option: of those with the best verdict the cheapest; where colours miss in all of them, the
/// nearest in colour and then the cheapest. `None` without options.
pub fn recommended(options: &[Weighed]) -> Option<usize> {
    let best = options.iter().map(|option| option.verdict).min()?;
    let nearness = |option: &Weighed| {
        if best == MISSES {
            option.share_of_tolerance
        } else {
            0.0
        }
    };
    (0..options.len())
        .filter(|&at| options[at].verdict == best)
        .min_by(|&a, &b| {
            let (a, b) = (&options[a], &options[b]);
            nearness(a)
                .total_cmp(&nearness(b))
                .then(a.total.cmp(&b.total))
        })
}

const MISSES: u8 = 2;

#[cfg(test)]
mod tests {
    use super::*;

    fn check(options: &[(u8, f64, &str)], expected: Option<usize>) {
        let options: Vec<Weighed> = options
            .iter()
            .map(|&(verdict, share_of_tolerance, total)| Weighed {
                verdict,
                share_of_tolerance,
                total: Money::parse(total).unwrap(),
            })
            .collect();
        assert_eq!(recommended(&options), expected);
    }

    #[test]
    fn cheapest_that_holds_is_recommended() {
        check(
            &[
                (2, 3.0, "100"),
                (0, 0.9, "140"),
                (0, 0.5, "150"),
                (1, 1.1, "90"),
            ],
            Some(1),
        );
    }

    #[test]
    fn nearest_is_recommended_where_all_miss() {
        check(
            &[(2, 3.0, "100"), (2, 1.5, "140"), (2, 1.5, "130")],
            Some(2),
        );
        check(&[], None);
    }
}
