//! What actuals teach: for people, programs, spreadsheets, and as lines for a rate card.

mod csv;
mod document;
mod json;
mod toml;

use inkset_actuals::{
    FEWEST_JOBS, Group, InkEntry, Learned, Measure, Proposal, RateKey, Standing, Subject, Unrated,
};
use inkset_spec::RateCard;

use crate::figures::grouped;

pub use csv::learn_csv;
pub use document::learn_document;
pub use json::{learn_json, learn_schema};
pub use toml::{Ranges, learn_toml};

/// Everything that `learn` has to say.
pub struct LearnReport<'a> {
    /// The card that the actuals are held against.
    pub card: &'a RateCard,
    /// Its file.
    pub card_file: String,
    /// Jobs of all files.
    pub jobs: usize,
    /// Ratios and proposed rates.
    pub learned: &'a Learned,
    /// Figures that the card has no rate for.
    pub unrated: &'a [Unrated],
}

impl LearnReport<'_> {
    /// Name of a press, of an entry of the inks, of an operation.
    fn subject(&self, subject: &Subject) -> String {
        match subject {
            Subject::Press(press) => self.card.presses[*press].name.value.clone(),
            Subject::Card => "All presses".to_owned(),
            Subject::Ink(InkEntry::Process) => "Process inks".to_owned(),
            Subject::Ink(InkEntry::Solid) => "Solids".to_owned(),
            Subject::Ink(InkEntry::Effect(word)) => format!("Ink, {word}"),
            Subject::Ink(InkEntry::Named(name)) => format!("Ink {name}"),
            Subject::Operation(name) => format!("Operation {name}"),
        }
    }

    /// What was measured, with its unit.
    fn measure(&self, group: (&Subject, Measure)) -> String {
        match group.1 {
            Measure::MakeReadyMinutes => "make-ready, min".to_owned(),
            Measure::RunningMinutes(step) => {
                format!("running{}, min", self.speed_step(group.0, step))
            }
            Measure::MakeReadySheets => "make-ready, sheets".to_owned(),
            Measure::Sheets => "all sheets".to_owned(),
            Measure::Spoilage(step) => format!("spoiled{}, sheets", self.spoilage_step(step)),
            Measure::Ink => "used, kg".to_owned(),
            Measure::SetUpMinutes => "setting up, min".to_owned(),
            Measure::OperationMinutes => "running, min".to_owned(),
            Measure::OperationSpoilage => "spoiled, pieces".to_owned(),
        }
    }

    fn speed_step(&self, subject: &Subject, step: Option<usize>) -> String {
        let Subject::Press(press) = subject else {
            return String::new();
        };
        let speeds = self.card.presses[*press].speeds.iter();
        step_text(&speeds.map(|speed| speed.up_to).collect::<Vec<_>>(), step)
    }

    fn spoilage_step(&self, step: Option<usize>) -> String {
        let steps = self.card.run_spoilage.steps.iter();
        step_text(&steps.map(|step| step.up_to).collect::<Vec<_>>(), step)
    }

    /// The key of a rate, with the step of a table and the unit.
    fn rate(&self, subject: &Subject, rate: RateKey) -> String {
        let step = match rate {
            RateKey::Speed(step) => self.speed_step(subject, Some(step)),
            RateKey::RunSpoilage(step) => self.spoilage_step(Some(step)),
            _ => String::new(),
        };
        let key = match rate {
            RateKey::RunSpoilage(_) => "run_spoilage",
            _ => rate.key(),
        };
        format!("{key}{step}, {}", rate.unit())
    }

    /// Sentences about what is set aside or does not suffice.
    fn remarks(&self) -> Vec<String> {
        let mut said = Vec::new();
        for group in &self.learned.groups {
            let what = self.what(&group.subject, group.measure);
            for odd in &group.odd {
                said.push(format!(
                    "{what}: job {} is left out; at {:.2} times its estimate it does not belong with \
                     the others",
                    odd.job, odd.ratio
                ));
            }
            said.extend(standing(group).map(|why| format!("{what}: {why}")));
        }
        said.extend(self.unrated());
        said
    }

    fn what(&self, subject: &Subject, measure: Measure) -> String {
        format!(
            "{}, {}",
            self.subject(subject),
            self.measure((subject, measure))
        )
    }

    /// Figures without a rate, summed up by what they are about.
    fn unrated(&self) -> Vec<String> {
        let mut sorted: Vec<&Unrated> = self.unrated.iter().collect();
        sorted.sort_by(|a, b| (&a.subject, a.measure).cmp(&(&b.subject, b.measure)));
        let alike = |a: &&Unrated, b: &&Unrated| (&a.subject, a.measure) == (&b.subject, b.measure);
        sorted
            .chunk_by(alike)
            .map(|all| self.unrated_text(all))
            .collect()
    }

    fn unrated_text(&self, all: &[&Unrated]) -> String {
        let (n, what) = (all.len(), self.what(&all[0].subject, all[0].measure));
        let jobs = if n == 1 { "job" } else { "jobs" };
        let mean = all.iter().map(|one| one.actual).sum::<f64>() / n as f64;
        let minutes: f64 = all.iter().map(|one| one.actual).sum();
        let pieces: Option<u64> = all.iter().map(|one| one.pieces).sum();
        let speed = match (all[0].measure, pieces) {
            (Measure::OperationMinutes, Some(pieces)) if minutes > 0.0 => {
                let per_hour = (pieces as f64 / minutes * 60.0).round();
                format!(", {} pieces an hour", grouped(&per_hour.to_string()))
            }
            _ => String::new(),
        };
        format!(
            "{what}: {mean:.1} on average in {n} {jobs}{speed}; the card does not pay this by time \
             or estimates nothing"
        )
    }

    /// Proposals with the group that they come from.
    fn proposals(&self) -> impl Iterator<Item = (&Group, &Proposal)> {
        let groups = self.learned.groups.iter();
        groups.flat_map(|group| {
            group
                .proposals
                .iter()
                .map(move |proposal| (group, proposal))
        })
    }
}

/// Why no rate follows, or how rates do.
fn standing(group: &Group) -> Option<String> {
    let kept = group.jobs - group.odd.len();
    Some(match group.standing {
        Standing::TooFew => {
            format!("too few jobs, {kept} of the {FEWEST_JOBS} that a rate needs")
        }
        Standing::TooUncertain => format!(
            "the {kept} jobs stray so far that the rate may be half as much again; none is \
             proposed"
        ),
        Standing::SeveralSteps => {
            "the runs of a job fall into several steps of the card's table; no rate follows"
                .to_owned()
        }
        Standing::Together if has_two(group) => {
            "these jobs do not tell the two kinds of rate apart; all are changed in one \
             proportion"
                .to_owned()
        }
        Standing::Together | Standing::Apart | Standing::NoRate => return None,
    })
}

/// Whether a group is about two kinds of rate, by form and by ink for instance.
fn has_two(group: &Group) -> bool {
    group.proposals.len() > 1
}

fn kept(group: &Group) -> usize {
    group.jobs - group.odd.len()
}

/// ` to 2 000`, ` from 2 001 to 10 000`, ` from 10 001`; nothing where the table has one step.
fn step_text(ends: &[Option<u64>], step: Option<usize>) -> String {
    let Some(step) = step else {
        return ", several steps".to_owned();
    };
    let before = step.checked_sub(1).and_then(|before| ends[before]);
    let number = |n: u64| grouped(&n.to_string());
    match (before, ends[step]) {
        (None, None) => String::new(),
        (None, Some(end)) => format!(" to {}", number(end)),
        (Some(before), None) => format!(" from {}", number(before + 1)),
        (Some(before), Some(end)) => format!(" {}–{}", number(before + 1), number(end)),
    }
}

/// A rate as the card would have it: no superfluous decimals.
fn plain(value: f64) -> String {
    format!("{value}")
}
