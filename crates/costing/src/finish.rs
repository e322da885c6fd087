//! Finishing operations and the copies that each has to be given.

use inkset_spec::{Job, Operation, ProductKind, RateCard, Role};
use inkset_units::Currency;

use crate::error::CannotPrint;
use crate::further::{PartSteps, StepCost, difficulty_of, steps};
use crate::operation::OperationCost;
use crate::route::Route;
use crate::versions;
use crate::waste::with_overs;

/// The card's finishing.
#[derive(Debug)]
pub(crate) struct FinishCost<'a> {
    pub(crate) cut: Option<OperationCost<'a>>,
    pub(crate) fold: Option<OperationCost<'a>>,
    pub(crate) stitch: Option<OperationCost<'a>>,
    pub(crate) gather: Option<OperationCost<'a>>,
    pub(crate) sew: Option<OperationCost<'a>>,
    pub(crate) bind: Option<OperationCost<'a>>,
    pub(crate) insert: Option<OperationCost<'a>>,
    pub(crate) collate: Option<OperationCost<'a>>,
    pub(crate) pad: Option<OperationCost<'a>>,
    pub(crate) pack: Option<OperationCost<'a>>,
    /// Cutting reels to sheets.
    pub(crate) sheeter: Option<OperationCost<'a>>,
    /// What the job asks for on each part.
    pub(crate) parts: Vec<PartSteps<'a>>,
    /// What the job asks for on finished copies.
    pub(crate) copies: Vec<StepCost<'a>>,
}

/// Copies at each step, last to first; a step that a part does not go through passes on what it is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Copies {
    /// Delivered: ordered and overs.
    pub(crate) delivered: u64,
    /// Into packing.
    pub(crate) packed: u64,
    /// Into the first operation on finished copies; as packed where there is none.
    pub(crate) finished: u64,
    /// Into laying inserts in.
    pub(crate) inserted: u64,
    /// Into stitching, binding or padding.
    pub(crate) bound: u64,
    /// Into sewing.
    pub(crate) sewn: u64,
    /// Into gathering.
    pub(crate) gathered: u64,
    /// Leaves of the part in all copies; as gathered for all but pads and sets.
    pub(crate) leaves: u64,
    /// Into collating.
    pub(crate) collated: u64,
    /// Into folding, for each section.
    pub(crate) folded: u64,
    /// Into the first operation on pieces of the part; as folded where there is none.
    pub(crate) pieced: u64,
    /// Into cutting to pieces; as pieced where the card has no cutting or a die takes its place.
    pub(crate) cut: u64,
}

impl<'a> FinishCost<'a> {
    pub(crate) fn new(
        card: &'a RateCard,
        job: &'a Job,
        currency: Currency,
    ) -> Result<Self, CannotPrint> {
        let (finishing, kind) = (&card.finishing, job.product.kind.value);
        let needed = |cost: Option<OperationCost<'a>>, operation, needs: bool| match cost {
            None if needs => Err(CannotPrint::NoOperation { operation }),
            cost => Ok(cost.filter(|_| needs)),
        };
        let new = |operation: Option<&'a Operation>, name| {
            let new = |operation| {
                OperationCost::new((operation, name), difficulty_of(job, name), currency)
            };
            operation.map(new).transpose()
        };
        let (parts, copies) = steps(job, card, currency)?;
        let cut = new(finishing.cut.as_ref(), "cut")?;
        let struck_out = parts.iter().all(PartSteps::separate);
        if cut.is_none() && kind != ProductKind::SaddleStitched && !struck_out {
            return Err(CannotPrint::NoOperation { operation: "cut" });
        }
        let fold = new(finishing.fold.as_ref(), "fold")?;
        let stitch = new(finishing.stitch.as_ref(), "stitch")?;
        let gather = new(finishing.gather.as_ref(), "gather")?;
        let sew = new(finishing.sew.as_ref(), "sew")?;
        let bind = new(finishing.bind.as_ref(), "bind")?;
        let insert = new(finishing.insert.as_ref(), "insert")?;
        let collate = new(finishing.collate.as_ref(), "collate")?;
        let pad = new(finishing.pad.as_ref(), "pad")?;
        let laid_in = job.parts.iter().any(|p| p.role.value == Role::LooseInsert);
        let gathers = kind.is_gathered();
        Ok(Self {
            cut,
            fold: needed(fold, "fold", kind.is_folded())?,
            stitch: needed(stitch, "stitch", kind == ProductKind::SaddleStitched)?,
            gather: needed(gather, "gather", gathers)?,
            sew: needed(sew, "sew", kind == ProductKind::SectionSewn)?,
            bind: needed(bind, "bind", gathers)?,
            insert: needed(insert, "insert", laid_in)?,
            collate: needed(collate, "collate", kind == ProductKind::Set)?,
            pad: needed(pad, "pad", job.is_in_books())?,
            pack: new(finishing.pack.as_ref(), "pack")?,
            sheeter: new(
                card.sheeter.as_ref().map(|sheeter| &sheeter.operation),
                "sheeter",
            )?,
            parts,
            copies,
        })
    }

    /// Works backwards from the copies ordered along the way of a part; without one, along that of the first part bound in.
    pub(crate) fn copies(&self, job: &Job, part: Option<usize>, ordered: u64) -> Copies {
        let through = |step: &Option<OperationCost<'_>>, good| {
            step.as_ref().map_or(good, |cost| cost.waste.needed(good))
        };
        let of_versions = versions::delivered(job, ordered);
        let delivered = if of_versions.is_empty() {
            with_overs(ordered, job.overs.value)
        } else {
            of_versions.into_iter().fold(0, u64::saturating_add)
        };
        let packed = through(&self.pack, delivered);
        let finished = self.finished(packed, |_, _| ());
        let route = part.map_or_else(
            || Route::of_product(job),
            |part| Route::of(job, &job.parts[part]),
        );
        let only = |goes: bool, step, good| if goes { through(step, good) } else { good };
        let inserted = through(&self.insert, finished);
        let bound = only(route.is_bound(), &self.stitch, inserted);
        let bound = only(route.is_bound(), &self.bind, bound);
        let bound = only(route.is_leaf(), &self.pad, bound);
        let sewn = only(route.is_gathered(), &self.sew, bound);
        let gathered = only(route.is_gathered(), &self.gather, sewn);
        let in_a_copy = part.map_or(1, |part| u64::from(job.parts[part].leaves.value));
        let leaves = gathered.saturating_mul(in_a_copy);
        let collated = only(route.is_leaf(), &self.collate, leaves);
        let folded = only(route.is_folded(), &self.fold, collated);
        let steps = part.map(|part| &self.parts[part]);
        let pieced = steps.map_or(folded, |steps| steps.pieces_in(folded, |_, _| ()));
        let separate = steps.is_some_and(PartSteps::separate);
        Copies {
            delivered,
            packed,
            finished,
            inserted,
            bound,
            sewn,
            gathered,
            leaves,
            collated,
            folded,
            pieced,
            cut: if separate {
                pieced
            } else {
                through(&self.cut, pieced)
            },
        }
    }

    /// Copies into the first operation on finished copies; `visit` sees what goes into each.
    pub(crate) fn finished(&self, packed: u64, mut visit: impl FnMut(usize, u64)) -> u64 {
        let steps = self.copies.iter().enumerate().rev();
        steps.fold(packed, |good, (n, step)| {
            let needed = step.cost.waste.needed(good);
            visit(n, needed);
            needed
        })
    }
}
