//! Pieces that a die takes out of the sheet, so that it is not cut.

use crate::fit::find_operation;
use crate::{FileRole, FurtherOperation, Job, Notice, ProductKind, RateCard, WorksOn, codes};

/// The operation by which the pieces of a part come out of the printed sheet, if any does; `part` is an index into
/// [`Job::parts`].
pub fn struck_out<'c>(job: &Job, card: &'c RateCard, part: usize) -> Option<&'c FurtherOperation> {
    let own = |only: Option<usize>| only.is_none_or(|only| only == part);
    let asked = job.finishes.iter();
    asked
        .filter(|finish| own(finish.part.map(|part| part.value)))
        .filter_map(|finish| find_operation(card, finish))
        .find(|operation| operation.separates && operation.on.value == WorksOn::Sheets)
}

/// Whether any part of the job has to be cut out of its sheets.
pub(crate) fn is_cut(job: &Job, card: &RateCard) -> bool {
    (0..job.parts.len()).any(|part| struck_out(job, card, part).is_none())
}

/// Told where a die strikes pieces out and the job does not say how far apart they lie.
pub(crate) fn no_gap(job: &Job, card: &RateCard) -> Option<Notice> {
    let has_gap = matches!(
        job.product.kind.value,
        ProductKind::Flat | ProductKind::Folded
    );
    if !has_gap || job.product.allowances.gap.place.is_some() {
        return None;
    }
    let die = (0..job.parts.len()).find_map(|part| struck_out(job, card, part))?;
    let message = format!(
        "no gap between the pieces given, which `{}` takes out of the sheet; they lie bleed to bleed",
        die.name.value
    );
    let notice = Notice::assumption(FileRole::Job, codes::ASSUMED_PIECE_GAP, message);
    Some(notice.at(job.product.kind.place).hint(
        "write `gap = \"4 mm\"` under `[product]` for the rules of the die and for stripping, or `gap = \"0 mm\"` where neighbours \
         share a rule",
    ))
}
