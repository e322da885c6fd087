//! Paper on reels: how long and how heavy it is.

use std::f64::consts::PI;

use inkset_units::{Gsm, Millimetres, Percent};

use crate::{Given, Operation, Stock};

/// Paper on a reel, from which sheets are cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Reel {
    /// Width of the web; one edge of every sheet cut off it.
    pub width: Given<Millimetres>,
    /// Paper on one reel, kg.
    pub weight_kg: Option<Given<f64>>,
    /// Outer diameter.
    pub diameter: Option<Given<Millimetres>>,
    /// Diameter of the core, without paper.
    pub core: Given<Millimetres>,
    /// Paper that never becomes a sheet: wrapping, butt and splices, percent of the paper.
    pub waste: Given<Percent>,
}

/// Cutting reels to sheets, in the house or by the merchant.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheeter {
    /// What it costs; pieces are sheets.
    pub operation: Operation,
}

impl Reel {
    /// Metres of a stock on one reel: by its weight, else by its diameter; `None` where neither is known.
    pub fn metres(&self, stock: &Stock) -> Option<f64> {
        let by_weight = self.weight_kg.map(|kg| kg.value);
        let by_diameter = || {
            let diameter = self.diameter?.value;
            let ends = (diameter, self.core.value);
            Some(reel_kilograms(
                ends,
                self.width.value,
                stock.specific_volume(),
            ))
        };
        let kilograms = by_weight.or_else(by_diameter)?;
        Some(reel_metres(kilograms, self.width.value, stock.gsm.value))
    }
}

/// Length of paper of a weight and width, m: weight ÷ (width × weight of a square metre).
///
/// Source: row P5 of `tests/reference/costing/worked_examples.csv` (26 in, 100 lb of 50 lb offset: 3,045 ft).
pub fn reel_metres(kilograms: f64, width: Millimetres, gsm: Gsm) -> f64 {
    kilograms * 1_000.0 / (width.mm() / 1_000.0 * gsm.value())
}

/// Weight of a reel, kg: π ÷ 4 × (diameter² − core²) × width ÷ specific volume in cm³/g.
///
/// Source: rows P11 and P12 of `tests/reference/costing/worked_examples.csv`: diameter² × width × a factor of the paper,
/// which is π ÷ 4 ÷ its specific volume; they leave the core out.
pub fn reel_kilograms(
    (diameter, core): (Millimetres, Millimetres),
    width: Millimetres,
    specific_volume: f64,
) -> f64 {
    let ring_mm2 = PI / 4.0 * (diameter.mm() * diameter.mm() - core.mm() * core.mm());
    // cm³ are 1,000 mm³, kg are 1,000 g.
    ring_mm2 * width.mm() / 1_000.0 / specific_volume / 1_000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    const EXAMPLES: &str = include_str!("../../../tests/reference/costing/worked_examples.csv");
    const KG_PER_POUND: f64 = 0.453_592_37;

    fn inches(inches: f64) -> Millimetres {
        Millimetres::from_inches(inches).unwrap()
    }

    /// Exact result and tolerance of a row of the published examples, none of whose last four fields holds a comma.
    fn published(id: &str) -> (f64, f64) {
        let is_row = |line: &&str| line.split(',').next() == Some(id);
        let row = EXAMPLES.lines().find(is_row).unwrap();
        let fields: Vec<&str> = row.rsplit(',').collect();
        (fields[2].parse().unwrap(), fields[1].parse().unwrap())
    }

    fn is_met(id: &str, value: f64) {
        let (exact, tolerance) = published(id);
        assert!(
            (value - exact).abs() <= tolerance.max(0.01),
            "{id}: {value}"
        );
    }

    #[test]
    fn published_reel_length_is_met() {
        let offset = inkset_units::basis_category("offset").unwrap();
        let gsm = Gsm::from_basis_weight(50.0, offset).unwrap();
        is_met(
            "P5",
            reel_metres(100.0 * KG_PER_POUND, inches(26.0), gsm) / 0.304_8,
        );
    }

    #[test]
    fn published_reel_weights_are_met() {
        // The factors are pounds for each cubic inch of the square around the reel.
        let gram_per_cm3 = KG_PER_POUND * 1_000.0 / (2.54_f64).powi(3);
        let pounds = |width, factor: f64| {
            let specific_volume = PI / 4.0 / (factor * gram_per_cm3);
            let ends = (inches(40.0), Millimetres::ZERO);
            reel_kilograms(ends, inches(width), specific_volume) / KG_PER_POUND
        };
        is_met("P11", pounds(34.5, 0.032));
        is_met("P12", pounds(17.5, 0.018));
    }
}
