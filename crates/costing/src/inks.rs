//! Inks of a plan with their rates, and the runs that each way of printing needs for them.

use inkset_layout::{
    Form, InkId, InkKind, InkSpec, PartInks, PrintPlan, Scheme, Section, SectionClass, WorkStyle,
    forms, runs,
};
use inkset_spec::{InkRate, PaperKind, Press, RateCard};
use inkset_units::{Currency, Size};

use crate::clicks::offers;
use crate::error::CannotPrint;
use crate::hanging::{Chain, Hung, hung};
use crate::kept::{Same, SameSides};
use crate::press::RunShape;
use crate::rate::{Rate, thousandths};
use crate::versions::{Change, plates_changed};

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
    /// Whether the front and the back are printed.
    pub(crate) printed: [bool; 2],
    /// Inks of the front and the back on a digital press; 0 on presses with plates.
    pub(crate) clicked: [u32; 2],
    /// Forms of which plates change between versions.
    pub(crate) changing_forms: u32,
    /// How many sections.
    pub(crate) sections: u32,
    /// Area that each ink covers on these sections of one copy, m².
    pub(crate) areas: Vec<(usize, f64)>,
}

/// What a class of sections needs in one style on a press with so many units.
#[derive(Debug, Default)]
pub(crate) struct ClassRuns {
    pub(crate) groups: Vec<SectionGroup>,
    pub(crate) plates: u32,
    /// Number of forms by their inks; forms without ink left out.
    pub(crate) forms: Vec<(u32, u32)>,
    /// Kinds of form with the inks of each pass, each kind once.
    pub(crate) chains: Vec<Chain>,
    /// How often each ink is hung with a plate.
    pub(crate) hung: Vec<(usize, u32)>,
    /// Most inks on one form.
    pub(crate) most_inks: u32,
}

/// Inks of a section: in printing order on each side, and area by ink on both.
struct SectionInks {
    sides: [Vec<InkId>; 2],
    /// Those of them whose plates change between versions.
    changing: [Vec<InkId>; 2],
    areas: Vec<(usize, f64)>,
    /// What they have in common with those of the part whose plates may stay on.
    same: Option<SameSides>,
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

/// The runs of one part under one plan, for every division, class, style and shape of press.
#[derive(Debug)]
pub(crate) struct PartRuns {
    /// By scheme, class, shape, style.
    table: Table,
    /// The same from plates that stay on; empty where the part names no other.
    kept: Table,
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
        let class_table = |class: &SectionClass, kept: bool| {
            let sections: Vec<SectionInks> = class
                .sections
                .iter()
                .map(|section| section_inks(section, view))
                .collect();
            let by_style = |shape: &&PressShape| {
                STYLES.map(|style| class_runs(&sections, (style, kept), shape))
            };
            distinct.iter().map(by_style).collect()
        };
        let printed = printed(view.inks);
        let table = |kept: bool| {
            let schemes = view.schemes.iter();
            let classes = schemes.map(|scheme| scheme.classes.iter());
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

    /// Runs of a class in a style; `None` if the style cannot print it.
    pub(crate) fn class(
        &self,
        at: (usize, usize),
        style: WorkStyle,
        press: usize,
    ) -> Option<&ClassRuns> {
        self.of_table(&self.table, at, (style, press))
    }

    /// The same from plates of another part that stay on; `None` if none does.
    pub(crate) fn kept_class(
        &self,
        at: (usize, usize),
        style: WorkStyle,
        press: usize,
    ) -> Option<&ClassRuns> {
        self.of_table(&self.kept, at, (style, press))
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

/// The runs of a class, `kept` from plates that stay on.
fn class_runs(
    sections: &[SectionInks],
    (style, kept): (WorkStyle, bool),
    shape: &PressShape,
) -> Option<ClassRuns> {
    let mut all = ClassRuns::default();
    for section in sections {
        let [outer, inner] = &section.sides;
        match shape {
            PressShape::Plates(units) => {
                let forms = forms(style, [outer, inner], *units)?;
                let same = section.same.as_ref().filter(|_| kept);
                all.add_section(section, (style, same), (&forms, *units));
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

impl ClassRuns {
    /// `same` says which plates stay on.
    fn add_section(
        &mut self,
        section: &SectionInks,
        (style, same): (WorkStyle, Option<&SameSides>),
        (forms, units): (&[Form], u32),
    ) {
        let changed = |side, inks: &[InkId]| same?.changed((style, units), (side, inks));
        for form in forms {
            let inks = form.inks.len() as u32;
            // A perfecting press has units for both forms together.
            let pass = if style == WorkStyle::Perfecting {
                form.inks.len()
            } else {
                units as usize
            };
            let passes = form.inks.chunks(pass.max(1));
            let made = passes.map(|pass| changed(form.side, pass).unwrap_or(pass.len() as u32));
            let made: u32 = made.sum();
            self.plates += made;
            if made > 0 {
                add_to(&mut self.forms, made, 1);
            }
            self.most_inks = self.most_inks.max(inks);
        }
        for chain in chains(style, forms, units) {
            if !self.chains.contains(&chain) {
                self.chains.push(chain);
            }
        }
        let runs = runs(style, forms, units);
        let shapes = runs.iter().map(|run| {
            let kept = changed(run.side, &run.inks).filter(|_| run.makes_ready);
            let versions = plates_changed(style, (run.side, &run.inks), &section.changing);
            RunShape {
                inks: run.inks.len() as u32,
                makes_ready: run.makes_ready,
                changes: kept.unwrap_or(versions),
                kept: kept.is_some(),
            }
        });
        let shapes: Vec<RunShape> = shapes.collect();
        let hung = runs.iter().zip(&shapes);
        let hung = hung.filter(|(run, shape)| run.makes_ready && !shape.kept);
        for ink in hung.flat_map(|(run, _)| &run.inks) {
            add_to(&mut self.hung, usize::from(ink.0), 1);
        }
        let printed = [0, 1].map(|side| !section.sides[side].is_empty());
        let changing = forms
            .iter()
            .filter(|form| plates_changed(style, (form.side, &form.inks), &section.changing) > 0);
        let kind = (printed, [0; 2], changing.count() as u32);
        let group = self.group(shapes, kind);
        group.sections += 1;
        for (ink, area) in &section.areas {
            add_to(&mut group.areas, *ink, *area);
        }
    }

    /// A section on a digital press: one pass for both sides, nothing hung, made ready once for the whole part.
    fn add_clicked(&mut self, section: &SectionInks) {
        let clicked = [0, 1].map(|side| section.sides[side].len() as u32);
        for inks in clicked.into_iter().filter(|inks| *inks > 0) {
            add_to(&mut self.forms, inks, 1);
            self.most_inks = self.most_inks.max(inks);
        }
        let printed = clicked.map(|inks| inks > 0);
        let run = RunShape {
            inks: 0,
            makes_ready: false,
            changes: 0,
            kept: false,
        };
        let runs = if printed == [false; 2] {
            Vec::new()
        } else {
            vec![run]
        };
        let changing = section.changing.iter().filter(|inks| !inks.is_empty());
        let kind = (printed, clicked, changing.count() as u32);
        self.group(runs, kind).sections += 1;
    }

    fn group(
        &mut self,
        runs: Vec<RunShape>,
        (printed, clicked, changing_forms): ([bool; 2], [u32; 2], u32),
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
