//! An option while its prices are gathered; both forms of offer file end here.

use inkset_units::Money;
use rust_decimal::Decimal;

use super::figures::Fault;
use super::{Break, OfferedPrice};
use crate::{Place, codes};

/// The figures of one price as they were written.
#[derive(Debug, Clone, Default)]
pub(super) struct Priced {
    pub(super) copies: Option<u64>,
    pub(super) total: Option<Money>,
    pub(super) per_thousand: Option<Money>,
    pub(super) each: Option<Money>,
    pub(super) set_up: Option<Money>,
    pub(super) place: Option<Place>,
}

/// What one written price amounts to.
pub(super) enum Told {
    Break(Break),
    Rates { set_up: Money, per_thousand: Money },
}

impl Priced {
    /// Brings the written figures to a total at a quantity, or to rates for any quantity.
    pub(super) fn told(&self) -> Result<Told, Fault> {
        let rate = self.rate()?;
        match (self.copies, self.total, self.set_up, rate) {
            (Some(copies), Some(total), None, told_per_thousand) => Ok(Told::Break(Break {
                copies,
                total,
                told_per_thousand,
                place: self.place,
            })),
            (Some(copies), None, set_up, Some((per_thousand, _))) => {
                let run = of_copies(per_thousand, copies).ok_or_else(too_large)?;
                Ok(Told::Break(Break {
                    copies,
                    total: set_up.unwrap_or(Money::ZERO) + run,
                    told_per_thousand: None,
                    place: self.place,
                }))
            }
            (None, None, Some(set_up), Some((per_thousand, _))) => Ok(Told::Rates {
                set_up,
                per_thousand,
            }),
            _ => Err(self.unclear()),
        }
    }

    /// The price of 1,000, and half a unit of its last digit.
    fn rate(&self) -> Result<Option<(Money, Money)>, Fault> {
        let half_digit = |rate: Money, times: Decimal| {
            Money::new(Decimal::new(5, rate.amount().scale() + 1) * times)
        };
        match (self.per_thousand, self.each) {
            (Some(_), Some(_)) => Err(self.unclear()),
            (Some(rate), None) => Ok(Some((rate, half_digit(rate, Decimal::ONE)))),
            (None, Some(each)) => {
                let rate = each.times(Decimal::ONE_THOUSAND).ok_or_else(too_large)?;
                Ok(Some((rate, half_digit(each, Decimal::ONE_THOUSAND))))
            }
            (None, None) => Ok(None),
        }
    }

    fn unclear(&self) -> Fault {
        let has = [
            ("`copies`", self.copies.is_some()),
            ("`total`", self.total.is_some()),
            ("`set_up`", self.set_up.is_some()),
            ("`per_thousand`", self.per_thousand.is_some()),
            ("`each`", self.each.is_some()),
        ];
        let written: Vec<&str> = has.iter().filter(|(_, on)| *on).map(|(n, _)| *n).collect();
        let says = match written.as_slice() {
            [] => "gives no figure".to_owned(),
            written => format!(
                "gives {}; no price follows from that",
                written.join(" and ")
            ),
        };
        Fault::new(
            codes::UNCLEAR_PRICE,
            says,
            "write `copies` with `total`, with `per_thousand` or with `set_up` and `per_thousand`; or `set_up` and `per_thousand` alone, for any quantity",
        )
    }
}

fn too_large() -> Fault {
    Fault::new(
        codes::NOT_AN_AMOUNT,
        "is too large",
        "write a smaller amount",
    )
}

/// Price of so many copies at a rate for 1,000.
pub(super) fn of_copies(per_thousand: Money, copies: u64) -> Option<Money> {
    per_thousand.times(Decimal::from(copies) / Decimal::ONE_THOUSAND)
}

/// All prices of an option together; the fault names the index of the price it is about.
pub(super) fn together(told: Vec<Told>) -> Result<OfferedPrice, (usize, Fault)> {
    let n_rates = told
        .iter()
        .filter(|t| matches!(t, Told::Rates { .. }))
        .count();
    if n_rates > 0 && told.len() > 1 {
        let at = told.iter().position(|t| matches!(t, Told::Rates { .. }));
        let fault = Fault::new(
            codes::UNCLEAR_PRICE,
            "holds for any quantity, and other prices stand beside it",
            "give each price its `copies`, or keep the one that holds for any quantity",
        );
        return Err((at.unwrap_or(0), fault));
    }
    let mut breaks: Vec<(usize, Break)> = Vec::new();
    for (at, told) in told.into_iter().enumerate() {
        match told {
            Told::Rates {
                set_up,
                per_thousand,
            } => {
                return Ok(OfferedPrice::Rates {
                    set_up,
                    per_thousand,
                });
            }
            Told::Break(one) => breaks.push((at, one)),
        }
    }
    breaks.sort_by_key(|(at, one)| (one.copies, *at));
    if let Some(pair) = breaks.windows(2).find(|w| w[0].1.copies == w[1].1.copies) {
        let says = format!("prices {} copies a second time", pair[1].1.copies);
        let fault = Fault::new(codes::DUPLICATE_QUANTITY, says, "keep one of the two");
        return Err((pair[1].0, fault));
    }
    Ok(OfferedPrice::Breaks(
        breaks.into_iter().map(|(_, one)| one).collect(),
    ))
}
