//! Recomputes the grids of the shipped printing conditions from their tables.

use std::path::Path;

use inkset_colour::{CharacterisationTable, grid_from_table};

/// Writes `rates/conditions/NAME.grid` for every `NAME.csv` beside it.
///
/// The bytes are the same on every machine; a test compares the shipped ones with fresh ones.
pub(crate) fn run() -> Result<(), String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../rates/conditions");
    let entries =
        std::fs::read_dir(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let mut tables: Vec<_> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .collect();
    tables.retain(|path| path.extension().is_some_and(|ext| ext == "csv"));
    tables.sort();
    tables.iter().try_for_each(|path| rebuild(path))
}

fn rebuild(table: &Path) -> Result<(), String> {
    let at = |error: &dyn std::fmt::Display| format!("{}: {error}", table.display());
    let name = table
        .file_stem()
        .and_then(|stem| stem.to_str())
        .ok_or_else(|| at(&"the name is not text"))?;
    let text = std::fs::read_to_string(table).map_err(|error| at(&error))?;
    let table_of_patches = CharacterisationTable::from_own_csv(name, &text)?;
    let grid = grid_from_table(&table_of_patches).map_err(|error| at(&error))?;
    std::fs::write(table.with_extension("grid"), grid).map_err(|error| at(&error))
}
