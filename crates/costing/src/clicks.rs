//! Digital presses: a click for each side of each sheet, ink included, no plates.

use inkset_layout::{InkKind, InkSpec, PrintPlan};
use inkset_spec::{Digital, Effect, OfferedInk, Press, RunSpoilage, SpoilageStep};
use inkset_units::{Currency, Money, Size};

use crate::error::CannotPrint;
use crate::ledger::{Charge, Ledger};
use crate::line::{Input, Stage, Unit};
use crate::part_cost::{Needs, PartJob};
use crate::rate::Rate;
use crate::waste::PressWaste;
use crate::ways::Way;
use crate::words::counted;

/// What a digital press charges, ready to be reckoned with.
#[derive(Debug)]
pub(crate) struct ClickCost {
    /// Most inks of a side, and the price of its click; a step is never cheaper than one with fewer inks.
    steps: Vec<(u32, Rate)>,
    /// Area of the largest sheet of one click, m².
    sheet_m2: Option<f64>,
    pub(crate) waste: PressWaste,
}

impl ClickCost {
    pub(crate) fn new(digital: &Digital, currency: Currency) -> Result<Self, CannotPrint> {
        let mut dearest = Money::ZERO;
        let step = |click: &inkset_spec::Click| {
            dearest = dearest.max(click.price.value);
            (click.inks.value, Rate::new(dearest, currency))
        };
        let whole_run = SpoilageStep {
            up_to: None,
            percent: digital.run_spoilage,
        };
        Ok(Self {
            steps: digital.clicks.iter().map(step).collect(),
            sheet_m2: digital.click_sheet.map(|sheet| sheet.area_m2()),
            waste: PressWaste::new(&RunSpoilage {
                steps: vec![whole_run],
            })?,
        })
    }

    /// Index of the step by which a side with so many inks is charged; `None` where it has none or too many.
    pub(crate) fn step(&self, inks: u32) -> Option<usize> {
        let reaches = |(most, _): &(u32, Rate)| inks <= *most;
        (inks > 0)
            .then(|| self.steps.iter().position(reaches))
            .flatten()
    }

    /// Clicks of one side of a sheet.
    pub(crate) fn on_sheet(&self, sheet: Size) -> u64 {
        self.sheet_m2.map_or(1, |one| {
            // Binary dust is no further click: a sheet as large as two is two.
            (sheet.area_m2() / one - 1e-9).ceil().max(1.0) as u64
        })
    }

    /// Whether a line of clicks is for this step.
    pub(crate) fn is_charged(&self, step: usize, rate: Money, item: &str) -> bool {
        let (inks, own) = &self.steps[step];
        let up_to = format!(", up to {}, ", counted(u64::from(*inks), "ink"));
        own.money == rate && item.contains(&up_to)
    }

    pub(crate) fn steps(&self) -> usize {
        self.steps.len()
    }
}

/// Whether a digital press has an ink.
pub(crate) fn offers(digital: &Digital, ink: &InkSpec) -> bool {
    let by_name = |name: &str| {
        let named = ink.named_rate.as_deref();
        let own = matches!(ink.kind, InkKind::Extended(_)) && ink.name == name;
        named == Some(name) || own
    };
    let offered = |solid: &OfferedInk| match solid {
        OfferedInk::AnySolid => ink.kind == InkKind::Solid,
        OfferedInk::Effect(effect) => is_effect(ink.kind, *effect),
        OfferedInk::Named(name) => by_name(name),
    };
    matches!(ink.kind, InkKind::Process(_))
        || digital.solids.iter().any(|solid| offered(&solid.value))
}

fn is_effect(kind: InkKind, effect: Effect) -> bool {
    kind == InkKind::Effect(effect)
}

/// Why a digital press cannot print a part: an ink that it does not have, or too many on a side.
pub(crate) fn why_not(press: &Press, (plan, part): (&PrintPlan, usize)) -> Option<CannotPrint> {
    let digital = press.digital.as_ref()?;
    let pages = plan.parts[part].pages.iter();
    let inks = pages.flat_map(|page| page.inks.iter().map(|(ink, _)| *ink));
    let lacking = inks
        .map(|ink| plan.ink(ink))
        .find(|ink| !offers(digital, ink));
    Some(match lacking {
        Some(ink) => CannotPrint::NotOffered {
            press: press.name.value.clone(),
            ink: ink.name.clone(),
        },
        None => CannotPrint::TooManyForClick {
            press: press.name.value.clone(),
            most: digital.clicks.last().map_or(0, |click| click.inks.value),
        },
    })
}

impl PartJob<'_> {
    /// Counts the clicks of sheets with these inks on their sides.
    pub(crate) fn add_clicks(
        &self,
        way: &Way,
        (sides, sheets): ([u32; 2], u64),
        needs: &mut Needs,
    ) {
        let Some(cost) = &self.card.presses[way.press].clicks else {
            return;
        };
        needs.clicks.resize(cost.steps(), 0);
        for step in sides.into_iter().filter_map(|inks| cost.step(inks)) {
            let clicks = sheets.saturating_mul(cost.on_sheet(way.sheet.size));
            needs.clicks[step] = needs.clicks[step].saturating_add(clicks);
        }
    }

    /// Charges clicks, step by step.
    pub(crate) fn charge_clicks(&self, way: &Way, needs: &Needs, ledger: &mut impl Ledger) {
        let press = &self.card.card.presses[way.press];
        let (Some(cost), Some(digital)) = (&self.card.presses[way.press].clicks, &press.digital)
        else {
            return;
        };
        for ((clicks, (inks, rate)), given) in
            needs.clicks.iter().zip(&cost.steps).zip(&digital.clicks)
        {
            let charge = Charge {
                stage: Stage::Clicks,
                unit: Unit::Click,
                thousandths: i64::try_from(*clicks)
                    .ok()
                    .and_then(|clicks| clicks.checked_mul(1_000)),
                rate,
                formula: "clicks",
            };
            let item = || {
                let inks = counted(u64::from(*inks), "ink");
                format!("{}, up to {inks}, ink included", press.name.value)
            };
            let inputs = || {
                let mut inputs = vec![Input::money("click", &given.price)];
                if let Some(sheet) = &digital.click_sheet {
                    inputs.push(Input::of("sheet of one click", sheet, sheet.value));
                }
                inputs
            };
            ledger.charge(&charge, item, inputs);
        }
    }
}
