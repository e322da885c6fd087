//! Reads what hangs on a press before a job and what stays on it after.

use super::job::report_duplicate_names;
use super::{TableReader, Value};
use crate::{Given, Queue};

pub(crate) fn queue(root: &TableReader<'_>) -> Option<Vec<Queue>> {
    let Some(listed) = root.optional("queue") else {
        return Some(Vec::new());
    };
    let read: Vec<Option<Queue>> = listed.list()?.iter().map(on_press).collect();
    let queues: Vec<Queue> = read.into_iter().collect::<Option<_>>()?;
    report_duplicate_names(root, "queues", queues.iter().map(|q| q.press.clone()));
    Some(queues)
}

fn on_press(entry: &Value<'_>) -> Option<Queue> {
    let table = TableReader::of(entry, "a queue")?;
    let press = table.name("press", "press = \"B2, four units\"");
    let before = inks(&table, "before");
    let after = inks(&table, "after");
    table.finish();
    let (before, after) = (before?, after?);
    for (key, names) in [("before", &before), ("after", &after)] {
        report_duplicate_names(&table, key, names.iter().cloned());
    }
    Some(Queue {
        press: press?,
        before,
        after,
    })
}

fn inks(table: &TableReader<'_>, key: &'static str) -> Option<Vec<Given<String>>> {
    let Some(value) = table.optional(key) else {
        return Some(Vec::new());
    };
    let read: Vec<Option<Given<String>>> = value.list()?.iter().map(Value::text).collect();
    read.into_iter().collect()
}
