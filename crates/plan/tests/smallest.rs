//! The smallest set of solids against an enumeration of all sets, and within a job.
#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

mod support;

use inkset_plan::{Needs, smallest_sets};
use support::{Brand, booklet, planned};

/// Numbers that look random and repeat (Steele, Lea and Flood 2014).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ z >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ z >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ z >> 31) % end
    }

    /// What a row needs: some solids, some pairs of them.
    fn needs(&mut self, solids: u64) -> Needs {
        let alternatives = 1 + self.below(3);
        let mut need = || 1_u32 << self.below(solids) | 1 << self.below(solids);
        (0..alternatives).map(|_| need()).collect()
    }
}

#[test]
fn smallest_sets_equal_those_of_an_enumeration() {
    let mut numbers = Numbers(7);
    let mut sizes = std::collections::BTreeSet::new();
    for instance in 0..500 {
        let solids = 2 + numbers.below(8);
        let rows: Vec<Needs> = (0..=numbers.below(12))
            .map(|_| numbers.needs(solids))
            .collect();
        let serves = |set: u32| {
            let mut met = rows.iter().map(|row| row.iter().any(|n| set & n == *n));
            met.all(|met| met)
        };
        let all: Vec<u32> = (0..1 << solids).filter(|set| serves(*set)).collect();
        let size = all.iter().map(|set| set.count_ones()).min().unwrap();
        let wanted: Vec<u32> = all.into_iter().filter(|s| s.count_ones() == size).collect();
        let found = smallest_sets(solids as usize, &rows);
        assert_eq!(found.sets, wanted, "instance {instance}: {rows:?}");
        let smaller = (0..1_u32 << solids).filter(|s| s.count_ones() < size);
        assert_eq!(found.smaller_tried, smaller.count(), "instance {instance}");
        sizes.insert(size);
    }
    assert!(sizes.len() >= 4, "{sizes:?}");
}

#[test]
fn nothing_serves_a_row_that_needs_a_solid_that_is_not_there() {
    assert_eq!(smallest_sets(2, &[vec![4]]).sets, [0; 0]);
    assert_eq!(smallest_sets(3, &[]).sets, [0]);
}

#[test]
fn one_solid_serves_a_colour_and_its_tint() {
    let paper = support::condition_of("matt-135").paper();
    let full = [30.0, 42.0, -68.0];
    let half: Vec<f64> = [paper.l, paper.a, paper.b]
        .iter()
        .zip(full)
        .map(|(from, to)| from + (to - from) * 0.8)
        .collect();
    let brand = |lab| Brand {
        lab,
        tolerance: 2.2,
        solid: "allowed",
    };
    let job = booklet(
        "matt-135",
        &[brand([half[0], half[1], half[2]]), brand(full)],
    );
    let smallest = planned(&job).smallest;
    assert_eq!(smallest.sets, [vec![2]], "{smallest:?}");
    assert_eq!((smallest.smaller_tried, smallest.candidates), (1, 2));
}
