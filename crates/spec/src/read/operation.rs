//! Reads the finishing operations of a rate card.

use inkset_units::{Millimetres, Money, Percent};

use super::card::{MOST_SPOILAGE, price};
use super::job::report_duplicate_names;
use super::table::words;
use super::{Limits, Optional, Refused, TableReader, Value};
use crate::{
    Finishing, FurtherOperation, Given, Material, Operation, OperationKind, Outside, RunRate,
    Sheeter, WorksOn, codes,
};

/// Spoilage of an operation unless given: pieces in setting up, percent in running. Common practice, no source.
const USUAL_SET_UP_SPOILAGE: u64 = 20;
const USUAL_FINISHING_SPOILAGE: f64 = 1.0;
/// Gap between pieces on a belt unless given, percent of their length.
/// Source: rows F1 and F2 of `tests/reference/costing/worked_examples.csv`.
const USUAL_GAP: f64 = 10.0;
const PIECES: Limits = Limits::new(0.0, 100_000.0, "pieces", "20");
const MINUTES: Limits = Limits::new(0.0, 10_000.0, "minutes", "20");
const PER_HOUR: Limits = Limits::new(1.0, 1_000_000.0, "an hour", "4000");
const BELT: Limits = Limits::new(1.0, 1_000.0, "m/min", "150");
const GSM: Limits = Limits::new(0.1, 500.0, "g/m²", "4");
const RUN_RATES: [&str; 4] = ["per_thousand", "each", "per_hour", "belt_speed"];
/// Operations that products need anyway.
pub(crate) const BUILT_IN: [&str; 10] = [
    "cut", "fold", "stitch", "gather", "sew", "bind", "insert", "collate", "pad", "pack",
];
/// What a binding can take unless given, mm, and the most that is believed. Common practice, no source.
const USUAL_STITCH_THICKEST: f64 = 6.0;
const USUAL_BIND_THINNEST: f64 = 3.0;
const WIDEST_LIMIT: f64 = 50.0;

pub(crate) fn finishing(root: &TableReader<'_>) -> Option<Finishing> {
    let further = further(root);
    let Some(value) = root.optional("finishing") else {
        return Some(Finishing {
            cut: None,
            fold: None,
            stitch: None,
            gather: None,
            sew: None,
            bind: None,
            insert: None,
            collate: None,
            pad: None,
            pack: None,
            stitch_thickest: Given::assumed(Millimetres::new(USUAL_STITCH_THICKEST)?),
            bind_thinnest: Given::assumed(Millimetres::new(USUAL_BIND_THINNEST)?),
            further: further?,
        });
    };
    let table = TableReader::of(&value, "`finishing`")?;
    let [
        cut,
        fold,
        stitch,
        gather,
        sew,
        bind,
        insert,
        collate,
        pad,
        pack,
    ] = BUILT_IN.map(|key| built_in(&table, key));
    let stitch_thickest = limit(&table, "stitch_thickest", USUAL_STITCH_THICKEST);
    let bind_thinnest = limit(&table, "bind_thinnest", USUAL_BIND_THINNEST);
    table.finish();
    Some(Finishing {
        cut: cut.ok()?,
        fold: fold.ok()?,
        stitch: stitch.ok()?,
        gather: gather.ok()?,
        sew: sew.ok()?,
        bind: bind.ok()?,
        insert: insert.ok()?,
        collate: collate.ok()?,
        pad: pad.ok()?,
        pack: pack.ok()?,
        stitch_thickest: stitch_thickest?,
        bind_thinnest: bind_thinnest?,
        further: further?,
    })
}

/// A thickness that decides nothing until a product passes it, and is told there.
fn limit(table: &TableReader<'_>, key: &'static str, usual: f64) -> Option<Given<Millimetres>> {
    match table.optional(key) {
        Some(value) => value.length(WIDEST_LIMIT),
        None => Some(Given::assumed(Millimetres::new(usual)?)),
    }
}

/// Cutting reels to sheets.
pub(crate) fn sheeter(root: &TableReader<'_>) -> Optional<Sheeter> {
    root.if_given("sheeter", |value| {
        let table = TableReader::of(value, "`sheeter`")?;
        let operation = operation(&table, Unpaid::Refused);
        table.finish();
        Some(Sheeter {
            operation: operation?,
        })
    })
}

fn built_in(finishing: &TableReader<'_>, key: &'static str) -> Optional<Operation> {
    finishing.if_given(key, |value| {
        let table = TableReader::of(value, format!("`finishing.{key}`"))?;
        let operation = operation(&table, Unpaid::Refused);
        table.finish();
        operation
    })
}

fn further(root: &TableReader<'_>) -> Option<Vec<FurtherOperation>> {
    let Some(listed) = root.optional("operation") else {
        return Some(Vec::new());
    };
    let read: Vec<_> = listed.list()?.iter().map(further_operation).collect();
    let operations: Vec<FurtherOperation> = read.into_iter().collect::<Option<_>>()?;
    let names = operations.iter().map(|operation| operation.name.clone());
    report_duplicate_names(root, "operations", names);
    Some(operations)
}

fn further_operation(entry: &Value<'_>) -> Option<FurtherOperation> {
    let table = TableReader::of(entry, "an operation")?;
    let name = name(&table);
    if let Some(name) = &name {
        table.call(format!("operation `{}`", name.value));
    }
    let kind = table
        .required("kind", "kind = \"laminate\"")
        .and_then(|v| v.choice(&OperationKind::ALL));
    let on = works_on(&table, kind);
    let inline_set_up = table.if_given("inline_set_up", Value::money);
    let unpaid = match inline_set_up {
        Ok(None) => Unpaid::Refused,
        _ => Unpaid::Allowed,
    };
    let operation = operation(&table, unpaid);
    let tool_price = table.if_given("tool_price", Value::money);
    let tool_per_up = table.if_given("tool_per_up", Value::money);
    let material = material(&table);
    let outside = outside(&table);
    let separates = flag(&table, "separates");
    table.finish();
    let on = on?;
    if on.value != WorksOn::Sheets {
        refuse_sheet_keys(&table, on.value)?;
    }
    Some(FurtherOperation {
        name: name?,
        kind: kind?,
        on,
        operation: operation?,
        tool_price: tool_price.ok()?,
        tool_per_up: tool_per_up.ok()?,
        material: material.ok()?,
        outside: outside.ok()?,
        inline_set_up: inline_set_up.ok()?,
        separates: separates?,
    })
}

fn name(table: &TableReader<'_>) -> Option<Given<String>> {
    let value = table.required("name", "name = \"gloss laminate\"")?;
    let name = value.text()?;
    if BUILT_IN.contains(&name.as_str()) {
        let message = format!(
            "{} is `{}`, which `[finishing]` has",
            value.subject(),
            *name
        );
        let hint = "give the operation another name";
        return value.refuse(codes::DUPLICATE_NAME, message, hint);
    }
    Some(name)
}

fn works_on(table: &TableReader<'_>, kind: Option<Given<OperationKind>>) -> Option<Given<WorksOn>> {
    let choices = [WorksOn::Sheets, WorksOn::Pieces, WorksOn::Copies].map(|on| (on.word(), on));
    match table.optional("on") {
        Some(value) => value.choice(&choices),
        None => Some(Given::assumed(kind?.usually_on())),
    }
}

fn flag(table: &TableReader<'_>, key: &'static str) -> Option<bool> {
    let value = table.optional(key);
    value.map_or(Some(false), |v| v.flag().map(|f| f.value))
}

/// Keys that only make sense where printed sheets go through.
fn refuse_sheet_keys(table: &TableReader<'_>, on: WorksOn) -> Option<()> {
    let keys = [
        "inline_set_up",
        "material_gsm",
        "material_per_kg",
        "material_per_m2",
        "tool_per_up",
        "separates",
    ];
    let Some(value) = keys.into_iter().find_map(|key| table.optional(key)) else {
        return Some(());
    };
    let message = format!("{} is given, but {} go through", value.subject(), on.word());
    let hint = "only printed sheets are coated or die-cut apart; write `on = \"sheets\"`";
    value.refuse(codes::UNFIT_KEY, message, hint)
}

/// Whether an operation may go without a rate for its run.
#[derive(Clone, Copy, PartialEq)]
enum Unpaid {
    Allowed,
    Refused,
}

fn operation(table: &TableReader<'_>, unpaid: Unpaid) -> Option<Operation> {
    let set_up_minutes = table.if_given("set_up_minutes", |v| v.number(MINUTES));
    let set_up = match set_up_minutes {
        Ok(None) => price(table, "set_up"),
        _ => table
            .if_given("set_up", Value::money)
            .ok()
            .map(|given| given.unwrap_or(Given::assumed(Money::ZERO))),
    };
    let hourly_rate = table.if_given("hourly_rate", Value::money);
    let run = run_rate(table, unpaid);
    let set_up_spoilage = set_up_spoilage(table);
    let run_spoilage = finishing_spoilage(table);
    let (hourly_rate, run, set_up_minutes) = (hourly_rate.ok()?, run.ok()?, set_up_minutes.ok()?);
    let by_the_hour = matches!(run, Some(RunRate::PerHour(_) | RunRate::Belt { .. }));
    if hourly_rate.is_none() && (by_the_hour || set_up_minutes.is_some()) {
        let message = format!("{} is paid by the hour and has no rate", table.subject());
        let notice = table.log().error(codes::NO_HOURLY_RATE, message);
        let hint = "write for instance `hourly_rate = 60.00`";
        table.log().report(notice.at(table.place()).hint(hint));
        return None;
    }
    Some(Operation {
        set_up: set_up?,
        set_up_minutes: set_up_minutes.unwrap_or(Given::assumed(0.0)),
        hourly_rate,
        run,
        set_up_spoilage: set_up_spoilage?,
        run_spoilage: run_spoilage?,
    })
}

fn run_rate(table: &TableReader<'_>, unpaid: Unpaid) -> Optional<RunRate> {
    let given: Vec<(&str, Value<'_>)> = RUN_RATES
        .into_iter()
        .filter_map(|key| Some((key, table.optional(key)?)))
        .collect();
    let gap = table.optional("gap_percent");
    match given.as_slice() {
        [] if unpaid == Unpaid::Allowed => Ok(None),
        [] => {
            let message = format!("{} has no rate for its run", table.subject());
            let notice = table.log().error(codes::ONE_RUN_RATE, message);
            let hint = format!("write one of {}", words(RUN_RATES));
            table.log().report(notice.at(table.place()).hint(hint));
            Err(Refused)
        }
        [(key, value)] => {
            let rate = match *key {
                "per_thousand" => value.money().map(RunRate::PerThousand),
                "each" => value.money().map(RunRate::Each),
                "per_hour" => value.number(PER_HOUR).map(RunRate::PerHour),
                _ => belt(table, value, gap.as_ref()),
            };
            rate.map(Some).ok_or(Refused)
        }
        [_, (_, second), ..] => {
            let message = format!("{} has {} rates for its run", table.subject(), given.len());
            second.refuse::<()>(codes::ONE_RUN_RATE, message, "keep one");
            Err(Refused)
        }
    }
}

fn belt(table: &TableReader<'_>, value: &Value<'_>, gap: Option<&Value<'_>>) -> Option<RunRate> {
    let metres_per_minute = value.number(BELT);
    let gap = if let Some(gap) = gap {
        gap.percent(1_000.0)
    } else {
        let sentence = format!("no gap between pieces given; using {USUAL_GAP} %");
        Some(table.assume(Percent::new(USUAL_GAP)?, (codes::ASSUMED_GAP, sentence)))
    };
    Some(RunRate::Belt {
        metres_per_minute: metres_per_minute?,
        gap: gap?,
    })
}

fn material(table: &TableReader<'_>) -> Optional<Material> {
    let area = table.optional("material_per_m2");
    let weight = table.if_given("material_gsm", |v| v.number(GSM));
    let per_kg = table.if_given("material_per_kg", Value::money);
    let (weight, per_kg) = (weight?, per_kg?);
    match (area, weight, per_kg) {
        (None, None, None) => Ok(None),
        (Some(area), None, None) => {
            let price = area.money().ok_or(Refused)?;
            Ok(Some(Material::Area(price)))
        }
        (None, Some(gsm), Some(per_kg)) => Ok(Some(Material::Weight { gsm, per_kg })),
        _ => {
            let message = format!("the material of {} is not told once", table.subject());
            let notice = table.log().error(codes::UNFIT_KEY, message);
            let hint = "write `material_per_m2`, or `material_gsm` and `material_per_kg`";
            table.log().report(notice.at(table.place()).hint(hint));
            Err(Refused)
        }
    }
}

fn outside(table: &TableReader<'_>) -> Optional<Outside> {
    let outside = flag(table, "outside").ok_or(Refused)?;
    let handling = table.optional("handling_percent");
    let minimum = table.optional("minimum_charge");
    if !outside {
        if let Some(value) = handling.or(minimum) {
            let message = format!("{} is given for work in the house", value.subject());
            value.refuse::<()>(codes::UNFIT_KEY, message, "write `outside = true` too");
            return Err(Refused);
        }
        return Ok(None);
    }
    let handling = handling.map_or(Some(Given::assumed(Percent::ZERO)), |v| v.percent(1_000.0));
    let minimum = minimum.map_or(Some(Given::assumed(Money::ZERO)), |v| v.money());
    Ok(Some(Outside {
        handling: handling.ok_or(Refused)?,
        minimum: minimum.ok_or(Refused)?,
    }))
}

fn set_up_spoilage(table: &TableReader<'_>) -> Option<Given<u64>> {
    let sentence = format!(
        "no set-up spoilage given; using {USUAL_SET_UP_SPOILAGE} pieces (common practice, no source)"
    );
    table.or_assume(
        "set_up_spoilage",
        |v| v.count(PIECES),
        USUAL_SET_UP_SPOILAGE,
        (codes::ASSUMED_FINISHING_SPOILAGE, sentence),
    )
}

fn finishing_spoilage(table: &TableReader<'_>) -> Option<Given<Percent>> {
    let sentence = format!(
        "no run spoilage given; using {USUAL_FINISHING_SPOILAGE} % (common practice, no source)"
    );
    table.or_assume(
        "run_spoilage_percent",
        |v| v.percent(MOST_SPOILAGE),
        Percent::new(USUAL_FINISHING_SPOILAGE)?,
        (codes::ASSUMED_FINISHING_SPOILAGE, sentence),
    )
}
