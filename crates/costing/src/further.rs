//! Operations that a job asks for beyond what its product needs: coatings, tools, material, outside work, bundles.

use inkset_layout::WorkStyle;
use inkset_spec::{
    Bundle, Finish, FurtherOperation, Given, Job, Material, OperationKind, Outside, RateCard,
    WorksOn, find_operation, is_built_in,
};
use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

use crate::error::CannotPrint;
use crate::ledger::{Charge, Ledger, Summed};
use crate::line::{Input, Stage, Unit};
use crate::operation::{OperationCost, Work};
use crate::rate::{Rate, money, thousandths};

/// One operation that the job asks for.
#[derive(Debug)]
pub(crate) struct StepCost<'a> {
    pub(crate) finish: &'a Finish,
    pub(crate) named: &'a FurtherOperation,
    pub(crate) cost: OperationCost<'a>,
    tool: Option<Rate>,
    tool_per_up: Option<Rate>,
    material: Option<MaterialCost>,
    inline: Option<Rate>,
    /// Copies in one bundle; 1 where nothing is bundled.
    pub(crate) bundle: u64,
    currency: Currency,
}

#[derive(Debug)]
struct MaterialCost {
    unit: Unit,
    rate: Rate,
    /// Units for each square metre of sheet.
    per_m2: f64,
    formula: &'static str,
}

/// What has to be done in one operation.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct StepNeed {
    /// Put through apart from the press.
    pub(crate) pieces: u64,
    pub(crate) set_ups: u32,
    pub(crate) hours: f64,
    /// Settings-up of the press's coater.
    pub(crate) inline_set_ups: u32,
    /// Sheet area that passes, apart or in line, m².
    pub(crate) area_m2: f64,
    /// Most pieces on a sheet that goes through it.
    pub(crate) up: u32,
}

/// Passes of a sheet through an operation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Passes {
    pub(crate) apart: u32,
    pub(crate) inline: u32,
}

/// Operations on a part, in the order in which they are done.
#[derive(Debug, Default)]
pub(crate) struct PartSteps<'a> {
    pub(crate) sheets: Vec<StepCost<'a>>,
    pub(crate) pieces: Vec<StepCost<'a>>,
}

impl PartSteps<'_> {
    pub(crate) fn len(&self) -> usize {
        self.sheets.len() + self.pieces.len()
    }

    pub(crate) fn all(&self) -> impl Iterator<Item = &StepCost<'_>> {
        self.sheets.iter().chain(&self.pieces)
    }

    /// Whether the pieces come out of the sheet by an operation, so that it is not cut.
    pub(crate) fn separate(&self) -> bool {
        self.sheets.iter().any(|step| step.named.separates)
    }

    /// Pieces that have to be cut out so that `good` reach the folder; `visit` sees what goes into each step.
    pub(crate) fn pieces_in(&self, good: u64, mut visit: impl FnMut(usize, u64)) -> u64 {
        let steps = self.pieces.iter().enumerate().rev();
        steps.fold(good, |good, (n, step)| {
            let needed = step.cost.waste.needed(good);
            visit(self.sheets.len() + n, needed);
            needed
        })
    }

    /// Printed sheets that are needed so that `good` can be cut; `visit` sees what goes into each pass apart.
    pub(crate) fn sheets_in(
        &self,
        good: u64,
        passes: &[Passes],
        mut visit: impl FnMut(usize, u64),
    ) -> u64 {
        let steps = self.sheets.iter().zip(passes).enumerate().rev();
        steps.fold(good, |good, (n, (step, passes))| {
            (0..passes.apart).fold(good, |good, _| {
                let needed = step.cost.waste.needed(good);
                visit(n, needed);
                needed
            })
        })
    }

    /// How often sheets pass through each operation, with the coaters that they meet on press.
    ///
    /// A coater reaches each printed side once; of a perfecting pass only the side printed last. `None` when the work style
    /// does not allow it: fronts and backs share a side of the sheet, or what only a coater does finds none.
    pub(crate) fn passes(&self, mut coaters: Coaters, style: WorkStyle) -> Option<Vec<Passes>> {
        let mut all = Vec::with_capacity(self.sheets.len());
        for step in &self.sheets {
            all.push(step.passes(&mut coaters, style)?);
        }
        Some(all)
    }
}

/// Sides of a sheet that a press's coater can still reach.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Coaters {
    pub(crate) free: [bool; 2],
    /// Sides printed last in a perfecting pass, of which a coater reaches one.
    pub(crate) turned: [bool; 2],
}

impl Coaters {
    fn lay_down(&mut self, side: usize) {
        self.free[side] = false;
        if self.turned[side] {
            for other in (0..2).filter(|other| self.turned[*other]) {
                self.free[other] = false;
            }
        }
    }
}

impl<'a> StepCost<'a> {
    pub(crate) fn new(
        finish: &'a Finish,
        named: &'a FurtherOperation,
        (job, currency): (&Job, Currency),
        copy_kg: f64,
    ) -> Result<Self, CannotPrint> {
        let difficulty = finish.difficulty.unwrap_or(job.difficulty);
        let rate = |price: Given<Money>| Rate::new(price.value, currency);
        let covered = finish.coverage.fraction();
        let material = named.material.map(|material| match material {
            Material::Area(price) => MaterialCost {
                unit: Unit::SquareMetre,
                rate: rate(price),
                per_m2: covered,
                formula: "material-by-area",
            },
            Material::Weight { gsm, per_kg } => MaterialCost {
                unit: Unit::Kilogram,
                rate: rate(per_kg),
                per_m2: covered * gsm.value / 1_000.0,
                formula: "material-by-weight",
            },
        });
        Ok(Self {
            finish,
            named,
            cost: OperationCost::new((&named.operation, &named.name), difficulty, currency)?,
            tool: named.tool_price.map(rate),
            tool_per_up: named.tool_per_up.map(rate),
            material,
            inline: named.inline_set_up.map(rate),
            bundle: match finish.bundle {
                None => 1,
                Some(Bundle::Copies(copies)) => copies.value.max(1),
                Some(Bundle::Kilograms(most)) => copies_within(most.value, copy_kg),
            },
            currency,
        })
    }

    pub(crate) fn stage(&self) -> Stage {
        match self.named.kind.value {
            kind if kind.is_coating() => Stage::Coating,
            kind if kind.is_packing() => Stage::Packing,
            _ => Stage::Finishing,
        }
    }

    fn passes(&self, coaters: &mut Coaters, style: WorkStyle) -> Option<Passes> {
        let kind = self.named.kind.value;
        let sided =
            kind.is_coating() || matches!(kind, OperationKind::Foil | OperationKind::Emboss);
        let wanted = self.finish.sides.value;
        if sided && style.is_half_sheet() && wanted != [true, true] {
            return None;
        }
        let mut passes = Passes {
            apart: 0,
            inline: 0,
        };
        for side in (0..2).filter(|side| wanted[*side]) {
            if coaters.free[side] && self.inline.is_some() {
                coaters.lay_down(side);
                passes.inline += 1;
            } else if self.cost.runs() {
                passes.apart += 1;
            } else {
                return None;
            }
        }
        Some(passes)
    }

    /// Charges everything that the operation needs.
    pub(crate) fn charge(&self, ledger: &mut impl Ledger, need: &StepNeed) {
        match &self.named.outside {
            None => self.charge_work(ledger, need),
            Some(outside) => {
                let mut summed = Summed::new(ledger);
                self.charge_work(&mut summed, need);
                let cost = summed.sum();
                self.charge_outside((outside, cost), ledger);
            }
        }
    }

    fn charge_work(&self, ledger: &mut impl Ledger, need: &StepNeed) {
        let (stage, name) = (self.stage(), self.named.name.value.as_str());
        self.charge_tool(ledger, need.up);
        if let Some(rate) = &self.inline {
            let charge = Charge {
                stage,
                unit: Unit::SetUp,
                thousandths: Some(i64::from(need.inline_set_ups) * 1_000),
                rate,
                formula: "inline-set-up",
            };
            let inputs = || {
                let price = self.named.inline_set_up.iter();
                price.map(|p| Input::money("coater set-up", p)).collect()
            };
            ledger.charge(&charge, || format!("{name}, in line, set-up"), inputs);
        }
        if need.set_ups > 0 {
            let work = Work {
                stage,
                item: name,
                set_ups: need.set_ups,
                pieces: need.pieces,
                hours: need.hours,
            };
            self.cost.charge(ledger, work);
        }
        self.charge_material(ledger, need);
    }

    /// The die, block or brush, and what each piece on the sheet adds to it.
    fn charge_tool(&self, ledger: &mut impl Ledger, up: u32) {
        let (stage, name) = (self.stage(), self.named.name.value.as_str());
        let tool = |rate, pieces: u32, formula| Charge {
            stage,
            unit: Unit::Each,
            thousandths: Some(i64::from(pieces) * 1_000),
            rate,
            formula,
        };
        let priced = |label: &'static str, price: &Option<Given<Money>>| {
            let price = price.iter();
            price.map(|price| Input::money(label, price)).collect()
        };
        if let Some(rate) = &self.tool {
            let inputs = || priced("tool", &self.named.tool_price);
            let item = || format!("{name}, tool");
            ledger.charge(&tool(rate, 1, "tool"), item, inputs);
        }
        if let Some(rate) = &self.tool_per_up {
            let inputs = || priced("tool, for each up", &self.named.tool_per_up);
            let item = || format!("{name}, tool: {up} up");
            ledger.charge(&tool(rate, up, "tool-per-up"), item, inputs);
        }
    }

    fn charge_material(&self, ledger: &mut impl Ledger, need: &StepNeed) {
        let Some(material) = &self.material else {
            return;
        };
        let charge = Charge {
            stage: self.stage(),
            unit: material.unit,
            thousandths: thousandths(need.area_m2 * material.per_m2),
            rate: &material.rate,
            formula: material.formula,
        };
        let item = || format!("{}, material", self.named.name.value);
        ledger.charge(&charge, item, || self.material_inputs());
    }

    fn material_inputs(&self) -> Vec<Input> {
        let mut inputs = match self.named.material {
            Some(Material::Area(price)) => vec![Input::money("price per m²", &price)],
            Some(Material::Weight { gsm, per_kg }) => vec![
                Input::number("wet weight, g/m²", &gsm),
                Input::money("price per kg", &per_kg),
            ],
            None => Vec::new(),
        };
        let covered = &self.finish.coverage;
        inputs.push(Input::of("coverage", covered, covered.fraction()));
        inputs
    }

    /// What is missing to the least charge, and the handling on the whole.
    fn charge_outside(&self, (outside, cost): (&Outside, Option<i128>), ledger: &mut impl Ledger) {
        let (stage, name) = (self.stage(), self.named.name.value.as_str());
        let cost = cost.and_then(|cost| money(cost, self.currency));
        let least = outside.minimum.value.rounded(self.currency);
        let missing = cost.map(|cost| {
            if least > cost {
                least - cost
            } else {
                Money::ZERO
            }
        });
        let top_up = Rate::new(missing.unwrap_or(Money::ZERO), self.currency);
        let charge = Charge {
            stage,
            unit: Unit::Sum,
            thousandths: missing.map(|m| if m > Money::ZERO { 1_000 } else { 0 }),
            rate: &top_up,
            formula: "outside-minimum",
        };
        let inputs = || vec![Input::money("minimum charge", &outside.minimum)];
        ledger.charge(
            &charge,
            || format!("{name}, up to the minimum charge"),
            inputs,
        );
        let whole = cost.unwrap_or(Money::ZERO) + missing.unwrap_or(Money::ZERO);
        let percent = Rate::new(
            Money::new(whole.amount() / Decimal::ONE_HUNDRED),
            self.currency,
        );
        let share = outside.handling.value.percent();
        let charge = Charge {
            stage,
            unit: Unit::Percent,
            thousandths: thousandths(share),
            rate: &percent,
            formula: "outside-handling",
        };
        let item = || format!("{name}, outside work: handling");
        let inputs = || {
            vec![Input::of(
                "handling",
                &outside.handling,
                format!("{share} %"),
            )]
        };
        ledger.charge(&charge, item, inputs);
    }
}

/// Copies that stay within a weight, at least one.
fn copies_within(most_kg: f64, copy_kg: f64) -> u64 {
    let copies = (most_kg / copy_kg * (1.0 + 1e-12)).floor();
    if copies >= 1.0 { copies as u64 } else { 1 }
}

/// Paper of one copy in kg: trimmed area of its leaves.
pub(crate) fn copy_kilograms(job: &Job, card: &RateCard) -> f64 {
    let page_m2 = job.product.trim.area_m2();
    let part = |part: &inkset_spec::Part| {
        let same = |stock: &&inkset_spec::Stock| stock.name.value == part.stock.value;
        let gsm = card
            .stocks
            .iter()
            .find(same)
            .map_or(0.0, |s| s.gsm.value.value());
        kilograms_in_copy(part, page_m2, gsm)
    };
    job.parts.iter().map(part).sum()
}

/// Leaves of a part in one copy.
pub(crate) fn leaves_in_copy(part: &inkset_spec::Part) -> u32 {
    part.pages.div_ceil(2) * part.leaves.value
}

/// Paper of a part in one copy.
pub(crate) fn kilograms_in_copy(part: &inkset_spec::Part, page_m2: f64, gsm: f64) -> f64 {
    f64::from(leaves_in_copy(part)) * page_m2 * gsm / 1_000.0
}

/// Operations on each part, and those on finished copies.
pub(crate) fn steps<'a>(
    job: &'a Job,
    card: &'a RateCard,
    currency: Currency,
) -> Result<(Vec<PartSteps<'a>>, Vec<StepCost<'a>>), CannotPrint> {
    let copy_kg = copy_kilograms(job, card);
    let mut parts: Vec<PartSteps<'a>> = job.parts.iter().map(|_| PartSteps::default()).collect();
    let mut copies = Vec::new();
    let asked = job.finishes.iter();
    for finish in asked.filter(|f| !is_built_in(&f.operation)) {
        let named = find_operation(card, finish).ok_or_else(|| CannotPrint::UnknownOperation {
            operation: finish.operation.value.clone(),
        })?;
        let step = || StepCost::new(finish, named, (job, currency), copy_kg);
        if named.on.value == WorksOn::Copies {
            copies.push(step()?);
            continue;
        }
        let wanted = |part: usize| finish.part.is_none_or(|only| only.value == part);
        for (_, own) in parts.iter_mut().enumerate().filter(|(n, _)| wanted(*n)) {
            match named.on.value {
                WorksOn::Sheets => own.sheets.push(step()?),
                _ => own.pieces.push(step()?),
            }
        }
    }
    Ok((parts, copies))
}

/// The factor that a job puts on what its product needs anyway.
pub(crate) fn difficulty_of(job: &Job, operation: &str) -> Given<f64> {
    let own = job
        .finishes
        .iter()
        .rfind(|f| f.operation.value == operation);
    own.and_then(|finish| finish.difficulty)
        .unwrap_or(job.difficulty)
}
