//! Writes the winner out: lines, choices, runs, runner-up.

use std::collections::BTreeSet;

use inkset_layout::{FormSide, InkId, PartInks, Run, Section, WorkStyle, passes_per_side, runs};
use inkset_units::Money;

use crate::by_hand::HandSet;
use crate::choose::{Choice, Combination, PartPrices, Tin};
use crate::error::CannotPrint;
use crate::estimate::{
    Estimate, FurtherPress, KeptPlates, OwnPlates, PartChoice, RunChoice, RunnerUp, SectionChoice,
};
use crate::further_press::{Division, Further, OnPress, SidesPrinted};
use crate::inks::run_shape;
use crate::kept::SameSides;
use crate::ledger::{Charge, Ledger, Lines};
use crate::line::{CostLine, Input, Stage, Unit};
use crate::part_cost::{Needs, PartJob};
use crate::press::{CLICKED, RunShape, RunSheets, Spoils, sheets_in};
use crate::pricer::{PricedPlan, Search, seen_style};
use crate::rate::decimal;
use crate::reel::ReelUse;
use crate::washing::PressWashing;
use crate::ways::Way;

/// A section and what its runs are made of.
struct SectionRuns {
    /// Number among those of its size.
    section: usize,
    presses: Vec<OnPress>,
    sides: [Vec<InkId>; 2],
    /// Inks whose plates change between versions.
    changing: [Vec<InkId>; 2],
    stops: u32,
    /// What it has in common with the part whose plates stay on, if they do.
    same: Option<SameSides>,
}

impl PricedPlan<'_> {
    /// The cheapest way at a quantity, line by line.
    pub fn estimate(&self, quantity: u64) -> Result<Estimate, CannotPrint> {
        let priced = self.price_ways(quantity, Search::Two)?;
        let tins = self.tins();
        let choice = self.choice(&priced, &tins);
        let winner = choice.cheapest().ok_or(CannotPrint::AmountTooLarge)?;
        let lines = self.lines(&choice, &winner, quantity)?;
        let total: Money = lines.iter().map(|line| line.amount).sum();
        let way = |(part, pick): (usize, &usize)| priced[part].ways[*pick].0;
        let run_on = self.run_on(quantity, self.close(winner.cost, quantity)?)?;
        let parts = winner.picks.iter().enumerate();
        let runner_up = choice.runner_up(&winner).map(|(part, other)| {
            Ok(RunnerUp {
                choice: self.part_choice(part, way((part, &other.picks[part])), quantity),
                total: self.close(other.cost, quantity)?,
            })
        });
        Ok(Estimate {
            quantity,
            delivered: self
                .pricer
                .cost
                .finish
                .copies(self.pricer.job, None, quantity)
                .delivered,
            parts: parts
                .map(|(part, pick)| {
                    let mut own = self.part_choice(part, way((part, pick)), quantity);
                    own.layout_totals = self.layout_totals((&choice, &winner), part, quantity)?;
                    own.own_plates = own_plates(&own, &priced[part]);
                    Ok(own)
                })
                .collect::<Result<_, CannotPrint>>()?,
            total,
            per_thousand: self
                .per_thousand(total, quantity)
                .ok_or(CannotPrint::AmountTooLarge)?,
            run_on,
            leeway: self
                .leeway(quantity, run_on)
                .ok_or(CannotPrint::AmountTooLarge)?,
            reprint: self.reprint(&lines)?,
            washing: self.washing_of(&choice, &winner),
            lines,
            runner_up: runner_up.transpose()?,
        })
    }

    /// By the number of layouts of a part's versions, the total with its cheapest way, the other parts as chosen.
    fn layout_totals(
        &self,
        (choice, winner): (&Choice<'_>, &Combination),
        part: usize,
        quantity: u64,
    ) -> Result<Vec<(u32, Money)>, CannotPrint> {
        if self.runs[part].change.is_none() {
            return Ok(Vec::new());
        }
        let all = &self.ways[part];
        let costs = choice.with_other_ways(winner, part, |way| all[way].layouts);
        let totals = costs.into_iter();
        totals
            .map(|(layouts, cost)| Ok((layouts, self.close(cost, quantity)?)))
            .collect()
    }

    fn washing_of(&self, choice: &Choice<'_>, winner: &Combination) -> Vec<PressWashing> {
        let profiles = choice.profiles(&winner.picks);
        self.washing.on_presses(self.plan, &profiles)
    }

    /// The lines of the cheapest way.
    pub(crate) fn cheapest_lines(&self, quantity: u64) -> Result<Vec<CostLine>, CannotPrint> {
        let priced = self.price_ways(quantity, Search::Cheapest)?;
        let tins = self.tins();
        let choice = self.choice(&priced, &tins);
        let winner = choice.cheapest().ok_or(CannotPrint::AmountTooLarge)?;
        self.lines(&choice, &winner, quantity)
    }

    fn lines(
        &self,
        choice: &Choice<'_>,
        winner: &Combination,
        quantity: u64,
    ) -> Result<Vec<CostLine>, CannotPrint> {
        let mut ledger = Lines {
            written: Vec::new(),
            part: None,
            press: None,
            currency: self.pricer.currency,
            overflow: false,
        };
        let mut needs = Needs::default();
        for (part, pick) in winner.picks.iter().enumerate() {
            ledger.part = Some(part);
            let way = &self.ways[part][choice.parts[part].ways[*pick].0];
            let job = self.part_job(part, quantity);
            job.charge(way, &mut needs, &mut ledger);
            ledger.written.extend(job.idle_plates(way, &needs, part));
        }
        for washing in &self.washing_of(choice, winner) {
            ledger.part = match washing.parts[..] {
                [only] => Some(only),
                _ => None,
            };
            self.washing.charge(washing, &mut ledger);
            let idle = self.washing.idle_line(washing, ledger.part);
            ledger.written.extend(idle);
        }
        ledger.part = None;
        for (n, tin) in choice.tins.iter().enumerate() {
            if let Some(used) = choice.used_by_all(&winner.picks, n) {
                self.charge_tin(tin, used, &mut ledger);
            }
        }
        self.charge_product(quantity, &mut ledger);
        if ledger.overflow {
            return Err(CannotPrint::AmountTooLarge);
        }
        let mut lines = ledger.written;
        let by_hand = HandSet::new(self.pricer.job, self.name, quantity);
        by_hand.set(&mut lines)?;
        lines.extend(by_hand.close(&self.pricer.closing, &lines)?);
        lines.sort_by_key(|line| line.stage);
        Ok(lines)
    }

    /// Closes the lines anew without the plates, proofs and tools.
    fn reprint(&self, lines: &[CostLine]) -> Result<Money, CannotPrint> {
        let again = |line: &&CostLine| {
            let closing = [Stage::Profit, Stage::Rounding, Stage::ByHand];
            let kept = matches!(line.stage, Stage::Plates | Stage::Proofs) || is_tool(line);
            !kept && !closing.contains(&line.stage)
        };
        let cost: Money = lines.iter().filter(again).map(|line| line.amount).sum();
        let closing = self.pricer.closing.amounts(cost);
        let [profit, rounding] = closing.ok_or(CannotPrint::AmountTooLarge)?;
        Ok(cost + profit + rounding)
    }

    fn charge_tin(&self, tin: &Tin<'_>, used: i64, ledger: &mut impl Ledger) {
        let ink = &self.inks[tin.ink];
        let charge = Charge {
            stage: Stage::Ink,
            unit: Unit::Kilogram,
            thousandths: Some(tin.bought(used)),
            rate: tin.rate,
            formula: "ink-bought",
        };
        let item = || {
            let (name, used, smallest) = (&ink.spec.name, decimal(used), decimal(tin.smallest));
            format!("{name}: {used} kg used, smallest order {smallest} kg")
        };
        let inputs = || {
            vec![
                Input::money("price per kg", &ink.given.price_per_kg),
                Input::number("fixed loss", &ink.given.fixed_loss_kg),
                Input::number("smallest order", &ink.given.smallest_order_kg),
            ]
        };
        ledger.charge(&charge, item, inputs);
    }

    fn part_choice(&self, part: usize, way: usize, quantity: u64) -> PartChoice {
        let job = self.part_job(part, quantity);
        let (ways, _) = &self.pricer.parts[part];
        let way_index = way;
        let way = &self.ways[part][way];
        let mut needs = Needs::default();
        let mut ledger = crate::ledger::Total::default();
        job.charge(way, &mut needs, &mut ledger);
        let press = &self.pricer.card.presses[way.press];
        let sections = self.made_ready_once((&job, way), self.sections(part, way_index, quantity));
        let further = self.further_of((part, way), (&sections, &needs));
        let way_presses = way.presses(&ways.pairs);
        let (parent_sheets, bought_sheets) = job.parent_sheets(way, needs.press_sheets);
        PartChoice {
            part,
            press: press.name.value.clone(),
            press_index: way.press,
            way: way_index,
            stock: self.pricer.card.stocks[ways.stock].name.value.clone(),
            parent: way.parent,
            sheet: way.sheet,
            sections,
            press_sheets: needs.press_sheets,
            parent_sheets,
            bought_sheets,
            reel: job
                .reel(way)
                .map(|reel| ReelUse::new(reel, way, bought_sheets)),
            plates: needs.plates(),
            units_needed: needs.most_inks,
            passes: self.passes_of(way_presses, &needs),
            further,
            layout_totals: Vec::new(),
            kept: self.kept_plates((part, way), needs.exchanged),
            own_plates: None,
        }
    }

    fn kept_plates(&self, (part, way): (usize, &Way), changed: u32) -> Option<KeptPlates> {
        let same = self.runs[part].same.as_ref();
        let same = same.filter(|_| way.plates.are_kept())?;
        let press = &self.pricer.card.presses[way.press];
        let sections = self.pricer.parts[part].0.schemes[way.scheme].classes.iter();
        let sections = sections.flat_map(|class| &class.sections);
        let mut unasked: Vec<InkId> = sections
            .filter_map(|section| self.kept_sides((part, way), section))
            .flat_map(|sides| sides.unasked())
            .collect();
        unasked.sort_unstable();
        unasked.dedup();
        Some(KeptPlates {
            unasked: unasked
                .into_iter()
                .map(|ink| self.plan.ink(ink).name.clone())
                .collect(),
            of: same.of,
            name: self.name_of_other(part).to_owned(),
            changed,
            paper_minutes: press.paper_change_minutes.map(|minutes| minutes.value),
        })
    }

    /// On a digital press the first printed section makes ready for the whole part.
    fn made_ready_once(
        &self,
        (job, way): (&PartJob<'_>, &Way),
        mut sections: Vec<SectionChoice>,
    ) -> Vec<SectionChoice> {
        let press = &self.pricer.cost.presses[way.press];
        let first = sections
            .iter_mut()
            .flat_map(|section| &mut section.runs)
            .next();
        if let Some(run) = first.filter(|_| press.clicks.is_some()) {
            run.makes_ready = true;
            run.make_ready_sheets = press.make_ready_sheets(CLICKED, job.spoils(press).make_ready);
        }
        sections
    }

    fn sections(&self, part: usize, way: usize, quantity: u64) -> Vec<SectionChoice> {
        let scheme = self.scheme(part, way);
        let way = &self.ways[part][way];
        let inks = &self.plan.parts[part];
        let classes = scheme.classes.iter().zip(&way.placements);
        classes
            .map(|(class, placement)| {
                let job = self.part_job(part, quantity);
                let all = class.sections.iter().enumerate();
                let two_sided = class
                    .sections
                    .iter()
                    .any(|s| !side(inks, &s.inner).is_empty());
                let change = self.runs[part].change.as_ref();
                let changing = |section: &Section| {
                    change.map_or_else(Default::default, |c| c.of_section(section, inks))
                };
                let is_changing =
                    |section: &&Section| changing(section).iter().any(|inks| !inks.is_empty());
                let changing_sections = class.sections.iter().filter(is_changing).count() as u32;
                SectionChoice {
                    changing: changing_sections,
                    layouts: job.layouts(way, placement, changing_sections),
                    pages: class.pages,
                    count: class.sections.len() as u32,
                    style: seen_style(placement.style, two_sided),
                    up: placement.up,
                    format: class.formats[placement.format].clone(),
                    sections: class.sections.clone(),
                    runs: all
                        .flat_map(|(n, section)| {
                            let sides = [side(inks, &section.outer), side(inks, &section.inner)];
                            let presses = self.on_presses((part, way), placement.style, &sides);
                            let printed = SidesPrinted::of(&presses);
                            let passes = job.passes(way, placement.style, printed);
                            let changing = changing(section);
                            let changes = changing.iter().any(|inks| !inks.is_empty());
                            let printed = job.printed(way, placement, u32::from(changes));
                            let good = job.steps.sheets_in(
                                printed.sheets,
                                &passes.unwrap_or_default(),
                                |_, _| (),
                            );
                            let section = SectionRuns {
                                section: n,
                                presses,
                                sides,
                                changing,
                                stops: printed.stops,
                                same: self.kept_sides((part, way), section),
                            };
                            self.section_runs((&job, way), &section, good)
                        })
                        .collect(),
                }
            })
            .collect()
    }

    /// What a section has in common with the part whose plates stay on for this way.
    fn kept_sides(&self, (part, way): (usize, &Way), section: &Section) -> Option<SameSides> {
        let same = self.runs[part].same.as_ref();
        let same = same.filter(|_| way.plates.are_kept())?;
        let inks = [part, same.of].map(|part| &self.plan.parts[part]);
        Some(same.sides(section, inks))
    }

    /// What each press of a way prints of a section.
    fn on_presses(
        &self,
        (part, way): (usize, &Way),
        style: WorkStyle,
        [front, back]: &[Vec<InkId>; 2],
    ) -> Vec<OnPress> {
        let (ways, presses) = (&self.pricer.parts[part].0, &self.pricer.cost.presses);
        let on = match way.further {
            None => OnPress::alone(style, [front, back], presses[way.press].units),
            Some(Further { pair, first_inks }) => {
                let pair = &ways.pairs[pair];
                let units = pair.presses.map(|press| presses[press].units);
                let inks = (self.runs[part].printed(), first_inks);
                let division = Division::new(pair, units, inks);
                division.and_then(|division| division.of_section(style, [front, back]))
            }
        };
        on.unwrap_or_default()
    }

    fn section_runs(
        &self,
        (job, way): (&PartJob<'_>, &Way),
        of: &SectionRuns,
        good: u64,
    ) -> Vec<RunChoice> {
        let presses = way.presses(job.pairs);
        let costs = presses.map(|press| &self.pricer.cost.presses[press]);
        if costs[0].clicks.is_some() {
            return self.clicked_run(way, (of.section, &of.sides), good);
        }
        let on_each = of.presses.iter().flat_map(|press| {
            let runs = runs(press.style, &press.forms, press.units);
            runs.into_iter().map(move |run| (press, run))
        });
        let (all, shapes): (Vec<Run>, Vec<RunShape>) = on_each
            .map(|(press, run)| {
                let shape = run_shape(&of.changing, of.same.as_ref(), (press, &run));
                (run, shape)
            })
            .unzip();
        let mut sheets: Vec<Option<RunSheets>> = vec![None; all.len()];
        let spoils = Spoils {
            stops: of.stops,
            ..job.spoils(costs[0])
        };
        sheets_in(costs, &shapes, (good, spoils), |n, run| {
            sheets[n] = Some(run);
        });
        let runs = all.into_iter().zip(sheets).zip(shapes);
        runs.filter_map(|((run, sheets), shape)| {
            let sheets = sheets?;
            Some(RunChoice {
                section: of.section,
                press_index: presses[shape.at],
                side: run.side,
                inks: run.inks,
                makes_ready: run.makes_ready,
                good_sheets: sheets.good,
                running_sheets: sheets.running,
                make_ready_sheets: sheets.make_ready,
                kept: shape.kept,
                changes: shape.changes,
                stops: if shape.changes > 0 { of.stops } else { 0 },
                changing_sheets: sheets.changing,
                clicked: [0; 2],
            })
        })
        .collect()
    }

    /// Most passes that a side needs, on both presses of a way.
    fn passes_of(&self, presses: [usize; 2], needs: &Needs) -> u32 {
        let on = presses.into_iter().zip(&needs.on);
        on.map(|(press, on)| {
            let units = self.pricer.cost.presses[press].units;
            passes_per_side(on.most_inks as usize, units)
        })
        .sum()
    }

    fn further_of(
        &self,
        (part, way): (usize, &Way),
        (sections, needs): (&[SectionChoice], &Needs),
    ) -> Option<FurtherPress> {
        let pair = &self.pricer.parts[part].0.pairs[way.further?.pair];
        let press = pair.presses[1];
        let runs = sections.iter().flat_map(|section| &section.runs);
        let own = runs.filter(|run| run.press_index == press);
        let inks: BTreeSet<InkId> = own.flat_map(|run| run.inks.iter().copied()).collect();
        let names = inks.into_iter();
        Some(FurtherPress {
            press: self.pricer.card.presses[press].name.value.clone(),
            press_index: press,
            inks: names.map(|ink| self.plan.ink(ink).name.clone()).collect(),
            plates: needs.on[1].plates,
            margins: pair.margins.clone(),
        })
    }

    /// The one run of a section on a digital press.
    fn clicked_run(
        &self,
        way: &Way,
        (section, sides): (usize, &[Vec<InkId>; 2]),
        good: u64,
    ) -> Vec<RunChoice> {
        let press = &self.pricer.cost.presses[way.press];
        let side = match [sides[0].is_empty(), sides[1].is_empty()] {
            [true, true] => return Vec::new(),
            [false, true] => FormSide::Front,
            [true, false] => FormSide::Back,
            [false, false] => FormSide::Both,
        };
        vec![RunChoice {
            section,
            press_index: way.press,
            side,
            inks: sides.iter().flatten().copied().collect(),
            makes_ready: false,
            good_sheets: good,
            running_sheets: press.waste(&self.pricer.cost.waste).needed(good),
            make_ready_sheets: 0,
            kept: false,
            changes: 0,
            stops: 0,
            changing_sheets: 0,
            clicked: [0, 1].map(|side: usize| sides[side].len() as u32),
        }]
    }
}

/// Why a part has plates of its own though the job names another with the same image.
fn own_plates(choice: &PartChoice, priced: &PartPrices) -> Option<OwnPlates> {
    priced.plates_of.filter(|_| choice.kept.is_none())?;
    let fits = priced.plates.iter().any(|plates| plates.are_kept());
    Some(if fits {
        OwnPlates::NotCheaper
    } else {
        OwnPlates::NoneFits
    })
}

/// Inks on one side, in printing order.
fn side(inks: &PartInks, pages: &[u32]) -> Vec<InkId> {
    let on_pages = pages.iter().flat_map(|page| inks.on_page(*page));
    let mut all: Vec<InkId> = on_pages.map(|(ink, _)| *ink).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// Whether a line is for a die, a block or another tool, which is kept.
fn is_tool(line: &CostLine) -> bool {
    matches!(line.formula, "tool" | "tool-per-up")
}

#[cfg(test)]
mod tests {
    use inkset_layout::PageInks;

    use super::*;

    #[test]
    fn inks_of_a_side_are_listed_once() {
        let page = |page, ids: &[u16]| PageInks {
            page,
            inks: ids.iter().map(|id| (InkId(*id), 0.1)).collect(),
        };
        let inks = PartInks {
            pages: vec![page(1, &[3, 0]), page(4, &[3, 4])],
        };
        assert_eq!(side(&inks, &[1, 4, 5]), [InkId(0), InkId(3), InkId(4)]);
        assert!(side(&inks, &[2, 3]).is_empty());
    }
}
