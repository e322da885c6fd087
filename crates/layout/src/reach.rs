//! The edge lengths that whole pieces can add up to.

/// All sums `p * a + q * b` up to `limit`, ascending, without 0; `None` when there are more than `most`.
///
/// Any guillotine pattern can be pushed left and down until every cut lies at such a sum (normal patterns,
/// Herz 1972), so no other position needs to be looked at.
pub(crate) fn reachable(a: i64, b: i64, limit: i64, most: usize) -> Option<Vec<i64>> {
    let mut sums = Vec::new();
    let (short, long) = (a.min(b), a.max(b));
    let only_multiples = long % short == 0;
    for q in 0..=limit.max(0) / long {
        // When the long edge is a multiple of the short one, it reaches nothing new.
        if only_multiples && q > 0 {
            break;
        }
        let start = q * long;
        let row = (limit.max(0) - start) / short;
        if sums.len() as u64 + row as u64 > 16 * most as u64 {
            return None;
        }
        sums.extend((0..=row).map(|p| start + p * short));
    }
    sums.sort_unstable();
    sums.dedup();
    sums.retain(|s| *s > 0);
    (sums.len() <= most).then_some(sums)
}

/// Index of the largest entry that is at most `limit`.
pub(crate) fn floor_index(sums: &[i64], limit: i64) -> Option<usize> {
    sums.partition_point(|s| *s <= limit).checked_sub(1)
}

/// Pairs of cuts: for every length, the first parts up to its half with the largest useful rest.
///
/// Both parts are indices into `sums`. A rest in which nothing fits is left out.
pub(crate) struct Splits {
    pairs: Vec<(u32, u32)>,
    starts: Vec<usize>,
}

impl Splits {
    pub(crate) fn of(sums: &[i64]) -> Self {
        let mut pairs = Vec::new();
        let mut starts = vec![0];
        for &whole in sums {
            let halves = sums.iter().take_while(|first| **first * 2 <= whole);
            pairs.extend(halves.enumerate().filter_map(|(k, first)| {
                floor_index(sums, whole - first).map(|rest| (k as u32, rest as u32))
            }));
            starts.push(pairs.len());
        }
        Self { pairs, starts }
    }

    pub(crate) fn at(&self, index: usize) -> &[(u32, u32)] {
        &self.pairs[self.starts[index]..self.starts[index + 1]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_complete_and_ascending() {
        assert_eq!(
            reachable(3, 4, 12, 100).unwrap(),
            [3, 4, 6, 7, 8, 9, 10, 11, 12]
        );
        assert_eq!(reachable(5, 5, 12, 100).unwrap(), [5, 10]);
        assert!(reachable(3, 4, 2, 100).unwrap().is_empty());
        assert_eq!(reachable(3, 4, 12, 5), None);
    }

    #[test]
    fn splits_use_the_largest_rest() {
        let sums = reachable(3, 4, 11, 100).unwrap();
        let splits = Splits::of(&sums);
        let eleven = sums.len() - 1;
        let lengths: Vec<(i64, i64)> = splits
            .at(eleven)
            .iter()
            .map(|(a, b)| (sums[*a as usize], sums[*b as usize]))
            .collect();
        assert_eq!(lengths, [(3, 8), (4, 7)]);
    }
}
