//! Parts that two presses print one after the other.

use std::collections::BTreeSet;

use inkset_spec::Press;

use crate::sections::Class;
use crate::sheets::{STYLES, Sheet, Style};
use crate::washing::{Passes, forms as hanging_forms};
use crate::ways::{Printing, Run, Shop, Way, Work};

type Inks = BTreeSet<u16>;

/// Two presses, the first inks, and whether the further press prints both sides in one pass where it can.
struct Pair<'p> {
    presses: [&'p Press; 2],
    first: Inks,
    perfects: bool,
}

/// The first press with the margins that both need.
fn merged(first: &Press, further: &Press, perfects: bool) -> Press {
    let mut both = first.clone();
    if further.gripper.mm() > both.gripper.mm() {
        both.gripper = further.gripper;
    }
    if further.tail.mm() > both.tail.mm() {
        both.tail = further.tail;
    }
    if further.side.mm() > both.side.mm() {
        both.side = further.side;
    }
    if perfects && both.tail.mm() > both.gripper.mm() {
        both.gripper = both.tail;
    } else if perfects {
        both.tail = both.gripper;
    }
    both
}

impl Shop<'_> {
    /// The ways of a sheet that goes through a further press.
    pub(crate) fn on_two_presses(
        &self,
        part: usize,
        (sheet, press): (&Sheet, &Press),
        divisions: &[Vec<Class>],
    ) -> Vec<Way> {
        let gsm = self.card.stocks[0].gsm.value;
        let carries = |other: &&Press| {
            other.name.value != press.name.value
                && other.digital.is_none()
                && (other.lightest.value..=other.heaviest.value).contains(&gsm)
                && crate::sheets::goes_through(other, sheet.edges)
        };
        let mut ways = Vec::new();
        if press.digital.is_some() {
            return ways;
        }
        let numbers = self.numbers_of_first_inks(part, press, divisions);
        for other in self.card.presses.iter().filter(carries) {
            for perfects in [false, true] {
                if perfects && !other.perfecting.value {
                    continue;
                }
                let margins = merged(press, other, perfects);
                let takes = |class: &Class| {
                    let place = (sheet, &margins);
                    self.counter.number_up(Style::Sheetwise, place, class) > 0
                };
                let fit = divisions.iter().filter(|classes| classes.iter().all(takes));
                let fit: Vec<&Vec<Class>> = fit.collect();
                let count = |classes: &[Class]| -> usize {
                    classes.iter().map(|class| class.sections.len()).sum()
                };
                let fewest = fit.iter().map(|classes| count(classes)).min().unwrap_or(0);
                for classes in fit.into_iter().filter(|c| count(c) <= 2 * fewest) {
                    for layouts in 1..=self.most_layouts(part) {
                        let presses = [press, other];
                        let works = self.works_on_two(
                            (part, layouts),
                            (sheet, &margins),
                            (presses, perfects),
                            (classes, &numbers),
                        );
                        let priced = works
                            .iter()
                            .map(|work| self.priced(part, (sheet, presses), work));
                        ways.extend(priced);
                    }
                }
            }
        }
        ways
    }

    /// The work of a division, with every style of every class and each way to share the inks.
    fn works_on_two(
        &self,
        part: (usize, usize),
        (sheet, margins): (&Sheet, &Press),
        (presses, perfects): ([&Press; 2], bool),
        (classes, numbers): (&[Class], &BTreeSet<usize>),
    ) -> Vec<Work> {
        let mut all = Vec::new();
        for first_inks in numbers {
            let mut works = vec![Work::none(self.plan.inks.len())];
            for class in classes {
                let styles = STYLES.into_iter().filter_map(|style| {
                    if style == Style::Perfecting && !presses[0].perfecting.value
                        || perfects && matches!(style, Style::Turn | Style::Tumble)
                    {
                        return None;
                    }
                    let up = self.counter.number_up(style, (sheet, margins), class);
                    let first = self.first_inks(part.0, *first_inks)?;
                    let pair = Pair {
                        presses,
                        first,
                        perfects,
                    };
                    let printing =
                        |sides: &[Inks; 2], new: &[Inks; 2]| pair.printing(style, sides, new);
                    (up > 0)
                        .then(|| self.work_of(part, presses, (class, style, up), printing))
                        .flatten()
                });
                let styles: Vec<Work> = styles.collect();
                let and_each =
                    |before: &Work| styles.iter().map(|s| before.and(s)).collect::<Vec<_>>();
                works = works.iter().flat_map(and_each).collect();
            }
            all.extend(works);
        }
        all.retain(|work| work.on.iter().all(|on| on.lacks_units));
        all
    }

    /// Numbers of inks for the first press: the process inks, and the most that fit its units on every form, or on every sheet
    /// if it perfects.
    fn numbers_of_first_inks(
        &self,
        part: usize,
        press: &Press,
        divisions: &[Vec<Class>],
    ) -> BTreeSet<usize> {
        let units = press.units.value as usize;
        let fits = |number: &usize, at_once: bool| {
            let Some(first) = self.first_inks(part, *number) else {
                return false;
            };
            let mut sections = divisions.iter().flatten().flat_map(|class| &class.sections);
            sections.all(|pages| {
                let own = [0, 1].map(|side: usize| {
                    self.inks_on(part, &pages[side])
                        .intersection(&first)
                        .count()
                });
                if at_once {
                    own[0] + own[1] <= units
                } else {
                    own[0].max(own[1]) <= units
                }
            })
        };
        let all = || 1..self.plan.inks.len();
        let process = all().rfind(|number| {
            let first = self.first_inks(part, *number).unwrap_or_default();
            !first.is_empty() && first.iter().all(|ink| *ink < 4)
        });
        let most = [false, true].map(|at_once| all().rfind(|number| fits(number, at_once)));
        process
            .into_iter()
            .chain(most.into_iter().flatten())
            .collect()
    }

    /// The inks of the first press, in printing order; `None` where none is left for the other.
    fn first_inks(&self, part: usize, number: usize) -> Option<Inks> {
        let pages = self.plan.parts[part].pages.iter();
        let printed: Inks = pages
            .flat_map(|page| page.inks.iter().map(|(ink, _)| ink.0))
            .collect();
        (number < printed.len()).then(|| printed.into_iter().take(number).collect())
    }
}

impl Pair<'_> {
    fn printing(&self, style: Style, sides: &[Inks; 2], new: &[Inks; 2]) -> Option<Printing> {
        let units = self.presses.map(|press| press.units.value as usize);
        let own = [true, false].map(|first| {
            [0, 1].map(|side: usize| -> Inks {
                let inks = sides[side].iter();
                inks.filter(|ink| self.first.contains(ink) == first)
                    .copied()
                    .collect()
            })
        });
        let both = |sides: &[Inks; 2]| sides.iter().all(|side| !side.is_empty());
        let in_all = |sides: &[Inks; 2]| sides.iter().map(BTreeSet::len).sum::<usize>();
        if style != Style::Sheetwise && !both(sides) {
            return None;
        }
        if style == Style::Perfecting && !(both(&own[0]) && in_all(&own[0]) <= units[0]) {
            return None;
        }
        let turned = matches!(style, Style::Turn | Style::Tumble);
        let form = |own: &[Inks; 2]| -> usize {
            let union = own[0].union(&own[1]).count();
            if turned {
                union
            } else {
                own[0].len().max(own[1].len())
            }
        };
        // The first press prints each form in one pass.
        if form(&own[0]) > units[0] {
            return None;
        }
        let at_once = self.perfects && both(&own[1]) && in_all(&own[1]) <= units[1];
        let styles = [
            style,
            match style {
                Style::Turn | Style::Tumble => style,
                _ if at_once => Style::Perfecting,
                _ => Style::Sheetwise,
            },
        ];
        let union: Inks = sides[0].union(&sides[1]).copied().collect();
        let most = sides.iter().map(BTreeSet::len).max().unwrap_or(0);
        let needed = match style {
            Style::Perfecting => in_all(sides),
            _ if turned => union.len(),
            _ => most,
        };
        let mut printing = Printing {
            plates: [0; 2],
            runs: Vec::new(),
            hangs: Default::default(),
            lacks_units: [needed > units[0], most > units[1]],
        };
        for at in 0..2 {
            let (runs, hangs) = runs(at, (styles[at], units[at]), &own[at], new);
            printing.plates[at] = runs.iter().filter(|run| run.2).map(|run| run.1).sum();
            printing.runs.extend(runs);
            printing.hangs[at] = hangs;
        }
        Some(printing)
    }
}

/// The runs on one press, and what hangs for each of its forms.
fn runs(
    at: usize,
    (style, units): (Style, usize),
    sides: &[Inks; 2],
    new: &[Inks; 2],
) -> (Vec<Run>, Vec<Passes>) {
    let changes =
        |inks: &[u16], new: &Inks| inks.iter().filter(|ink| new.contains(ink)).count() as u64;
    let form = |inks: &Inks, new: &Inks, times: usize| -> Vec<Run> {
        let inks: Vec<u16> = inks.iter().copied().collect();
        let pass = |pass: &[u16]| {
            let changes = changes(pass, new);
            (0..times)
                .map(|time| (at, pass.len() as u64, time == 0, changes))
                .collect::<Vec<Run>>()
        };
        inks.chunks(units).flat_map(pass).collect()
    };
    let union = |[front, back]: &[Inks; 2]| -> Inks { front.union(back).copied().collect() };
    let runs = match style {
        Style::Turn | Style::Tumble => form(&union(sides), &union(new), 2),
        Style::Sheetwise => {
            let mut all = form(&sides[0], &new[0], 1);
            all.extend(form(&sides[1], &new[1], 1));
            all
        }
        Style::Perfecting => {
            let inks = sides.iter().map(|side| side.len() as u64).sum();
            let changes =
                [0, 1].map(|side: usize| sides[side].intersection(&new[side]).count() as u64);
            vec![(at, inks, true, changes[0] + changes[1])]
        }
    };
    (runs, hanging_forms(style, [&sides[0], &sides[1]], units))
}
