//! Clicks of a digital press, and why one was passed over.

use inkset_units::Size;

use super::{Work, count};
use crate::clicks::why_not;
use crate::estimate::{PartChoice, RunChoice};
use crate::hand_way::printing_of;
use crate::line::{CostLine, Input};
use crate::press::CLICKED;
use crate::pricer::PricedPlan;
use crate::words::counted;

const SIDES: [&str; 2] = ["front", "back"];

impl PricedPlan<'_> {
    pub(super) fn click_steps(&self, line: &CostLine, part: &PartChoice, work: &mut Work) {
        let press = &self.pricer.cost.presses[part.press_index];
        let Some(cost) = &press.clicks else { return };
        let steps = 0..cost.steps();
        let Some(step) = steps
            .clone()
            .find(|step| cost.is_charged(*step, line.rate, &line.item))
        else {
            return;
        };
        let each = cost.on_sheet(part.sheet.size);
        let mut clicks = 0;
        for section in &part.sections {
            for run in &section.runs {
                let sheets = run.running_sheets + run.make_ready_sheets;
                for side in (0..2).filter(|side| cost.step(run.clicked[*side]) == Some(step)) {
                    clicks += sheets * each;
                    let name = format!("{} pp, {}", section.pages, SIDES[side]);
                    let own = sheets_and_clicks(run, (sheets, each), part.sheet.size);
                    work.step(format!(
                        "{name}, {}: {own} = {}",
                        counted(u64::from(run.clicked[side]), "ink"),
                        count(sheets * each)
                    ));
                }
            }
        }
        work.step(format!("clicks: {} in all", count(clicks)));
        let card = &self.pricer.card.presses[part.press_index];
        let by_hand = printing_of(self.pricer.job, part.part)
            .is_some_and(|printing| printing.make_ready_sheets.is_some());
        if !by_hand && press.make_ready_sheets(CLICKED, None) > 0 {
            let sheets = &card.make_ready_sheets;
            work.input(Input::of("make-ready sheets", sheets, sheets.value));
        }
    }

    /// Digital presses that take the paper and cannot print these inks.
    pub(super) fn passed_over_steps(&self, part: &PartChoice, work: &mut Work) {
        let ways = &self.pricer.parts[part.part].0.all;
        for (n, press) in self.pricer.card.presses.iter().enumerate() {
            let tried = press.digital.is_some() && ways.iter().any(|way| way.press == n);
            let style = inkset_layout::WorkStyle::Sheetwise;
            let prints = |way: &crate::ways::Way| {
                let mut classes = 0..way.placements.len();
                let runs = &self.runs[part.part];
                classes.all(|class| {
                    runs.of_own_plates((way.scheme, class), (style, n))
                        .is_some()
                })
            };
            if tried
                && !ways.iter().any(|way| way.press == n && prints(way))
                && let Some(why) = why_not(press, (self.plan, part.part))
            {
                work.step(format!("passed over: {why}"));
            }
        }
    }
}

/// `204 sheets + 4 of make-ready`, times the clicks of a large sheet.
fn sheets_and_clicks(run: &RunChoice, (sheets, each): (u64, u64), size: Size) -> String {
    let ready = run.make_ready_sheets;
    let all = if ready > 0 {
        format!(
            "{} + {ready} of make-ready",
            counted(run.running_sheets, "sheet")
        )
    } else {
        counted(sheets, "sheet")
    };
    match each {
        1 => all,
        _ if ready > 0 => format!("({all}) × {each} for {size}"),
        _ => format!("{all} × {each} for {size}"),
    }
}
