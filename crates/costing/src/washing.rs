//! What each press has to wash for the parts that it prints: units that change their ink, and solids in the end.
//!
//! Parts on one press share its units, so that an ink that several of them print is hung and washed off once. What hangs
//! before the job, and what stays for the next one, a job may say in its `[[queue]]`.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use inkset_layout::{InkKind, PrintPlan, WorkStyle};
use inkset_spec::{Effect, Job, PROCESS_INKS, Press, Queue, RateCard};
use inkset_units::Money;
use rust_decimal::Decimal;

use crate::further_press::Pair;
use crate::hanging::{Answer, Chain, Hung, Question, Wash, arrange, hung, ink_of};
use crate::inks::{ClassRuns, PartRuns};
use crate::ledger::{Charge, Ledger};
use crate::line::{CostLine, Input, Stage, Unit};
use crate::press::PressCost;
use crate::rate::thousandths;
use crate::ways::Way;
use crate::words::counted;

/// An ink that may hang on a press: one of the plan, or one that hangs there from the job before.
#[derive(Debug, Clone)]
struct HangingInk {
    name: String,
    /// Its entry on the card, by which a queue may call it too.
    named: Option<String>,
    /// Washing it off takes the longer time.
    effect: bool,
    /// It is washed off in the end, because it is none that stays on the press.
    special: bool,
}

/// One press with what a queue says of it.
#[derive(Debug)]
struct PressUnits<'a> {
    press: &'a Press,
    cost: &'a PressCost,
    queue: Option<&'a Queue>,
    /// Inks of the plan, then those that hang from the job before.
    inks: Vec<HangingInk>,
    before: Vec<Hung>,
    /// By ink, whether it stays for the next job.
    kept: Vec<bool>,
    /// Whether every ink of the plan has a unit of its own, on a perfecting press for each side.
    is_roomy: bool,
}

/// What of a way decides what is washed: the press, and the kinds of form.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Profile {
    press: usize,
    chains: Vec<Chain>,
}

/// The profiles of a way on its press and on its further press; `None` where nothing is ever washed.
pub(crate) type Profiles = [Option<usize>; 2];

/// Washing of one plan on every press.
#[derive(Debug)]
pub(crate) struct Washing<'a> {
    presses: Vec<PressUnits<'a>>,
    profiles: Vec<Profile>,
    /// By part and way.
    ways: Vec<Vec<Profiles>>,
    /// Units washed at the ordinary and at the dearer rate, by profile.
    alone: Vec<[u32; 2]>,
    /// The same for several profiles on one press.
    together: Mutex<BTreeMap<Vec<usize>, [u32; 2]>>,
}

/// What is washed on one press, and what hangs where.
#[derive(Debug, Clone, PartialEq)]
pub struct PressWashing {
    /// Index of the press on the card.
    pub press_index: usize,
    /// Indices of the parts that it prints.
    pub parts: Vec<usize>,
    /// What the line is called.
    pub item: String,
    /// Inks that each unit holds, one after the other; a unit without ink has none.
    pub units: Vec<Vec<String>>,
    /// Inks washed off before all is printed, as often as they are.
    pub changed: Vec<String>,
    /// Inks washed off in the end.
    pub ended: Vec<String>,
    /// Inks that hang already from the job before.
    pub hung_already: Vec<String>,
    /// Inks that stay for the next job, which saves washing them off.
    pub kept: Vec<String>,
    /// Units washed at the ordinary and at the dearer rate.
    pub washes: [u32; 2],
}

impl<'a> Washing<'a> {
    pub(crate) fn new(
        (job, card): (&'a Job, &'a RateCard),
        costs: &'a [PressCost],
        plan: &PrintPlan,
        parts: &[(&[Pair], &PartRuns, &[Way])],
    ) -> Self {
        let all = parts.iter().flat_map(|(_, runs, _)| runs.printed());
        let mut printed: Vec<usize> = all.copied().collect();
        printed.sort_unstable();
        printed.dedup();
        let press = |pair| PressUnits::new(job, pair, (plan, &printed));
        let mut washing = Self {
            presses: card.presses.iter().zip(costs).map(press).collect(),
            profiles: Vec::new(),
            ways: Vec::new(),
            alone: Vec::new(),
            together: Mutex::default(),
        };
        for (pairs, runs, ways) in parts {
            let mut roomy = BTreeMap::new();
            let ways = ways.iter();
            let profiles = ways.map(|way| washing.profiles_of((pairs, runs), way, &mut roomy));
            let profiles = profiles.collect();
            washing.ways.push(profiles);
        }
        washing
    }

    fn profiles_of(
        &mut self,
        (pairs, runs): (&[Pair], &PartRuns),
        way: &Way,
        roomy: &mut BTreeMap<usize, Option<usize>>,
    ) -> Profiles {
        let Some(further) = way.further else {
            return [self.profile_of(runs, way, roomy), None];
        };
        let presses = pairs[further.pair].presses;
        [0, 1].map(|at: usize| self.profile_on((presses[at], at), runs, way))
    }

    /// The profile of one press of a way with two.
    fn profile_on(
        &mut self,
        (press, at): (usize, usize),
        runs: &PartRuns,
        way: &Way,
    ) -> Option<usize> {
        let classes = (0..way.placements.len()).map(|class| runs.class(way, class));
        let classes: Option<Vec<&ClassRuns>> = classes.collect();
        let chains = classes?;
        let chains = chains.iter().flat_map(|class| &class.on[at].chains);
        self.known_of(press, chains.cloned().collect())
    }

    fn known_of(&mut self, press: usize, mut chains: Vec<Chain>) -> Option<usize> {
        chains.sort_unstable();
        chains.dedup();
        self.known(Profile { press, chains })
    }

    /// The profile of a way with one press; where every ink has its own unit, all ways of a part on a press share one, kept in `roomy`.
    fn profile_of(
        &mut self,
        runs: &PartRuns,
        way: &Way,
        roomy: &mut BTreeMap<usize, Option<usize>>,
    ) -> Option<usize> {
        let units = &self.presses[way.press];
        if units.cost.clicks.is_some() {
            return None;
        }
        let turns = way
            .placements
            .iter()
            .any(|p| p.style == WorkStyle::Perfecting);
        let shares = units.is_roomy && !turns;
        if let (true, Some(known)) = (shares, roomy.get(&way.press)) {
            return *known;
        }
        let chains: Vec<Chain> = if shares {
            let all = runs.printed().iter();
            vec![vec![all.map(|ink| hung(*ink as u16, false)).collect()]]
        } else {
            let classes = way.placements.iter().enumerate();
            let runs = classes.filter_map(|(class, placement)| {
                runs.of_own_plates((way.scheme, class), (placement.style, way.press))
            });
            runs.flat_map(|runs| runs.on[0].chains.iter().cloned())
                .collect()
        };
        let profile = self.known_of(way.press, chains);
        if shares {
            roomy.insert(way.press, profile);
        }
        profile
    }

    fn known(&mut self, profile: Profile) -> Option<usize> {
        if let Some(at) = self.profiles.iter().position(|known| *known == profile) {
            return Some(at);
        }
        let press = &self.presses[profile.press];
        let special = |hung: &Hung| press.inks[ink_of(*hung)].special;
        let mut inks = profile.chains.iter().flatten().flatten();
        if press.is_roomy && press.queue.is_none() && !inks.any(special) {
            return None;
        }
        self.alone
            .push(press.washes(&press.arranged(&profile.chains)));
        self.profiles.push(profile);
        Some(self.profiles.len() - 1)
    }

    pub(crate) fn profiles(&self, part: usize, way: usize) -> Profiles {
        self.ways[part][way]
    }

    /// What washing costs for ways with these profiles, in smallest units of the currency; `None` beyond 38 digits.
    pub(crate) fn cost(&self, profiles: &[Profiles]) -> Option<i128> {
        let all = profiles.iter().flatten().flatten();
        let mut all: Vec<usize> = all.copied().collect();
        all.sort_unstable_by_key(|profile| (self.profiles[*profile].press, *profile));
        all.dedup();
        let on_press =
            |one: &usize, other: &usize| self.profiles[*one].press == self.profiles[*other].press;
        let mut sum = 0_i128;
        for profiles in all.chunk_by(on_press) {
            let press = &self.presses[self.profiles[profiles[0]].press];
            sum = sum.checked_add(press.amount(self.washes(profiles))?)?;
        }
        Some(sum)
    }

    /// Units washed for profiles on one press, ascending.
    fn washes(&self, profiles: &[usize]) -> [u32; 2] {
        if let [only] = profiles {
            return self.alone[*only];
        }
        let mut known = self.together.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(washes) = known.get(profiles) {
            return *washes;
        }
        let press = &self.presses[self.profiles[profiles[0]].press];
        let washes = press.washes(&press.arranged(&self.chains(profiles)));
        known.insert(profiles.to_vec(), washes);
        washes
    }

    fn chains(&self, profiles: &[usize]) -> Vec<Chain> {
        let all = profiles
            .iter()
            .flat_map(|profile| &self.profiles[*profile].chains);
        let mut chains: Vec<Chain> = all.cloned().collect();
        chains.sort_unstable();
        chains.dedup();
        chains
    }

    /// The most that another way of the part can save in washing, smallest units of the currency.
    ///
    /// At worst its forms are printed after those of all other parts: every unit may have to change its ink once more.
    pub(crate) fn advantage(&self, profiles: Profiles) -> i128 {
        let all = profiles.into_iter().flatten();
        all.map(|profile| self.advantage_on(profile))
            .fold(0, i128::saturating_add)
    }

    fn advantage_on(&self, profile: usize) -> i128 {
        let press = &self.presses[self.profiles[profile].press];
        let [plain, effects] = self.alone[profile];
        let units = if self.ways.len() == 1 {
            0
        } else {
            press.press.units.value
        };
        let more = [[plain + units, effects], [plain, effects + units]];
        let amounts = more.map(|washes| press.amount(washes).unwrap_or(i128::MAX / 4));
        // A cent may be gained by rounding.
        amounts[0].max(amounts[1]) + 1
    }

    /// What is washed on each press that prints ways with these profiles, by part.
    pub(crate) fn on_presses(&self, plan: &PrintPlan, profiles: &[Profiles]) -> Vec<PressWashing> {
        let told = |(n, press): (usize, &PressUnits<'_>)| {
            let there = |(part, profiles): (usize, &Profiles)| {
                let mut own = profiles.iter().flatten();
                let own = own.find(|profile| self.profiles[**profile].press == n);
                own.map(|profile| (part, *profile))
            };
            let (parts, mut ids): (Vec<usize>, Vec<usize>) =
                profiles.iter().enumerate().filter_map(there).unzip();
            ids.sort_unstable();
            ids.dedup();
            let chains = self.chains(&ids);
            (!parts.is_empty()).then(|| press.told((n, parts), (plan, &chains)))
        };
        let presses = self.presses.iter().enumerate();
        presses.filter_map(told).collect()
    }

    /// The line of a press on which nothing is washed because of what its queue says.
    pub(crate) fn idle_line(
        &self,
        washing: &PressWashing,
        part: Option<usize>,
    ) -> Option<CostLine> {
        let told = !washing.kept.is_empty() || !washing.hung_already.is_empty();
        let units = &self.presses[washing.press_index];
        (told && washing.washes == [0; 2]).then(|| CostLine {
            stage: Stage::WashUp,
            part,
            press: Some(washing.press_index),
            item: washing.item.clone(),
            quantity: Decimal::ZERO,
            unit: Unit::Hour,
            rate: units.cost.hourly.money,
            amount: Money::ZERO,
            formula: "wash-up",
            inputs: units.inputs(),
            by_hand: None,
        })
    }

    /// Charges washing, a line for each press.
    pub(crate) fn charge(&self, washing: &PressWashing, ledger: &mut impl Ledger) {
        let units = &self.presses[washing.press_index];
        let [plain, effects] = washing.washes;
        let charge = Charge {
            stage: Stage::WashUp,
            unit: Unit::Hour,
            thousandths: thousandths(units.cost.wash_hours(plain, effects)),
            rate: &units.cost.hourly,
            formula: "wash-up",
        };
        ledger.of_press(Some(washing.press_index));
        ledger.charge(&charge, || washing.item.clone(), || units.inputs());
        ledger.of_press(None);
    }
}

impl<'a> PressUnits<'a> {
    fn new(
        job: &'a Job,
        (press, cost): (&'a Press, &'a PressCost),
        (plan, printed): (&PrintPlan, &[usize]),
    ) -> Self {
        let same = |queue: &&Queue| is_named(&queue.press.value, &press.name.value);
        let queue = job.queue.iter().find(same);
        let own = plan.inks.iter().map(|ink| HangingInk {
            name: ink.name.clone(),
            named: ink.named_rate.clone(),
            effect: matches!(ink.kind, InkKind::Effect(_)),
            special: !ink.kind.is_process(),
        });
        let mut inks: Vec<HangingInk> = own.collect();
        let mut before = Vec::new();
        for name in queue.iter().flat_map(|queue| &queue.before) {
            let at = inks.iter().position(|ink| ink.is_called(&name.value));
            let at = at.unwrap_or_else(|| {
                inks.push(HangingInk::from_before(&name.value));
                inks.len() - 1
            });
            before.push(hung(at as u16, false));
        }
        let stays = |ink: &HangingInk| {
            let mut after = queue.iter().flat_map(|queue| &queue.after);
            after.any(|name| ink.is_called(&name.value))
        };
        let kept = inks.iter().map(stays).collect();
        let hangs = |ink: &usize| before.contains(&hung(*ink as u16, false));
        let foreign = before.len() - printed.iter().filter(|ink| hangs(ink)).count();
        // In a perfecting pass an ink of both sides hangs twice.
        let sides = if press.perfecting.value { 2 } else { 1 };
        Self {
            is_roomy: sides * printed.len() + foreign <= press.units.value as usize,
            press,
            cost,
            queue,
            inks,
            before,
            kept,
        }
    }

    fn arranged(&self, chains: &[Chain]) -> Answer {
        let printed = |ink: Hung| chains.iter().flatten().flatten().any(|hung| *hung == ink);
        let question = Question {
            units: self.press.units.value as usize,
            chains,
            before: &self.before,
        };
        arrange(question, |hung| {
            let ink = &self.inks[ink_of(hung)];
            let minutes = if ink.effect {
                self.press.wash_up_minutes_effect.value
            } else {
                self.press.wash_up_minutes.value
            };
            Wash {
                micro_minutes: (minutes * 1e6).round() as u64,
                in_the_end: ink.special && !self.kept[ink_of(hung)] && printed(hung),
            }
        })
    }

    fn washes(&self, answer: &Answer) -> [u32; 2] {
        let mut washes = [0; 2];
        for hung in answer.washed() {
            washes[usize::from(self.inks[ink_of(hung)].effect)] += 1;
        }
        washes
    }

    fn amount(&self, [plain, effects]: [u32; 2]) -> Option<i128> {
        let hours = thousandths(self.cost.wash_hours(plain, effects))?;
        self.cost.hourly.amount(hours)
    }

    fn told(
        &self,
        (press_index, parts): (usize, Vec<usize>),
        (plan, chains): (&PrintPlan, &[Chain]),
    ) -> PressWashing {
        let answer = self.arranged(chains);
        let washes = self.washes(&answer);
        let name = |hung: &Hung| self.inks[ink_of(*hung)].name.clone();
        let printed = |hung: &Hung| chains.iter().flatten().flatten().any(|own| own == hung);
        let mut units: Vec<Vec<String>> = vec![Vec::new(); self.press.units.value as usize];
        for (unit, hung) in units.iter_mut().zip(&self.before) {
            unit.push(name(hung));
        }
        for step in &answer.steps {
            for (unit, hung) in units.iter_mut().zip(&step.units) {
                let now = hung.as_ref().map(&name);
                if now.is_some() && unit.last() != now.as_ref() {
                    unit.extend(now);
                }
            }
        }
        let special = |hung: &&Hung| self.inks[ink_of(**hung)].special && printed(hung);
        let hung_already = self.before.iter().filter(special).map(&name);
        let last = answer.steps.last();
        let last = last.iter().flat_map(|step| step.units.iter().flatten());
        let stays = |hung: &&Hung| {
            let at = ink_of(**hung);
            self.kept[at] && (self.inks[at].special || at >= plan.inks.len())
        };
        let mut told = PressWashing {
            press_index,
            parts,
            item: String::new(),
            units,
            changed: answer.changed.iter().map(&name).collect(),
            ended: answer.ended.iter().map(&name).collect(),
            hung_already: hung_already.collect(),
            kept: last.filter(stays).map(&name).collect(),
            washes,
        };
        told.item = self.item(&told);
        told
    }

    /// `B2, 2 units; orange hangs already; silver stays for the next job`.
    fn item(&self, washing: &PressWashing) -> String {
        let units = counted(u64::from(washing.washes.iter().sum::<u32>()), "unit");
        let hangs = washing.hung_already.iter();
        let hangs = hangs.map(|ink| format!("; {ink} hangs already"));
        let stays = washing.kept.iter();
        let stays = stays.map(|ink| format!("; {ink} stays for the next job"));
        let told: String = hangs.chain(stays).collect();
        format!("{}, {units}{told}", self.press.name.value)
    }

    fn inputs(&self) -> Vec<Input> {
        let press = self.press;
        let mut inputs = vec![
            Input::money("hourly rate", &press.hourly_rate),
            Input::number("wash-up minutes", &press.wash_up_minutes),
            Input::number(
                "wash-up minutes after an effect ink",
                &press.wash_up_minutes_effect,
            ),
        ];
        let queue = self.queue.iter();
        let names = queue.flat_map(|queue| {
            let before = queue.before.iter().map(|name| ("hangs before", name));
            before.chain(queue.after.iter().map(|name| ("stays after", name)))
        });
        inputs.extend(names.map(|(label, name)| Input::of(label, name, &name.value)));
        inputs
    }
}

impl HangingInk {
    /// An ink that is none of the plan's: a special, unless it is called as a process ink is.
    fn from_before(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            named: None,
            effect: Effect::ALL
                .iter()
                .any(|effect| is_named(effect.word(), name)),
            special: !PROCESS_INKS.iter().any(|own| is_named(own, name)),
        }
    }

    fn is_called(&self, name: &str) -> bool {
        let named = self.named.as_deref();
        is_named(&self.name, name) || named.is_some_and(|own| is_named(own, name))
    }
}

fn is_named(one: &str, other: &str) -> bool {
    one.to_lowercase() == other.to_lowercase()
}
