//! Changes of a document that leave all that is beside them as it is.

use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// A list of tables, in whichever of the two forms it is written.
pub(super) enum Entries<'a> {
    Tables(&'a mut ArrayOfTables),
    Inline(&'a mut Array),
}

/// The list under a key.
pub(super) fn entries<'a>(table: &'a mut dyn TableLike, key: &str) -> Option<Entries<'a>> {
    match table.get_mut(key)? {
        Item::ArrayOfTables(tables) => Some(Entries::Tables(tables)),
        Item::Value(Value::Array(array)) => Some(Entries::Inline(array)),
        _ => None,
    }
}

impl<'a> Entries<'a> {
    pub(super) fn get(&mut self, at: usize) -> Option<&mut dyn TableLike> {
        match self {
            Self::Tables(tables) => tables.get_mut(at).map(|table| table as &mut dyn TableLike),
            Self::Inline(array) => {
                let table = array.get_mut(at)?.as_inline_table_mut()?;
                Some(table as &mut dyn TableLike)
            }
        }
    }

    pub(super) fn into_table(self, at: usize) -> Option<&'a mut dyn TableLike> {
        match self {
            Self::Tables(tables) => tables.get_mut(at).map(|table| table as &mut dyn TableLike),
            Self::Inline(array) => {
                let table = array.get_mut(at)?.as_inline_table_mut()?;
                Some(table as &mut dyn TableLike)
            }
        }
    }

    /// Puts a new entry before the one at `at`, in the form of its neighbours.
    pub(super) fn insert(&mut self, at: usize, keys: Vec<(&'static str, Value)>) {
        match self {
            Self::Tables(tables) => {
                let mut table = filled(keys);
                table.decor_mut().set_prefix("\n");
                tables.insert(at, table);
            }
            Self::Inline(array) => {
                let lines = array.iter().any(|value| {
                    let prefix = value.decor().prefix().and_then(|raw| raw.as_str());
                    prefix.is_some_and(|prefix| prefix.contains('\n'))
                });
                let prefix = if lines { "\n  " } else { " " };
                array.insert_formatted(at, inline(keys, prefix));
            }
        }
    }
}

fn filled(keys: Vec<(&'static str, Value)>) -> Table {
    let mut table = Table::new();
    for (key, value) in keys {
        table.insert(key, Item::Value(value));
    }
    table
}

/// A table within a line.
pub(super) fn inline(keys: Vec<(&'static str, Value)>, prefix: &str) -> Value {
    let table: InlineTable = keys.into_iter().collect();
    let mut value = Value::InlineTable(table);
    value.decor_mut().set_prefix(prefix);
    value
}

/// Appends a table to a list at the top of the document; `None` if the key holds something else.
pub(super) fn append(
    document: &mut DocumentMut,
    key: &str,
    keys: Vec<(&'static str, Value)>,
    comment: &str,
) -> Option<()> {
    let root = document.as_table_mut();
    if !root.contains_key(key) {
        root.insert(key, Item::ArrayOfTables(ArrayOfTables::new()));
    }
    match entries(root, key)? {
        Entries::Tables(tables) => {
            let mut table = filled(keys);
            table.decor_mut().set_prefix(comment);
            tables.push(table);
        }
        mut inline @ Entries::Inline(_) => {
            let Entries::Inline(array) = &inline else {
                return None;
            };
            let at = array.len();
            inline.insert(at, keys);
        }
    }
    Some(())
}

/// Puts a value in the place of another, with the blanks and the comment beside it.
pub(super) fn set(table: &mut dyn TableLike, key: &str, value: Value) {
    match table.get_mut(key).and_then(Item::as_value_mut) {
        Some(old) => {
            let decor = old.decor().clone();
            *old = value;
            *old.decor_mut() = decor;
        }
        None => {
            table.insert(key, Item::Value(value));
        }
    }
}

/// A number as people write it: whole where it is whole.
pub(super) fn written(number: f64) -> Value {
    if number.fract() == 0.0 {
        Value::from(number as i64)
    } else {
        Value::from(number)
    }
}

pub(super) fn pages_value(pages: &[u32]) -> Value {
    pages
        .iter()
        .map(|&page| Value::from(i64::from(page)))
        .collect()
}

pub(super) fn inks_value(inks: [f64; 4]) -> Value {
    let keys = ["c", "m", "y", "k"].into_iter().zip(inks.map(Value::from));
    let mut value = inline(keys.collect(), "");
    value.decor_mut().clear();
    value
}
