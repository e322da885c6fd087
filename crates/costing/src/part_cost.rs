//! What one way of printing a part costs.

use inkset_layout::{Scheme, WorkStyle};
use inkset_spec::{Given, Press, RateCard};

use crate::delivery::DeliveryCost;
use crate::finish::{Copies, FinishCost};
use crate::further::{Coaters, PartSteps, Passes, StepNeed};
use crate::further_press::{Pair, SidesPrinted};
use crate::inks::{ClassRuns, InkCost, PartRuns, SectionGroup};
use crate::ledger::{Charge, Ledger};
use crate::line::{Input, Stage, Unit};
use crate::operation::{OperationCost, Work};
use crate::paper::PaperCost;
use crate::plates::paper_change_inputs;
use crate::press::{CLICKED, PressCost, Spoils, sheets_in};
use crate::rate::thousandths;
use crate::reel::{ReelUse, reel_inputs};
use crate::route::Route;
use crate::versions::{VersionLayout, VersionPieces};
use crate::waste::PressWaste;
use crate::ways::{Placement, Way};
use crate::words::counted;

/// What all parts share: the card, ready to be reckoned with.
#[derive(Debug)]
pub(crate) struct CardCost<'a> {
    pub(crate) card: &'a RateCard,
    pub(crate) presses: Vec<PressCost>,
    pub(crate) waste: PressWaste,
    pub(crate) finish: FinishCost<'a>,
}

/// One part under one plan at one quantity.
pub(crate) struct PartJob<'a> {
    pub(crate) card: &'a CardCost<'a>,
    pub(crate) paper: &'a PaperCost,
    pub(crate) stock: usize,
    pub(crate) runs: &'a PartRuns,
    pub(crate) inks: &'a [InkCost<'a>],
    pub(crate) schemes: &'a [Scheme],
    pub(crate) pairs: &'a [Pair],
    pub(crate) steps: &'a PartSteps<'a>,
    pub(crate) delivery: &'a DeliveryCost<'a>,
    /// Contract proofs of each form.
    pub(crate) proofs: Given<u64>,
    /// Sheets of make-ready of a run, where they are set by hand.
    pub(crate) make_ready_sheets: Option<Given<u64>>,
    /// Factor on the hours of the press.
    pub(crate) difficulty: f64,
    pub(crate) copies: Copies,
    /// Pieces of each version, where the part has versions.
    pub(crate) versions: Option<VersionPieces>,
    pub(crate) route: Route,
    /// Name of the part whose plates may stay on; empty where there is none.
    pub(crate) plates_from: &'a str,
    /// Long edge of the trimmed page, mm.
    pub(crate) page_mm: f64,
}

/// Sheets, hours and ink of one way, before they are priced.
#[derive(Debug, Default)]
pub(crate) struct Needs {
    pub(crate) press_sheets: u64,
    /// On the press of the way, and on its further press.
    pub(crate) on: [PressNeeds; 2],
    pub(crate) forms: u32,
    pub(crate) most_inks: u32,
    /// Sides printed, by the steps of a digital press.
    pub(crate) clicks: Vec<u64>,
    /// Hours of changing the paper of runs whose plates stay on.
    paper_hours: f64,
    /// Plates changed with the paper.
    pub(crate) exchanged: u32,
    cut_pieces: u64,
    cut_set_ups: u32,
    sections: u32,
    fold_hours: f64,
    /// By operation that the job asks for, sheets first.
    pub(crate) steps: Vec<StepNeed>,
    /// Sheets into the first run, for each class and group of sections.
    group_sheets: Vec<u64>,
    kilograms: Vec<f64>,
    /// Ink used, by ink, thousandths of a kilogram.
    pub(crate) used: Vec<i64>,
}

/// Plates and hours of one press.
#[derive(Debug, Default)]
pub(crate) struct PressNeeds {
    pub(crate) plates: u32,
    /// Of these, those of further layouts of versions.
    pub(crate) version_plates: u32,
    /// Most inks that it prints of one form.
    pub(crate) most_inks: u32,
    make_ready_hours: f64,
    /// Plates changed between versions, and the hours that it takes.
    changed: u32,
    changing_hours: f64,
    running_hours: f64,
}

/// What is printed of a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Printed {
    /// Good sheets, before the operations on sheets.
    pub(crate) sheets: u64,
    /// Pieces that are cut.
    pub(crate) pieces: u64,
    /// Stops for changing plates between versions.
    pub(crate) stops: u32,
}

impl Needs {
    /// Empties everything, keeping the memory.
    fn clear(&mut self, inks: usize, steps: usize) {
        let mut last = std::mem::take(self);
        last.steps.clear();
        last.steps.resize(steps, StepNeed::default());
        last.group_sheets.clear();
        last.kilograms.clear();
        last.kilograms.resize(inks, 0.0);
        last.used.clear();
        last.used.resize(inks, 0);
        last.clicks.clear();
        self.clicks = last.clicks;
        self.steps = last.steps;
        self.group_sheets = last.group_sheets;
        self.kilograms = last.kilograms;
        self.used = last.used;
    }

    /// Plates of all presses.
    pub(crate) fn plates(&self) -> u32 {
        self.on.iter().map(|on| on.plates).sum()
    }

    /// Counts the plates and forms that versions take beyond those of the first layout.
    fn add_versions(&mut self, group: &SectionGroup, stops: u32) {
        self.forms += stops * group.sections * group.changing_forms;
        for run in &group.runs {
            let on = &mut self.on[run.at];
            let changed = stops * group.sections * run.changes;
            on.changed += changed;
            if run.makes_ready {
                on.plates += changed;
                on.version_plates += changed;
            }
        }
    }
}

impl PartJob<'_> {
    /// Works out and charges one way. `None` when a work style cannot print these inks, or when the ledger has enough.
    pub(crate) fn charge(
        &self,
        way: &Way,
        needs: &mut Needs,
        ledger: &mut impl Ledger,
    ) -> Option<()> {
        self.work_out(way, needs)?;
        self.charge_paper(way, needs, ledger);
        self.charge_press(way, needs, ledger);
        if ledger.is_beyond() {
            return None;
        }
        self.work_out_ink(way, needs)?;
        self.charge_ink(needs, ledger);
        if ledger.is_beyond() {
            return None;
        }
        self.charge_finishing(way, needs, ledger);
        Some(())
    }

    fn work_out(&self, way: &Way, needs: &mut Needs) -> Option<()> {
        needs.clear(self.inks.len(), self.steps.len());
        for (class, placement) in way.placements.iter().enumerate() {
            let runs = self.runs.class(way, class)?;
            self.add_class((way, class), (runs, *placement), needs)?;
        }
        self.add_make_ready_of_clicks(way, needs);
        Some(())
    }

    /// A digital press makes ready once for the part, on sheets of its first printed section.
    fn add_make_ready_of_clicks(&self, way: &Way, needs: &mut Needs) {
        let press = &self.card.presses[way.press];
        if press.clicks.is_none() {
            return;
        }
        let classes = 0..way.placements.len();
        let runs = classes.filter_map(|class| self.runs.class(way, class));
        let mut groups = runs.flat_map(|runs| &runs.groups);
        if let Some(first) = groups.find(|group| !group.runs.is_empty()) {
            let sheets = press.make_ready_sheets(CLICKED, self.spoils(press).make_ready);
            needs.on[0].make_ready_hours += press.make_ready_hours(CLICKED) * self.difficulty;
            needs.press_sheets += sheets;
            self.add_clicks(way, (first.clicked, sheets), needs);
        }
    }

    /// Ink on every sheet that enters the press, and what is lost in the units.
    fn work_out_ink(&self, way: &Way, needs: &mut Needs) -> Option<()> {
        if self.card.presses[way.press].clicks.is_some() {
            return Some(());
        }
        let mut sheets = needs.group_sheets.iter();
        for (class, placement) in way.placements.iter().enumerate() {
            let runs = self.runs.class(way, class)?;
            for (group, sheets) in runs.groups.iter().zip(&mut sheets) {
                let copies = f64::from(placement.up) * *sheets as f64;
                for (ink, area) in &group.areas {
                    let covered_m2 = area * copies;
                    needs.kilograms[*ink] += covered_m2 * self.runs.films[*ink] / 1_000.0;
                }
            }
            for (ink, times) in &runs.hung {
                let loss = self.inks[*ink].given.fixed_loss_kg.value;
                needs.kilograms[*ink] += f64::from(*times) * loss;
            }
        }
        for (used, kilograms) in needs.used.iter_mut().zip(&needs.kilograms) {
            *used = thousandths(*kilograms).unwrap_or(i64::MAX);
        }
        Some(())
    }

    /// What decides the sheets that a run needs beyond the good ones.
    pub(crate) fn spoils<'s>(&'s self, press: &'s PressCost) -> Spoils<'s> {
        Spoils {
            waste: press.waste(&self.card.waste),
            make_ready: self.make_ready_sheets.map(|sheets| sheets.value),
            stops: 0,
        }
    }

    /// The presses of a way, each once, with their place in it.
    pub(crate) fn each_press(&self, way: &Way) -> impl Iterator<Item = (usize, usize)> + use<> {
        let number = if way.further.is_some() { 2 } else { 1 };
        way.presses(self.pairs).into_iter().enumerate().take(number)
    }

    /// Printed pieces of each section: into cutting where there is something to separate, else to the folder.
    pub(crate) fn pieces(&self, up: u32) -> u64 {
        if up > 1 || !self.route.folds_uncut() {
            self.copies.cut
        } else {
            self.copies.pieced
        }
    }

    /// How often sheets pass through each operation on sheets; `None` when the work style does not allow it.
    ///
    /// A side is coated in line by the press that prints it last.
    pub(crate) fn passes(
        &self,
        way: &Way,
        style: WorkStyle,
        printed: SidesPrinted,
    ) -> Option<Vec<Passes>> {
        let last = [0, 1].map(|side: usize| printed.last(side));
        let coats = |at: usize| {
            self.card.card.presses[way.presses(self.pairs)[at]]
                .coater
                .value
        };
        let coaters = Coaters {
            free: last.map(|at| at.is_some_and(coats)),
            turned: last.map(|at| at.is_some_and(|at| printed.turned[at])),
        };
        self.steps.passes(coaters, style)
    }

    fn add_class(
        &self,
        (way, class): (&Way, usize),
        (runs, placement): (&ClassRuns, Placement),
        needs: &mut Needs,
    ) -> Option<()> {
        let presses = way
            .presses(self.pairs)
            .map(|press| &self.card.presses[press]);
        let up = placement.up;
        for (needs, on) in needs.on.iter_mut().zip(&runs.on) {
            needs.plates += on.plates;
            needs.most_inks = needs.most_inks.max(on.most_inks);
        }
        needs.forms += runs.forms;
        needs.most_inks = needs.most_inks.max(runs.most_inks);
        for group in &runs.groups {
            let sections = f64::from(group.sections);
            let passes = self.passes(way, placement.style, group.printed)?;
            let printed = self.printed(way, &placement, group.changing_forms);
            let good = self.add_sheet_steps((way, group.sections), printed.sheets, &passes, needs);
            needs.add_versions(group, printed.stops);
            let spoils = Spoils {
                stops: printed.stops,
                ..self.spoils(presses[0])
            };
            let sides = group.clicked.iter().filter(|inks| **inks > 0).count();
            let sheets = sheets_in(presses, &group.runs, (good, spoils), |n, run| {
                let shape = group.runs[n];
                let (press, on) = (presses[shape.at], &mut needs.on[shape.at]);
                // A digital press prints one side after the other.
                let running = press.running_hours(run.running) * sides.max(1) as f64;
                let make_ready = press.make_ready_hours(shape);
                on.running_hours += sections * running * self.difficulty;
                on.make_ready_hours += sections * make_ready * self.difficulty;
                let changing = press.changing_hours(shape, printed.stops);
                on.changing_hours += sections * changing * self.difficulty;
                let paper = press.paper_change_hours(shape);
                needs.paper_hours += sections * paper * self.difficulty;
                if shape.kept {
                    needs.exchanged += group.sections * shape.changes;
                }
            });
            for (passes, need) in passes.iter().zip(&mut needs.steps) {
                need.up = need.up.max(up);
                need.inline_set_ups += passes.inline * group.sections;
                let coated = u64::from(passes.inline * group.sections) * sheets;
                need.area_m2 += coated as f64 * way.sheet.size.area_m2();
            }
            let all = sheets * u64::from(group.sections);
            needs.press_sheets += all;
            self.add_clicks(way, (group.clicked, all), needs);
            needs.sections += group.sections;
            if (up > 1 || !self.route.folds_uncut()) && !self.steps.separate() {
                needs.cut_pieces += printed.pieces * u64::from(group.sections);
                needs.cut_set_ups += group.sections;
            }
            self.add_piece_steps((way, class), group.sections, needs);
            needs.group_sheets.push(sheets);
        }
        Some(())
    }

    /// Printed sheets of a section, before the operations on sheets, the stops for changing plates, and its pieces.
    pub(crate) fn printed(&self, way: &Way, placement: &Placement, changing_forms: u32) -> Printed {
        let pieces = self.pieces(placement.up);
        let layouts = self.layouts(way, placement, changing_forms);
        if layouts.is_empty() {
            return Printed {
                sheets: pieces.div_ceil(u64::from(placement.up)),
                pieces,
                stops: 0,
            };
        }
        let sheets = layouts.iter().map(|layout| layout.sheets);
        let sheets = sheets.fold(0, u64::saturating_add);
        Printed {
            sheets,
            // What is beyond the need of a version lies on the same sheets and is cut with them.
            pieces: sheets.saturating_mul(u64::from(placement.up)),
            stops: layouts.len() as u32 - 1,
        }
    }

    /// How the versions of a section are divided among layouts; none where it is the same in all of them.
    pub(crate) fn layouts(
        &self,
        way: &Way,
        placement: &Placement,
        changing_forms: u32,
    ) -> Vec<VersionLayout> {
        let versions = self.versions.iter().filter(|_| changing_forms > 0);
        let uncut = placement.up == 1 && self.route.folds_uncut();
        let divided = versions.map(|own| own.divided(way.layouts, placement, uncut));
        divided.flatten().collect()
    }

    /// Notes what goes through the operations on sheets, and returns the printed sheets that they need.
    fn add_sheet_steps(
        &self,
        (way, sections): (&Way, u32),
        good: u64,
        passes: &[Passes],
        needs: &mut Needs,
    ) -> u64 {
        let sheet = way.sheet.size;
        self.steps.sheets_in(good, passes, |n, through| {
            let cost = &self.steps.sheets[n].cost;
            let all = through.saturating_mul(u64::from(sections));
            let need = &mut needs.steps[n];
            need.pieces = need.pieces.saturating_add(all);
            need.set_ups += sections;
            need.hours += cost.hours(all, sheet.long_edge().mm());
            need.area_m2 += all as f64 * sheet.area_m2();
        })
    }

    /// Notes what goes through the operations on pieces and through the folder.
    fn add_piece_steps(&self, (way, class): (&Way, usize), sections: u32, needs: &mut Needs) {
        let formats = &self.schemes[way.scheme].classes[class].formats;
        let length = formats.first().map_or(0.0, |f| f.size.long_edge().mm());
        self.steps.pieces_in(self.copies.folded, |n, through| {
            let cost = &self.steps.pieces[n - self.steps.sheets.len()].cost;
            let all = through.saturating_mul(u64::from(sections));
            let need = &mut needs.steps[n];
            need.pieces = need.pieces.saturating_add(all);
            need.set_ups += sections;
            need.hours += cost.hours(all, length);
        });
        if let Some(fold) = self
            .card
            .finish
            .fold
            .as_ref()
            .filter(|_| self.route.is_folded())
        {
            let all = self.copies.folded.saturating_mul(u64::from(sections));
            needs.fold_hours += fold.hours(all, length);
        }
    }

    /// Parent sheets needed, or sheets cut off a reel, and those paid for.
    pub(crate) fn parent_sheets(&self, way: &Way, press_sheets: u64) -> (u64, u64) {
        if way.reel.is_some() {
            let sheets = self.cut_off(way, press_sheets);
            return (sheets, sheets);
        }
        let parents = press_sheets.div_ceil(u64::from(way.sheet.per_parent));
        (parents, self.paper.bought(parents))
    }

    fn charge_paper(&self, way: &Way, needs: &Needs, ledger: &mut impl Ledger) {
        let (_, bought) = self.parent_sheets(way, needs.press_sheets);
        let reel = self.reel(way);
        let waste = reel.map(|(reel, _)| reel.waste.value);
        let stock = &self.card.card.stocks[self.stock];
        let charge = Charge {
            stage: Stage::Paper,
            unit: self.paper.unit,
            thousandths: self.paper.quantity((bought, waste), way.parent),
            rate: &self.paper.rate,
            formula: self.paper.formula(),
        };
        ledger.charge(
            &charge,
            || {
                let supplied = if self.paper.supplied {
                    ", supplied: handling"
                } else {
                    ""
                };
                let off = reel.map(|reel| ReelUse::new(reel, way, bought).words());
                let off = off.map_or(String::new(), |words| format!(", {words}"));
                format!(
                    "{}{supplied}, {} {}{off}",
                    stock.name.value,
                    counted(bought, "sheet"),
                    way.parent
                )
            },
            || {
                let mut inputs = vec![
                    Input::of("price", &stock.price, self.paper.price()),
                    Input::of("weight", &stock.gsm, stock.gsm.value.value()),
                ];
                match reel {
                    Some((reel, _)) => inputs.extend(reel_inputs(reel)),
                    None => inputs.push(Input::of("pack", &stock.pack, stock.pack.value)),
                }
                inputs
            },
        );
    }

    fn charge_press(&self, way: &Way, needs: &Needs, ledger: &mut impl Ledger) {
        for (at, press) in self.each_press(way) {
            ledger.of_press(Some(press));
            self.charge_plates((way, at), (press, &needs.on[at]), ledger);
        }
        ledger.of_press(None);
        self.charge_proofs(needs, ledger);
        for (at, press) in self.each_press(way) {
            ledger.of_press(Some(press));
            self.charge_make_ready((press, &needs.on[at]), ledger);
        }
        ledger.of_press(Some(way.press));
        if way.plates.are_kept() {
            let (cost, press) = self.press(way.press);
            let paper = hours_of(cost, Stage::MakeReady, needs.paper_hours, "paper-change");
            ledger.charge(
                &paper,
                || self.paper_changed(&press.name.value, needs),
                || paper_change_inputs(press),
            );
        }
        self.charge_clicks(way, needs, ledger);
        for (at, press) in self.each_press(way) {
            ledger.of_press(Some(press));
            let (cost, press) = self.press(press);
            let running = hours_of(cost, Stage::Press, needs.on[at].running_hours, "running");
            ledger.charge(
                &running,
                || press.name.value.clone(),
                || running_inputs(press),
            );
        }
        ledger.of_press(None);
    }

    fn press(&self, press: usize) -> (&PressCost, &Press) {
        (&self.card.presses[press], &self.card.card.presses[press])
    }

    fn charge_plates(
        &self,
        (way, at): (&Way, usize),
        (press, needs): (usize, &PressNeeds),
        ledger: &mut impl Ledger,
    ) {
        let (cost, press) = self.press(press);
        let plates = Charge {
            stage: Stage::Plates,
            unit: Unit::Plate,
            thousandths: i64::from(needs.plates).checked_mul(1_000),
            rate: &cost.plate,
            formula: "plates",
        };
        ledger.charge(
            &plates,
            || self.plates_of((way, at), needs.version_plates),
            || vec![Input::money("plate", &press.plate_price)],
        );
    }

    /// Charges making ready, and changing plates between versions.
    fn charge_make_ready(&self, (press, needs): (usize, &PressNeeds), ledger: &mut impl Ledger) {
        let (cost, press) = self.press(press);
        let ready = hours_of(cost, Stage::MakeReady, needs.make_ready_hours, "make-ready");
        ledger.charge(
            &ready,
            || press.name.value.clone(),
            || make_ready_inputs(press),
        );
        let changing = hours_of(cost, Stage::MakeReady, needs.changing_hours, "plate-change");
        ledger.charge(
            &changing,
            || {
                let plates = counted(u64::from(needs.changed), "plate");
                format!("{}, {plates} changed for versions", press.name.value)
            },
            || plate_change_inputs(press),
        );
    }

    /// Charges contract proofs of the forms.
    fn charge_proofs(&self, needs: &Needs, ledger: &mut impl Ledger) {
        let Some((rate, sets)) = &self.delivery.form else {
            return;
        };
        let charge = Charge {
            stage: Stage::Proofs,
            unit: Unit::Each,
            thousandths: i64::try_from(u64::from(needs.forms) * sets * 1_000).ok(),
            rate,
            formula: "proofs-of-forms",
        };
        let item = || {
            let forms = counted(u64::from(needs.forms), "form");
            format!("contract proofs, {forms}")
        };
        let inputs = || {
            let price = self.delivery.rates.form.iter();
            let price = price.map(|rate| Input::money("proof of a form", rate));
            let sets = Input::of("proofs", &self.proofs, self.proofs.value);
            price.chain([sets]).collect()
        };
        ledger.charge(&charge, item, inputs);
    }

    /// Thousandths of a kilogram that a way uses of an ink; `None` where it needs none of its own.
    pub(crate) fn used(&self, (way, ink): (&Way, usize), needs: &Needs) -> Option<i64> {
        let own = self.card.presses[way.press].clicks.is_none();
        (own && self.runs.prints(ink)).then(|| needs.used[ink])
    }

    /// Charges the inks taken from stock; those bought for the job are charged once for all parts.
    fn charge_ink(&self, needs: &Needs, ledger: &mut impl Ledger) {
        let from_stock = |(ink, _): &(&InkCost<'_>, &i64)| ink.smallest_order == 0;
        for (ink, used) in self.inks.iter().zip(&needs.used).filter(from_stock) {
            let charge = Charge {
                stage: Stage::Ink,
                unit: Unit::Kilogram,
                thousandths: (*used < i64::MAX).then_some(*used),
                rate: &ink.rate,
                formula: "ink-from-stock",
            };
            let inputs = || {
                vec![
                    Input::money("price per kg", &ink.given.price_per_kg),
                    Input::number("fixed loss", &ink.given.fixed_loss_kg),
                ]
            };
            ledger.charge(&charge, || ink.spec.name.clone(), inputs);
        }
    }

    fn charge_finishing(&self, way: &Way, needs: &Needs, ledger: &mut impl Ledger) {
        let finish = &self.card.finish;
        self.charge_sheeting(way, needs, ledger);
        if let Some(cut) = &finish.cut {
            let mut charge = |item, set_ups, pieces, length| {
                let work = Work {
                    stage: Stage::Cutting,
                    item,
                    set_ups,
                    pieces,
                    hours: cut.hours(pieces, length),
                };
                cut.charge(ledger, work);
            };
            if way.sheet.per_parent > 1 {
                let item = "parent sheets to press sheets";
                charge(item, 1, needs.press_sheets, way.parent.long_edge().mm());
            }
            if needs.cut_set_ups > 0 {
                let (set_ups, pieces) = (needs.cut_set_ups, needs.cut_pieces);
                let length = way.sheet.size.long_edge().mm();
                charge("printed sheets to pieces", set_ups, pieces, length);
            }
        }
        if let Some(fold) = finish.fold.as_ref().filter(|_| self.route.is_folded()) {
            let work = Work {
                stage: Stage::Folding,
                item: "folding",
                set_ups: needs.sections,
                pieces: self.copies.folded.saturating_mul(u64::from(needs.sections)),
                hours: needs.fold_hours,
            };
            fold.charge(ledger, work);
        }
        self.charge_binding(needs, ledger);
        for (step, need) in self.steps.all().zip(&needs.steps) {
            step.charge(ledger, need);
        }
    }
    /// Charges what is paid by the section, and laying in.
    fn charge_binding(&self, needs: &Needs, ledger: &mut impl Ledger) {
        let (finish, copies) = (&self.card.finish, &self.copies);
        let sections = u64::from(needs.sections);
        let mut charge = |operation: &Option<OperationCost<'_>>, stage, item, set_ups, pieces| {
            if let Some(operation) = operation {
                let work = Work {
                    stage,
                    item,
                    set_ups,
                    pieces,
                    hours: operation.hours(pieces, self.page_mm),
                };
                operation.charge(ledger, work);
            }
        };
        if self.route.is_gathered() {
            let gathered = copies.gathered.saturating_mul(sections);
            let item = "gathering sections";
            charge(
                &finish.gather,
                Stage::Gathering,
                item,
                needs.sections,
                gathered,
            );
            let sewn = copies.sewn.saturating_mul(sections);
            charge(&finish.sew, Stage::Sewing, "sewing sections", 1, sewn);
        }
        if let Route::LaidIn { .. } = self.route {
            charge(
                &finish.insert,
                Stage::Inserting,
                "laying in",
                1,
                copies.inserted,
            );
        }
    }
}

fn hours_of<'r>(
    cost: &'r PressCost,
    stage: Stage,
    hours: f64,
    formula: &'static str,
) -> Charge<'r> {
    Charge {
        stage,
        unit: Unit::Hour,
        thousandths: thousandths(hours),
        rate: &cost.hourly,
        formula,
    }
}

fn make_ready_inputs(press: &Press) -> Vec<Input> {
    let mut inputs = vec![
        Input::money("hourly rate", &press.hourly_rate),
        Input::number("make-ready minutes", &press.make_ready_minutes),
    ];
    // A digital press is made ready once, whatever its inks.
    if press.digital.is_none() {
        let each = &press.make_ready_minutes_per_ink;
        inputs.push(Input::number("minutes per ink", each));
    }
    inputs
}

fn plate_change_inputs(press: &Press) -> Vec<Input> {
    vec![
        Input::money("hourly rate", &press.hourly_rate),
        Input::number("minutes to change a plate", &press.plate_change_minutes),
    ]
}

fn running_inputs(press: &Press) -> Vec<Input> {
    let mut inputs = vec![Input::money("hourly rate", &press.hourly_rate)];
    let speed = |s: &inkset_spec::Speed| {
        let label = match s.up_to {
            Some(end) => format!("speed up to {}", counted(end, "sheet")),
            None if press.speeds.len() > 1 => "speed beyond".to_owned(),
            None => "speed".to_owned(),
        };
        Input::number(label, &s.sheets_per_hour)
    };
    inputs.extend(press.speeds.iter().map(speed));
    inputs
}
