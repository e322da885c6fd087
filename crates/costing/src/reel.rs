//! Paper off a reel: sheets cut, what they weigh with the waste, and the reels that it takes.

use inkset_spec::{Reel, Stock};

use crate::ledger::Ledger;
use crate::line::{Input, Stage};
use crate::operation::{OperationCost, Work};
use crate::part_cost::{Needs, PartJob};
use crate::ways::Way;
use crate::words::{counted, number};

/// Paper of a part that comes off reels.
#[derive(Debug, Clone, PartialEq)]
pub struct ReelUse {
    /// Width of the reels, mm.
    pub width_mm: f64,
    /// Length cut off for each sheet, mm.
    pub cut_off_mm: f64,
    /// Metres of paper, with the waste of the reels.
    pub metres: f64,
    /// Reels begun, where it is known how much is on one.
    pub reels: Option<u64>,
}

impl ReelUse {
    pub(crate) fn new((reel, stock): (&Reel, &Stock), way: &Way, sheets: u64) -> Self {
        let width = reel.width.mm();
        let size = way.sheet.size;
        // The reel is one edge of the sheet, the other is cut off.
        let is_width = (size.width.mm() - width).abs() <= (size.height.mm() - width).abs();
        let cut_off_mm = if is_width {
            size.height.mm()
        } else {
            size.width.mm()
        };
        let metres = sheets as f64 * cut_off_mm / 1_000.0 / (1.0 - reel.waste.fraction());
        let on_one = reel.metres(stock).filter(|on_one| *on_one > 0.0);
        Self {
            width_mm: width,
            cut_off_mm,
            metres,
            reels: on_one.map(|on_one| (metres / on_one - 1e-9).ceil().max(1.0) as u64),
        }
    }

    /// `12 345 m of reels 640 mm wide, 2 reels`.
    pub(crate) fn words(&self) -> String {
        let reels = self
            .reels
            .map_or(String::new(), |n| format!(", {}", counted(n, "reel")));
        let metres = number(self.metres.ceil());
        format!(
            "{metres} m of reels {} mm wide{reels}",
            number(self.width_mm)
        )
    }
}

impl PartJob<'_> {
    /// Sheets cut off a reel for these press sheets: the sheeter spoils some, a press with its own does not.
    pub(crate) fn cut_off(&self, way: &Way, press_sheets: u64) -> u64 {
        self.sheeting(way)
            .map_or(press_sheets, |cost| cost.waste.needed(press_sheets))
    }

    /// The reel of a way with its stock.
    pub(crate) fn reel(&self, way: &Way) -> Option<(&Reel, &Stock)> {
        let stock = &self.card.card.stocks[self.stock];
        Some((&stock.reels[way.reel?], stock))
    }

    /// The sheeter, where a way needs one.
    fn sheeting(&self, way: &Way) -> Option<&OperationCost<'_>> {
        let own = self.card.card.presses[way.press].sheeter.value;
        let cost = self.card.finish.sheeter.as_ref();
        cost.filter(|_| way.reel.is_some() && !own)
    }

    /// Charges cutting a reel to sheets apart from the press.
    pub(crate) fn charge_sheeting(&self, way: &Way, needs: &Needs, ledger: &mut impl Ledger) {
        let Some(cost) = self.sheeting(way) else {
            return;
        };
        let sheets = self.cut_off(way, needs.press_sheets);
        let use_of = self.reel(way).map(|reel| ReelUse::new(reel, way, sheets));
        let length = use_of.map_or(0.0, |of| of.cut_off_mm);
        let work = Work {
            stage: Stage::Cutting,
            item: "reels to sheets",
            set_ups: 1,
            pieces: sheets,
            hours: cost.hours(sheets, length),
        };
        cost.charge(ledger, work);
    }
}

/// What the paper line of a reel rests on.
pub(crate) fn reel_inputs(reel: &Reel) -> Vec<Input> {
    let waste = format!("{} %", number(reel.waste.percent()));
    let mut inputs = vec![
        Input::of("reel width", &reel.width, reel.width.value),
        Input::of("reel waste", &reel.waste, waste),
    ];
    inputs.extend(
        reel.weight_kg
            .iter()
            .map(|kg| Input::number("reel weight, kg", kg)),
    );
    if let Some(diameter) = &reel.diameter {
        inputs.push(Input::of("reel diameter", diameter, diameter.value));
        inputs.push(Input::of("core", &reel.core, reel.core.value));
    }
    inputs
}
