//! From pairs of figures to ratios and proposed rates.

use inkset_spec::{InkRate, PaperKind, RateCard, RunRate};

use crate::least_squares::{LeastSquares, fitted};
use crate::observe::{InkEntry, Measure, Observation, Subject, operation_named};
use crate::outlier::outliers;
use crate::rates::RateKey;
use crate::student::quantile;

/// Fewest jobs from which a rate is proposed. Our own choice.
pub const FEWEST_JOBS: usize = 5;
/// Fewest jobs from which two rates are told apart. Our own choice.
pub const FEWEST_APART: usize = 8;
/// Two rates are told apart when the design alone leaves each at most so uncertain, in spreads of one job.
const MOST_DESIGN_ERROR: f64 = 1.5;
/// An interval that reaches farther than this share to either side says too little to propose a rate.
const WIDEST: f64 = 0.5;
/// Share of t below the upper end, so that an interval holds 90 %.
const UPPER: f64 = 0.95;

/// What the actuals say.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// By press, card, ink, operation.
    pub groups: Vec<Group>,
}

/// One measure of one press, ink or operation.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// What it is about.
    pub subject: Subject,
    /// What was measured.
    pub measure: Measure,
    /// Jobs measured, odd ones included.
    pub jobs: usize,
    /// Sum of the estimates, odd jobs left out.
    pub estimated: f64,
    /// Sum of what was measured, odd jobs left out.
    pub actual: f64,
    /// Mean of the ratios; `None` of fewer than two jobs.
    pub ratio: Option<Ratio>,
    /// Jobs set aside because they do not belong with the others.
    pub odd: Vec<OddJob>,
    /// Whether rates follow, or why not.
    pub standing: Standing,
    /// Rates that follow.
    pub proposals: Vec<Proposal>,
}

/// Actual by estimated, each job counted once, odd ones left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ratio {
    /// Mean.
    pub mean: f64,
    /// Standard deviation from job to job.
    pub spread: f64,
    /// Holds the mean of ever more such jobs, nine times in ten.
    pub interval: [f64; 2],
    /// Holds the ratio of the next such job, nine times in ten.
    pub next_job: [f64; 2],
}

/// A job that does not belong with the others.
#[derive(Debug, Clone, PartialEq)]
pub struct OddJob {
    /// Its name.
    pub job: String,
    /// Actual by estimated.
    pub ratio: f64,
}

/// Whether rates follow from a group.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Rates are proposed, each from its own column: by form apart from by ink, loss apart from film.
    Apart,
    /// Rates are proposed, all changed in one proportion.
    Together,
    /// Fewer than [`FEWEST_JOBS`] jobs.
    TooFew,
    /// The interval is wider than half the rate to either side.
    TooUncertain,
    /// The runs of a job fall into several steps of the card's table.
    SeveralSteps,
    /// The card has no rate for it: sheets follow from make-ready and spoilage.
    NoRate,
}

/// A rate that the actuals speak for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proposal {
    /// Which.
    pub rate: RateKey,
    /// As the card has it.
    pub card: f64,
    /// As proposed, rounded as a person would write it.
    pub proposed: f64,
    /// Holds the true rate nine times in ten, rounded likewise.
    pub interval: [f64; 2],
}

impl Group {
    /// Whether the card's own values all lie within the intervals: then nothing speaks for a change.
    ///
    /// Rates that were fitted together change together: what one gives up, the other takes on.
    pub fn stays(&self) -> bool {
        let within = |p: &Proposal| (p.interval[0]..=p.interval[1]).contains(&p.card);
        self.proposals.iter().all(within)
    }
}

/// Groups the pairs, averages their ratios and proposes rates of the card.
pub fn learn(observations: &[Observation], card: &RateCard) -> Learned {
    let mut sorted: Vec<&Observation> = observations.iter().collect();
    sorted.sort_by(|a, b| (&a.subject, a.measure).cmp(&(&b.subject, b.measure)));
    let groups = sorted.chunk_by(|a, b| (&a.subject, a.measure) == (&b.subject, b.measure));
    Learned {
        groups: groups.map(|pairs| group(pairs, card)).collect(),
    }
}

fn group(pairs: &[&Observation], card: &RateCard) -> Group {
    let ratios: Vec<f64> = pairs.iter().map(|p| p.actual / p.estimated).collect();
    let odd = outliers(&ratios);
    let kept: Vec<usize> = (0..pairs.len()).filter(|at| !odd.contains(at)).collect();
    let kept_ratios: Vec<f64> = kept.iter().map(|at| ratios[*at]).collect();
    let ratio = mean(&kept_ratios);
    let mut group = Group {
        subject: pairs[0].subject.clone(),
        measure: pairs[0].measure,
        jobs: pairs.len(),
        estimated: kept.iter().map(|at| pairs[*at].estimated).sum(),
        actual: kept.iter().map(|at| pairs[*at].actual).sum(),
        ratio,
        odd: odd
            .iter()
            .map(|at| OddJob {
                job: pairs[*at].job.clone(),
                ratio: ratios[*at],
            })
            .collect(),
        standing: Standing::TooFew,
        proposals: Vec::new(),
    };
    let kept_pairs: Vec<&Observation> = kept.iter().map(|at| pairs[*at]).collect();
    let rates = rates(pairs, card);
    let several = matches!(
        group.measure,
        Measure::RunningMinutes(None) | Measure::Spoilage(None)
    );
    if several {
        group.standing = Standing::SeveralSteps;
    } else if group.measure == Measure::Sheets || rates.is_empty() {
        group.standing = Standing::NoRate;
    } else if let Some(ratio) = ratio.filter(|_| kept.len() >= FEWEST_JOBS) {
        let apart = apart(&kept_pairs, &kept_ratios);
        (group.standing, group.proposals) = proposed(&rates, ratio, apart.as_ref());
    }
    group
}

/// Mean of ratios with its interval and that of the next ratio.
fn mean(ratios: &[f64]) -> Option<Ratio> {
    let fit = fitted(&[vec![1.0; ratios.len()]], ratios)?;
    let (mean, n) = (fit.coefficients[0], ratios.len() as f64);
    let t = quantile(UPPER, fit.degrees);
    let around = |reach: f64| [(mean - reach).max(0.0), mean + reach];
    Some(Ratio {
        mean,
        spread: fit.spread,
        interval: around(t * fit.standard_errors[0]),
        next_job: around(t * fit.spread * (1.0 + 1.0 / n).sqrt()),
    })
}

/// Factors of two rates, each from its own column; `None` where the jobs do not tell them apart.
fn apart(pairs: &[&Observation], ratios: &[f64]) -> Option<LeastSquares> {
    if pairs.len() < FEWEST_APART || pairs.iter().any(|pair| pair.bases.len() < 2) {
        return None;
    }
    let column = |at: usize| pairs.iter().map(|p| p.bases[at] / p.estimated).collect();
    let fit = fitted(&[column(0), column(1)], ratios)?;
    let told = fit
        .design_errors
        .iter()
        .all(|error| *error <= MOST_DESIGN_ERROR);
    let possible = fit.coefficients.iter().all(|factor| *factor > 0.0);
    (told && possible).then_some(fit)
}

fn proposed(
    rates: &[(RateKey, f64, usize)],
    ratio: Ratio,
    apart: Option<&LeastSquares>,
) -> (Standing, Vec<Proposal>) {
    if let Some(fit) = apart {
        let t = quantile(UPPER, fit.degrees);
        let of = |(rate, card, column): &(RateKey, f64, usize)| {
            let (factor, error) = (fit.coefficients[*column], fit.standard_errors[*column]);
            proposal(
                (*rate, *card),
                factor,
                [factor - t * error, factor + t * error],
            )
        };
        let all: Option<Vec<Proposal>> = rates.iter().map(of).collect();
        if let Some(all) = all {
            return (Standing::Apart, all);
        }
    }
    let of = |(rate, card, _): &(RateKey, f64, usize)| {
        proposal((*rate, *card), ratio.mean, ratio.interval)
    };
    let all: Option<Vec<Proposal>> = rates.iter().map(of).collect();
    all.map_or((Standing::TooUncertain, Vec::new()), |all| {
        (Standing::Together, all)
    })
}

/// `None` when the interval says too little.
fn proposal((rate, card): (RateKey, f64), factor: f64, [low, high]: [f64; 2]) -> Option<Proposal> {
    if factor <= 0.0 || low <= 0.0 || high - factor > WIDEST * factor {
        return None;
    }
    let value = |factor| rate.rounded(rate.scaled(card, factor));
    let (one, other) = (value(low), value(high));
    Some(Proposal {
        rate,
        card,
        proposed: value(factor),
        interval: [one.min(other), one.max(other)],
    })
}

/// The rates that a group speaks about: key, value on the card, and which base it makes. A rate of 0 cannot be scaled.
fn rates(pairs: &[&Observation], card: &RateCard) -> Vec<(RateKey, f64, usize)> {
    let all = match &pairs[0].subject {
        Subject::Press(press) => press_rates(pairs[0].measure, &card.presses[*press]),
        Subject::Card => match pairs[0].measure {
            Measure::Spoilage(Some(step)) => {
                let percent = card.run_spoilage.steps[step].percent.percent();
                vec![(RateKey::RunSpoilage(step), percent, 0)]
            }
            _ => Vec::new(),
        },
        Subject::Ink(entry) => ink_rates(pairs, ink_entry(card, entry)),
        Subject::Operation(name) => operation_rates(pairs[0].measure, name, card),
    };
    all.into_iter()
        .filter(|(_, value, _)| *value > 0.0)
        .collect()
}

fn press_rates(measure: Measure, press: &inkset_spec::Press) -> Vec<(RateKey, f64, usize)> {
    match measure {
        Measure::MakeReadyMinutes => vec![
            (RateKey::MakeReadyMinutes, press.make_ready_minutes.value, 0),
            (
                RateKey::MakeReadyMinutesPerInk,
                press.make_ready_minutes_per_ink.value,
                1,
            ),
        ],
        Measure::MakeReadySheets => vec![
            (
                RateKey::MakeReadySheets,
                press.make_ready_sheets.value as f64,
                0,
            ),
            (
                RateKey::MakeReadySheetsPerInk,
                press.make_ready_sheets_per_ink.value as f64,
                1,
            ),
        ],
        Measure::RunningMinutes(Some(step)) => {
            let speed = press.speeds[step].sheets_per_hour.value;
            vec![(RateKey::Speed(step), speed, 0)]
        }
        _ => Vec::new(),
    }
}

/// An entry of the card's inks.
pub(crate) fn ink_entry<'c>(card: &'c RateCard, entry: &InkEntry) -> Option<&'c InkRate> {
    let inks = &card.inks;
    match entry {
        InkEntry::Process => Some(&inks.process),
        InkEntry::Solid => Some(&inks.solid),
        InkEntry::Effect(word) => {
            let mut effects = inks.effects.iter();
            effects
                .find(|(effect, _)| effect.word() == *word)
                .map(|(_, rate)| rate)
        }
        InkEntry::Named(name) => {
            let mut named = inks.named.iter();
            named.find(|(n, _)| n.value == *name).map(|(_, rate)| rate)
        }
    }
}

fn ink_rates(pairs: &[&Observation], rate: Option<&InkRate>) -> Vec<(RateKey, f64, usize)> {
    let Some(rate) = rate else { return Vec::new() };
    let mut papers: Vec<PaperKind> = pairs
        .iter()
        .flat_map(|p| p.papers.iter().copied())
        .collect();
    papers.sort_unstable();
    papers.dedup();
    let film = |paper| match paper {
        PaperKind::Coated => rate.film_coated.value,
        PaperKind::Uncoated => rate.film_uncoated.value,
        PaperKind::Newsprint => rate.film_newsprint.value,
    };
    let films = papers
        .into_iter()
        .map(|paper| (RateKey::Film(paper), film(paper), 1));
    films
        .chain([(RateKey::FixedLoss, rate.fixed_loss_kg.value, 0)])
        .collect()
}

fn operation_rates(measure: Measure, name: &str, card: &RateCard) -> Vec<(RateKey, f64, usize)> {
    let Some(operation) = operation_named(card, name) else {
        return Vec::new();
    };
    match (measure, operation.run) {
        (Measure::SetUpMinutes, _) => {
            vec![(RateKey::SetUpMinutes, operation.set_up_minutes.value, 0)]
        }
        (Measure::OperationMinutes, Some(RunRate::PerHour(per_hour))) => {
            vec![(RateKey::PerHour, per_hour.value, 0)]
        }
        (
            Measure::OperationMinutes,
            Some(RunRate::Belt {
                metres_per_minute, ..
            }),
        ) => {
            vec![(RateKey::BeltSpeed, metres_per_minute.value, 0)]
        }
        (Measure::OperationSpoilage, _) => vec![
            (
                RateKey::SetUpSpoilage,
                operation.set_up_spoilage.value as f64,
                0,
            ),
            (
                RateKey::RunSpoilagePercent,
                operation.run_spoilage.percent(),
                1,
            ),
        ],
        _ => Vec::new(),
    }
}
