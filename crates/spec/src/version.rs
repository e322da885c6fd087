//! Versions of a job: copies that differ in some inks of some pages, such as names or languages.

use inkset_units::Coverage;

use crate::Given;

/// One version of the job.
#[derive(Debug, Clone, PartialEq)]
pub struct Version {
    /// Name within the job.
    pub name: Given<String>,
    /// How many copies of an order are of this version; all versions of a job say it in the same way.
    pub portion: VersionPortion,
}

/// How many copies of an order are of one version.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum VersionPortion {
    /// As many as of every other version.
    Alike,
    /// Copies of the smallest order; larger orders keep the proportions.
    Copies(Given<u64>),
    /// Share of every order.
    Share(Given<Coverage>),
}

impl VersionPortion {
    /// What the version counts against the others, 1 or more: copies, millionths of the order, or 1.
    pub fn weight(&self) -> u64 {
        match self {
            Self::Alike => 1,
            Self::Copies(copies) => copies.value.max(1),
            Self::Share(share) => ((share.value.fraction() * 1e6).round() as u64).max(1),
        }
    }
}

/// Copies of each version in an order of `copies`, rounded up; empty without versions.
///
/// More copies ordered never give fewer of any version.
pub fn copies_of_versions(versions: &[Version], copies: u64) -> Vec<u64> {
    let weights: Vec<u64> = versions.iter().map(|v| v.portion.weight()).collect();
    let whole: u128 = weights.iter().copied().map(u128::from).sum();
    let own = |weight: &u64| (u128::from(copies) * u128::from(*weight)).div_ceil(whole.max(1));
    let own = weights.iter().map(own);
    own.map(|n| u64::try_from(n).unwrap_or(u64::MAX)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn versions(portions: &[VersionPortion]) -> Vec<Version> {
        let version = |portion: &VersionPortion| Version {
            name: Given::assumed("a".to_owned()),
            portion: *portion,
        };
        portions.iter().map(version).collect()
    }

    #[test]
    fn copies_are_shared_by_weight() {
        let copies = |n| VersionPortion::Copies(Given::assumed(n));
        let own = versions(&[copies(200), copies(300)]);
        assert_eq!(copies_of_versions(&own, 500), [200, 300]);
        assert_eq!(copies_of_versions(&own, 1_000), [400, 600]);
        assert_eq!(copies_of_versions(&own, 501), [201, 301]);
        let alike = versions(&[VersionPortion::Alike; 3]);
        assert_eq!(copies_of_versions(&alike, 1_000), [334; 3]);
        let share =
            |part| VersionPortion::Share(Given::assumed(Coverage::from_fraction(part).unwrap()));
        let shared = versions(&[share(0.75), share(0.25)]);
        assert_eq!(copies_of_versions(&shared, 1_000), [750, 250]);
        assert!(copies_of_versions(&[], 1_000).is_empty());
    }
}
