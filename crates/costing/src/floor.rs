//! The least that a way can cost, found without working back through every run.
//!
//! Good sheets alone, none spoilt and none of make-ready: their paper, plates, making ready, and the hours to run them. Ways
//! whose floor is more than another costs need no closer look.

use crate::part_cost::PartJob;
use crate::rate::{Rate, thousandths};
use crate::ways::Way;

impl PartJob<'_> {
    /// The least that a way costs, in smallest units of the currency; 0 where not even that is known.
    pub(crate) fn floor(&self, way: &Way) -> i128 {
        if way.plates.are_kept() || self.versions.is_some() {
            return 0;
        }
        let mut sheets = 0_u64;
        let mut plates = [0_u32; 2];
        let mut hours = [0.0; 2];
        let presses = way
            .presses(self.pairs)
            .map(|press| &self.card.presses[press]);
        for (class, placement) in way.placements.iter().enumerate() {
            let Some(runs) = self.runs.class(way, class) else {
                return 0;
            };
            let pieces = self.pieces(placement.up);
            let good = pieces.div_ceil(u64::from(placement.up));
            sheets = sheets.saturating_add(good.saturating_mul(u64::from(runs.sections)));
            for (at, on) in runs.on.iter().enumerate().filter(|(_, on)| on.runs > 0) {
                plates[at] += on.plates;
                let ready = presses[at].hours_made_ready(on.made_ready);
                hours[at] += f64::from(on.runs) * presses[at].running_hours(good) + ready;
            }
        }
        let (_, bought) = self.parent_sheets(way, sheets);
        let waste = self.reel(way).map(|(reel, _)| reel.waste.value);
        let paper = self.paper.quantity((bought, waste), way.parent);
        let mut least = paper.map_or(0, |paper| amount(&self.paper.rate, paper));
        for at in 0..2 {
            let own = i64::from(plates[at]) * 1_000;
            least += amount(&presses[at].plate, own);
            let hours = thousandths(hours[at] * self.difficulty);
            least += hours.map_or(0, |hours| amount(&presses[at].hourly, hours));
        }
        least
    }
}

/// An amount that rounding, of the quantity and of each of two lines, never brings below.
fn amount(rate: &Rate, thousandths: i64) -> i128 {
    let least = rate.amount((thousandths - 2).max(0));
    least.map_or(0, |amount| (amount - 2).max(0))
}
