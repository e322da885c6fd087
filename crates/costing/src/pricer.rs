//! Prices ink sets of one job from one rate card.

use inkset_layout::{CountCache, InkShare, PrintPlan, Scheme, WorkStyle};
use inkset_spec::{Job, RateCard};
use inkset_units::{Currency, Money};
use rayon::prelude::*;
use rust_decimal::Decimal;

use crate::choose::{Choice, PartPrices, Tin};
use crate::clicks::why_not;
use crate::closing::Closing;
use crate::delivery::DeliveryCost;
use crate::error::CannotPrint;
use crate::estimate::Estimate;
use crate::finish::FinishCost;
use crate::further::StepNeed;
use crate::hand_way::{self, printing_of};
use crate::inks::{InkCost, PartRuns, PartView, PressShape, ink_costs};
use crate::kept::{self, Same};
use crate::ledger::{Ledger, Total};
use crate::line::Stage;
use crate::operation::Work;
use crate::paper::PaperCost;
use crate::part_cost::{CardCost, Needs, PartJob};
use crate::press::PressCost;
use crate::rate::money;
use crate::route::Route;
use crate::versions::{self, Change, VersionPieces};
use crate::washing::Washing;
use crate::waste::PressWaste;
use crate::ways::{Way, Ways, ways};

/// Most copies that are priced, a hundred times what a job file may order.
pub(crate) const MOST_COPIES: u64 = 1_000_000_000;

/// A job laid out on a rate card's presses, ready to price any ink set at any quantity.
#[derive(Debug)]
pub struct Pricer<'a> {
    pub(crate) job: &'a Job,
    pub(crate) card: &'a RateCard,
    pub(crate) currency: Currency,
    pub(crate) cost: CardCost<'a>,
    pub(crate) parts: Vec<(Ways, PaperCost)>,
    pub(crate) closing: Closing<'a>,
    pub(crate) delivery: DeliveryCost<'a>,
    /// Whether a digital press may print without a tin of ink.
    avoids_tins: bool,
}

/// Prices one ink set at one quantity; use a [`Pricer`] for several.
pub fn estimate(
    job: &Job,
    card: &RateCard,
    plan: &PrintPlan,
    quantity: u64,
) -> Result<Estimate, CannotPrint> {
    Pricer::new(job, card)?.estimate(plan, quantity)
}

impl<'a> Pricer<'a> {
    /// Lays the job out on every press and parent sheet of the card.
    pub fn new(job: &'a Job, card: &'a RateCard) -> Result<Self, CannotPrint> {
        let currency = card.currency.value;
        if job.currency.value != currency {
            return Err(CannotPrint::Currency {
                job: job.currency.code(),
                card: currency.code(),
            });
        }
        let mut counts = CountCache::default();
        let part = |(n, part)| {
            let mut ways = ways(job, card, part, &mut counts)?;
            hand_way::keep((job, card), n, &mut ways)?;
            versions::expand(&mut ways.all, job, part);
            let paper = PaperCost::new(&card.stocks[ways.stock], currency);
            Ok((ways, paper))
        };
        let cost = CardCost {
            card,
            presses: card
                .presses
                .iter()
                .map(|p| PressCost::new(p, currency))
                .collect::<Result<_, CannotPrint>>()?,
            waste: PressWaste::new(&card.run_spoilage)?,
            finish: FinishCost::new(card, job, currency)?,
        };
        let mut parts: Vec<(Ways, PaperCost)> = job
            .parts
            .iter()
            .enumerate()
            .map(part)
            .collect::<Result<_, CannotPrint>>()?;
        kept::expand(&mut parts, (job, card));
        let avoids_tins = card.presses.iter().any(|press| press.digital.is_some());
        Ok(Self {
            job,
            card,
            currency,
            cost,
            parts,
            closing: Closing::new(card, currency)?,
            delivery: DeliveryCost::new(job, card, currency)?,
            avoids_tins,
        })
    }

    /// Brings one ink set together with the rates; pricing it at several quantities then starts from here.
    pub fn prepare<'p>(&'p self, plan: &'p PrintPlan) -> Result<PricedPlan<'p>, CannotPrint> {
        if plan.parts.len() != self.parts.len() {
            return Err(CannotPrint::PlanParts {
                plan: plan.parts.len(),
                job: self.parts.len(),
            });
        }
        let inks = ink_costs(plan, self.card, self.currency)?;
        let parts = plan.parts.iter().zip(&self.parts);
        let presses = self.card.presses.iter();
        let shapes: Vec<PressShape> = presses.map(|press| PressShape::new(press, plan)).collect();
        let runs = parts.zip(&self.job.parts).enumerate();
        let runs = runs.map(|(at, ((part_inks, (ways, _)), part))| {
            let view = PartView {
                schemes: &ways.schemes,
                pairs: &ways.pairs,
                inks: part_inks,
                page: self.job.product.trim.value,
                paper: self.card.stocks[ways.stock].kind.value,
                change: Change::new(self.job, part, (&plan.inks, part_inks)),
                same: Same::new(self.job, at, plan).map(|same| {
                    let other = &plan.parts[same.of];
                    (same, other)
                }),
            };
            PartRuns::new(&view, &inks, &shapes)
        });
        let runs: Vec<PartRuns> = runs.collect();
        let ways = self.parts.iter().zip(&runs);
        let ways: Vec<Vec<Way>> = ways.map(|((ways, _), runs)| runs.open(&ways.all)).collect();
        let parts = self.parts.iter().zip(&runs).zip(&ways);
        let parts: Vec<_> = parts
            .map(|(((own, _), runs), ways)| (own.pairs.as_slice(), runs, ways.as_slice()))
            .collect();
        let washing = Washing::new((self.job, self.card), &self.cost.presses, plan, &parts);
        Ok(PricedPlan {
            pricer: self,
            plan,
            inks,
            runs,
            ways,
            washing,
            name: None,
            ink_shares: &[],
            presses: Presses::All,
        })
    }

    /// The cheapest way to print an ink set, line by line.
    pub fn estimate(&self, plan: &PrintPlan, quantity: u64) -> Result<Estimate, CannotPrint> {
        self.prepare(plan)?.estimate(quantity)
    }

    /// Totals of many ink sets at all quantities, in their order; equal to those of [`Pricer::estimate`], but quicker.
    pub fn totals(
        &self,
        plans: &[PrintPlan],
        quantities: &[u64],
    ) -> Vec<Result<Vec<Money>, CannotPrint>> {
        let by_hand = !self.job.overrides.is_empty();
        let totals = |plan| {
            let plan = self.prepare(plan)?;
            if by_hand {
                return quantities.iter().map(|q| plan.total_by_hand(*q)).collect();
            }
            quantities.iter().map(|q| plan.total(*q)).collect()
        };
        plans.par_iter().map(totals).collect()
    }
}

/// Which ways are priced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Search {
    /// Those that may be the cheapest or the next cheapest; of parts with versions all.
    Two,
    /// Those that may be the cheapest.
    Cheapest,
}

/// What a way may cost at most to be worth pricing.
#[derive(Debug)]
struct Limits {
    /// The lowest of what the ways so far cost at most, ascending; two of them.
    lowest: [i128; 2],
    wanted: usize,
}

impl Limits {
    fn new(wanted: usize) -> Self {
        Self {
            lowest: [i128::MAX; 2],
            wanted,
        }
    }

    /// No way that costs more is among the wanted ones.
    fn last(&self) -> i128 {
        self.lowest
            .get(self.wanted - 1)
            .copied()
            .unwrap_or(i128::MAX)
    }

    fn add(&mut self, most: i128) {
        let [first, second] = self.lowest;
        self.lowest = [first.min(most), second.min(most.max(first))];
    }
}

/// One ink set brought together with the rates.
#[derive(Debug)]
pub struct PricedPlan<'p> {
    pub(crate) pricer: &'p Pricer<'p>,
    pub(crate) plan: &'p PrintPlan,
    pub(crate) inks: Vec<InkCost<'p>>,
    pub(crate) runs: Vec<PartRuns>,
    /// By part, the ways that can print these inks.
    pub(crate) ways: Vec<Vec<Way>>,
    pub(crate) washing: Washing<'p>,
    /// Name of the option, by which a job may set figures of it by hand.
    pub(crate) name: Option<&'p str>,
    /// Where the ink on each page comes from, for explanations; none where that is not known.
    pub(crate) ink_shares: &'p [InkShare],
    /// The presses that may print it.
    presses: Presses,
}

/// Presses that may print a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Presses {
    All,
    Plates,
    Digital,
}

impl<'p> PricedPlan<'p> {
    /// Gives the ink set the name of its option, by which the job may set figures by hand.
    #[must_use]
    pub fn called(mut self, name: &'p str) -> Self {
        self.name = Some(name);
        self
    }

    /// Lets explanations say which colours and pictures the ink on each page comes from.
    #[must_use]
    pub fn with_ink_shares(mut self, shares: &'p [InkShare]) -> Self {
        self.ink_shares = shares;
        self
    }

    /// Keeps to some of the presses.
    #[must_use]
    pub(crate) fn only(mut self, presses: Presses) -> Self {
        self.presses = presses;
        self
    }
}

impl PricedPlan<'_> {
    /// The total with the figures that the job sets by hand.
    pub fn total_by_hand(&self, quantity: u64) -> Result<Money, CannotPrint> {
        if self.pricer.job.overrides.is_empty() {
            return self.total(quantity);
        }
        let lines = self.cheapest_lines(quantity)?;
        Ok(lines.iter().map(|line| line.amount).sum())
    }

    /// The cheapest total at a quantity, before anything is set by hand.
    pub fn total(&self, quantity: u64) -> Result<Money, CannotPrint> {
        let tins = self.tins();
        let priced = self.price_ways(quantity, Search::Cheapest)?;
        let choice = self.choice(&priced, &tins);
        let cheapest = choice.cheapest().ok_or(CannotPrint::AmountTooLarge)?;
        self.close(cheapest.cost, quantity)
    }

    pub(crate) fn choice<'c>(&'c self, parts: &'c [PartPrices], tins: &'c [Tin<'c>]) -> Choice<'c> {
        Choice {
            parts,
            tins,
            washing: &self.washing,
        }
    }

    /// Price for a cost of all parts: with the product's finishing, profit and rounding.
    pub(crate) fn close(&self, cost: i128, quantity: u64) -> Result<Money, CannotPrint> {
        let mut ledger = Total::default();
        self.charge_product(quantity, &mut ledger);
        let sum = ledger
            .sum()
            .and_then(|finishing| finishing.checked_add(cost));
        let cost = sum.and_then(|sum| money(sum, self.pricer.currency));
        let closed = cost.and_then(|cost| {
            let [profit, rounding] = self.pricer.closing.amounts(cost)?;
            Some(cost + profit + rounding)
        });
        closed.ok_or(CannotPrint::AmountTooLarge)
    }

    /// Charges collating, stitching, binding or padding, packing, what else is done to whole copies, carriage and drawdowns.
    pub(crate) fn charge_product(&self, quantity: u64, ledger: &mut impl Ledger) {
        let finish = &self.pricer.cost.finish;
        let copies = finish.copies(self.pricer.job, None, quantity);
        let length = self.pricer.job.product.trim.long_edge().mm();
        let of_part = |part| {
            finish
                .copies(self.pricer.job, Some(part), quantity)
                .collated
        };
        let collated = (0..self.runs.len()).map(of_part);
        let steps = [
            (
                &finish.collate,
                Stage::Collating,
                "collating leaves",
                collated.fold(0, u64::saturating_add),
            ),
            (
                &finish.stitch,
                Stage::Stitching,
                "gathering, stitching, trimming",
                copies.bound,
            ),
            (
                &finish.bind,
                Stage::Binding,
                "gluing, covering, trimming",
                copies.bound,
            ),
            (
                &finish.pad,
                Stage::Padding,
                "counting off, gluing, boards",
                copies.bound,
            ),
            (&finish.pack, Stage::Packing, "packing", copies.packed),
        ];
        for (operation, stage, item, pieces) in steps {
            if let Some(operation) = operation {
                let work = Work {
                    stage,
                    item,
                    set_ups: 1,
                    pieces,
                    hours: operation.hours(pieces, length),
                };
                operation.charge(ledger, work);
            }
        }
        let mut inputs = vec![0; finish.copies.len()];
        finish.finished(copies.packed, |n, copies| inputs[n] = copies);
        for (step, copies) in finish.copies.iter().zip(inputs) {
            let pieces = copies.div_ceil(step.bundle);
            let need = StepNeed {
                pieces,
                set_ups: 1,
                hours: step.cost.hours(pieces, length),
                ..StepNeed::default()
            };
            step.charge(ledger, &need);
        }
        self.pricer
            .delivery
            .charge_carriage(copies.delivered, ledger);
        self.charge_drawdowns(ledger);
    }

    /// Costs of the ways of all parts.
    pub(crate) fn price_ways(
        &self,
        quantity: u64,
        search: Search,
    ) -> Result<Vec<PartPrices>, CannotPrint> {
        if !(1..=MOST_COPIES).contains(&quantity) {
            return Err(CannotPrint::Quantity {
                quantity,
                limit: MOST_COPIES,
            });
        }
        let tins = self.tins();
        let price = |part| self.price_part((part, quantity), search, &tins);
        (0..self.runs.len()).map(price).collect()
    }

    fn price_part(
        &self,
        (part, quantity): (usize, u64),
        search: Search,
        tins: &[Tin<'_>],
    ) -> Result<PartPrices, CannotPrint> {
        let job = self.part_job(part, quantity);
        let all = &self.ways[part];
        let mut needs = Needs::default();
        let of = |part: usize| self.runs[part].same.as_ref().map(|same| same.of);
        let mut prices = PartPrices {
            plates_of: of(part),
            ..PartPrices::default()
        };
        // A dear way may pay where its plates stay on for other parts.
        let is_named = (0..self.runs.len()).any(|other| of(other) == Some(part));
        let wanted = match search {
            Search::Two if self.runs[part].change.is_some() => usize::MAX,
            Search::Two => 2,
            Search::Cheapest => 1,
        };
        let mut limits = Limits::new(wanted);
        let mut priced = Vec::new();
        for (floor, n) in self.by_floor(&job, part) {
            if floor > limits.last() {
                break;
            }
            let mut ledger = Total::up_to(limits.last());
            if job.charge(&all[n], &mut needs, &mut ledger).is_none() {
                continue;
            }
            let sum = ledger.sum().ok_or(CannotPrint::AmountTooLarge)?;
            let used = tins.iter().map(|tin| job.used((&all[n], tin.ink), &needs));
            let used: Vec<Option<i64>> = used.collect();
            // A way from kept plates is open only where the other part is printed alike.
            if !is_named && !all[n].plates.are_kept() {
                let saved = tins
                    .iter()
                    .zip(&used)
                    .map(|(tin, used)| tin.advantage(*used));
                let profiles = self.washing.profiles(part, n);
                let most = sum.saturating_add(self.washing.advantage(profiles));
                limits.add(saved.fold(most, i128::saturating_add));
            }
            priced.push((n, sum, used));
        }
        priced.sort_unstable_by_key(|(n, ..)| *n);
        for (n, sum, used) in priced {
            prices.ways.push((n, sum));
            if is_named || prices.plates_of.is_some() {
                prices.plates.push(all[n].plates);
            }
            prices.used.extend(used);
        }
        if prices.ways.is_empty() {
            return Err(match printing_of(self.pricer.job, part) {
                Some(printing) => CannotPrint::InksNotByHand {
                    part: self.pricer.job.parts[part].name.value.clone(),
                    asked: printing.to_string(),
                },
                None => self.why_no_way(part),
            });
        }
        Ok(prices)
    }

    /// The ways that can print a part, with the least that each costs: the lowest first.
    fn by_floor(&self, job: &PartJob<'_>, part: usize) -> Vec<(i128, usize)> {
        let all = self.ways[part].iter().enumerate();
        let all = all.filter(|(_, way)| self.may_print(way));
        let mut floors: Vec<(i128, usize)> = all.map(|(n, way)| (job.floor(way), n)).collect();
        floors.sort_unstable();
        floors
    }

    fn may_print(&self, way: &Way) -> bool {
        let digital = self.pricer.card.presses[way.press].digital.is_some();
        match self.presses {
            Presses::All => true,
            Presses::Plates => !digital,
            Presses::Digital => digital,
        }
    }

    /// Why no way prints a part: a digital press alone lacks an ink, or a coating needs a coater.
    fn why_no_way(&self, part: usize) -> CannotPrint {
        let card = self.pricer.card;
        let presses = self.pricer.parts[part].0.all.iter();
        let mut presses = presses.map(|way| &card.presses[way.press]);
        let last = presses.next_back();
        let digital = last.filter(|_| presses.all(|press| press.digital.is_some()));
        let why = digital.and_then(|press| why_not(press, (self.plan, part)));
        why.unwrap_or_else(|| CannotPrint::NoWay {
            part: self.pricer.job.parts[part].name.value.clone(),
        })
    }

    pub(crate) fn part_job(&self, part: usize, quantity: u64) -> PartJob<'_> {
        let (ways, paper) = &self.pricer.parts[part];
        let finish = &self.pricer.cost.finish;
        let copies = finish.copies(self.pricer.job, Some(part), quantity);
        PartJob {
            versions: VersionPieces::new(self.pricer.job, part, (quantity, &copies)),
            card: &self.pricer.cost,
            paper,
            stock: ways.stock,
            runs: &self.runs[part],
            inks: &self.inks,
            schemes: &ways.schemes,
            pairs: &ways.pairs,
            steps: &finish.parts[part],
            delivery: &self.pricer.delivery,
            proofs: self.pricer.job.proofs.forms,
            difficulty: self.pricer.job.difficulty.value,
            make_ready_sheets: printing_of(self.pricer.job, part)
                .and_then(|printing| printing.make_ready_sheets),
            copies,
            route: Route::of(self.pricer.job, &self.pricer.job.parts[part]),
            plates_from: self.name_of_other(part),
            page_mm: self.pricer.job.product.trim.long_edge().mm(),
        }
    }

    /// Name of the part whose plates may print this one; empty where there is none.
    pub(crate) fn name_of_other(&self, part: usize) -> &str {
        let same = self.runs[part].same.as_ref();
        same.map_or("", |same| &self.pricer.job.parts[same.of].name.value)
    }

    /// The inks that are bought by the tin and printed somewhere.
    pub(crate) fn tins(&self) -> Vec<Tin<'_>> {
        let tin = |(ink, cost)| self.tin(ink, cost);
        self.inks.iter().enumerate().filter_map(tin).collect()
    }

    fn tin<'s>(&'s self, ink: usize, cost: &'s InkCost<'_>) -> Option<Tin<'s>> {
        let uses = |(part, runs): (usize, &PartRuns)| runs.prints(ink).then_some(part);
        let mut users = self.runs.iter().enumerate().filter_map(uses);
        let part = users.next()?;
        (cost.smallest_order > 0).then(|| Tin {
            ink,
            rate: &cost.rate,
            smallest: cost.smallest_order,
            shared: users.next().is_some(),
            part,
            avoidable: self.pricer.avoids_tins,
        })
    }

    pub(crate) fn scheme(&self, part: usize, way: usize) -> &Scheme {
        let ways = &self.pricer.parts[part].0;
        &ways.schemes[self.ways[part][way].scheme]
    }

    /// Total per thousand copies, rounded.
    pub(crate) fn per_thousand(&self, total: Money, quantity: u64) -> Option<Money> {
        let thousand = total.amount().checked_mul(Decimal::ONE_THOUSAND)?;
        let each = thousand.checked_div(Decimal::from(quantity))?;
        Some(Money::new(each).rounded(self.pricer.currency))
    }
}

/// The style as people see it: sheetwise with nothing on the back is one-sided.
pub(crate) fn seen_style(style: WorkStyle, two_sided: bool) -> WorkStyle {
    match style {
        WorkStyle::Sheetwise if !two_sided => WorkStyle::OneSided,
        other => other,
    }
}
