//! What the lines of plates, and of paper that is changed while plates stay on, are called and rest on.

use inkset_spec::Press;
use inkset_units::Money;
use rust_decimal::Decimal;

use crate::inks::add_to;
use crate::line::{CostLine, Input, Stage, Unit};
use crate::part_cost::{Needs, PartJob};
use crate::ways::Way;
use crate::words::counted;

impl PartJob<'_> {
    /// `B2, plates of white stay on: paper changed, 1 plate changed`.
    pub(crate) fn paper_changed(&self, press: &str, needs: &Needs) -> String {
        let plates = match needs.exchanged {
            0 => String::new(),
            plates => format!(", {} changed", counted(u64::from(plates), "plate")),
        };
        format!(
            "{press}, plates of {} stay on: paper changed{plates}",
            self.plates_from
        )
    }

    /// The line of a part that needs no plate, because those of another stay on.
    pub(crate) fn idle_plates(&self, way: &Way, needs: &Needs, part: usize) -> Option<CostLine> {
        let press = &self.card.card.presses[way.press];
        (way.plates.are_kept() && needs.plates() == 0).then(|| CostLine {
            stage: Stage::Plates,
            part: Some(part),
            press: Some(way.press),
            item: self.plates_of((way, 0), 0),
            quantity: Decimal::ZERO,
            unit: Unit::Plate,
            rate: press.plate_price.value,
            amount: Money::ZERO,
            formula: "plates",
            inputs: vec![Input::money("plate", &press.plate_price)],
            by_hand: None,
        })
    }

    /// What plates of one press of a way are made of: `2 forms × 5 inks`, several kinds of form one after the other.
    pub(crate) fn plates_of(&self, (way, at): (&Way, usize), of_versions: u32) -> String {
        let mut forms: Vec<(u32, u32)> = Vec::new();
        for class in 0..way.placements.len() {
            let runs = self.runs.class(way, class);
            for (inks, number) in runs.iter().flat_map(|runs| &runs.on[at].forms) {
                add_to(&mut forms, *inks, *number);
            }
        }
        let kinds = forms.iter().map(|(inks, number)| {
            let form = counted(u64::from(*number), "form");
            format!("{form} × {}", counted(u64::from(*inks), "ink"))
        });
        let versions = if of_versions > 0 {
            format!(" + {of_versions} for versions")
        } else {
            String::new()
        };
        let made = kinds.collect::<Vec<_>>().join(" + ");
        if !way.plates.are_kept() {
            let press = &self.card.card.presses[way.presses(self.pairs)[at]]
                .name
                .value;
            let on = way
                .further
                .map_or(String::new(), |_| format!(" on {press}"));
            return format!("plates{on}, {made}{versions}");
        }
        let of = self.plates_from;
        if made.is_empty() {
            format!("plates, those of {of} stay on")
        } else {
            format!("plates, {made}; the others of {of} stay on")
        }
    }
}

pub(crate) fn paper_change_inputs(press: &Press) -> Vec<Input> {
    let mut inputs = vec![Input::money("hourly rate", &press.hourly_rate)];
    let minutes = press.paper_change_minutes.iter();
    inputs.extend(minutes.map(|minutes| Input::number("minutes to change the paper", minutes)));
    let each = &press.plate_change_minutes;
    inputs.push(Input::number("minutes to change a plate", each));
    inputs
}
