//! Finishing operations: minutes and spoiled pieces.

use inkset_costing::{CostLine, Stage, Unit};
use inkset_spec::{ActualOperation, Operation, RateCard, RunRate};
use inkset_units::Percent;

use super::{Basis, Measure, Observation, Observed, Subject, Unrated, computed};

/// Operations that every card may have, with the stage of their lines.
const BUILT_IN: [(&str, Stage); 10] = [
    ("cut", Stage::Cutting),
    ("fold", Stage::Folding),
    ("stitch", Stage::Stitching),
    ("gather", Stage::Gathering),
    ("sew", Stage::Sewing),
    ("bind", Stage::Binding),
    ("insert", Stage::Inserting),
    ("collate", Stage::Collating),
    ("pad", Stage::Padding),
    ("pack", Stage::Packing),
];

/// An operation of the card: its name there, its rates, and the stage of its lines where it has one to itself.
pub(crate) fn named<'c>(
    card: &'c RateCard,
    name: &str,
) -> Option<(&'c str, &'c Operation, Option<Stage>)> {
    let wanted = name.to_lowercase();
    let built_in = BUILT_IN.iter().find(|(known, _)| *known == wanted);
    if let Some((known, stage)) = built_in {
        let finishing = &card.finishing;
        let operation = match *known {
            "cut" => &finishing.cut,
            "fold" => &finishing.fold,
            "stitch" => &finishing.stitch,
            "gather" => &finishing.gather,
            "sew" => &finishing.sew,
            "bind" => &finishing.bind,
            "insert" => &finishing.insert,
            "collate" => &finishing.collate,
            "pad" => &finishing.pad,
            _ => &finishing.pack,
        };
        return operation.as_ref().map(|o| (*known, o, Some(*stage)));
    }
    let mut further = card.finishing.further.iter();
    let found = further.find(|operation| operation.name.to_lowercase() == wanted)?;
    Some((&found.name.value, &found.operation, None))
}

/// What the estimate says of an operation.
#[derive(Default)]
struct Expected {
    set_ups: f64,
    set_up_minutes: f64,
    running_minutes: f64,
}

pub(super) fn observe(
    observed: &mut Observed,
    (job, actual): (&str, &ActualOperation),
    basis: Basis<'_>,
) {
    let Some((name, operation, stage)) = named(basis.card(), &actual.operation) else {
        return;
    };
    let mut expected = match basis {
        Basis::Typed(_) => typed(actual, operation),
        Basis::Estimated(estimated) => {
            let lines = estimated.estimate.lines.iter();
            estimate_of(lines.filter(|line| is_of(line, name, stage)), operation)
        }
    };
    if let Some(set_ups) = actual.set_ups {
        expected.set_ups = set_ups.value as f64;
    }
    let mut add = |measure, actual_value: f64, bases: Vec<f64>| {
        let estimated = bases.iter().sum();
        if estimated > 0.0 {
            observed.pairs.push(Observation {
                subject: Subject::Operation(name.to_owned()),
                measure,
                job: job.to_owned(),
                estimated,
                actual: actual_value,
                bases,
                papers: Vec::new(),
            });
        } else {
            observed.unrated.push(Unrated {
                subject: Subject::Operation(name.to_owned()),
                measure,
                job: job.to_owned(),
                actual: actual_value,
                pieces: actual.pieces.map(|pieces| pieces.value),
            });
        }
    };
    if let Some(minutes) = actual.set_up_minutes {
        add(
            Measure::SetUpMinutes,
            minutes.value,
            vec![expected.set_up_minutes],
        );
    }
    if let Some(minutes) = actual.running_minutes {
        add(
            Measure::OperationMinutes,
            minutes.value,
            vec![expected.running_minutes],
        );
    }
    if let (Some(spoiled), Some(pieces)) = (actual.spoiled, actual.pieces) {
        let in_setting_up = expected.set_ups * operation.set_up_spoilage.value as f64;
        let running = (pieces.value as f64 - in_setting_up).max(0.0);
        let in_running = running * share(operation.run_spoilage.value);
        let bases = vec![in_setting_up, in_running];
        add(Measure::OperationSpoilage, spoiled.value as f64, bases);
    }
}

fn share(percent: Percent) -> f64 {
    percent.fraction()
}

fn typed(actual: &ActualOperation, operation: &Operation) -> Expected {
    let set_ups = actual.set_ups.map_or(1.0, |set_ups| set_ups.value as f64);
    let pieces = actual.pieces.map_or(0.0, |pieces| pieces.value as f64);
    let running_minutes = match operation.run {
        Some(RunRate::PerHour(per_hour)) => pieces / per_hour.value * 60.0,
        // The belt's time depends on the length of the piece, which is not typed; other runs are not paid by the hour.
        _ => 0.0,
    };
    Expected {
        set_ups,
        set_up_minutes: set_ups * operation.set_up_minutes.value,
        running_minutes,
    }
}

fn is_of(line: &CostLine, name: &str, stage: Option<Stage>) -> bool {
    let by_name = line
        .item
        .strip_prefix(name)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with(", "));
    match stage {
        // Cartons and the like are packed too, each under its own name.
        Some(Stage::Packing) => line.stage == Stage::Packing && line.item.starts_with("packing"),
        Some(stage) => line.stage == stage,
        None => by_name,
    }
}

fn estimate_of<'l>(lines: impl Iterator<Item = &'l CostLine>, operation: &Operation) -> Expected {
    let mut expected = Expected::default();
    let (mut priced_set_ups, mut timed_set_ups) = (0.0, 0.0);
    for line in lines {
        let quantity = computed(line);
        match (line.formula, line.unit) {
            ("operation-set-up", Unit::SetUp) => priced_set_ups += quantity,
            ("operation-set-up-hours", Unit::Hour) => {
                expected.set_up_minutes += quantity * 60.0;
                let minutes = operation.set_up_minutes.value;
                timed_set_ups += quantity * 60.0 / minutes.max(f64::MIN_POSITIVE);
            }
            ("operation-hours", Unit::Hour) => expected.running_minutes += quantity * 60.0,
            _ => {}
        }
    }
    expected.set_ups = priced_set_ups.max(timed_set_ups.round()).max(1.0);
    expected
}
