//! The lines of a way, and the cheapest of all combinations of ways.

use std::collections::{BTreeMap, BTreeSet};

use inkset_spec::{Operation, PaperPrice, Press, ProductKind, Profit, Role, RunRate, Stock};
use inkset_units::{Money, Percent};
use rust_decimal::Decimal;

use crate::sections::{is_bound_in, is_gathered};
use crate::sheets::Sheet;
use crate::washing::Passes;
use crate::waste::{cents, shown, through};
use crate::ways::{Shop, Way, Work};

/// Amounts of lines, each rounded to cents.
#[derive(Default)]
struct Lines(Vec<Decimal>);

impl Lines {
    fn add(&mut self, quantity: Decimal, rate: Money) {
        self.0.push(cents(quantity * rate.amount()));
    }

    fn operation(&mut self, operation: Option<&Operation>, set_ups: u64, pieces: u64) {
        let operation = operation.unwrap();
        self.add(Decimal::from(set_ups), operation.set_up.value);
        let thousands = Decimal::from(pieces) / Decimal::ONE_THOUSAND;
        self.add(thousands, per_thousand(operation));
    }
}

/// The run rate; every operation of these cards is paid by the thousand.
fn per_thousand(operation: &Operation) -> Money {
    match operation.run {
        Some(RunRate::PerThousand(rate)) => rate.value,
        _ => panic!("{operation:?} is not paid by the thousand"),
    }
}

impl Shop<'_> {
    /// The lines of one way, without the inks that are bought by the tin.
    pub(crate) fn priced(
        &self,
        part: usize,
        (sheet, presses): (&Sheet, [&Press; 2]),
        work: &Work,
    ) -> Way {
        let press = presses[0];
        let mut lines = Lines::default();
        let stock = &self.card.stocks[0];
        let needed = match sheet.off_reel {
            Some(reel) if reel.by_sheeter => self.sheeted(work.press_sheets, &mut lines),
            _ => work.press_sheets.div_ceil(sheet.per_parent),
        };
        let (quantity, rate) = paper(stock, needed, sheet);
        lines.add(quantity, rate);
        for (press, on) in presses.iter().zip(&work.on) {
            lines.add(Decimal::from(on.plates), press.plate_price.value);
            let hourly = press.hourly_rate.value;
            lines.add(shown(on.make_ready_minutes / 60.0), hourly);
            lines.add(shown(on.changing_minutes / 60.0), hourly);
            lines.add(shown(on.running_hours), hourly);
        }
        lines.add(shown(work.paper_minutes / 60.0), press.hourly_rate.value);
        if let Some(digital) = &press.digital {
            // Clicks of one step make one line.
            let mut from = 0;
            for click in &digital.clicks {
                let inks = from + 1..=u64::from(click.inks.value);
                let sides: u64 = work.clicked.range(inks).map(|(_, sides)| sides).sum();
                lines.add(Decimal::from(sides), click.price.value);
                from = u64::from(click.inks.value);
            }
        }
        let kilograms = work.kilograms.iter().enumerate().map(|(ink, kg)| {
            let own = press.digital.is_none() && self.prints(part, ink);
            own.then(|| shown(*kg))
        });
        let kilograms: Vec<Option<Decimal>> = kilograms.collect();
        for (ink, kg) in kilograms.iter().enumerate() {
            if !self.is_tin(ink) {
                let kg = kg.unwrap_or(Decimal::ZERO);
                lines.add(kg, self.ink_rate(ink).price_per_kg.value);
            }
        }
        self.add_finishing(part, sheet, work, &mut lines);
        Way {
            cost: lines.0.iter().sum(),
            kilograms,
            digital: press.digital.is_some(),
            on: presses
                .iter()
                .zip(&work.on)
                .filter(|(_, on)| !on.forms.is_empty())
                .map(|(press, on)| (press.name.value.clone(), on.forms.clone()))
                .collect(),
            sections: work.sections.clone(),
            off_reel: sheet.off_reel.is_some(),
            spot: None,
            kept: false,
        }
    }

    /// Sheets cut off a reel so that so many are good, with what the sheeter costs.
    fn sheeted(&self, good: u64, lines: &mut Lines) -> u64 {
        let operation = self.card.sheeter.as_ref().map(|sheeter| &sheeter.operation);
        let sheets = through(operation, good);
        lines.operation(operation, 1, sheets);
        sheets
    }

    fn add_finishing(&self, part: usize, sheet: &Sheet, work: &Work, lines: &mut Lines) {
        let (finishing, copies) = (&self.card.finishing, self.copies(part));
        let sections = work.sections.len() as u64;
        let cut = finishing.cut.as_ref();
        if sheet.per_parent > 1 {
            lines.operation(cut, 1, work.press_sheets);
        }
        lines.operation(cut, work.cut_set_ups, work.cut_pieces);
        if self.is_folded(part) {
            let fold = finishing.fold.as_ref();
            lines.operation(fold, sections, copies.folded * sections);
        }
        if is_gathered(self.job, &self.job.parts[part]) {
            let gather = finishing.gather.as_ref();
            lines.operation(gather, sections, copies.gathered * sections);
            if self.kind() == ProductKind::SectionSewn {
                lines.operation(finishing.sew.as_ref(), 1, copies.sewn * sections);
            }
        }
        if self.job.parts[part].role.value == Role::LooseInsert {
            lines.operation(finishing.insert.as_ref(), 1, copies.inserted);
        }
    }

    fn is_tin(&self, ink: usize) -> bool {
        self.ink_rate(ink).smallest_order_kg.value > 0.0
    }

    /// The price of the cheapest of all combinations of ways.
    pub(crate) fn total(&self) -> Decimal {
        self.cheapest().0
    }

    /// Pages of the sections of the bound parts in the cheapest combination.
    pub(crate) fn cheapest_sections(&self) -> Vec<u32> {
        let (_, ways) = self.cheapest();
        let bound = self.job.parts.iter().zip(ways);
        bound
            .filter(|(part, _)| is_bound_in(self.job, part))
            .flat_map(|(_, way)| way.sections.clone())
            .collect()
    }

    /// Parts that a digital press prints in the cheapest combination.
    pub(crate) fn cheapest_digital(&self) -> usize {
        let (_, ways) = self.cheapest();
        ways.iter().filter(|way| way.digital).count()
    }

    /// Parts that two presses print in the cheapest combination.
    pub(crate) fn cheapest_on_two(&self) -> usize {
        let (_, ways) = self.cheapest();
        ways.iter().filter(|way| way.on.len() > 1).count()
    }

    /// Parts for which plates of another stay on in the cheapest combination.
    pub(crate) fn cheapest_kept(&self) -> usize {
        let (_, ways) = self.cheapest();
        ways.iter().filter(|way| way.kept).count()
    }

    /// Parts that come off a reel in the cheapest combination.
    pub(crate) fn cheapest_off_reels(&self) -> usize {
        let (_, ways) = self.cheapest();
        ways.iter().filter(|way| way.off_reel).count()
    }

    fn cheapest(&self) -> &(Decimal, Vec<Way>) {
        self.cheapest.get_or_init(|| self.find_cheapest())
    }

    fn find_cheapest(&self) -> (Decimal, Vec<Way>) {
        let parts = 0..self.job.parts.len();
        let ways = parts
            .clone()
            .map(|part| self.worth_combining(self.ways(part)));
        let ways: Vec<Vec<Way>> = ways.collect();
        let mut order: Vec<usize> = parts.collect();
        // Where plates hang is known before it is asked which parts keep them.
        order.sort_by_key(|part| self.job.plates_of(*part).is_some());
        let mut rows: Vec<Vec<Option<&Way>>> = vec![vec![None; order.len()]];
        for part in order {
            let mut longer = Vec::new();
            for row in &rows {
                let hang = |way: &&Way| self.plates_hang(row, part, way);
                for way in ways[part].iter().filter(hang) {
                    let mut row = row.clone();
                    row[part] = Some(way);
                    longer.push(row);
                }
            }
            rows = longer;
        }
        let mut known = BTreeMap::new();
        let priced = rows.into_iter().map(|row| {
            let row: Vec<&Way> = row.into_iter().flatten().collect();
            let washing = self.washing(&row, &mut known);
            (self.price(&row, washing), row)
        });
        let best = priced.min_by(|one, other| one.0.cmp(&other.0)).unwrap();
        (best.0, best.1.into_iter().cloned().collect())
    }

    /// Leaves out a way that costs no less than another and uses no less of any ink that is bought by the tin.
    fn worth_combining(&self, mut ways: Vec<Way>) -> Vec<Way> {
        ways.sort_by_key(|way| way.cost);
        let tins: Vec<usize> = (0..self.plan.inks.len())
            .filter(|i| self.is_tin(*i))
            .collect();
        let mut kept: Vec<Way> = Vec::new();
        for way in ways {
            let no_more = |other: &Way| {
                tins.iter()
                    .all(|tin| other.kilograms[*tin] <= way.kilograms[*tin])
            };
            let same = |other: &&Way| {
                let plates = (&other.spot, other.kept) == (&way.spot, way.kept);
                other.on == way.on && plates
            };
            if !kept.iter().filter(same).any(no_more) {
                kept.push(way);
            }
        }
        kept
    }

    /// Lines of washing, one for each press that prints some part from plates.
    fn washing(
        &self,
        ways: &[&Way],
        known: &mut BTreeMap<(usize, BTreeSet<Passes>), Decimal>,
    ) -> Decimal {
        let mut sum = Decimal::ZERO;
        for (n, press) in self.card.presses.iter().enumerate() {
            let on = ways.iter().flat_map(|way| &way.on);
            let there = on.filter(|(name, _)| *name == press.name.value);
            let forms: BTreeSet<Passes> = there.flat_map(|(_, forms)| forms.clone()).collect();
            if press.digital.is_some() || forms.is_empty() {
                continue;
            }
            let amount = known.entry((n, forms)).or_insert_with_key(|(_, forms)| {
                let hours = shown(self.washing_minutes(press, forms) / 60.0);
                cents(hours * press.hourly_rate.value.amount())
            });
            sum += *amount;
        }
        sum
    }

    fn price(&self, ways: &[&Way], washing: Decimal) -> Decimal {
        let mut lines = Lines::default();
        for ink in (0..self.plan.inks.len()).filter(|ink| self.is_tin(*ink)) {
            let rate = self.ink_rate(ink);
            let used: Vec<Decimal> = ways.iter().filter_map(|way| way.kilograms[ink]).collect();
            if !used.is_empty() {
                let used: Decimal = used.iter().sum();
                let least = shown(rate.smallest_order_kg.value);
                lines.add(used.max(least), rate.price_per_kg.value);
            }
        }
        let finishing = &self.card.finishing;
        let bound = self
            .job
            .parts
            .iter()
            .position(|part| is_bound_in(self.job, part));
        if let Some(part) = bound {
            let binding = match self.kind() {
                ProductKind::SaddleStitched => &finishing.stitch,
                _ => &finishing.bind,
            };
            lines.operation(binding.as_ref(), 1, self.copies(part).bound);
        }
        if self.kind() == ProductKind::Set {
            let parts = 0..self.job.parts.len();
            let leaves = parts.map(|part| self.copies(part).collated).sum();
            lines.operation(finishing.collate.as_ref(), 1, leaves);
        }
        let in_books = self.job.parts.iter().any(|part| part.leaves.value > 1);
        if self.kind() == ProductKind::Pad || self.kind() == ProductKind::Set && in_books {
            lines.operation(finishing.pad.as_ref(), 1, self.copies(0).bound);
        }
        if finishing.pack.is_some() {
            lines.operation(finishing.pack.as_ref(), 1, self.copies(0).packed);
        }
        let parts: Decimal = ways.iter().map(|way| way.cost).sum();
        self.closed(parts + washing + lines.0.iter().sum::<Decimal>())
    }

    fn prints(&self, part: usize, ink: usize) -> bool {
        let pages = self.plan.parts[part].pages.iter();
        pages
            .flat_map(|page| &page.inks)
            .any(|(id, _)| usize::from(id.0) == ink)
    }

    fn closed(&self, cost: Decimal) -> Decimal {
        let percent = |p: Percent| Decimal::try_from(p.percent()).unwrap();
        let profit = match self.card.profit.value {
            Profit::MarkUp(p) => cost * percent(p) / Decimal::ONE_HUNDRED,
            Profit::Margin(p) => cost * percent(p) / (Decimal::ONE_HUNDRED - percent(p)),
        };
        let price = cost + cents(profit);
        let step = self.card.round_total_to.value.amount();
        if step.is_zero() {
            return price;
        }
        (price / step).ceil() * step
    }
}

/// Quantity and rate of the paper line.
fn paper(stock: &Stock, needed: u64, sheet: &Sheet) -> (Decimal, Money) {
    let (bought, kept) = if let Some(reel) = sheet.off_reel {
        (needed, 1.0 - reel.waste)
    } else {
        let pack = stock.pack.value;
        (needed.div_ceil(pack) * pack, 1.0)
    };
    let kilograms = bought as f64 * sheet.parent_m2 * stock.gsm.value.value() / 1_000.0 / kept;
    match stock.price.value {
        PaperPrice::Tonne(price) => (
            shown(kilograms),
            Money::new(price.amount() / Decimal::ONE_THOUSAND),
        ),
        PaperPrice::Hundredweight(price) => (shown(kilograms / 45.359_237), price),
        PaperPrice::Ream(price) => (Decimal::from(bought) / Decimal::from(500), price),
        PaperPrice::ThousandSheets(price) | PaperPrice::Supplied { handling: price } => {
            (Decimal::from(bought) / Decimal::ONE_THOUSAND, price)
        }
    }
}
