//! Paper weights: grams per square metre, basis weights, reams.

use crate::Size;

/// Paper weight in grams per square metre, more than 0.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Gsm(f64);

impl Gsm {
    /// `None` unless finite and more than 0.
    pub fn new(grams_per_m2: f64) -> Option<Self> {
        (grams_per_m2.is_finite() && grams_per_m2 > 0.0).then_some(Self(grams_per_m2))
    }

    /// From a basis weight: pounds per ream of 500 sheets in the category's basic size.
    ///
    /// Pound of 453.59237 g and inch of 25.4 mm, both exact by definition.
    pub fn from_basis_weight(pounds: f64, category: BasisCategory) -> Option<Self> {
        Self::new(pounds * category.gsm_per_pound())
    }

    /// Grams per square metre.
    pub fn value(self) -> f64 {
        self.0
    }

    /// Kilograms of 1,000 sheets of `size`.
    pub fn kg_per_thousand(self, size: Size) -> f64 {
        self.0 * size.area_m2()
    }

    /// Pounds per ream of 500 sheets in the category's basic size.
    pub fn basis_weight(self, category: BasisCategory) -> f64 {
        self.0 / category.gsm_per_pound()
    }
}

/// A North American paper category with its basic size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BasisCategory {
    /// Name as the trade spells it, lower case.
    pub name: &'static str,
    /// Basic size, inches, short edge.
    pub width_in: f64,
    /// Basic size, inches, long edge.
    pub height_in: f64,
}

impl BasisCategory {
    /// Grams per square metre of one pound per 500 basic sheets.
    pub fn gsm_per_pound(self) -> f64 {
        let ream_m2 = 500.0 * self.width_in * self.height_in * 0.0254 * 0.0254;
        453.592_37 / ream_m2
    }
}

/// Categories and basic sizes. Source: JCP Government Paper Specification Standards (GPO, 1999) for all but the
/// bristols; printing bristol from a published paper guide; wedding bristol and blotting from memory.
pub fn basis_categories() -> &'static [BasisCategory] {
    const fn category(name: &'static str, width_in: f64, height_in: f64) -> BasisCategory {
        BasisCategory {
            name,
            width_in,
            height_in,
        }
    }
    const CATEGORIES: &[BasisCategory] = &[
        category("bond", 17.0, 22.0),
        category("book", 25.0, 38.0),
        category("text", 25.0, 38.0),
        category("offset", 25.0, 38.0),
        category("cover", 20.0, 26.0),
        category("index", 25.5, 30.5),
        category("tag", 24.0, 36.0),
        category("newsprint", 24.0, 36.0),
        category("printing bristol", 22.5, 28.5),
        category("wedding bristol", 22.0, 28.0),
        category("blotting", 19.0, 24.0),
    ];
    CATEGORIES
}

/// Finds a category by name, case-insensitive.
pub fn basis_category(name: &str) -> Option<BasisCategory> {
    basis_categories()
        .iter()
        .copied()
        .find(|c| c.name.eq_ignore_ascii_case(name.trim()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn basis_weights_match_the_published_standard() {
        let table = include_str!("../../../tests/reference/costing/basis_weight_published.csv");
        let mut rows = 0;
        for line in table.lines().filter(|l| !l.starts_with('#')).skip(1) {
            let fields: Vec<&str> = line.split(',').collect();
            let (width, height) = fields[0]
                .rsplit_once(' ')
                .unwrap()
                .1
                .split_once('x')
                .unwrap();
            let category = BasisCategory {
                name: "row",
                width_in: width.parse().unwrap(),
                height_in: height.parse().unwrap(),
            };
            assert!(
                basis_categories()
                    .iter()
                    .any(|c| (c.width_in, c.height_in) == (category.width_in, category.height_in)),
                "{line}"
            );
            let (pounds, published, tolerance): (f64, f64, f64) = (
                fields[1].parse().unwrap(),
                fields[2].parse().unwrap(),
                fields[4].parse().unwrap(),
            );
            let gsm = Gsm::from_basis_weight(pounds, category).unwrap().value();
            assert!(
                100.0 * (gsm - published).abs() / published <= tolerance,
                "{line}: {gsm}"
            );
            rows += 1;
        }
        assert_eq!(rows, 32);
    }

    #[test]
    fn published_factors_hold() {
        for (name, factor) in [
            ("bond", 3.75973),
            ("book", 1.480_146),
            ("cover", 2.704_114),
            ("index", 1.807_958),
            ("tag", 1.627_476),
        ] {
            assert!(
                (basis_category(name).unwrap().gsm_per_pound() - factor).abs() < 5e-6,
                "{name}"
            );
        }
    }

    #[test]
    fn weight_converts_there_and_back() {
        let cover = basis_category("Cover").unwrap();
        let gsm = Gsm::from_basis_weight(100.0, cover).unwrap();
        assert!((gsm.basis_weight(cover) - 100.0).abs() < 1e-9);
    }
}
