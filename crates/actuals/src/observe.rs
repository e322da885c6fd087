//! From one job's actuals and its estimate to pairs of figures, estimated and actual.

use inkset_costing::{CannotPrint, Estimate, InkUse, PartChoice, RunTimes, Stage, run_times};
use inkset_layout::{InkKind, PrintPlan};
use inkset_spec::{
    ActualInk, ActualJob, ActualPress, FileRole, Given, Job, Notice, PaperKind, Press, RateCard,
    codes, name_hint,
};
use rust_decimal::prelude::ToPrimitive;

mod operation;

/// The rates of a finishing operation of the card.
pub(crate) fn operation_named<'c>(
    card: &'c RateCard,
    name: &str,
) -> Option<&'c inkset_spec::Operation> {
    operation::named(card, name).map(|(_, operation, _)| operation)
}

/// What a figure is about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// A press, by its index on the card.
    Press(usize),
    /// All presses together: run spoilage.
    Card,
    /// An entry of the card's inks.
    Ink(InkEntry),
    /// A finishing operation, by its name on the card.
    Operation(String),
}

/// An entry of the card's inks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum InkEntry {
    /// `[ink.process]`.
    Process,
    /// `[ink.solid]`.
    Solid,
    /// `[ink.metallic]` and the like, by its word.
    Effect(&'static str),
    /// An `[[ink.named]]`.
    Named(String),
}

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// Minutes of make-ready.
    MakeReadyMinutes,
    /// Minutes of running at the speed of this step; `None` when runs fall into several.
    RunningMinutes(Option<usize>),
    /// Sheets of make-ready.
    MakeReadySheets,
    /// Sheets into the press.
    Sheets,
    /// Sheets spoiled in running, of this step; `None` when runs fall into several.
    Spoilage(Option<usize>),
    /// Kilograms of ink.
    Ink,
    /// Minutes of setting an operation up.
    SetUpMinutes,
    /// Minutes of running an operation.
    OperationMinutes,
    /// Pieces spoiled by an operation.
    OperationSpoilage,
}

/// One figure of one job.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// What it is about.
    pub subject: Subject,
    /// What was measured.
    pub measure: Measure,
    /// Name of the job.
    pub job: String,
    /// By the card; above 0.
    pub estimated: f64,
    /// As measured.
    pub actual: f64,
    /// Of the estimate, what each of two rates makes: by form and by ink, by loss and by film. One where one rate makes all.
    pub bases: Vec<f64>,
    /// Papers of the parts, for films.
    pub papers: Vec<PaperKind>,
}

/// A figure that the card has no rate for.
#[derive(Debug, Clone, PartialEq)]
pub struct Unrated {
    /// What it is about.
    pub subject: Subject,
    /// What was measured.
    pub measure: Measure,
    /// Name of the job.
    pub job: String,
    /// As measured.
    pub actual: f64,
    /// Pieces put through, where they are told.
    pub pieces: Option<u64>,
}

/// What the actuals of a job are held against.
#[derive(Debug, Clone, Copy)]
pub enum Basis<'a> {
    /// Its estimate.
    Estimated(Estimated<'a>),
    /// Runs typed beside the actuals.
    Typed(&'a RateCard),
}

/// The estimate of a job.
#[derive(Debug, Clone, Copy)]
pub struct Estimated<'a> {
    /// The job.
    pub job: &'a Job,
    /// The whole card, whichever of its presses the estimate was allowed.
    pub card: &'a RateCard,
    /// The ink set that was printed.
    pub plan: &'a PrintPlan,
    /// At the quantity that was ordered.
    pub estimate: &'a Estimate,
    /// Inks of the estimate.
    pub inks: &'a [InkUse],
}

/// What one job says.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Observed {
    /// Figures with their estimates.
    pub pairs: Vec<Observation>,
    /// Figures without.
    pub unrated: Vec<Unrated>,
    /// What is wrong between the actuals and the estimate.
    pub notices: Vec<Notice>,
}

impl<'a> Basis<'a> {
    fn card(&self) -> &'a RateCard {
        match self {
            Self::Estimated(estimated) => estimated.card,
            Self::Typed(card) => card,
        }
    }
}

/// Pairs every figure of a job with its estimate.
///
/// Errors: those of [`run_times`]. What does not fit the estimate is among the notices.
pub fn observe(actual: &ActualJob, basis: Basis<'_>) -> Result<Observed, CannotPrint> {
    let mut observed = Observed::default();
    for press in &actual.presses {
        match printed(press, basis)? {
            Ok(printed) => observed.press(&actual.name, press, &printed),
            Err(notice) => observed.notices.push(*notice),
        }
    }
    if let Basis::Estimated(estimated) = basis {
        observed.inks(&actual.name, &actual.inks, estimated);
    }
    for operation in &actual.operations {
        operation::observe(&mut observed, (&actual.name, operation), basis);
    }
    Ok(observed)
}

/// What a press was to do, by the estimate or by what was typed.
struct Printed<'a> {
    index: usize,
    press: &'a Press,
    card: &'a RateCard,
    runs: Vec<Run>,
    make_ready_minutes: f64,
    running_minutes: f64,
    sheets: u64,
}

/// One run.
#[derive(Clone, Copy)]
struct Run {
    inks: u32,
    makes_ready: bool,
    make_ready_sheets: u64,
    running_sheets: u64,
    good_sheets: u64,
}

fn printed<'a>(
    actual: &ActualPress,
    basis: Basis<'a>,
) -> Result<Result<Printed<'a>, Box<Notice>>, CannotPrint> {
    let card = basis.card();
    let wanted = actual.press.to_lowercase();
    let is = |press: &Press| press.name.to_lowercase() == wanted;
    let Some(index) = card.presses.iter().position(is) else {
        let message = format!("the rate card has no press `{}`", *actual.press);
        let known = card.presses.iter().map(|p| p.name.value.as_str());
        let hint = name_hint(&actual.press, known);
        return Ok(Err(Box::new(
            notice(codes::UNKNOWN_PRESS, message, &actual.press).hint(hint),
        )));
    };
    let empty = Printed {
        index,
        press: &card.presses[index],
        card,
        runs: Vec::new(),
        make_ready_minutes: 0.0,
        running_minutes: 0.0,
        sheets: 0,
    };
    Ok(match basis {
        Basis::Typed(card) => Ok(empty.typed(&run_times((card, index), &actual.runs)?)),
        Basis::Estimated(estimated) => empty.estimated(actual, estimated),
    })
}

fn notice<T>(code: &'static str, message: String, at: &Given<T>) -> Notice {
    Notice::error(FileRole::Actuals, code, message).at(at.place)
}

impl Printed<'_> {
    fn typed(mut self, times: &[RunTimes]) -> Self {
        for run in times {
            self.make_ready_minutes += run.make_ready_minutes;
            self.running_minutes += run.running_minutes;
            self.sheets += run.make_ready_sheets + run.running_sheets;
            self.runs.push(Run {
                inks: run.inks,
                makes_ready: true,
                make_ready_sheets: run.make_ready_sheets,
                running_sheets: run.running_sheets,
                good_sheets: run.good_sheets,
            });
        }
        self
    }

    fn estimated(
        mut self,
        actual: &ActualPress,
        Estimated { job, estimate, .. }: Estimated<'_>,
    ) -> Result<Self, Box<Notice>> {
        let wanted = match &actual.part {
            None => None,
            Some(name) => Some(part_named(job, name)?),
        };
        let here = |choice: &&PartChoice| {
            let mut presses = choice.press_indices();
            presses.any(|press| press == self.index) && wanted.is_none_or(|w| w == choice.part)
        };
        let choices: Vec<_> = estimate.parts.iter().filter(here).collect();
        if choices.is_empty() {
            let parts = estimate.parts.iter();
            let parts = parts.map(|c| {
                let further = c.further.iter();
                let further = further.map(|further| format!(" and `{}`", further.press));
                let further: String = further.collect();
                format!("{} on `{}`{further}", job.parts[c.part].name.value, c.press)
            });
            let message = format!(
                "the estimate prints nothing of this on `{}`",
                self.press.name.value
            );
            let hint = format!(
                "it prints {}; name the press that printed the part, or type the runs without a `file`",
                parts.collect::<Vec<_>>().join(", ")
            );
            return Err(Box::new(
                notice(codes::UNKNOWN_PART, message, &actual.press).hint(hint),
            ));
        }
        for choice in choices {
            self.sheets += choice.sheets_into(self.index);
            let runs = choice.runs_on(self.index);
            self.runs.extend(runs.map(|run| Run {
                inks: run.inks.len() as u32,
                makes_ready: run.makes_ready && !run.kept,
                make_ready_sheets: run.make_ready_sheets,
                running_sheets: run.running_sheets,
                good_sheets: run.good_sheets,
            }));
            let on = (choice.part, self.index);
            let minutes = |stage| 60.0 * hours(estimate, stage, on);
            self.make_ready_minutes += minutes(Stage::MakeReady);
            self.running_minutes += minutes(Stage::Press);
        }
        Ok(self)
    }

    /// What the rate for each form and the rate for each ink make of a sum.
    fn by_form_and_ink(&self, sum: f64, [form, ink]: [f64; 2]) -> Vec<f64> {
        let ready = self.runs.iter().filter(|run| run.makes_ready);
        let of_forms = form * ready.clone().count() as f64;
        let of_inks = ink * ready.map(|run| f64::from(run.inks)).sum::<f64>();
        let all = of_forms + of_inks;
        if all <= 0.0 {
            return vec![sum];
        }
        vec![sum * of_forms / all, sum * of_inks / all]
    }

    /// The step that all runs fall into.
    fn step(&self, ends: &[Option<u64>], sheets: fn(&Run) -> u64) -> Option<usize> {
        let step = |run: &Run| {
            let sheets = sheets(run);
            ends.iter()
                .position(|end| end.is_none_or(|end| sheets <= end))
        };
        let first = self.runs.first().and_then(step)?;
        let all = self.runs.iter().all(|run| step(run) == Some(first));
        all.then_some(first)
    }
}

fn part_named(job: &Job, name: &Given<String>) -> Result<usize, Box<Notice>> {
    let wanted = name.to_lowercase();
    let mut parts = job.parts.iter();
    let found = parts.position(|part| part.name.to_lowercase() == wanted);
    found.ok_or_else(|| {
        let message = format!("the job has no part `{}`", name.value);
        let known = job.parts.iter().map(|part| part.name.value.as_str());
        Box::new(notice(codes::UNKNOWN_PART, message, name).hint(name_hint(name, known)))
    })
}

/// Computed hours of a stage of a part on a press; what the job sets by hand is no rate of the card.
fn hours(estimate: &Estimate, stage: Stage, (part, press): (usize, usize)) -> f64 {
    let lines = estimate.lines.iter().filter(|line| line.stage == stage);
    let lines = lines.filter(|line| line.part == Some(part) && line.press == Some(press));
    lines.map(computed).sum()
}

/// A line's quantity before anything was set by hand.
fn computed(line: &inkset_costing::CostLine) -> f64 {
    let by_hand = line.by_hand.as_ref();
    let quantity = by_hand.map_or(line.quantity, |by_hand| by_hand.quantity);
    quantity.to_f64().unwrap_or_default()
}

impl Observed {
    /// Nothing but what is wrong.
    pub fn of(notice: Notice) -> Self {
        Self {
            notices: vec![notice],
            ..Self::default()
        }
    }

    /// Adds a pair, unless the card estimates nothing.
    fn pair(&mut self, pair: Observation) {
        if pair.estimated > 0.0 {
            self.pairs.push(pair);
        } else {
            self.unrated.push(Unrated {
                subject: pair.subject,
                measure: pair.measure,
                job: pair.job,
                actual: pair.actual,
                pieces: None,
            });
        }
    }

    fn press(&mut self, job: &str, actual: &ActualPress, printed: &Printed<'_>) {
        let press = printed.press;
        let mut add = |subject, measure, actual: f64, bases: Vec<f64>| {
            self.pair(Observation {
                subject,
                measure,
                job: job.to_owned(),
                estimated: bases.iter().sum(),
                actual,
                bases,
                papers: Vec::new(),
            });
        };
        let subject = || Subject::Press(printed.index);
        if let Some(minutes) = actual.make_ready_minutes {
            let rates = [
                press.make_ready_minutes.value,
                press.make_ready_minutes_per_ink.value,
            ];
            let bases = printed.by_form_and_ink(printed.make_ready_minutes, rates);
            add(subject(), Measure::MakeReadyMinutes, minutes.value, bases);
        }
        if let Some(minutes) = actual.running_minutes {
            let ends: Vec<_> = press.speeds.iter().map(|speed| speed.up_to).collect();
            let measure = Measure::RunningMinutes(printed.step(&ends, |run| run.running_sheets));
            add(
                subject(),
                measure,
                minutes.value,
                vec![printed.running_minutes],
            );
        }
        let ready: u64 = printed.runs.iter().map(|run| run.make_ready_sheets).sum();
        if let Some(sheets) = actual.make_ready_sheets {
            let rates = [
                press.make_ready_sheets.value as f64,
                press.make_ready_sheets_per_ink.value as f64,
            ];
            let bases = printed.by_form_and_ink(ready as f64, rates);
            add(
                subject(),
                Measure::MakeReadySheets,
                sheets.value as f64,
                bases,
            );
        }
        let Some(sheets) = actual.sheets else { return };
        add(
            subject(),
            Measure::Sheets,
            sheets.value as f64,
            vec![printed.sheets as f64],
        );
        let Some(make_ready) = actual.make_ready_sheets else {
            return;
        };
        let spoiled = printed
            .runs
            .iter()
            .map(|run| run.running_sheets - run.good_sheets);
        let spoiled: u64 = spoiled.sum();
        let good = printed.sheets.saturating_sub(ready + spoiled);
        let ran = sheets.value.saturating_sub(make_ready.value);
        if ran < good {
            let message = format!(
                "{ran} sheets were run, fewer than the {good} good ones that the estimate needs"
            );
            let hint = "if fewer copies were delivered than ordered, give the quantity delivered";
            let notice = notice(codes::OUT_OF_RANGE, message, &sheets).hint(hint);
            self.notices.push(notice);
            return;
        }
        // A digital press spoils at a rate of its own, not at that of the card's table.
        if press.digital.is_some() {
            return;
        }
        let steps = printed.card.run_spoilage.steps.iter();
        let ends: Vec<_> = steps.map(|step| step.up_to).collect();
        let measure = Measure::Spoilage(printed.step(&ends, |run| run.good_sheets));
        self.pair(Observation {
            subject: Subject::Card,
            measure,
            job: job.to_owned(),
            estimated: spoiled as f64,
            actual: (ran - good) as f64,
            bases: vec![spoiled as f64],
            papers: Vec::new(),
        });
    }

    /// One pair for each entry of the card's inks, its inks of the job together: the inks of a job stray together.
    fn inks(&mut self, job: &str, actuals: &[ActualInk], estimated: Estimated<'_>) {
        let mut pairs: Vec<Observation> = Vec::new();
        let mut measured: Vec<u16> = Vec::new();
        for actual in actuals {
            let used = match inks_named(actual, estimated) {
                Ok(used) => used,
                Err(notice) => {
                    self.notices.push(*notice);
                    continue;
                }
            };
            if used.iter().any(|ink| measured.contains(&ink.ink.0)) {
                let message = format!("the ink of `{}` is given twice", actual.ink.value);
                let twice = notice(codes::DUPLICATE_NAME, message, &actual.ink);
                self.notices.push(twice);
                continue;
            }
            measured.extend(used.iter().map(|ink| ink.ink.0));
            let entry = Subject::Ink(entry_of(&estimated.plan.inks[usize::from(used[0].ink.0)]));
            let lost: f64 = used.iter().map(|ink| ink.lost).sum();
            let all: f64 = used.iter().map(|ink| ink.kilograms).sum();
            let at = pairs.iter().position(|pair| pair.subject == entry);
            let at = at.unwrap_or_else(|| {
                pairs.push(Observation {
                    subject: entry,
                    measure: Measure::Ink,
                    job: job.to_owned(),
                    estimated: 0.0,
                    actual: 0.0,
                    bases: vec![0.0, 0.0],
                    papers: Vec::new(),
                });
                pairs.len() - 1
            });
            let pair = &mut pairs[at];
            pair.estimated += all;
            pair.actual += actual.kilograms.value;
            pair.bases[0] += lost;
            pair.bases[1] += (all - lost).max(0.0);
            pair.papers.extend(used.iter().map(|ink| ink.paper));
        }
        for pair in pairs {
            self.pair(pair);
        }
    }
}

/// The uses of an ink by all parts; never empty.
fn inks_named(
    actual: &ActualInk,
    Estimated { plan, inks, .. }: Estimated<'_>,
) -> Result<Vec<InkUse>, Box<Notice>> {
    let wanted = actual.ink.to_lowercase();
    let spec = |ink: &InkUse| &plan.inks[usize::from(ink.ink.0)];
    let is = |ink: &&InkUse| {
        let spec = spec(ink);
        let process = wanted == "process" && matches!(spec.kind, InkKind::Process(_));
        process || spec.name.to_lowercase() == wanted
    };
    let used: Vec<InkUse> = inks.iter().filter(is).copied().collect();
    if !used.is_empty() {
        return Ok(used);
    }
    let message = format!("the estimate prints nothing in `{}`", actual.ink.value);
    let mut known: Vec<&str> = inks.iter().map(|ink| spec(ink).name.as_str()).collect();
    known.dedup();
    let hint = format!(
        "{}; the ink set that was printed is named by `option`",
        name_hint(&actual.ink, known)
    );
    Err(Box::new(
        notice(codes::UNKNOWN_INK, message, &actual.ink).hint(hint),
    ))
}

fn entry_of(ink: &inkset_layout::InkSpec) -> InkEntry {
    if let Some(name) = &ink.named_rate {
        return InkEntry::Named(name.clone());
    }
    match ink.kind {
        InkKind::Process(_) | InkKind::Extended(_) => InkEntry::Process,
        InkKind::Solid => InkEntry::Solid,
        InkKind::Effect(effect) => InkEntry::Effect(effect.word()),
    }
}
