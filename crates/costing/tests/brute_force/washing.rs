//! The fewest minutes of washing on a press, pass by pass.

use std::collections::{BTreeMap, BTreeSet};

use inkset_costing::InkKind;
use inkset_spec::{Effect, Press};

use crate::sheets::Style;
use crate::ways::Shop;

/// Added to an ink that hangs behind the turn of a perfecting press.
const BEHIND: u16 = 1_000;
/// From here on: inks of the job before that this one does not print.
const OTHERS: u16 = 500;

/// Inks that hang for each pass of a form.
pub(crate) type Passes = Vec<BTreeSet<u16>>;

/// What hangs for each form of a section.
pub(crate) fn forms(style: Style, [front, back]: [&BTreeSet<u16>; 2], units: usize) -> Vec<Passes> {
    let passes = |inks: &BTreeSet<u16>| -> Passes {
        let inks: Vec<u16> = inks.iter().copied().collect();
        let passes = inks.chunks(units);
        passes.map(|pass| pass.iter().copied().collect()).collect()
    };
    let forms = match style {
        Style::Sheetwise => vec![passes(front), passes(back)],
        Style::Turn | Style::Tumble => vec![passes(&front.union(back).copied().collect())],
        Style::Perfecting => {
            let behind = back.iter().map(|ink| ink + BEHIND);
            vec![vec![front.iter().copied().chain(behind).collect()]]
        }
    };
    forms
        .into_iter()
        .filter(|passes| !passes.is_empty())
        .collect()
}

/// What is printed of each form, and what hangs.
type State = (Vec<usize>, BTreeSet<u16>);

impl Shop<'_> {
    /// Minutes of washing for these forms, layer by layer: after each layer one pass more is printed.
    pub(crate) fn washing_minutes(&self, press: &Press, forms: &BTreeSet<Passes>) -> f64 {
        let forms: Vec<&Passes> = forms.iter().collect();
        let (before, kept) = self.queue(press);
        let units = press.units.value as usize;
        let printed: BTreeSet<u16> = forms.iter().copied().flatten().flatten().copied().collect();
        let mut layer: BTreeMap<State, f64> = BTreeMap::new();
        let all: BTreeSet<u16> = printed.union(&before).copied().collect();
        let passes = if all.len() <= units {
            // Every ink has a unit of its own: nothing changes.
            layer.insert((Vec::new(), all), 0.0);
            0
        } else {
            layer.insert((vec![0; forms.len()], before), 0.0);
            forms.iter().map(|passes| passes.len()).sum::<usize>()
        };
        for _ in 0..passes {
            let mut next: BTreeMap<State, f64> = BTreeMap::new();
            for ((done, hangs), minutes) in &layer {
                for (n, pass) in upcoming(&forms, done, hangs) {
                    for rest in what_stays(
                        &hangs.difference(pass).copied().collect(),
                        units - pass.len(),
                    ) {
                        let now: BTreeSet<u16> = rest.union(pass).copied().collect();
                        let off = hangs
                            .difference(&now)
                            .map(|ink| self.wash_minutes(press, *ink));
                        let sum = minutes + off.sum::<f64>();
                        let mut done = done.clone();
                        done[n] += 1;
                        let known = next.entry((done, now)).or_insert(sum);
                        *known = known.min(sum);
                    }
                }
            }
            layer = next;
        }
        let ending = |hangs: &BTreeSet<u16>| -> f64 {
            let off = hangs.iter().filter(|ink| {
                printed.contains(ink) && self.is_special(**ink) && !kept.contains(&(**ink % BEHIND))
            });
            off.map(|ink| self.wash_minutes(press, *ink)).sum()
        };
        let ends = layer
            .iter()
            .map(|((_, hangs), minutes)| minutes + ending(hangs));
        ends.fold(f64::INFINITY, f64::min)
    }

    fn is_special(&self, ink: u16) -> bool {
        let kind = self
            .plan
            .inks
            .get(usize::from(ink % BEHIND))
            .map(|ink| ink.kind);
        !matches!(kind, Some(InkKind::Process(_)))
    }

    fn wash_minutes(&self, press: &Press, ink: u16) -> f64 {
        let kind = self
            .plan
            .inks
            .get(usize::from(ink % BEHIND))
            .map(|ink| ink.kind);
        match kind {
            Some(InkKind::Effect(Effect::Metallic)) => press.wash_up_minutes_effect.value,
            _ => press.wash_up_minutes.value,
        }
    }

    /// What hangs before the job, and what may stay after it.
    fn queue(&self, press: &Press) -> (BTreeSet<u16>, BTreeSet<u16>) {
        let queue = self.job.queue.iter();
        let mut queue = queue.filter(|queue| queue.press.value == press.name.value);
        let Some(queue) = queue.next() else {
            return Default::default();
        };
        let ink = |(n, name): (usize, &inkset_spec::Given<String>)| {
            let own = self.plan.inks.iter().position(|ink| ink.name == name.value);
            own.map_or(OTHERS + n as u16, |own| own as u16)
        };
        let before = queue.before.iter().enumerate().map(ink).collect();
        (before, queue.after.iter().enumerate().map(ink).collect())
    }
}

/// Passes that may come next; one whose inks all hang costs nothing and comes at once.
fn upcoming<'f>(
    forms: &[&'f Passes],
    done: &[usize],
    hangs: &BTreeSet<u16>,
) -> Vec<(usize, &'f BTreeSet<u16>)> {
    let open = forms.iter().enumerate().zip(done);
    let open = open.filter_map(|((n, passes), done)| Some((n, passes.get(*done)?)));
    let all: Vec<_> = open.collect();
    match all.iter().find(|(_, pass)| pass.is_subset(hangs)) {
        Some(free) => vec![*free],
        None => all,
    }
}

/// Every largest choice of at most `room` inks.
fn what_stays(idle: &BTreeSet<u16>, room: usize) -> Vec<BTreeSet<u16>> {
    if idle.len() <= room {
        return vec![idle.clone()];
    }
    let less_one = idle.iter().map(|ink| {
        let mut rest = idle.clone();
        rest.remove(ink);
        rest
    });
    let all: BTreeSet<BTreeSet<u16>> = less_one.flat_map(|rest| what_stays(&rest, room)).collect();
    all.into_iter().collect()
}
