//! Inks of a plan with their rates, and the runs that each way of printing needs for them.

use inkset_layout::{
    Form, FormSide, InkId, InkKind, InkSpec, PartInks, PrintPlan, Run, Scheme, Section,
    SectionClass, WorkStyle, runs,
};
use inkset_spec::{InkRate, PaperKind, Press, RateCard};
use inkset_units::{Currency, Size};

use crate::clicks::offers;
use crate::error::CannotPrint;
use crate::further_press::{Division, Further, OnPress, Pair, SidesPrinted, lacks_units};
use crate::hanging::{Chain, Hung, hung};
use crate::kept::{Same, SameSides};
use crate::press::RunShape;
use crate::rate::{Rate, thousandths};
use crate::versions::{Change, plates_changed};
use crate::ways::Way;

/// Most inks of one plan: with those that hang before the job, each on both sides of a turn, 128 are told apart.
const MOST_INKS: usize = 48;

/// One ink of the plan with its rates.
#[derive(Debug)]
pub(crate) struct InkCost<'a> {
    pub(crate) spec: &'a InkSpec,
    pub(crate) given: &'a InkRate,
    pub(crate) rate: Rate,
    /// Least that is bought for a job, thousandths of a kilogram.
    pub(crate) smallest_order: i64,
}

impl InkCost<'_> {
    /// Film in g/m² at full coverage.
    pub(crate) fn film(&self, paper: PaperKind) -> f64 {
        match paper {
            PaperKind::Coated => self.given.film_coated.value,
            PaperKind::Uncoated => self.given.film_uncoated.value,
            PaperKind::Newsprint => self.given.film_newsprint.value,
        }
    }
}

/// Finds the rates of all inks of a plan.
pub(crate) fn ink_costs<'a>(
    plan: &'a PrintPlan,
    card: &'a RateCard,
    currency: Currency,
) -> Result<Vec<InkCost<'a>>, CannotPrint> {
    if plan.inks.len() > MOST_INKS {
        return Err(CannotPrint::TooManyInks {
            inks: plan.inks.len(),
            limit: MOST_INKS,
        });
    }
    let cost = |spec: &'a InkSpec| {
        let given = find_rate(spec, card).ok_or_else(|| CannotPrint::NoInkRate {
            ink: spec.name.clone(),
            entry: spec.named_rate.clone(),
        })?;
        Ok(InkCost {
            spec,
            given,
            rate: Rate::new(given.price_per_kg.value, currency),
            smallest_order: thousandths(given.smallest_order_kg.value)
                .ok_or(CannotPrint::AmountTooLarge)?,
        })
    };
    let pages = plan.parts.iter().flat_map(|part| &part.pages);
    let mut ids = pages.flat_map(|page| page.inks.iter().map(|(ink, _)| usize::from(ink.0)));
    if let Some(ink) = ids.find(|ink| *ink >= plan.inks.len()) {
        return Err(CannotPrint::UnknownInk { ink });
    }
    plan.inks.iter().map(cost).collect()
}

fn find_rate<'a>(spec: &InkSpec, card: &'a RateCard) -> Option<&'a InkRate> {
    if let Some(name) = &spec.named_rate {
        let named = card.inks.named.iter();
        return named
            .clone()
            .find(|(n, _)| n.value == *name)
            .map(|(_, rate)| rate);
    }
    match spec.kind {
        InkKind::Process(_) => Some(&card.inks.process),
        // An extended ink is always priced by an entry of its own.
        InkKind::Extended(_) => None,
        InkKind::Solid => Some(&card.inks.solid),
        InkKind::Effect(effect) => {
            let effects = card.inks.effects.iter();
            effects
                .clone()
                .find(|(e, _)| *e == effect)
                .map(|(_, rate)| rate)
        }
    }
}

/// Sections of a class that are printed with the same runs.
#[derive(Debug)]
pub(crate) struct SectionGroup {
    pub(crate) runs: Vec<RunShape>,
    /// Which press prints which side.
    pub(crate) printed: SidesPrinted,
    /// Inks of the front and the back on a digital press; 0 on presses with plates.
    pub(crate) clicked: [u32; 2],
    /// Forms of which plates change between versions.
    pub(crate) changing_forms: u32,
    /// How many sections.
    pub(crate) sections: u32,
    /// Area that each ink covers on these sections of one copy, m².
    pub(crate) areas: Vec<(usize, f64)>,
}

/// What a class of sections needs in one style on a press, or on a pair of presses, with so many units.
#[derive(Debug, Default)]
pub(crate) struct ClassRuns {
    pub(crate) groups: Vec<SectionGroup>,
    pub(crate) sections: u32,
    /// On the press of the way, and on its further press.
    pub(crate) on: [PressRuns; 2],
    /// Forms of which some plate is made; on two presses each counts once.
    pub(crate) forms: u32,
    /// How often each ink is hung with a plate.
    pub(crate) hung: Vec<(usize, u32)>,
    /// Most inks on one form.
    pub(crate) most_inks: u32,
    /// Whether some section has too many inks for one pass of the press, or for the further press alone.
    pub(crate) lacks_units: [bool; 2],
}

/// What a class needs on one press.
#[derive(Debug, Default)]
pub(crate) struct PressRuns {
    pub(crate) plates: u32,
    /// Number of forms by the plates that are made of each; forms without left out.
    pub(crate) forms: Vec<(u32, u32)>,
    /// Kinds of form with the inks of each pass, each kind once.
    pub(crate) chains: Vec<Chain>,
    /// Most inks that it prints of one form.
    pub(crate) most_inks: u32,
    /// Runs of all sections.
    pub(crate) runs: u32,
    /// Of these, those that are made ready, and the inks hung for them.
    pub(crate) made_ready: [u32; 2],
}

/// The forms of a section by their side: inks, plates made, plates that change between versions.
type SectionForms = Vec<(FormSide, [u32; 3])>;

/// Inks of a section: in printing order on each side, and area by ink on both.
struct SectionInks {
    sides: [Vec<InkId>; 2],
    /// Those of them whose plates change between versions.
    changing: [Vec<InkId>; 2],
    areas: Vec<(usize, f64)>,
    /// What they have in common with those of the part whose plates may stay on.
    same: Option<SameSides>,
}

impl SectionInks {
    fn sides(&self) -> [&[InkId]; 2] {
        [&self.sides[0], &self.sides[1]]
    }
}

fn section_inks(section: &Section, view: &PartView<'_>) -> SectionInks {
    let (inks, page_m2) = (view.inks, view.page.area_m2());
    let mut areas: Vec<(usize, f64)> = Vec::new();
    let mut side = |pages: &[u32]| {
        let mut ids = Vec::new();
        for (ink, coverage) in pages.iter().flat_map(|page| inks.on_page(*page)) {
            ids.push(*ink);
            add_to(&mut areas, usize::from(ink.0), coverage * page_m2);
        }
        ids.sort_unstable();
        ids.dedup();
        ids
    };
    let sides = [side(&section.outer), side(&section.inner)];
    let changing = view.change.as_ref();
    SectionInks {
        sides,
        changing: changing.map_or_else(Default::default, |c| c.of_section(section, inks)),
        areas,
        same: view
            .same
            .as_ref()
            .map(|(same, other)| same.sides(section, [inks, other])),
    }
}

pub(crate) fn add_to<K: PartialEq, T: std::ops::AddAssign>(
    list: &mut Vec<(K, T)>,
    key: K,
    value: T,
) {
    match list.iter_mut().find(|(k, _)| *k == key) {
        Some((_, sum)) => *sum += value,
        None => list.push((key, value)),
    }
}

/// What of a press decides which runs an ink set needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum PressShape {
    /// So many units, a plate on each.
    Plates(u32),
    /// A digital press.
    Digital {
        /// Most inks of a side.
        most: u32,
        /// Which inks of the plan it has.
        has: Vec<bool>,
    },
}

impl PressShape {
    /// `None` of a digital press.
    fn units(&self) -> Option<u32> {
        match self {
            Self::Plates(units) => Some(*units),
            Self::Digital { .. } => None,
        }
    }

    pub(crate) fn new(press: &Press, plan: &PrintPlan) -> Self {
        match &press.digital {
            None => Self::Plates(press.units.value),
            Some(digital) => Self::Digital {
                most: digital.clicks.last().map_or(0, |click| click.inks.value),
                has: plan.inks.iter().map(|ink| offers(digital, ink)).collect(),
            },
        }
    }
}

/// By scheme, class, shape, style.
type Table = Vec<Vec<Vec<[Option<ClassRuns>; 4]>>>;

/// By scheme, class, style.
type PairTable = Vec<Vec<[Option<ClassRuns>; 4]>>;

/// The runs of one part under one plan, for every division, class, style and shape of press.
#[derive(Debug)]
pub(crate) struct PartRuns {
    /// By scheme, class, shape, style.
    table: Table,
    /// The same from plates that stay on; empty where the part names no other.
    kept: Table,
    /// By pair of presses, for each number of inks that the first may print; empty where a pair is not tried.
    pairs: Vec<Vec<(usize, PairTable)>>,
    /// Index of its shape, by press.
    shapes: Vec<usize>,
    /// Film by ink on this part's paper, g/m².
    pub(crate) films: Vec<f64>,
    /// Inks printed on some page, by index, ascending.
    printed: Vec<usize>,
    /// What changes between versions.
    pub(crate) change: Option<Change>,
    /// What the part has in common with the part whose plates may stay on.
    pub(crate) same: Option<Same>,
}

/// Part, its inks and the presses' unit numbers.
pub(crate) struct PartView<'a> {
    pub(crate) schemes: &'a [Scheme],
    /// Presses that may print it one after the other.
    pub(crate) pairs: &'a [Pair],
    pub(crate) inks: &'a PartInks,
    pub(crate) page: Size,
    pub(crate) paper: PaperKind,
    pub(crate) change: Option<Change>,
    /// What the part has in common with another, and the inks of that.
    pub(crate) same: Option<(Same, &'a PartInks)>,
}

impl PartRuns {
    /// `shapes` are those of the card's presses, in its order.
    pub(crate) fn new(view: &PartView<'_>, inks: &[InkCost<'_>], shapes: &[PressShape]) -> Self {
        let mut distinct: Vec<&PressShape> = Vec::new();
        let index =
            |shape: &PressShape, known: &[&PressShape]| known.iter().position(|k| *k == shape);
        for shape in shapes {
            if index(shape, &distinct).is_none() {
                distinct.push(shape);
            }
        }
        let schemes = view.schemes.iter();
        let schemes: Vec<Vec<Vec<SectionInks>>> = schemes
            .map(|scheme| {
                let classes = scheme.classes.iter();
                classes.map(|class| inks_of_class(class, view)).collect()
            })
            .collect();
        let class_table = |sections: &[SectionInks], kept: bool| {
            let by_style = |shape: &&PressShape| {
                STYLES.map(|style| class_runs(sections, (style, kept), shape))
            };
            distinct.iter().map(by_style).collect()
        };
        let printed = printed(view.inks);
        let is_process = |ink: &&usize| inks[**ink].spec.kind.is_process();
        let process = printed.iter().filter(is_process).count();
        let table = |kept: bool| {
            let classes = schemes.iter().map(|classes| classes.iter());
            classes
                .map(|classes| classes.map(|class| class_table(class, kept)).collect())
                .collect()
        };
        Self {
            table: table(false),
            kept: if view.same.is_some() {
                table(true)
            } else {
                Vec::new()
            },
            pairs: pair_tables((view.pairs, shapes), &schemes, (&printed, process)),
            shapes: shapes
                .iter()
                .filter_map(|shape| index(shape, &distinct))
                .collect(),
            films: inks.iter().map(|ink| ink.film(view.paper)).collect(),
            printed,
            change: view.change.clone(),
            same: view.same.as_ref().map(|(same, _)| same.clone()),
        }
    }

    /// Whether the part is printed with an ink.
    pub(crate) fn prints(&self, ink: usize) -> bool {
        self.printed.binary_search(&ink).is_ok()
    }

    /// Inks printed on some page, by index, ascending.
    pub(crate) fn printed(&self) -> &[usize] {
        &self.printed
    }

    /// Runs of a class in a way; `None` if the way cannot print it.
    pub(crate) fn class(&self, way: &Way, class: usize) -> Option<&ClassRuns> {
        let (at, style) = ((way.scheme, class), way.placements[class].style);
        if let Some(Further { pair, first_inks }) = way.further {
            let style = STYLES.iter().position(|own| *own == style)?;
            let mut tables = self.pairs[pair].iter();
            let (_, table) = tables.find(|(number, _)| *number == first_inks)?;
            return table[way.scheme][class][style].as_ref();
        }
        if way.plates.are_kept() {
            return self.of_table(&self.kept, at, (style, way.press));
        }
        self.of_own_plates(at, (style, way.press))
    }

    /// Runs of a class in a style on one press, from the part's own plates.
    pub(crate) fn of_own_plates(
        &self,
        at: (usize, usize),
        style: (WorkStyle, usize),
    ) -> Option<&ClassRuns> {
        self.of_table(&self.table, at, style)
    }

    /// The ways that can print the inks; on two presses with each number of inks for the first.
    pub(crate) fn open(&self, ways: &[Way]) -> Vec<Way> {
        let with = |way: &Way| -> Vec<Way> {
            let Some(further) = way.further else {
                return vec![way.clone()];
            };
            let with = |(first_inks, _): &(usize, PairTable)| Way {
                further: Some(Further {
                    first_inks: *first_inks,
                    ..further
                }),
                ..way.clone()
            };
            self.pairs[further.pair].iter().map(with).collect()
        };
        let all = ways.iter().flat_map(with);
        all.filter(|way| self.can_print(way)).collect()
    }

    /// Whether a way can print the inks.
    fn can_print(&self, way: &Way) -> bool {
        let mut classes = 0..way.placements.len();
        classes.all(|class| self.class(way, class).is_some()) && self.suits(way)
    }

    /// Whether a way has the presses that the inks need: a further press only where neither press has units enough, and a
    /// press that is to be followed by one only where it has.
    fn suits(&self, way: &Way) -> bool {
        if way.further.is_none() && !way.only_in_one_pass {
            return true;
        }
        let classes = 0..way.placements.len();
        let lacking = classes.filter_map(|class| self.class(way, class));
        let lacks = lacking.fold([false; 2], |all, class| {
            [0, 1].map(|at: usize| all[at] || class.lacks_units[at])
        });
        if way.further.is_some() {
            lacks == [true; 2]
        } else {
            !lacks[0]
        }
    }

    fn of_table<'t>(
        &self,
        table: &'t Table,
        (scheme, class): (usize, usize),
        (style, press): (WorkStyle, usize),
    ) -> Option<&'t ClassRuns> {
        let shape = self.shapes[press];
        let style = STYLES.iter().position(|s| *s == style)?;
        table.get(scheme)?[class][shape][style].as_ref()
    }
}

const STYLES: [WorkStyle; 4] = [
    WorkStyle::Sheetwise,
    WorkStyle::WorkAndTurn,
    WorkStyle::WorkAndTumble,
    WorkStyle::Perfecting,
];

fn printed(part: &PartInks) -> Vec<usize> {
    let on_pages = part.pages.iter().flat_map(|page| &page.inks);
    let mut used: Vec<usize> = on_pages.map(|(ink, _)| usize::from(ink.0)).collect();
    used.sort_unstable();
    used.dedup();
    used
}

/// What hangs for each pass of each form; the turn of a perfecting press lies between its two forms.
fn chains(style: WorkStyle, forms: &[Form], units: u32) -> Vec<Chain> {
    let ids = |inks: &[InkId], turned| inks.iter().map(|ink| hung(ink.0, turned)).collect();
    if style == WorkStyle::Perfecting {
        let all = forms.iter().enumerate();
        let all = all.map(|(n, form)| -> Vec<Hung> { ids(&form.inks, n > 0) });
        return vec![vec![all.collect::<Vec<_>>().concat()]];
    }
    let passes = |form: &Form| {
        let chunks = form.inks.chunks(units.max(1) as usize);
        chunks.map(|inks| ids(inks, false)).collect()
    };
    forms
        .iter()
        .map(passes)
        .filter(|chain: &Chain| !chain.is_empty())
        .collect()
}

fn inks_of_class(class: &SectionClass, view: &PartView<'_>) -> Vec<SectionInks> {
    let sections = class.sections.iter();
    sections
        .map(|section| section_inks(section, view))
        .collect()
}

/// The runs of a class, `kept` from plates that stay on.
fn class_runs(
    sections: &[SectionInks],
    (style, kept): (WorkStyle, bool),
    shape: &PressShape,
) -> Option<ClassRuns> {
    let mut all = ClassRuns::of(sections);
    for section in sections {
        let sides = section.sides();
        match shape {
            PressShape::Plates(units) => {
                let presses = OnPress::alone(style, sides, *units)?;
                let same = section.same.as_ref().filter(|_| kept);
                all.lacks_units[0] |= lacks_units(style, sides, *units);
                all.add_section(section, same, &presses);
            }
            PressShape::Digital { .. } if kept => return None,
            PressShape::Digital { most, has } => {
                let prints = section
                    .sides
                    .iter()
                    .flatten()
                    .all(|ink| has[usize::from(ink.0)]);
                let fits = section
                    .sides
                    .iter()
                    .all(|side| side.len() <= *most as usize);
                if style != WorkStyle::Sheetwise || !prints || !fits {
                    return None;
                }
                all.add_clicked(section);
            }
        }
    }
    let mut runs = all.groups.iter().flat_map(|group| &group.runs);
    (!kept || runs.any(|run| run.kept)).then_some(all)
}

/// Runs on every pair of presses of which neither has units enough, by the number of inks that the first prints.
///
/// It prints as many as it has units for on every form, or in every perfecting pass, or the process inks alone.
fn pair_tables(
    (pairs, shapes): (&[Pair], &[PressShape]),
    schemes: &[Vec<Vec<SectionInks>>],
    (printed, process): (&[usize], usize),
) -> Vec<Vec<(usize, PairTable)>> {
    let sections = || schemes.iter().flatten().flatten();
    let lacks = |style, units| sections().any(|s| lacks_units(style, s.sides(), units));
    let table = |division: Division| -> PairTable {
        let by_class =
            |sections: &Vec<SectionInks>| STYLES.map(|style| pair_runs(sections, style, &division));
        let schemes = schemes.iter();
        schemes
            .map(|classes| classes.iter().map(by_class).collect())
            .collect()
    };
    let tables = |pair: &Pair| -> Vec<(usize, PairTable)> {
        let [Some(first), Some(further)] = pair.presses.map(|press| shapes[press].units()) else {
            return Vec::new();
        };
        let styles = STYLES.into_iter().any(|style| lacks(style, first));
        if !styles || !lacks(WorkStyle::Sheetwise, further) {
            return Vec::new();
        }
        let divided = |number| Division::new(pair, [first, further], (printed, number));
        let most = |style| {
            let fits = |division: &Division| {
                sections().all(|section| !division.first_lacks_units(style, section.sides()))
            };
            (1..printed.len())
                .take_while(|number| divided(*number).is_some_and(|division| fits(&division)))
                .last()
        };
        let mut numbers = vec![process];
        numbers.extend(most(WorkStyle::Sheetwise));
        numbers.extend(most(WorkStyle::Perfecting));
        numbers.sort_unstable();
        numbers.dedup();
        let numbers = numbers.into_iter().filter(|number| *number > 0);
        numbers
            .filter_map(|number| Some((number, table(divided(number)?))))
            .collect()
    };
    pairs.iter().map(tables).collect()
}

/// The runs of a class on two presses.
fn pair_runs(sections: &[SectionInks], style: WorkStyle, division: &Division) -> Option<ClassRuns> {
    let mut all = ClassRuns::of(sections);
    for section in sections {
        let presses = division.of_section(style, section.sides())?;
        let lacking = division.lacks_units(style, section.sides());
        all.lacks_units = [0, 1].map(|at: usize| all.lacks_units[at] || lacking[at]);
        all.add_section(section, None, &presses);
    }
    Some(all)
}

/// Plates of a pass that are changed where the others stay on; `None` where none stays.
fn kept_plates(
    same: Option<&SameSides>,
    press: &OnPress,
    pass: (FormSide, &[InkId]),
) -> Option<u32> {
    same?.changed((press.style, press.units), pass)
}

/// `changing` are the inks of the section's sides whose plates change between versions.
pub(crate) fn run_shape(
    changing: &[Vec<InkId>; 2],
    same: Option<&SameSides>,
    (press, run): (&OnPress, &Run),
) -> RunShape {
    let hung = (run.side, run.inks.as_slice());
    let kept = kept_plates(same, press, hung).filter(|_| run.makes_ready);
    let versions = plates_changed(press.style, hung, changing);
    RunShape {
        inks: run.inks.len() as u32,
        makes_ready: run.makes_ready,
        changes: kept.unwrap_or(versions),
        kept: kept.is_some(),
        at: press.at,
    }
}

impl ClassRuns {
    fn of(sections: &[SectionInks]) -> Self {
        Self {
            sections: sections.len() as u32,
            ..Self::default()
        }
    }

    /// `same` says which plates stay on.
    fn add_section(
        &mut self,
        section: &SectionInks,
        same: Option<&SameSides>,
        presses: &[OnPress],
    ) {
        let mut by_side = SectionForms::new();
        let mut shapes = Vec::new();
        for press in presses {
            self.add_forms(section, (same, press), &mut by_side);
            let on = &mut self.on[press.at];
            for chain in chains(press.style, &press.forms, press.units) {
                if !on.chains.contains(&chain) {
                    on.chains.push(chain);
                }
            }
            for run in runs(press.style, &press.forms, press.units) {
                on.runs += 1;
                if run.makes_ready {
                    on.made_ready[0] += 1;
                    on.made_ready[1] += run.inks.len() as u32;
                }
                let shape = run_shape(&section.changing, same, (press, &run));
                if shape.makes_ready && !shape.kept {
                    for ink in &run.inks {
                        add_to(&mut self.hung, usize::from(ink.0), 1);
                    }
                }
                shapes.push(shape);
            }
        }
        let of_all = |at: usize| by_side.iter().map(move |(_, counts)| counts[at]);
        self.most_inks = of_all(0).fold(self.most_inks, u32::max);
        self.forms += of_all(1).filter(|made| *made > 0).count() as u32;
        let changing = of_all(2).filter(|changes| *changes > 0).count() as u32;
        let kind = (SidesPrinted::of(presses), [0; 2], changing);
        let group = self.group(shapes, kind);
        group.sections += 1;
        for (ink, area) in &section.areas {
            add_to(&mut group.areas, *ink, *area);
        }
    }

    /// Counts the plates of the forms of a section on one press.
    fn add_forms(
        &mut self,
        section: &SectionInks,
        (same, press): (Option<&SameSides>, &OnPress),
        by_side: &mut SectionForms,
    ) {
        let on = &mut self.on[press.at];
        for form in &press.forms {
            let inks = form.inks.len() as u32;
            let passes = form.inks.chunks(press.inks_of_a_pass(form));
            let made = passes.map(|pass| {
                let kept = kept_plates(same, press, (form.side, pass));
                kept.unwrap_or(pass.len() as u32)
            });
            let made: u32 = made.sum();
            on.plates += made;
            if made > 0 {
                add_to(&mut on.forms, made, 1);
            }
            on.most_inks = on.most_inks.max(inks);
            let counts = [inks, made, press.changes(form, &section.changing)];
            match by_side.iter_mut().find(|(side, _)| *side == form.side) {
                Some((_, sums)) => *sums = [0, 1, 2].map(|at: usize| sums[at] + counts[at]),
                None => by_side.push((form.side, counts)),
            }
        }
    }

    /// A section on a digital press: one pass for both sides, nothing hung, made ready once for the whole part.
    fn add_clicked(&mut self, section: &SectionInks) {
        let clicked = [0, 1].map(|side| section.sides[side].len() as u32);
        for inks in clicked.into_iter().filter(|inks| *inks > 0) {
            add_to(&mut self.on[0].forms, inks, 1);
            self.forms += 1;
            self.on[0].most_inks = self.on[0].most_inks.max(inks);
            self.most_inks = self.most_inks.max(inks);
        }
        let printed = clicked.map(|inks| inks > 0);
        let run = RunShape {
            inks: 0,
            makes_ready: false,
            changes: 0,
            kept: false,
            at: 0,
        };
        let runs = if printed == [false; 2] {
            Vec::new()
        } else {
            vec![run]
        };
        let changing = section.changing.iter().filter(|inks| !inks.is_empty());
        let sides = SidesPrinted::clicked(printed);
        let kind = (sides, clicked, changing.count() as u32);
        self.group(runs, kind).sections += 1;
    }

    fn group(
        &mut self,
        runs: Vec<RunShape>,
        (printed, clicked, changing_forms): (SidesPrinted, [u32; 2], u32),
    ) -> &mut SectionGroup {
        let same = |group: &SectionGroup| {
            group.runs == runs
                && group.printed == printed
                && group.clicked == clicked
                && group.changing_forms == changing_forms
        };
        let known = self.groups.iter().position(same);
        let at = known.unwrap_or_else(|| {
            self.groups.push(SectionGroup {
                runs,
                printed,
                clicked,
                changing_forms,
                sections: 0,
                areas: Vec::new(),
            });
            self.groups.len() - 1
        });
        &mut self.groups[at]
    }
}
