//! Carriage by weight and zone, and drawdowns of solids.

use inkset_layout::InkKind;
use inkset_spec::{CarriageZone, Delivery, Job, Portion, ProofRates, RateCard};
use inkset_units::Currency;

use crate::error::CannotPrint;
use crate::further::copy_kilograms;
use crate::ledger::{Charge, Ledger};
use crate::line::{Input, Stage, Unit};
use crate::pricer::PricedPlan;
use crate::rate::{Rate, thousandths};
use crate::words::{counted, number};

/// Proofs and deliveries of a job with their rates.
#[derive(Debug)]
pub(crate) struct DeliveryCost<'a> {
    consignments: Vec<Consignment<'a>>,
    /// Paper of one copy, kg.
    pub(crate) copy_kg: f64,
    pub(crate) rates: &'a ProofRates,
    /// A contract proof of one form, as often as asked for.
    pub(crate) form: Option<(Rate, u64)>,
    drawdown: Option<(Rate, u64)>,
}

#[derive(Debug)]
struct Consignment<'a> {
    delivery: &'a Delivery,
    zone: &'a CarriageZone,
    base: Rate,
    per_kg: Rate,
}

impl<'a> DeliveryCost<'a> {
    pub(crate) fn new(
        job: &'a Job,
        card: &'a RateCard,
        currency: Currency,
    ) -> Result<Self, CannotPrint> {
        let consignment = |delivery: &'a Delivery| {
            let same = |own: &&CarriageZone| {
                own.zone.value.to_lowercase() == delivery.zone.value.to_lowercase()
            };
            let zone = card.carriage.iter().find(same);
            let zone = zone.ok_or_else(|| CannotPrint::NoRate {
                what: format!("carriage to `{}`", delivery.zone.value),
            })?;
            Ok(Consignment {
                delivery,
                zone,
                base: Rate::new(zone.base.value, currency),
                per_kg: Rate::new(zone.per_kg.value, currency),
            })
        };
        let proof =
            |sets: u64, rate: Option<inkset_spec::Given<inkset_units::Money>>, what: &str| {
                let no_rate = || CannotPrint::NoRate {
                    what: what.to_owned(),
                };
                match (sets, rate) {
                    (0, _) => Ok(None),
                    (sets, rate) => {
                        let rate = rate.ok_or_else(no_rate)?;
                        Ok(Some((Rate::new(rate.value, currency), sets)))
                    }
                }
            };
        let deliveries = job.deliveries.iter().map(consignment);
        Ok(Self {
            consignments: deliveries.collect::<Result<_, CannotPrint>>()?,
            copy_kg: copy_kilograms(job, card),
            rates: &card.proof,
            form: proof(job.proofs.forms.value, card.proof.form, "contract proofs")?,
            drawdown: proof(job.proofs.drawdowns.value, card.proof.drawdown, "drawdowns")?,
        })
    }

    /// Copies to each destination, in the order of the job.
    ///
    /// Those given in number come first, as far as the copies reach; the others share what is left, not rounded to whole
    /// copies, so that a copy more never makes a consignment lighter.
    fn copies(&self, delivered: u64) -> Vec<f64> {
        let mut left = delivered;
        let mut copies: Vec<f64> = Vec::with_capacity(self.consignments.len());
        for consignment in &self.consignments {
            copies.push(match consignment.delivery.portion {
                Portion::Copies(wanted) => {
                    let own = wanted.value.min(left);
                    left -= own;
                    own as f64
                }
                Portion::Share(_) | Portion::Rest => 0.0,
            });
        }
        let mut rest = 1.0;
        for (own, consignment) in copies.iter_mut().zip(&self.consignments) {
            if let Portion::Share(share) = consignment.delivery.portion {
                *own = share.value.fraction() * left as f64;
                rest -= share.value.fraction();
            }
        }
        for (own, consignment) in copies.iter_mut().zip(&self.consignments) {
            if consignment.delivery.portion == Portion::Rest {
                *own = f64::max(rest, 0.0) * left as f64;
            }
        }
        copies
    }

    /// Charges a consignment to each destination that gets copies.
    pub(crate) fn charge_carriage(&self, delivered: u64, ledger: &mut impl Ledger) {
        let copies = self.copies(delivered);
        for (consignment, copies) in self.consignments.iter().zip(copies) {
            if copies > 0.0 {
                consignment.charge(copies, self.copy_kg, ledger);
            }
        }
    }

    /// How the weights of the consignments come about.
    pub(crate) fn steps(&self, delivered: u64) -> Vec<String> {
        let mut steps = vec![format!(
            "paper of one copy: {} kg; ink, coating and packing are not weighed",
            number(self.copy_kg)
        )];
        let copies = self.copies(delivered);
        for (consignment, copies) in self.consignments.iter().zip(copies) {
            steps.push(format!(
                "{}: {} copies × {} kg = {} kg",
                consignment.zone.zone.value,
                number(copies),
                number(self.copy_kg),
                number(copies * self.copy_kg)
            ));
        }
        steps
    }
}

impl Consignment<'_> {
    fn charge(&self, copies: f64, copy_kg: f64, ledger: &mut impl Ledger) {
        let zone = &self.zone.zone.value;
        let kilograms = copies * copy_kg;
        let base = Charge {
            stage: Stage::Carriage,
            unit: Unit::Each,
            thousandths: (!self.base.is_zero()).then_some(1_000).or(Some(0)),
            rate: &self.base,
            formula: "carriage-base",
        };
        let item = || format!("{zone}, consignment");
        ledger.charge(&base, item, || vec![Input::money("base", &self.zone.base)]);
        let by_weight = Charge {
            stage: Stage::Carriage,
            unit: Unit::Kilogram,
            thousandths: thousandths(kilograms),
            rate: &self.per_kg,
            formula: "carriage-by-weight",
        };
        let item = || {
            let copies = number(copies.round());
            format!("{zone}, {copies} copies")
        };
        let inputs = || {
            let mut inputs = vec![Input::money("per kg", &self.zone.per_kg)];
            match &self.delivery.portion {
                Portion::Copies(copies) => inputs.push(Input::of("copies", copies, copies.value)),
                Portion::Share(share) => inputs.push(Input::of("share", share, share.fraction())),
                Portion::Rest => {}
            }
            inputs
        };
        ledger.charge(&by_weight, item, inputs);
    }
}

impl PricedPlan<'_> {
    /// Charges drawdowns: of each solid and effect ink on each paper that it is printed on.
    pub(crate) fn charge_drawdowns(&self, ledger: &mut impl Ledger) {
        let delivery = &self.pricer.delivery;
        let Some((rate, sets)) = &delivery.drawdown else {
            return;
        };
        let (solids, sets) = (self.drawdowns(), *sets);
        let charge = Charge {
            stage: Stage::Proofs,
            unit: Unit::Each,
            thousandths: i64::try_from(solids as u64 * sets * 1_000).ok(),
            rate,
            formula: "drawdowns",
        };
        let item = || format!("drawdowns, {}", counted(solids as u64, "solid"));
        let inputs = || {
            let price = delivery
                .rates
                .drawdown
                .iter()
                .map(|r| Input::money("drawdown", r));
            let sets = &self.pricer.job.proofs.drawdowns;
            price
                .chain([Input::of("drawdowns", sets, sets.value)])
                .collect()
        };
        ledger.charge(&charge, item, inputs);
    }

    /// Pairs of a solid or effect ink and a paper that it is printed on.
    pub(crate) fn drawdowns(&self) -> usize {
        let mut pairs: Vec<(usize, usize)> = Vec::new();
        for (runs, (ways, _)) in self.runs.iter().zip(&self.pricer.parts) {
            let solids = (0..self.plan.inks.len())
                .filter(|ink| !matches!(self.plan.inks[*ink].kind, InkKind::Process(_)))
                .filter(|ink| runs.prints(*ink));
            pairs.extend(solids.map(|ink| (ink, ways.stock)));
        }
        pairs.sort_unstable();
        pairs.dedup();
        pairs.len()
    }
}
