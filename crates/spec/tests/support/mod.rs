//! Finds the shipped files.

#![allow(dead_code, reason = "every test file uses its own part")]

use std::path::{Path, PathBuf};

/// The folder of the workspace.
pub(crate) fn workspace() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Stem and text of each TOML file of a folder, by name.
pub(crate) fn files(folder: &str) -> Vec<(String, String)> {
    let entries = std::fs::read_dir(workspace().join(folder)).expect("the folder is shipped");
    let mut paths: Vec<PathBuf> = entries
        .map(|entry| entry.expect("the folder can be listed").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    paths.sort();
    assert!(!paths.is_empty(), "{folder}");
    paths.iter().map(|path| named(path)).collect()
}

fn named(path: &Path) -> (String, String) {
    let stem = path.file_stem().expect("a file has a name");
    let text = std::fs::read_to_string(path).expect("shipped files are text");
    (stem.to_string_lossy().into_owned(), text)
}
