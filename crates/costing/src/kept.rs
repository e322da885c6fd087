//! Plates that stay on the press while the paper changes, for parts of a set that carry one image.
//!
//! A part may be printed from the plates of another where both are printed alike: on one press, from sheets of one size that
//! lie alike, in one work style and as many up. A form is kept where the other part has one with at least its inks that is
//! printed in one pass, or one with the same inks; then only the paper is changed, and the plates of inks that differ.

use std::collections::BTreeMap;

use inkset_layout::{FormSide, InkId, PartInks, PrintPlan, Section, Turning, WorkStyle};
use inkset_spec::{Job, RateCard};
use inkset_units::Size;

use crate::paper::PaperCost;
use crate::versions::{Change, plates_changed};
use crate::ways::{Placement, Plates, Way, Ways};

/// How far coverages of one image may differ, by the dust of binary fractions.
const SAME_COVERAGE: f64 = 1e-9;

/// What decides whether plates fit: press, sheet in thousandths of a millimetre, how pieces lie on it, and each class.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Alike {
    press: usize,
    sheet: [i64; 2],
    turning: Turning,
    classes: Vec<(WorkStyle, u32, [i64; 2])>,
}

impl Alike {
    fn new(ways: &Ways, way: &Way, along_height: Option<bool>) -> Self {
        let classes = ways.schemes[way.scheme].classes.iter();
        let class = |(class, placed): (&inkset_layout::SectionClass, &Placement)| {
            let piece = class.formats[placed.format].size;
            let edges = [piece.width.mm(), piece.height.mm()].map(thousandths_of_mm);
            (placed.style, placed.up, edges)
        };
        Self {
            press: way.press,
            sheet: edges(way.sheet.size),
            turning: way.sheet.turning(along_height),
            classes: classes.zip(&way.placements).map(class).collect(),
        }
    }
}

fn edges(size: Size) -> [i64; 2] {
    [size.long_edge().mm(), size.short_edge().mm()].map(thousandths_of_mm)
}

fn thousandths_of_mm(mm: f64) -> i64 {
    (mm * 1_000.0).round() as i64
}

/// Numbers the settings of plates of parts that others name, and adds to the ways of those the same ways from kept plates.
pub(crate) fn expand(parts: &mut [(Ways, PaperCost)], (job, card): (&Job, &RateCard)) {
    let along_height = job.product.grain_along_height();
    for leader in 0..parts.len() {
        let named = (0..parts.len()).filter(|part| job.plates_of(*part) == Some(leader));
        let followers: Vec<usize> = named.collect();
        if followers.is_empty() {
            continue;
        }
        // A part on two presses would have to be followed on both by the other.
        let has_plates =
            |way: &Way| card.presses[way.press].digital.is_none() && way.further.is_none();
        let mut settings: BTreeMap<Alike, usize> = BTreeMap::new();
        let ways = &mut parts[leader].0;
        for n in 0..ways.all.len() {
            if has_plates(&ways.all[n]) {
                let next = settings.len();
                let alike = Alike::new(ways, &ways.all[n], along_height);
                let setting = *settings.entry(alike).or_insert(next);
                ways.all[n].plates = Plates::Made(setting);
            }
        }
        for follower in followers {
            let ways = &mut parts[follower].0;
            let kept = |way: &Way| {
                let setting = settings.get(&Alike::new(ways, way, along_height))?;
                Some(Way {
                    plates: Plates::Kept(*setting),
                    ..way.clone()
                })
            };
            let alone = ways.all.iter().filter(|way| way.further.is_none());
            let more: Vec<Way> = alone.filter_map(kept).collect();
            ways.all.extend(more);
        }
    }
}

/// What a part has in common with the part whose plates it may be printed from, under one plan.
#[derive(Debug, Clone)]
pub(crate) struct Same {
    /// Index of the other part.
    pub(crate) of: usize,
    /// Inks of which the part has plates of its own all the same; `None` where the job names none.
    change: Option<Change>,
}

impl Same {
    /// `None` where the part names no other.
    pub(crate) fn new(job: &Job, part: usize, plan: &PrintPlan) -> Option<Self> {
        let of = job.plates_of(part)?;
        let own = &job.parts[part];
        let named = (own.changed_inks.as_slice(), own.changed_pages.as_slice());
        let change = Change::of(named, (&plan.inks, &plan.parts[part]));
        Some(Self {
            of,
            change: (!own.changed_inks.is_empty()).then_some(change),
        })
    }

    /// The inks of a section on its two sides, and which of its plates differ; `[own, other]` are the inks of the two parts.
    pub(crate) fn sides(&self, section: &Section, [own, other]: [&PartInks; 2]) -> SameSides {
        let pages = [&section.outer, &section.inner];
        let named = self.change.as_ref();
        let named = named.map_or_else(Default::default, |change| change.of_section(section, own));
        let mut differing = named.clone();
        for (differing, pages) in differing.iter_mut().zip(pages) {
            for page in pages {
                let inks = own.on_page(*page).iter().chain(other.on_page(*page));
                let covered = |inks: &PartInks, ink: InkId| -> f64 {
                    let on_page = inks.on_page(*page).iter();
                    let own = on_page.filter(|(id, _)| *id == ink);
                    own.map(|(_, share)| *share).sum()
                };
                let differs =
                    |ink: &InkId| (covered(own, *ink) - covered(other, *ink)).abs() > SAME_COVERAGE;
                differing.extend(inks.map(|(ink, _)| *ink).filter(differs));
            }
            differing.sort_unstable();
            differing.dedup();
        }
        SameSides {
            own: pages.map(|pages| inks_on(own, pages)),
            other: pages.map(|pages| inks_on(other, pages)),
            differing,
            named,
        }
    }
}

fn inks_on(inks: &PartInks, pages: &[u32]) -> Vec<InkId> {
    let on_pages = pages.iter().flat_map(|page| inks.on_page(*page));
    let mut all: Vec<InkId> = on_pages.map(|(ink, _)| *ink).collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn union(front: &[InkId], back: &[InkId]) -> Vec<InkId> {
    let mut all = [front, back].concat();
    all.sort_unstable();
    all.dedup();
    all
}

/// The two sides of a section beside those of the part whose plates it may be printed from.
#[derive(Debug)]
pub(crate) struct SameSides {
    own: [Vec<InkId>; 2],
    other: [Vec<InkId>; 2],
    /// Inks whose image is another on a side, those that only the other part prints there among them.
    differing: [Vec<InkId>; 2],
    /// Those of them that the job names.
    named: [Vec<InkId>; 2],
}

impl SameSides {
    /// Plates changed for a pass of a form, or for both forms of a perfecting pass; `None` where its plates do not stay on.
    pub(crate) fn changed(
        &self,
        (style, units): (WorkStyle, u32),
        (side, inks): (FormSide, &[InkId]),
    ) -> Option<u32> {
        let within = |own: &[InkId], other: &[InkId]| own.iter().all(|ink| other.contains(ink));
        // A form in several passes is hung in another order where it has other inks.
        let fits = |own: &[InkId], other: &[InkId]| {
            let one_pass = other.len() <= units as usize;
            within(own, other) && (one_pass || own.len() == other.len())
        };
        let [front, back] = [0, 1].map(|side: usize| (&self.own[side], &self.other[side]));
        let stays = match side {
            FormSide::Front if style != WorkStyle::Perfecting => fits(front.0, front.1),
            FormSide::Back if style != WorkStyle::Perfecting => fits(back.0, back.1),
            FormSide::Both if style.is_half_sheet() => {
                let both = !front.1.is_empty() && !back.1.is_empty();
                both && fits(&union(front.0, back.0), &union(front.1, back.1))
            }
            _ => within(front.0, front.1) && within(back.0, back.1),
        };
        stays.then(|| plates_changed(style, (side, inks), &self.differing_in(style)))
    }

    /// Inks of the part whose image is another though the job does not name them.
    pub(crate) fn unasked(&self) -> Vec<InkId> {
        let sides = [0, 1].into_iter().flat_map(|side: usize| {
            let differing = self.differing[side].iter().copied();
            differing
                .filter(move |ink| self.own[side].contains(ink) && !self.named[side].contains(ink))
        });
        sides.collect()
    }

    /// On a form with both sides an ink that only the other part prints on one of them has another plate too.
    fn differing_in(&self, style: WorkStyle) -> [Vec<InkId>; 2] {
        if style.is_half_sheet() {
            return self.differing.clone();
        }
        [0, 1].map(|side: usize| {
            let differing = self.differing[side].iter().copied();
            differing
                .filter(|ink| self.own[side].contains(ink))
                .collect()
        })
    }
}
