//! Which ink hangs on which unit from pass to pass, with the fewest minutes of washing.
//!
//! A unit is washed when it takes another ink, and at the end when it holds an ink that does not stay on the press. Passes of
//! one form come in printing order; forms may take turns, so that a unit keeps its ink over several of them. The search is
//! exact: shortest paths (Dijkstra 1959) over what is printed and what hangs. Any ink may hang on any unit.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

/// An ink as it hangs on a unit: [`hung`].
pub(crate) type Hung = u16;

/// Inks of each pass of a form, first to last.
pub(crate) type Chain = Vec<Vec<Hung>>;

/// Most states looked into; beyond, the best found so far is finished in the simplest way.
const MOST_STATES: usize = 60_000;
/// Most inks that are told apart in the search.
const MOST_INKS: usize = 128;

/// The ink of a plan as it hangs; in a perfecting pass an ink of both sides hangs twice.
pub(crate) fn hung(ink: u16, behind_the_turn: bool) -> Hung {
    2 * ink + u16::from(behind_the_turn)
}

/// The ink of the plan that hangs.
pub(crate) fn ink_of(hung: Hung) -> usize {
    usize::from(hung / 2)
}

/// What is to be printed on one press.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Question<'q> {
    pub(crate) units: usize,
    /// Every kind of form once.
    pub(crate) chains: &'q [Chain],
    /// What hangs on the units before.
    pub(crate) before: &'q [Hung],
}

/// What washing one ink off takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Wash {
    /// Millionths of a minute.
    pub(crate) micro_minutes: u64,
    /// Whether the unit is washed when all is printed.
    pub(crate) in_the_end: bool,
}

/// Step by step: the pass that is printed, and what each unit holds for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Step {
    pub(crate) chain: usize,
    pub(crate) pass: usize,
    /// By unit.
    pub(crate) units: Vec<Option<Hung>>,
}

/// The cheapest order of passes and inks.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Answer {
    /// Inks washed off while others are still to be printed, in order.
    pub(crate) changed: Vec<Hung>,
    /// Inks washed off in the end.
    pub(crate) ended: Vec<Hung>,
    pub(crate) steps: Vec<Step>,
}

impl Answer {
    /// All inks washed off, as often as they are.
    pub(crate) fn washed(&self) -> impl Iterator<Item = Hung> + '_ {
        self.changed.iter().chain(&self.ended).copied()
    }
}

/// What is printed of each chain, and what hangs, as bits.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct State {
    done: Vec<u8>,
    hangs: u128,
}

/// Minutes and washes so far.
type Cost = (u64, u32);

/// The cheapest way to each state: its cost, the chain printed last and the state before.
type Best = BTreeMap<State, (Cost, Option<(usize, State)>)>;

struct Search<'q> {
    question: Question<'q>,
    inks: Vec<Hung>,
    washes: Vec<Wash>,
    passes: Vec<Vec<u128>>,
}

/// Finds the order of passes and inks that takes the fewest minutes of washing; among equals the fewest washes.
///
/// A pass never has more inks than the press has units.
pub(crate) fn arrange(question: Question<'_>, wash: impl Fn(Hung) -> Wash) -> Answer {
    let all = question.chains.iter().flatten().flatten();
    let inks: BTreeSet<Hung> = all.chain(question.before).copied().collect();
    let inks: Vec<Hung> = inks.into_iter().collect();
    let washes = inks.iter().map(|ink| wash(*ink)).collect();
    let bit = |ink: &Hung| {
        inks.binary_search(ink)
            .map_or(0, |at| 1_u128 << (at % MOST_INKS))
    };
    let bits = |pass: &Vec<Hung>| pass.iter().map(bit).fold(0, |all, one| all | one);
    let passes = question.chains.iter();
    let passes = passes
        .map(|chain| chain.iter().map(bits).collect())
        .collect();
    let before = question
        .before
        .iter()
        .map(bit)
        .fold(0, |all, one| all | one);
    let search = Search {
        question,
        inks,
        washes,
        passes,
    };
    let path = if search.inks.len() > MOST_INKS {
        Vec::new()
    } else {
        search.shortest(before)
    };
    search.answer(&path)
}

impl Search<'_> {
    /// The states along the cheapest way, with the chain printed to get to each.
    fn shortest(&self, before: u128) -> Vec<(usize, State)> {
        let start = State {
            done: vec![0; self.passes.len()],
            hangs: before,
        };
        let mut best = Best::new();
        let mut open = BinaryHeap::new();
        best.insert(start.clone(), ((0, 0), None));
        open.push(Reverse((self.ending(&start), start)));
        while let Some(Reverse((_, state))) = open.pop() {
            if self.is_done(&state) {
                return trace(&best, state);
            }
            if best.len() > MOST_STATES {
                return self.finish(trace(&best, state.clone()), state);
            }
            let so_far = best[&state].0;
            for (chain, next) in self.nexts(&state) {
                let off = self.taken_off(state.hangs, &next);
                let cost = (so_far.0 + off.0, so_far.1 + off.1);
                if best.get(&next).is_none_or(|(known, _)| cost < *known) {
                    best.insert(next.clone(), (cost, Some((chain, state.clone()))));
                    let end = self.ending(&next);
                    open.push(Reverse(((cost.0 + end.0, cost.1 + end.1), next)));
                }
            }
        }
        Vec::new()
    }

    fn is_done(&self, state: &State) -> bool {
        let chains = state.done.iter().zip(&self.passes);
        chains
            .into_iter()
            .all(|(done, passes)| usize::from(*done) == passes.len())
    }

    /// What washing in the end takes at least: what hangs and what is still to come has to be washed off once.
    fn ending(&self, state: &State) -> Cost {
        let coming = state
            .done
            .iter()
            .zip(&self.passes)
            .flat_map(|(done, passes)| passes[usize::from(*done)..].iter());
        let all = coming.fold(state.hangs, |all, pass| all | pass);
        self.cost_of(all, |wash| wash.in_the_end)
    }

    fn cost_of(&self, inks: u128, counted: impl Fn(&Wash) -> bool) -> Cost {
        let own = self.washes.iter().enumerate();
        let own = own.filter(|(at, wash)| inks >> at & 1 == 1 && counted(wash));
        own.fold((0, 0), |(minutes, washes), (_, wash)| {
            (minutes + wash.micro_minutes, washes + 1)
        })
    }

    fn taken_off(&self, hangs: u128, next: &State) -> Cost {
        self.cost_of(hangs & !next.hangs, |_| true)
    }

    /// Every state that printing one more pass leads to. A pass whose inks all hang is printed at once.
    fn nexts(&self, state: &State) -> Vec<(usize, State)> {
        let mut all = Vec::new();
        for (chain, passes) in self.passes.iter().enumerate() {
            let Some(pass) = passes.get(usize::from(state.done[chain])) else {
                continue;
            };
            let printed = |hangs| {
                let mut done = state.done.clone();
                done[chain] += 1;
                (chain, State { done, hangs })
            };
            if pass & !state.hangs == 0 {
                return vec![printed(state.hangs)];
            }
            let room = self
                .question
                .units
                .saturating_sub(pass.count_ones() as usize);
            let idle = state.hangs & !pass;
            let too_many = (idle.count_ones() as usize).saturating_sub(room);
            for off in subsets(idle, too_many) {
                all.push(printed(pass | (idle & !off)));
            }
        }
        all
    }

    /// Goes on in the simplest way: the next pass of the first form, off with what no pass needs any more.
    fn finish(&self, mut path: Vec<(usize, State)>, mut state: State) -> Vec<(usize, State)> {
        while !self.is_done(&state) {
            let later = |hangs: u128| {
                let chains = state.done.iter().zip(&self.passes);
                let rest = chains.flat_map(|(done, passes)| &passes[usize::from(*done)..]);
                rest.fold(0, |all, pass| all | pass) & hangs
            };
            let nexts = self.nexts(&state);
            let keeps = |(_, next): &&(usize, State)| later(next.hangs).count_ones();
            let Some((chain, next)) = nexts.iter().max_by_key(keeps).cloned() else {
                break;
            };
            path.push((chain, next.clone()));
            state = next;
        }
        path
    }

    /// Puts the inks of a path on numbered units.
    fn answer(&self, path: &[(usize, State)]) -> Answer {
        let mut answer = Answer::default();
        let mut units: Vec<Option<Hung>> = vec![None; self.question.units];
        for (unit, ink) in units.iter_mut().zip(self.question.before) {
            *unit = Some(*ink);
        }
        for (chain, state) in path {
            let stays = |ink: Hung| {
                self.inks
                    .binary_search(&ink)
                    .is_ok_and(|at| state.hangs >> at & 1 == 1)
            };
            for unit in &mut units {
                if let Some(ink) = unit.filter(|ink| !stays(*ink)) {
                    answer.changed.push(ink);
                    *unit = None;
                }
            }
            let pass = usize::from(state.done[*chain]) - 1;
            for ink in &self.question.chains[*chain][pass] {
                if !units.contains(&Some(*ink))
                    && let Some(unit) = units.iter_mut().find(|unit| unit.is_none())
                {
                    *unit = Some(*ink);
                }
            }
            answer.steps.push(Step {
                chain: *chain,
                pass,
                units: units.clone(),
            });
        }
        let ends = |ink: &Hung| {
            let at = self.inks.binary_search(ink);
            at.is_ok_and(|at| self.washes[at].in_the_end)
        };
        answer.ended = units.into_iter().flatten().filter(ends).collect();
        answer
    }
}

fn trace(best: &Best, end: State) -> Vec<(usize, State)> {
    let mut path = Vec::new();
    let mut state = end;
    while let Some((_, Some((chain, from)))) = best.get(&state) {
        path.push((*chain, state));
        state = from.clone();
    }
    path.reverse();
    path
}

/// Every choice of `count` of the bits.
fn subsets(bits: u128, count: usize) -> Vec<u128> {
    if count == 0 {
        return vec![0];
    }
    let mut all = Vec::new();
    let mut rest = bits;
    while rest != 0 {
        let lowest = rest & rest.wrapping_neg();
        rest &= !lowest;
        all.extend(
            subsets(rest, count - 1)
                .into_iter()
                .map(|more| lowest | more),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Washes for forms given as inks of each pass; inks from 10 on are specials, from 20 on effects of double time.
    fn arranged(units: usize, forms: &[&[&[u16]]], before: &[u16]) -> (u64, Answer) {
        let chain = |form: &&[&[u16]]| -> Chain {
            let pass = |inks: &&[u16]| inks.iter().map(|ink| hung(*ink, false)).collect();
            form.iter().map(pass).collect()
        };
        let chains: Vec<Chain> = forms.iter().map(chain).collect();
        let before: Vec<Hung> = before.iter().map(|ink| hung(*ink, false)).collect();
        let question = Question {
            units,
            chains: &chains,
            before: &before,
        };
        let wash = |hung: Hung| {
            let ink = ink_of(hung);
            Wash {
                micro_minutes: if ink >= 20 { 20 } else { 10 },
                in_the_end: ink >= 10,
            }
        };
        let answer = arrange(question, wash);
        let minutes = answer.washed().map(|hung| wash(hung).micro_minutes).sum();
        (minutes, answer)
    }

    #[test]
    fn units_enough_wash_specials_once() {
        assert_eq!(arranged(5, &[&[&[0, 1, 2, 3, 10]], &[&[3, 10]]], &[]).0, 10);
        assert_eq!(arranged(4, &[&[&[0, 1, 2, 3]]], &[]).0, 0);
        assert_eq!(arranged(4, &[], &[]).0, 0);
    }

    #[test]
    fn second_passes_share_one_change() {
        let form: &[&[u16]] = &[&[0, 1, 2, 3], &[10]];
        // Both fronts and backs first, then one unit changes, and is washed in the end.
        let (minutes, answer) = arranged(4, &[form, &[&[0, 1, 2, 4], &[10]]], &[]);
        assert_eq!(minutes, 30, "3 to 4, one to 10, 10 in the end: {answer:?}");
        assert_eq!(arranged(4, &[form, form], &[]).0, 20);
    }

    #[test]
    fn units_change_for_another_form() {
        // The form with the special comes first: it has to be washed off anyway.
        assert_eq!(
            arranged(4, &[&[&[0, 1, 2, 3]], &[&[0, 1, 2, 10]]], &[]).0,
            10
        );
        assert_eq!(
            arranged(4, &[&[&[0, 1, 2, 3]], &[&[0, 1, 2, 4]]], &[]).0,
            10
        );
        // A special whose forms are done goes first: it has to be washed anyway.
        let forms: [&[&[u16]]; 3] = [&[&[0, 10]], &[&[0, 1]], &[&[1, 11]]];
        assert_eq!(arranged(2, &forms, &[]).0, 30);
    }

    #[test]
    fn dear_washes_are_not_repeated() {
        // One unit: each ink once, in an order that suits all forms.
        let forms: [&[&[u16]]; 2] = [&[&[0], &[20]], &[&[20], &[21]]];
        assert_eq!(arranged(1, &forms, &[]).0, 10 + 20 + 20);
        // Forms that need two inks in opposite orders cannot share.
        let forms: [&[&[u16]]; 2] = [&[&[0], &[20]], &[&[20], &[0]]];
        assert_eq!(arranged(1, &forms, &[]).0, 10 + 20);
    }

    #[test]
    fn what_hangs_before_takes_a_unit() {
        let form: &[&[u16]] = &[&[0, 10]];
        assert_eq!(arranged(2, &[form], &[]).0, 10);
        assert_eq!(arranged(2, &[form], &[10]).0, 10);
        assert_eq!(arranged(2, &[form], &[1, 2]).0, 30);
        assert_eq!(arranged(2, &[form], &[2, 10]).0, 20);
        assert_eq!(arranged(3, &[form], &[2]).0, 10);
    }

    #[test]
    fn units_say_what_they_hold() {
        let (_, answer) = arranged(2, &[&[&[0, 1], &[10]]], &[]);
        let held: Vec<Vec<Option<Hung>>> = answer.steps.into_iter().map(|s| s.units).collect();
        let hangs = |ink| Some(hung(ink, false));
        assert_eq!(held[0], [hangs(0), hangs(1)]);
        assert!(held[1].contains(&hangs(10)) && held[1].len() == 2);
    }
}
