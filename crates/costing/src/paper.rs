//! Paper: from press sheets to what is bought and paid.

use inkset_spec::{PaperPrice, Stock};
use inkset_units::{Currency, Percent, Size};
use rust_decimal::Decimal;

use crate::line::Unit;
use crate::rate::{Rate, thousandths};

/// Kilograms of 100 lb; the pound of 0.45359237 kg is exact by definition.
const KG_PER_HUNDREDWEIGHT: f64 = 45.359_237;

/// How a stock is paid.
#[derive(Debug)]
pub(crate) struct PaperCost {
    pub(crate) unit: Unit,
    pub(crate) rate: Rate,
    pub(crate) supplied: bool,
    pack: u64,
    gsm: f64,
}

impl PaperCost {
    pub(crate) fn new(stock: &Stock, currency: Currency) -> Self {
        let (unit, rate) = match stock.price.value {
            PaperPrice::Tonne(price) => (Unit::Kilogram, Rate::per_thousandth(price, currency)),
            PaperPrice::ThousandSheets(price) | PaperPrice::Supplied { handling: price } => {
                (Unit::Thousand, Rate::new(price, currency))
            }
            PaperPrice::Hundredweight(price) => (Unit::Hundredweight, Rate::new(price, currency)),
            PaperPrice::Ream(price) => (Unit::Ream, Rate::new(price, currency)),
        };
        Self {
            unit,
            rate,
            supplied: matches!(stock.price.value, PaperPrice::Supplied { .. }),
            pack: stock.pack.value.max(1),
            gsm: stock.gsm.value.value(),
        }
    }

    /// Parent sheets bought for those needed: whole packs.
    pub(crate) fn bought(&self, needed: u64) -> u64 {
        needed.div_ceil(self.pack).saturating_mul(self.pack)
    }

    /// What is paid for parent sheets, in thousandths of the unit; off a reel with its share of waste.
    pub(crate) fn quantity(
        &self,
        (sheets, waste): (u64, Option<Percent>),
        parent: Size,
    ) -> Option<i64> {
        let kept = 1.0 - waste.map_or(0.0, Percent::fraction);
        let kilograms = sheets as f64 * parent.area_m2() * self.gsm / 1_000.0 / kept;
        match self.unit {
            Unit::Kilogram => thousandths(kilograms),
            Unit::Hundredweight => thousandths(kilograms / KG_PER_HUNDREDWEIGHT),
            // 1,000 sheets are 2 reams of 500.
            Unit::Ream => i64::try_from(sheets.checked_mul(2)?).ok(),
            _ => i64::try_from(sheets).ok(),
        }
    }

    /// The price as the card gives it: that of a tonne where paper is paid by weight.
    pub(crate) fn price(&self) -> String {
        let price = match self.unit {
            Unit::Kilogram => self.rate.money.amount() * Decimal::ONE_THOUSAND,
            _ => self.rate.money.amount(),
        };
        price.normalize().to_string()
    }

    /// Name of the formula in `docs/costing.md`.
    pub(crate) fn formula(&self) -> &'static str {
        match self.unit {
            Unit::Kilogram => "paper-by-weight",
            Unit::Hundredweight => "paper-by-hundredweight",
            Unit::Ream => "paper-by-ream",
            _ if self.supplied => "paper-supplied",
            _ => "paper-by-thousand",
        }
    }
}
