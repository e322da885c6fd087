//! How the pages of a bound part are divided into signatures.

use std::collections::BTreeSet;

/// Pages of the signatures that are folded, largest first; two pages are a single leaf.
const SIGNATURES: [u32; 7] = [32, 24, 16, 12, 8, 6, 4];

/// Most smaller signatures that make up what the large ones leave.
const MOST_SMALLER: usize = 2;

/// The sensible splits of so many pages, each from the largest signature to the smallest, all different.
///
/// For each largest signature: as many of it as fit and the rest in up to two smaller ones, or one fewer of it and the rest
/// in two. What many splits cost decides between them; no other order of magnitude is worth a look, because every further
/// section is a further make-ready. A part of two pages is a single leaf.
pub fn splits(pages: u32) -> Vec<Vec<u32>> {
    if pages == 2 {
        return vec![vec![2]];
    }
    let mut found: BTreeSet<Vec<u32>> = BTreeSet::new();
    for (at, &largest) in SIGNATURES.iter().enumerate() {
        // Six pages leave a leaf that only a milled spine holds: used where the pages are no multiple of four.
        let usual = |size: &u32| size.is_multiple_of(4) || !pages.is_multiple_of(4);
        if !usual(&largest) {
            continue;
        }
        let smaller: Vec<u32> = SIGNATURES[at + 1..].iter().copied().filter(usual).collect();
        let most = pages / largest;
        let mut add = |large: u32, pieces: usize| {
            let mut rests = Vec::new();
            fill(
                pages - large * largest,
                (smaller.as_slice(), pieces),
                &mut Vec::new(),
                &mut rests,
            );
            found.extend(rests.into_iter().map(|rest| {
                let mut split = vec![largest; large as usize];
                split.extend(rest);
                split
            }));
        };
        if most > 0 {
            add(most, MOST_SMALLER);
        }
        if most > 1 {
            add(most - 1, MOST_SMALLER);
        }
    }
    let mut all: Vec<Vec<u32>> = found.into_iter().collect();
    // Largest signature first, fewer sections first.
    all.sort_by(|one, other| {
        other[0]
            .cmp(&one[0])
            .then(one.len().cmp(&other.len()))
            .then(other.cmp(one))
    });
    all
}

/// All ways to make up `rest` from at most so many of the signatures, each no larger than the one before.
fn fill(
    rest: u32,
    (signatures, pieces): (&[u32], usize),
    chosen: &mut Vec<u32>,
    found: &mut Vec<Vec<u32>>,
) {
    if rest == 0 {
        found.push(chosen.clone());
        return;
    }
    if pieces == 0 {
        return;
    }
    for (at, &signature) in signatures.iter().enumerate() {
        if signature <= rest {
            chosen.push(signature);
            fill(
                rest - signature,
                (&signatures[at..], pieces - 1),
                chosen,
                found,
            );
            chosen.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn remainders_become_smaller_signatures() {
        assert!(splits(28).contains(&vec![16, 12]));
        assert!(splits(28).contains(&vec![16, 8, 4]));
        assert!(splits(28).contains(&vec![24, 4]));
        assert!(splits(36).contains(&vec![16, 12, 8]));
        assert!(splits(44).contains(&vec![32, 12]));
        assert!(splits(44).contains(&vec![16, 16, 12]));
        assert_eq!(splits(4), [[4]]);
        assert_eq!(splits(2), [[2]]);
    }

    #[test]
    fn every_split_adds_up() {
        for pages in (4..=1_000).step_by(2) {
            let all = splits(pages);
            assert!(!all.is_empty(), "{pages}");
            assert!(all.len() < 120, "{pages}: {}", all.len());
            for split in &all {
                assert_eq!(split.iter().sum::<u32>(), pages);
                assert!(split.is_sorted_by(|a, b| a >= b), "{split:?}");
            }
        }
    }

    #[test]
    fn multiples_of_four_need_no_six() {
        for pages in (4..=1_000).step_by(4) {
            let without = splits(pages).into_iter().filter(|s| !s.contains(&6));
            assert!(without.count() > 0, "{pages}");
        }
    }
}
