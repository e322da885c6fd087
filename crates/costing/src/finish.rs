//! Finishing operations and the copies that each has to be given.

use inkset_spec::{Finishing, Job, Operation, ProductKind};
use inkset_units::Currency;

use crate::error::CannotPrint;
use crate::ledger::{Charge, Ledger};
use crate::line::{Input, Stage, Unit};
use crate::rate::Rate;
use crate::waste::{OperationWaste, with_overs};

/// One operation of the card, ready to be reckoned with.
#[derive(Debug)]
pub(crate) struct OperationCost<'a> {
    pub(crate) operation: &'a Operation,
    waste: OperationWaste,
    set_up: Rate,
    per_thousand: Rate,
}

impl<'a> OperationCost<'a> {
    fn new(
        operation: Option<&'a Operation>,
        name: &'static str,
        currency: Currency,
    ) -> Result<Option<Self>, CannotPrint> {
        let Some(operation) = operation else {
            return Ok(None);
        };
        Ok(Some(Self {
            operation,
            waste: OperationWaste::new(operation, name)?,
            set_up: Rate::new(operation.set_up.value, currency),
            per_thousand: Rate::new(operation.per_thousand.value, currency),
        }))
    }

    /// Charges settings-up and pieces put through.
    pub(crate) fn charge(&self, ledger: &mut impl Ledger, work: Work) {
        if !self.set_up.is_zero() {
            let charge = Charge {
                stage: work.stage,
                unit: Unit::SetUp,
                thousandths: i64::from(work.set_ups).checked_mul(1_000),
                rate: &self.set_up,
                formula: "operation-set-up",
            };
            ledger.charge(
                &charge,
                || format!("{}, set-up", work.item),
                || vec![Input::money("set-up", &self.operation.set_up)],
            );
        }
        let charge = Charge {
            stage: work.stage,
            unit: Unit::Thousand,
            thousandths: i64::try_from(work.pieces).ok(),
            rate: &self.per_thousand,
            formula: "operation-run",
        };
        ledger.charge(&charge, || work.item.to_owned(), || self.run_inputs());
    }

    fn run_inputs(&self) -> Vec<Input> {
        let mut inputs = vec![Input::money("per thousand", &self.operation.per_thousand)];
        inputs.extend(self.spoilage_inputs());
        inputs
    }

    /// What the pieces into the operation come from.
    pub(crate) fn spoilage_inputs(&self) -> [Input; 2] {
        let Operation {
            set_up_spoilage,
            run_spoilage,
            ..
        } = self.operation;
        let percent = format!("{} %", run_spoilage.value.percent());
        [
            Input::of("set-up spoilage", set_up_spoilage, set_up_spoilage.value),
            Input::of("run spoilage", run_spoilage, percent),
        ]
    }
}

/// Work for an operation.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Work {
    pub(crate) stage: Stage,
    pub(crate) item: &'static str,
    pub(crate) set_ups: u32,
    pub(crate) pieces: u64,
}

/// The card's finishing.
#[derive(Debug)]
pub(crate) struct FinishCost<'a> {
    pub(crate) cut: Option<OperationCost<'a>>,
    pub(crate) fold: Option<OperationCost<'a>>,
    pub(crate) stitch: Option<OperationCost<'a>>,
    pub(crate) pack: Option<OperationCost<'a>>,
}

/// Copies at each step, last to first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Copies {
    /// Delivered: ordered and overs.
    pub(crate) delivered: u64,
    /// Into packing.
    pub(crate) packed: u64,
    /// Into stitching; as packed where nothing is stitched.
    pub(crate) stitched: u64,
    /// Into folding, for each section; as stitched where nothing is folded.
    pub(crate) folded: u64,
    /// Into cutting to pieces; as folded where the card has no cutting.
    pub(crate) cut: u64,
}

impl<'a> FinishCost<'a> {
    pub(crate) fn new(
        finishing: &'a Finishing,
        job: &Job,
        currency: Currency,
    ) -> Result<Self, CannotPrint> {
        let kind = job.product.kind.value;
        let needed = |cost: Option<OperationCost<'a>>, operation, needs: bool| match cost {
            None if needs => Err(CannotPrint::NoOperation { operation }),
            cost => Ok(cost.filter(|_| needs)),
        };
        let new = |operation, name| OperationCost::new(operation, name, currency);
        let cut = new(finishing.cut.as_ref(), "cut")?;
        if cut.is_none() && kind != ProductKind::SaddleStitched {
            return Err(CannotPrint::NoOperation { operation: "cut" });
        }
        let fold = new(finishing.fold.as_ref(), "fold")?;
        let stitch = new(finishing.stitch.as_ref(), "stitch")?;
        Ok(Self {
            cut,
            fold: needed(fold, "fold", kind != ProductKind::Flat)?,
            stitch: needed(stitch, "stitch", kind == ProductKind::SaddleStitched)?,
            pack: new(finishing.pack.as_ref(), "pack")?,
        })
    }

    /// Works backwards from the copies ordered.
    pub(crate) fn copies(&self, job: &Job, ordered: u64) -> Copies {
        let through = |step: &Option<OperationCost<'_>>, good| {
            step.as_ref().map_or(good, |cost| cost.waste.needed(good))
        };
        let delivered = with_overs(ordered, job.overs.value);
        let packed = through(&self.pack, delivered);
        let stitched = through(&self.stitch, packed);
        let folded = through(&self.fold, stitched);
        Copies {
            delivered,
            packed,
            stitched,
            folded,
            cut: through(&self.cut, folded),
        }
    }
}
