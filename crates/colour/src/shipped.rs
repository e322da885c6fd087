//! The printing conditions that come with the program.

use std::sync::{LazyLock, OnceLock};

use crate::condition::PrintingCondition;
use crate::stored;
use crate::table::{CharacterisationTable, ConditionInfo};

macro_rules! shipped_files {
    ($($name:literal),+ $(,)?) => {
        [$(Shipped {
            table: include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../rates/conditions/", $name, ".csv")),
            name: $name,
            grid: include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../rates/conditions/", $name, ".grid")),
            opened: OnceLock::new(),
        }),+]
    };
}

static SHIPPED: [Shipped; 5] = shipped_files![
    "coated-tr006",
    "coated-fogra39",
    "magazine-tr003",
    "uncoated-fogra29",
    "newsprint-tr002"
];

static INFOS: LazyLock<Vec<ConditionInfo>> = LazyLock::new(|| {
    SHIPPED
        .iter()
        .filter_map(|s| stored::decode_info(s.grid).ok())
        .collect()
});

struct Shipped {
    name: &'static str,
    table: &'static str,
    grid: &'static [u8],
    opened: OnceLock<Option<PrintingCondition>>,
}

/// Returns what is known of every shipped condition, in the order in which they should be listed.
pub fn shipped_names() -> &'static [ConditionInfo] {
    &INFOS
}

/// Returns a shipped condition by its name or an alias, such as `coated-fogra39`, `FOGRA39L` or `TR 006`.
///
/// The grid is unpacked on first use only, which takes about a millisecond.
pub fn shipped(name: &str) -> Option<&'static PrintingCondition> {
    let wanted = &shipped_names()
        .iter()
        .find(|info| info.answers_to(name))?
        .name;
    let shipped = SHIPPED.iter().find(|s| s.name == wanted)?;
    shipped
        .opened
        .get_or_init(|| PrintingCondition::from_bytes(shipped.grid).ok())
        .as_ref()
}

/// Returns the measured table behind a shipped condition.
pub fn shipped_table(name: &str) -> Option<CharacterisationTable> {
    let wanted = &shipped_names()
        .iter()
        .find(|info| info.answers_to(name))?
        .name;
    let shipped = SHIPPED.iter().find(|s| s.name == wanted)?;
    CharacterisationTable::from_own_csv(shipped.name, shipped.table).ok()
}

/// Returns the stored grid of a shipped condition, to be compared with a fresh one.
pub fn shipped_grid(name: &str) -> Option<&'static [u8]> {
    SHIPPED.iter().find(|s| s.name == name).map(|s| s.grid)
}
