//! What a copy weighs, and each consignment.

use super::{Work, count};
use crate::further::{kilograms_in_copy, leaves_in_copy};
use crate::line::Input;
use crate::pricer::PricedPlan;
use crate::words::number;

impl PricedPlan<'_> {
    pub(super) fn carriage_steps(&self, delivered: u64, work: &mut Work) {
        let (job, card) = (self.pricer.job, self.pricer.card);
        let trim = &job.product.trim;
        work.input(Input::of("size", trim, trim.value));
        for (part, (ways, _)) in job.parts.iter().zip(&self.pricer.parts) {
            let gsm = &card.stocks[ways.stock].gsm;
            let (pages, each) = (&part.pages, &part.leaves);
            let kilograms = kilograms_in_copy(part, trim.area_m2(), gsm.value.value());
            work.step(format!(
                "paper of {} in a copy: {} × {} × {} g/m² = {} kg",
                part.name.value,
                match leaves_in_copy(part) {
                    1 => "1 leaf".to_owned(),
                    leaves => format!("{} leaves", count(u64::from(leaves))),
                },
                trim.value,
                number(gsm.value.value()),
                number(kilograms)
            ));
            work.input(Input::of("pages", pages, pages.value));
            if each.value > 1 {
                work.input(Input::of("leaves", each, each.value));
            }
            work.input(Input::of("weight", gsm, gsm.value.value()));
        }
        for step in self.pricer.delivery.steps(delivered) {
            work.step(step);
        }
    }
}
