//! Intervals that claim nine in ten hold the truth about nine times in ten: simulated jobs, fixed seeds.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop at the first thing that is missing"
)]

use inkset_actuals::{Group, Measure, Observation, RateKey, Standing, Subject, learn};
use inkset_spec::{RateCard, read_rate_card};

const TRIALS: usize = 2_000;
/// The true rates are so many times those of the card.
const FORM: f64 = 1.3;
const INK: f64 = 0.8;

fn card() -> RateCard {
    read_rate_card(include_str!("../../../rates/metric.toml"))
        .value
        .unwrap()
}

/// Uniform numbers from a counter (the finaliser of a 64-bit mixer), the same on every machine.
struct Random(u64);

impl Random {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn unit(&mut self) -> f64 {
        ((self.bits() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (radius, angle) = (self.unit(), self.unit());
        libm::sqrt(-2.0 * libm::log(radius)) * libm::cos(std::f64::consts::TAU * angle)
    }

    fn count(&mut self, low: u64, high: u64) -> f64 {
        (low + self.bits() % (high - low + 1)) as f64
    }
}

/// How a job strays from what it should take, with mean 1.
#[derive(Clone, Copy, Debug)]
enum Noise {
    Even,
    Skew,
}

impl Noise {
    fn factor(self, random: &mut Random) -> f64 {
        let spread = 0.2;
        match self {
            Self::Even => 1.0 + spread * random.normal(),
            // Lognormal with mean 1.
            Self::Skew => libm::exp(spread * random.normal() - spread * spread / 2.0),
        }
    }
}

/// Make-readies of forms and inks; the second rate is true only where the jobs are to tell them apart.
fn jobs(random: &mut Random, n: usize, (noise, apart): (Noise, bool)) -> Vec<Observation> {
    let job = |at| {
        let forms = random.count(1, 6);
        let inks = forms * random.count(1, 8);
        let (of_forms, of_inks) = (9.0 * forms, 2.5 * inks);
        let truth = if apart {
            FORM * of_forms + INK * of_inks
        } else {
            FORM * (of_forms + of_inks)
        };
        Observation {
            subject: Subject::Press(0),
            measure: Measure::MakeReadyMinutes,
            job: format!("{at}"),
            estimated: of_forms + of_inks,
            actual: truth * noise.factor(random),
            bases: vec![of_forms, of_inks],
            papers: Vec::new(),
        }
    };
    (0..n).map(job).collect()
}

fn learned(jobs: &[Observation], card: &RateCard) -> Group {
    learn(jobs, card).groups.remove(0)
}

fn share(held: usize, of: usize) -> f64 {
    held as f64 / of as f64
}

#[test]
fn nine_intervals_in_ten_hold_the_rate() {
    let card = card();
    for (n, noise) in [
        (5, Noise::Even),
        (6, Noise::Skew),
        (12, Noise::Even),
        (12, Noise::Skew),
        (40, Noise::Skew),
    ] {
        let mut random = Random(2_611 + n as u64);
        let (mut mean, mut next) = (0, 0);
        for _ in 0..TRIALS {
            let mut all = jobs(&mut random, n + 1, (noise, false));
            let after = all.pop().unwrap();
            let ratio = learned(&all, &card).ratio.unwrap();
            let holds = |[low, high]: [f64; 2], value: f64| (low..=high).contains(&value);
            mean += usize::from(holds(ratio.interval, FORM));
            next += usize::from(holds(ratio.next_job, after.actual / after.estimated));
        }
        for (what, held) in [("mean", mean), ("next job", next)] {
            let share = share(held, TRIALS);
            assert!(
                (0.87..=0.93).contains(&share),
                "{n} jobs, {noise:?}, {what}: {share}"
            );
        }
    }
}

#[test]
fn rates_told_apart_are_held_too() {
    let card = card();
    let mut random = Random(14);
    let (mut told, mut held) = (0, [0; 2]);
    for _ in 0..TRIALS {
        let group = learned(&jobs(&mut random, 16, (Noise::Skew, true)), &card);
        if group.standing != Standing::Apart {
            continue;
        }
        told += 1;
        for (held, (rate, truth)) in held.iter_mut().zip([
            (RateKey::MakeReadyMinutes, FORM * 9.0),
            (RateKey::MakeReadyMinutesPerInk, INK * 2.5),
        ]) {
            let proposal = group.proposals.iter().find(|p| p.rate == rate).unwrap();
            let [low, high] = proposal.interval;
            *held += usize::from((low..=high).contains(&truth));
        }
    }
    assert!(told > TRIALS / 4, "{told} designs tell the rates apart");
    for held in held {
        let share = share(held, told);
        assert!((0.87..=0.93).contains(&share), "{share} of {told}");
    }
}

#[test]
fn one_slip_of_the_pen_changes_little() {
    let card = card();
    let mut random = Random(99);
    let mut held = 0;
    for _ in 0..TRIALS {
        let mut all = jobs(&mut random, 12, (Noise::Skew, false));
        // Hours written as minutes times ten, or a breakdown booked on the job.
        all[5].actual *= 10.0;
        let group = learned(&all, &card);
        assert_eq!(group.odd.len(), 1);
        assert_eq!(group.odd[0].job, "5");
        let [low, high] = group.ratio.unwrap().interval;
        held += usize::from((low..=high).contains(&FORM));
    }
    let share = share(held, TRIALS);
    assert!((0.87..=0.93).contains(&share), "{share}");
}

#[test]
fn few_jobs_propose_nothing() {
    let card = card();
    let mut random = Random(5);
    let group = learned(&jobs(&mut random, 4, (Noise::Even, false)), &card);
    assert_eq!(group.standing, Standing::TooFew);
    assert!(group.proposals.is_empty());
    assert!(group.ratio.is_some());
    let none = learn(&[], &card);
    assert!(none.groups.is_empty());
}
