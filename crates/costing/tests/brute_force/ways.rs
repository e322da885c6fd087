//! Every way to print a part, with its cost.

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

use inkset_costing::{InkKind, PrintPlan};
use inkset_spec::{
    Digital, InkRate, Job, OfferedInk, PaperKind, Press, ProductKind, RateCard, Role,
};
use rust_decimal::Decimal;

use crate::plates::Spot;
use crate::sections::{Class, divisions, is_bound_in, is_gathered};
use crate::sheets::{Counter, STYLES, Sheet, Style, off_reels, sheets};
use crate::versions::{self, Versions};
use crate::washing::{Passes, forms as hanging_forms};
use crate::waste::{at_speed, hours_running, input, through, whole};

/// A job on a card at one quantity.
pub(crate) struct Shop<'a> {
    pub(crate) job: &'a Job,
    pub(crate) card: &'a RateCard,
    pub(crate) plan: &'a PrintPlan,
    pub(crate) quantity: u64,
    pub(crate) counter: Counter,
    /// The cheapest combination, once it is found.
    pub(crate) cheapest: OnceCell<(Decimal, Vec<Way>)>,
}

/// Cost of one way to print a part, the kilograms used of every ink, and the pages of its sections.
#[derive(Debug, Clone)]
pub(crate) struct Way {
    pub(crate) cost: Decimal,
    /// `None` for an ink of which this way needs no tin.
    pub(crate) kilograms: Vec<Option<Decimal>>,
    pub(crate) digital: bool,
    /// Names of its presses, and what hangs on each for each kind of form.
    pub(crate) on: Vec<(String, BTreeSet<Passes>)>,
    pub(crate) sections: Vec<u32>,
    pub(crate) off_reel: bool,
    /// Where its plates hang; `None` on a digital press.
    pub(crate) spot: Option<Spot>,
    /// Whether those of another part stay on for it.
    pub(crate) kept: bool,
}

/// Copies into each step of a part.
pub(crate) struct Copies {
    pub(crate) cut: u64,
    pub(crate) folded: u64,
    pub(crate) collated: u64,
    pub(crate) gathered: u64,
    pub(crate) sewn: u64,
    pub(crate) bound: u64,
    pub(crate) inserted: u64,
    pub(crate) packed: u64,
}

/// What one or several classes of sections take on the press and at the cutter.
#[derive(Debug, Clone)]
pub(crate) struct Work {
    pub(crate) press_sheets: u64,
    /// On the first press and on a further one.
    pub(crate) on: [OnPress; 2],
    /// Minutes of changing the paper of runs whose plates stay on.
    pub(crate) paper_minutes: f64,
    pub(crate) cut_pieces: u64,
    pub(crate) cut_set_ups: u64,
    pub(crate) sections: Vec<u32>,
    pub(crate) kilograms: Vec<f64>,
    /// Sides printed by a digital press, by their inks.
    pub(crate) clicked: BTreeMap<u64, u64>,
}

/// What is done on one press.
#[derive(Debug, Clone, Default)]
pub(crate) struct OnPress {
    pub(crate) plates: u64,
    pub(crate) forms: BTreeSet<Passes>,
    pub(crate) make_ready_minutes: f64,
    /// Minutes of changing plates between versions.
    pub(crate) changing_minutes: f64,
    pub(crate) running_hours: f64,
    /// Whether some section has too many inks for one pass of it.
    pub(crate) lacks_units: bool,
}

impl OnPress {
    fn and(&self, other: &Self) -> Self {
        Self {
            plates: self.plates + other.plates,
            forms: self.forms.union(&other.forms).cloned().collect(),
            make_ready_minutes: self.make_ready_minutes + other.make_ready_minutes,
            changing_minutes: self.changing_minutes + other.changing_minutes,
            running_hours: self.running_hours + other.running_hours,
            lacks_units: self.lacks_units || other.lacks_units,
        }
    }
}

impl Work {
    pub(crate) fn none(inks: usize) -> Self {
        Self {
            press_sheets: 0,
            on: Default::default(),
            paper_minutes: 0.0,
            cut_pieces: 0,
            cut_set_ups: 0,
            sections: Vec::new(),
            kilograms: vec![0.0; inks],
            clicked: BTreeMap::new(),
        }
    }

    pub(crate) fn and(&self, other: &Self) -> Self {
        let kilograms = self.kilograms.iter().zip(&other.kilograms);
        Self {
            press_sheets: self.press_sheets + other.press_sheets,
            on: [0, 1].map(|at: usize| self.on[at].and(&other.on[at])),
            paper_minutes: self.paper_minutes + other.paper_minutes,
            cut_pieces: self.cut_pieces + other.cut_pieces,
            cut_set_ups: self.cut_set_ups + other.cut_set_ups,
            sections: [self.sections.as_slice(), &other.sections].concat(),
            kilograms: kilograms.map(|(one, other)| one + other).collect(),
            clicked: clicked(&self.clicked, &other.clicked),
        }
    }
}

/// A run: its press among those of the way, its number of inks, whether it is made ready, and plates changed at each stop
/// between versions.
pub(crate) type Run = (usize, u64, bool, u64);

/// What is printed of a section: plates on each press, runs in printing order, what hangs for each form.
pub(crate) struct Printing {
    pub(crate) plates: [u64; 2],
    pub(crate) runs: Vec<Run>,
    pub(crate) hangs: [Vec<Passes>; 2],
    pub(crate) lacks_units: [bool; 2],
}

impl<'a> Shop<'a> {
    pub(crate) fn new(
        job: &'a Job,
        card: &'a RateCard,
        plan: &'a PrintPlan,
        quantity: u64,
    ) -> Self {
        Self {
            job,
            card,
            plan,
            quantity,
            counter: Counter::default(),
            cheapest: OnceCell::new(),
        }
    }

    pub(crate) fn kind(&self) -> ProductKind {
        self.job.product.kind.value
    }

    pub(crate) fn is_folded(&self, part: usize) -> bool {
        let part = &self.job.parts[part];
        match self.kind() {
            ProductKind::Flat | ProductKind::Pad | ProductKind::Set => false,
            ProductKind::Folded => true,
            _ if part.role.value == Role::LooseInsert => part.pages.value > 2,
            ProductKind::SaddleStitched => true,
            _ => part.role.value != Role::Cover,
        }
    }

    /// Copies of a part, last step to first.
    pub(crate) fn copies(&self, part: usize) -> Copies {
        let finishing = &self.card.finishing;
        let overs = Decimal::ONE_HUNDRED + Decimal::try_from(self.job.overs.percent()).unwrap();
        let delivered = if self.job.versions.is_empty() {
            whole(Decimal::from(self.quantity) * overs, Decimal::ONE_HUNDRED)
        } else {
            versions::delivered(self.job, self.quantity).iter().sum()
        };
        let when = |goes: bool, operation, good| {
            if goes { through(operation, good) } else { good }
        };
        let part_of_job = &self.job.parts[part];
        let (bound_in, gathered_in) = (
            is_bound_in(self.job, part_of_job),
            is_gathered(self.job, part_of_job),
        );
        let stitched = self.kind() == ProductKind::SaddleStitched;
        let laid_in = |p: &inkset_spec::Part| p.role.value == Role::LooseInsert;
        let lays_in = self.job.parts.iter().any(laid_in);
        let packed = through(finishing.pack.as_ref(), delivered);
        let inserted = when(lays_in, finishing.insert.as_ref(), packed);
        let binding = if stitched {
            &finishing.stitch
        } else {
            &finishing.bind
        };
        let bound = when(bound_in, binding.as_ref(), inserted);
        let leaves = self.job.parts.iter().any(|part| part.leaves.value > 1);
        let pads = match self.kind() {
            ProductKind::Pad => true,
            ProductKind::Set => leaves,
            _ => false,
        };
        let bound = when(pads, finishing.pad.as_ref(), bound);
        let sews = gathered_in && self.kind() == ProductKind::SectionSewn;
        let sewn = when(sews, finishing.sew.as_ref(), bound);
        let gathered = when(gathered_in, finishing.gather.as_ref(), sewn);
        let leaves = gathered * u64::from(part_of_job.leaves.value);
        let collates = self.kind() == ProductKind::Set;
        let collated = when(collates, finishing.collate.as_ref(), leaves);
        let folded = when(self.is_folded(part), finishing.fold.as_ref(), collated);
        Copies {
            cut: through(finishing.cut.as_ref(), folded),
            folded,
            collated,
            gathered,
            sewn,
            bound,
            inserted,
            packed,
        }
    }

    /// Every way to print a part.
    pub(crate) fn ways(&self, part: usize) -> Vec<Way> {
        let (job_part, stock) = (&self.job.parts[part], &self.card.stocks[0]);
        let all = divisions(self.job, self.card, job_part);
        let mut ways = Vec::new();
        for press in &self.card.presses {
            if stock.gsm.value < press.lightest.value || stock.gsm.value > press.heaviest.value {
                continue;
            }
            let holds = |sheet: &Sheet| {
                let classes = all.iter().flatten();
                let counts = classes.flat_map(|class| {
                    let shapes = (0..class.shapes.len()).map(|n| class.only(n));
                    let shapes: Vec<Class> = shapes.collect();
                    shapes.into_iter().flat_map(|shape| {
                        STYLES.map(|style| self.counter.number_up(style, (sheet, press), &shape))
                    })
                });
                counts.collect()
            };
            let cut_off = off_reels((self.job, self.card), press, holds);
            let on_sale = sheets(self.job, stock, press).into_iter();
            for sheet in on_sale.chain(cut_off) {
                let takes = |class: &Class| {
                    let place = (&sheet, press);
                    self.counter.number_up(Style::Sheetwise, place, class) > 0
                };
                let fit = all.iter().filter(|classes| classes.iter().all(takes));
                let fit: Vec<_> = fit.collect();
                let count = |classes: &[Class]| -> usize {
                    classes.iter().map(|class| class.sections.len()).sum()
                };
                let fewest = fit.iter().map(|classes| count(classes)).min().unwrap_or(0);
                for classes in fit.into_iter().filter(|c| count(c) <= 2 * fewest) {
                    for layouts in 1..=self.most_layouts(part) {
                        let own = (part, layouts);
                        if let Some(digital) = &press.digital {
                            let work = self.clicked_work(own, (&sheet, press, digital), classes);
                            let place = (&sheet, [press; 2]);
                            ways.extend(work.map(|work| self.priced(part, place, &work)));
                            continue;
                        }
                        for work in self.works(own, (&sheet, press), classes) {
                            ways.push(self.priced(part, (&sheet, [press; 2]), &work));
                        }
                        if self.kind() == ProductKind::Set {
                            ways.extend(self.leaves_of_set(part, (&sheet, press), classes));
                        }
                    }
                }
                ways.extend(self.on_two_presses(part, (&sheet, press), &all));
            }
        }
        ways
    }

    /// The ways of a leaf of a set from plates that may stay on for others, or that do.
    fn leaves_of_set(&self, part: usize, place: (&Sheet, &Press), classes: &[Class]) -> Vec<Way> {
        let [class] = classes else {
            panic!("a leaf is one class");
        };
        let mut ways = Vec::new();
        for style in STYLES {
            let up = self.counter.number_up(style, place, class);
            if up == 0 || style == Style::Perfecting && !place.1.perfecting.value {
                continue;
            }
            let spot = Some(Spot::new(place, style, up));
            let named = (0..self.job.parts.len()).any(|n| self.job.plates_of(n) == Some(part));
            let own = self.work((part, 1), place.1, (class, style, up));
            let own = own.filter(|_| named);
            let kept = self.kept_work(part, place.1, (class, style, up));
            for (work, kept) in [(own, false), (kept, true)] {
                let spot = spot.clone();
                let priced = work.map(|work| self.priced(part, (place.0, [place.1; 2]), &work));
                ways.extend(priced.map(|way| Way { spot, kept, ..way }));
            }
        }
        ways
    }

    /// The work of a division on a digital press, which prints both sides of every sheet in one pass.
    fn clicked_work(
        &self,
        (part, layouts): (usize, usize),
        (sheet, press, digital): (&Sheet, &Press, &Digital),
        classes: &[Class],
    ) -> Option<Work> {
        let copies = self.copies(part);
        let job_part = &self.job.parts[part];
        let stitched = self.kind() == ProductKind::SaddleStitched;
        let alone = stitched && is_bound_in(self.job, job_part) || is_gathered(self.job, job_part);
        let mut work = Work::none(self.plan.inks.len());
        let mut first: Option<Vec<u64>> = None;
        let on_sheet = clicks_of_sheet(sheet, digital);
        for class in classes {
            let up = self
                .counter
                .number_up(Style::Sheetwise, (sheet, press), class);
            for pages in &class.sections {
                let sides = [0, 1].map(|side| self.inks_on(part, &pages[side]));
                let all = sides.iter().flatten();
                if !all
                    .into_iter()
                    .all(|ink| self.is_offered(digital, usize::from(*ink)))
                {
                    return None;
                }
                let inks = sides
                    .iter()
                    .map(|side| side.len() as u64)
                    .filter(|n| *n > 0);
                let inks: Vec<u64> = inks.collect();
                if inks
                    .iter()
                    .any(|n| *n > u64::from(digital.clicks.last().unwrap().inks.value))
                {
                    return None;
                }
                let separate = up > 1 || !alone;
                let pieces = if separate { copies.cut } else { copies.folded };
                let changes = pages
                    .iter()
                    .any(|pages| !self.changing(part, pages).is_empty());
                let place = (Style::Sheetwise, up);
                let (good, pieces) = if changes {
                    let sheets = self.divided((part, layouts), pieces, place).sheets;
                    (sheets, sheets * u64::from(up))
                } else {
                    (pieces.div_ceil(u64::from(up)), pieces)
                };
                if separate {
                    work.cut_pieces += pieces;
                    work.cut_set_ups += 1;
                }
                work.sections.push(class.pages);
                if inks.is_empty() {
                    work.press_sheets += good;
                    continue;
                }
                let sheets = input(good, digital.run_spoilage.percent());
                work.press_sheets += sheets;
                work.on[0].running_hours += hours_running(press, sheets) * inks.len() as f64;
                for n in &inks {
                    *work.clicked.entry(*n).or_default() += sheets * on_sheet;
                }
                first.get_or_insert(inks);
            }
        }
        if let Some(inks) = first {
            let sheets = press.make_ready_sheets.value;
            work.press_sheets += sheets;
            work.on[0].make_ready_minutes = press.make_ready_minutes.value;
            for n in inks {
                *work.clicked.entry(n).or_default() += sheets * on_sheet;
            }
        }
        Some(work)
    }

    fn is_offered(&self, digital: &Digital, ink: usize) -> bool {
        let offers = |wanted: OfferedInk| digital.solids.iter().any(|solid| solid.value == wanted);
        match self.plan.inks[ink].kind {
            InkKind::Process(_) => true,
            InkKind::Solid => offers(OfferedInk::AnySolid),
            InkKind::Effect(effect) => offers(OfferedInk::Effect(effect)),
            InkKind::Extended(_) => unreachable!("no random job has one"),
        }
    }

    /// The work of a division, with every style of every class.
    fn works(&self, part: (usize, usize), place: (&Sheet, &Press), classes: &[Class]) -> Vec<Work> {
        let mut all = vec![Work::none(self.plan.inks.len())];
        for class in classes {
            let styles = STYLES.into_iter().filter_map(|style| {
                let possible = style != Style::Perfecting || place.1.perfecting.value;
                let up = self.counter.number_up(style, place, class);
                (possible && up > 0)
                    .then(|| self.work(part, place.1, (class, style, up)))
                    .flatten()
            });
            let styles: Vec<Work> = styles.collect();
            let and_each = |before: &Work| styles.iter().map(|s| before.and(s)).collect::<Vec<_>>();
            all = all.iter().flat_map(and_each).collect();
        }
        all
    }

    /// What a class takes in a style; `None` where the style cannot print it.
    pub(crate) fn work(
        &self,
        part: (usize, usize),
        press: &Press,
        (class, style, up): (&Class, Style, u32),
    ) -> Option<Work> {
        let units = u64::from(press.units.value);
        self.work_of(part, [press; 2], (class, style, up), |sides, changing| {
            let (forms, runs) = forms_and_runs(style, (sides, changing), units)?;
            let hangs = hanging_forms(style, [&sides[0], &sides[1]], units as usize);
            Some(Printing {
                plates: [forms.iter().sum(), 0],
                runs: runs
                    .into_iter()
                    .map(|(n, ready, changes)| (0, n, ready, changes))
                    .collect(),
                hangs: [hangs, Vec::new()],
                lacks_units: [false; 2],
            })
        })
    }

    /// What a class takes on one press or two, by what is printed of each section.
    pub(crate) fn work_of(
        &self,
        (part, layouts): (usize, usize),
        presses: [&Press; 2],
        (class, style, up): (&Class, Style, u32),
        printing: impl Fn(&[BTreeSet<u16>; 2], &[BTreeSet<u16>; 2]) -> Option<Printing>,
    ) -> Option<Work> {
        let copies = self.copies(part);
        let stitched = self.kind() == ProductKind::SaddleStitched;
        let job_part = &self.job.parts[part];
        let alone = stitched && is_bound_in(self.job, job_part) || is_gathered(self.job, job_part);
        let trim = self.job.product.trim.value;
        let page_m2 = trim.width.mm() * trim.height.mm() / 1e6;
        let mut work = Work::none(self.plan.inks.len());
        for pages in &class.sections {
            let sides = [0, 1].map(|side| self.inks_on(part, &pages[side]));
            let changing = [0, 1].map(|side| self.changing(part, &pages[side]));
            let printing = printing(&sides, &changing)?;
            work.sections.push(class.pages);
            for (at, on) in work.on.iter_mut().enumerate() {
                on.plates += printing.plates[at];
                on.forms.extend(printing.hangs[at].iter().cloned());
                on.lacks_units |= printing.lacks_units[at];
            }
            let separate = up > 1 || !alone;
            let pieces = if separate { copies.cut } else { copies.folded };
            let runs = &printing.runs;
            let (versions, pieces) = if runs.iter().any(|(.., changes)| *changes > 0) {
                let versions = self.divided((part, layouts), pieces, (style, up));
                let cut = versions.sheets * u64::from(up);
                (versions, cut)
            } else {
                let sheets = pieces.div_ceil(u64::from(up));
                (Versions { sheets, stops: 0 }, pieces)
            };
            if separate {
                work.cut_pieces += pieces;
                work.cut_set_ups += 1;
            }
            for (at, _, _, changes) in runs.iter().filter(|(_, _, made_ready, _)| *made_ready) {
                work.on[*at].plates += versions.stops * changes;
            }
            let sheets = self.run(presses, (runs, versions), &mut work);
            work.press_sheets += sheets;
            for (ink, kg) in self.ink(part, pages, page_m2 * f64::from(up) * sheets as f64) {
                work.kilograms[ink] += kg;
            }
            for ink in hung(style, &sides) {
                let loss = self.ink_rate(usize::from(ink)).fixed_loss_kg.value;
                work.kilograms[usize::from(ink)] += loss;
            }
        }
        Some(work)
    }

    /// Sheets into the first run.
    fn run(
        &self,
        presses: [&Press; 2],
        (runs, versions): (&[Run], Versions),
        work: &mut Work,
    ) -> u64 {
        let Versions { mut sheets, stops } = versions;
        for (at, inks, made_ready, changes) in runs.iter().rev() {
            let (press, on) = (presses[*at], &mut work.on[*at]);
            sheets = at_speed(self.card, sheets);
            on.running_hours += hours_running(press, sheets);
            if *made_ready {
                on.make_ready_minutes += press.make_ready_minutes.value
                    + press.make_ready_minutes_per_ink.value * *inks as f64;
                sheets +=
                    press.make_ready_sheets.value + press.make_ready_sheets_per_ink.value * inks;
            }
            if *changes > 0 {
                sheets += stops * press.plate_change_sheets.value;
                let plates = (stops * changes) as f64;
                on.changing_minutes += plates * press.plate_change_minutes.value;
            }
        }
        sheets
    }

    pub(crate) fn ink_rate(&self, ink: usize) -> &InkRate {
        match self.plan.inks[ink].kind {
            InkKind::Process(_) => &self.card.inks.process,
            InkKind::Solid => &self.card.inks.solid,
            InkKind::Effect(_) => &self.card.inks.effects[0].1,
            InkKind::Extended(_) => unreachable!("no random job has one"),
        }
    }

    pub(crate) fn inks_on(&self, part: usize, pages: &[u32]) -> BTreeSet<u16> {
        let all = self.plan.parts[part].pages.iter();
        let on = all.filter(|page| pages.contains(&page.page));
        on.flat_map(|page| page.inks.iter().map(|(ink, _)| ink.0))
            .collect()
    }

    pub(crate) fn ink(&self, part: usize, pages: &[Vec<u32>; 2], m2: f64) -> Vec<(usize, f64)> {
        let all = self.plan.parts[part].pages.iter();
        let on = all.filter(|page| pages.iter().flatten().any(|p| *p == page.page));
        let used = on.flat_map(|page| {
            let inks = page.inks.iter();
            inks.map(|(ink, share)| (usize::from(ink.0), *share))
        });
        used.map(|(ink, share)| (ink, share * m2 * self.film(ink) / 1_000.0))
            .collect()
    }

    fn film(&self, ink: usize) -> f64 {
        let rate = self.ink_rate(ink);
        match self.card.stocks[0].kind.value {
            PaperKind::Coated => rate.film_coated.value,
            PaperKind::Uncoated => rate.film_uncoated.value,
            PaperKind::Newsprint => rate.film_newsprint.value,
        }
    }
}

fn clicked(one: &BTreeMap<u64, u64>, other: &BTreeMap<u64, u64>) -> BTreeMap<u64, u64> {
    let mut all = one.clone();
    for (inks, clicks) in other {
        *all.entry(*inks).or_default() += clicks;
    }
    all
}

/// Clicks of one side of a sheet: as many as the area of the sheet of one click goes into it, the rest counted full.
fn clicks_of_sheet(sheet: &Sheet, digital: &Digital) -> u64 {
    let Some(one) = digital.click_sheet else {
        return 1;
    };
    // Tenths of a millimetre: every size of these jobs is whole in them.
    let area = |w: f64, h: f64| (w * 10.0).round() as u64 * (h * 10.0).round() as u64;
    area(sheet.edges.0, sheet.edges.1)
        .div_ceil(area(one.width.mm(), one.height.mm()))
        .max(1)
}

/// A run without its press.
type PlainRun = (u64, bool, u64);

/// Forms (inks each) and runs of a section; `None` where the style cannot print it.
fn forms_and_runs(
    style: Style,
    ([front, back], [new_front, new_back]): (&[BTreeSet<u16>; 2], &[BTreeSet<u16>; 2]),
    units: u64,
) -> Option<(Vec<u64>, Vec<PlainRun>)> {
    let inks = |set: &BTreeSet<u16>| set.len() as u64;
    let both = !front.is_empty() && !back.is_empty();
    // Inks and changed plates of each pass, in printing order.
    let passes = |form: &BTreeSet<u16>, new: &BTreeSet<u16>| -> Vec<(u64, u64)> {
        let form: Vec<u16> = form.iter().copied().collect();
        let pass = |inks: &[u16]| {
            let changed = inks.iter().filter(|ink| new.contains(ink)).count();
            (inks.len() as u64, changed as u64)
        };
        form.chunks(units as usize).map(pass).collect()
    };
    match style {
        Style::Sheetwise => {
            let forms = [inks(front), inks(back)].into_iter().filter(|n| *n > 0);
            let runs = passes(front, new_front)
                .into_iter()
                .chain(passes(back, new_back));
            let runs = runs.map(|(n, changes)| (n, true, changes)).collect();
            Some((forms.collect(), runs))
        }
        Style::Turn | Style::Tumble => both.then(|| {
            let form: BTreeSet<u16> = front.union(back).copied().collect();
            let new: BTreeSet<u16> = new_front.union(new_back).copied().collect();
            let runs = passes(&form, &new).into_iter();
            let runs = runs.flat_map(|(n, changes)| [(n, true, changes), (n, false, changes)]);
            (vec![inks(&form)], runs.collect())
        }),
        Style::Perfecting => {
            let all = inks(front) + inks(back);
            let changes = inks(new_front) + inks(new_back);
            (both && all <= units)
                .then(|| (vec![inks(front), inks(back)], vec![(all, true, changes)]))
        }
    }
}

/// Inks by the times that they are hung with a plate.
fn hung(style: Style, sides: &[BTreeSet<u16>; 2]) -> Vec<u16> {
    match style {
        Style::Turn | Style::Tumble => sides[0].union(&sides[1]).copied().collect(),
        _ => sides.iter().flatten().copied().collect(),
    }
}
