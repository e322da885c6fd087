//! Plates that stay on the press while the paper changes: the same ways again, from the plates of another part.

use std::collections::BTreeSet;

use inkset_costing::{PartInks, PrintPlan};
use inkset_spec::{Job, Press, ProductKind, RateCard};

use crate::jobs::Dice;
use crate::sections::Class;
use crate::sheets::{Sheet, Style};
use crate::support::given;
use crate::waste::{at_speed, hours_running};
use crate::ways::{Shop, Way, Work};

/// Where a part is printed: its plates fit another that is printed there too.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Spot {
    press: String,
    edges: (f64, f64),
    upright: Option<bool>,
    style: Style,
    up: u32,
}

impl Spot {
    pub(crate) fn new((sheet, press): (&Sheet, &Press), style: Style, up: u32) -> Self {
        Self {
            press: press.name.value.clone(),
            edges: sheet.edges,
            upright: sheet.upright,
            style,
            up,
        }
    }
}

/// Lets parts of some sets carry one image, most of them alike, and gives the card what changing the paper takes.
pub(crate) fn add_plates(dice: &mut Dice, job: &mut Job, card: &mut RateCard) {
    let is_set = job.product.kind.value == ProductKind::Set && job.versions.is_empty();
    for press in card
        .presses
        .iter_mut()
        .filter(|press| press.digital.is_none())
    {
        let minutes = dice.between(0, 20) as f64 / 2.0;
        let sheets = dice.between(0, 60);
        press.paper_change_minutes = (!dice.one_in(4)).then(|| given(minutes));
        press.paper_change_sheets = (!dice.one_in(4)).then(|| given(sheets));
    }
    if !is_set {
        return;
    }
    let number = job.parts.len() as u64;
    let first = dice.between(0, number - 1) as usize;
    let name = job.parts[first].name.value.clone();
    let inks: [&[&str]; 4] = [&["black"], &["black", "cyan"], &["Orange"], &["silver"]];
    for (n, part) in job.parts.iter_mut().enumerate() {
        if n == first || dice.one_in(5) {
            continue;
        }
        part.plates_of = Some(given(name.clone()));
        if dice.one_in(2) {
            let chosen = inks[dice.between(0, 3) as usize].iter();
            part.changed_inks = chosen.map(|ink| given((*ink).to_owned())).collect();
            part.changed_pages = if dice.one_in(2) {
                vec![1]
            } else {
                (1..=part.pages.value).collect()
            };
        }
    }
}

/// Gives such parts the inks of the other, now and then less one ink or with more of it.
pub(crate) fn alike(dice: &mut Dice, job: &Job, plan: &mut PrintPlan) {
    for part in 0..job.parts.len() {
        let Some(other) = job.plates_of(part) else {
            continue;
        };
        if dice.one_in(6) {
            continue;
        }
        let mut pages = plan.parts[other].pages.clone();
        pages.retain(|page| page.page <= job.parts[part].pages.value);
        for page in &mut pages {
            if page.inks.len() > 1 && dice.one_in(4) {
                page.inks.pop();
            }
            if let (true, Some(ink)) = (dice.one_in(4), page.inks.first_mut()) {
                ink.1 /= 2.0;
            }
        }
        plan.parts[part] = PartInks { pages };
    }
}

/// What two parts print of a side, and which plates are changed between them.
struct Side {
    own: BTreeSet<u16>,
    other: BTreeSet<u16>,
    differing: BTreeSet<u16>,
}

/// One time that plates are hung: inks, plates to be made for it, and whether the rest of them hangs already.
struct Ready {
    inks: BTreeSet<u16>,
    made: usize,
    kept: bool,
    /// How often the sheets go through.
    times: usize,
}

impl Shop<'_> {
    /// Whether the plates that a way of a part keeps hang where the part that has them is printed, if that is known.
    pub(crate) fn plates_hang(&self, row: &[Option<&Way>], part: usize, way: &Way) -> bool {
        let other = self.job.plates_of(part).filter(|_| way.kept);
        let other = other.and_then(|other| row[other]);
        other.is_none_or(|other| other.spot == way.spot)
    }

    /// What a class takes in a style from the plates of another part; `None` where none of them stays on.
    pub(crate) fn kept_work(
        &self,
        part: usize,
        press: &Press,
        (class, style, up): (&Class, Style, u32),
    ) -> Option<Work> {
        let other = self.job.plates_of(part)?;
        let [pages] = class.sections.as_slice() else {
            panic!("a leaf is one section");
        };
        let sides = [0, 1].map(|side| self.side(part, other, &pages[side]));
        let ready = made_ready(style, &sides, press.units.value as usize)?;
        if ready.iter().all(|ready| !ready.kept) {
            return None;
        }
        let mut work = self.work((part, 1), press, (class, style, up))?;
        work.on[0].plates = ready.iter().map(|ready| ready.made as u64).sum();
        work.on[0].make_ready_minutes = 0.0;
        work.on[0].running_hours = 0.0;
        let pieces = self.copies(part).cut;
        let mut sheets = pieces.div_ceil(u64::from(up));
        for ready in ready.iter().rev() {
            for time in (0..ready.times).rev() {
                sheets = at_speed(self.card, sheets);
                work.on[0].running_hours += hours_running(press, sheets);
                if time == 0 {
                    sheets += prepare(press, ready, &mut work);
                }
            }
        }
        work.press_sheets = sheets;
        work.kilograms = vec![0.0; self.plan.inks.len()];
        let trim = self.job.product.trim.value;
        let page_m2 = trim.width.mm() * trim.height.mm() / 1e6;
        let all = page_m2 * f64::from(up) * sheets as f64;
        for (ink, kg) in self.ink(part, pages, all) {
            work.kilograms[ink] += kg;
        }
        for ink in ready
            .iter()
            .filter(|ready| !ready.kept)
            .flat_map(|ready| &ready.inks)
        {
            let ink = usize::from(*ink % TWICE);
            work.kilograms[ink] += self.ink_rate(ink).fixed_loss_kg.value;
        }
        Some(work)
    }

    fn side(&self, part: usize, other: usize, pages: &[u32]) -> Side {
        let job_part = &self.job.parts[part];
        let own = self.inks_on(part, pages);
        let there = self.inks_on(other, pages);
        let share = |part: usize, ink: u16, number: u32| -> f64 {
            let pages = self.plan.parts[part].pages.iter();
            let page = pages.filter(|page| page.page == number);
            let inks = page.flat_map(|page| &page.inks);
            inks.filter(|(id, _)| id.0 == ink)
                .map(|(_, share)| share)
                .sum()
        };
        let is_named = |ink: u16| {
            let name = self.plan.inks[usize::from(ink)].name.to_lowercase();
            let mut names = job_part.changed_inks.iter();
            names.any(|own| own.to_lowercase() == name)
        };
        let anywhere = self.inks_on(part, &job_part.changed_pages);
        let all_named = !anywhere.iter().any(|ink| is_named(*ink));
        let differs = |ink: u16| {
            let named = all_named || is_named(ink);
            pages.iter().any(|page| {
                let listed = job_part.changed_pages.contains(page);
                let printed = share(part, ink, *page);
                (listed && named && printed > 0.0)
                    || (printed - share(other, ink, *page)).abs() > 1e-9
            })
        };
        Side {
            differing: own
                .union(&there)
                .copied()
                .filter(|ink| differs(*ink))
                .collect(),
            own,
            other: there,
        }
    }
}

/// Minutes of a make-ready or of a change of paper, and its sheets.
fn prepare(press: &Press, ready: &Ready, work: &mut Work) -> u64 {
    let inks = ready.inks.len() as u64;
    match press.paper_change_minutes.filter(|_| ready.kept) {
        Some(paper) => {
            work.paper_minutes +=
                paper.value + press.plate_change_minutes.value * ready.made as f64;
        }
        None => {
            work.on[0].make_ready_minutes += press.make_ready_minutes.value
                + press.make_ready_minutes_per_ink.value * inks as f64;
        }
    }
    match press.paper_change_sheets.filter(|_| ready.kept) {
        Some(paper) if ready.made > 0 => paper.value + press.plate_change_sheets.value,
        Some(paper) => paper.value,
        None => press.make_ready_sheets.value + press.make_ready_sheets_per_ink.value * inks,
    }
}

/// Every make-ready of a leaf in printing order; `None` where the style cannot print it.
fn made_ready(style: Style, [front, back]: &[Side; 2], units: usize) -> Option<Vec<Ready>> {
    let both = !front.own.is_empty() && !back.own.is_empty();
    let passes = |inks: &BTreeSet<u16>| -> Vec<BTreeSet<u16>> {
        let inks: Vec<u16> = inks.iter().copied().collect();
        inks.chunks(units)
            .map(|pass| pass.iter().copied().collect())
            .collect()
    };
    let of_form = |own: &BTreeSet<u16>, other: &BTreeSet<u16>, differing: &BTreeSet<u16>, times| {
        let kept = own.is_subset(other) && (other.len() <= units || own == other);
        let ready = passes(own).into_iter().map(|inks| {
            let made = if kept {
                inks.intersection(differing).count()
            } else {
                inks.len()
            };
            Ready {
                inks,
                made,
                kept,
                times,
            }
        });
        ready.collect::<Vec<Ready>>()
    };
    let of_side = |side: &Side| of_form(&side.own, &side.other, &side.differing, 1);
    let union = |one: &BTreeSet<u16>, other: &BTreeSet<u16>| one.union(other).copied().collect();
    match style {
        Style::Sheetwise => Some(of_side(front).into_iter().chain(of_side(back)).collect()),
        Style::Turn | Style::Tumble => both.then(|| {
            let own = union(&front.own, &back.own);
            // Where the other part has nothing on one side, it is not printed in this style.
            let other = if front.other.is_empty() || back.other.is_empty() {
                BTreeSet::new()
            } else {
                union(&front.other, &back.other)
            };
            of_form(&own, &other, &union(&front.differing, &back.differing), 2)
        }),
        Style::Perfecting => {
            let count = front.own.len() + back.own.len();
            let others = front.other.len() + back.other.len();
            (both && count <= units).then(|| {
                let within = |side: &Side| side.own.is_subset(&side.other);
                let kept = within(front) && within(back) && others <= units;
                let changed = |side: &Side| side.own.intersection(&side.differing).count();
                vec![Ready {
                    inks: front
                        .own
                        .iter()
                        .copied()
                        .chain(back.own.iter().map(|ink| ink + TWICE))
                        .collect(),
                    made: if kept {
                        changed(front) + changed(back)
                    } else {
                        count
                    },
                    kept,
                    times: 1,
                }]
            })
        }
    }
}

/// Added to inks on the back of a perfecting pass: an ink of both sides hangs twice.
const TWICE: u16 = 500;
