//! Opens the pages of `inkset report` in a headless browser, and sees to it that everything for that is there.
//!
//! Chromium, Node.js and poppler's tools come from Debian's packages, axe-core, html-validate and playwright-core from npm at
//! the versions of `tests/page/package-lock.json`. References of tests only; the product needs none of them. What cannot be
//! installed is an error: a page that nobody opened has not been tested.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::test_data::quietly;

/// Programs, each with Debian's package of it.
const PROGRAMS: &[(&str, &str, &str)] = &[
    ("chromium", "--version", "chromium"),
    ("node", "--version", "nodejs"),
    ("npm", "--version", "npm"),
    ("pdftotext", "-v", "poppler-utils"),
];

/// Everything that lies in `tests/page`.
const FILES: &[&str] = &[
    ".htmlvalidate.json",
    "colour.mjs",
    "loupe.mjs",
    "package-lock.json",
    "package.json",
    "print.mjs",
    "run.mjs",
    "screen.mjs",
];

/// Installs the programs that are missing; tests read PDF back with poppler's.
pub(crate) fn tools() -> Result<(), String> {
    PROGRAMS
        .iter()
        .try_for_each(|(program, version, package)| have(program, version, package))
}

/// Installs what is missing, then runs `tests/page/run.mjs` on the pages of the binary in `target/debug`.
pub(crate) fn run() -> Result<(), String> {
    tools()?;
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let root = root
        .canonicalize()
        .map_err(|error| format!("{}: {error}\n", root.display()))?;
    let folder = installed(&root)?;
    let mut command = Command::new("node");
    command
        .arg("run.mjs")
        .arg(&root)
        .arg(binary(&root))
        .arg(on_path("chromium")?)
        .current_dir(&folder);
    crate::run(command)
}

/// Where a program lies; the driver of the browser wants to know.
fn on_path(program: &str) -> Result<PathBuf, String> {
    let folders = std::env::var_os("PATH").unwrap_or_default();
    let mut places = std::env::split_paths(&folders).map(|folder| folder.join(program));
    places
        .find(|place| place.is_file())
        .ok_or_else(|| format!("`{program}` is not on the PATH\n"))
}

/// The binary that `cargo build` made last.
fn binary(root: &Path) -> PathBuf {
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or(root.join("target"), PathBuf::from);
    target.join("debug/inkset")
}

/// Copies the tests beside their modules, so that none of these lands in the sources.
fn installed(root: &Path) -> Result<PathBuf, String> {
    let folder = root.join("target/page-tests");
    let at = |error: std::io::Error| format!("{}: {error}\n", folder.display());
    std::fs::create_dir_all(&folder).map_err(at)?;
    let lock = |folder: &Path| std::fs::read(folder.join("package-lock.json")).ok();
    let sources = root.join("tests/page");
    let same = lock(&folder) == lock(&sources) && folder.join("node_modules/axe-core").is_dir();
    for file in FILES {
        std::fs::copy(sources.join(file), folder.join(file))
            .map_err(|error| format!("tests/page/{file}: {error}\n"))?;
    }
    if !same {
        let mut install = Command::new("npm");
        install
            .args(["ci", "--no-audit", "--no-fund", "--ignore-scripts"])
            .current_dir(&folder);
        quietly(&mut install)
            .map_err(|why| format!("the tests of pages need modules from npm: {why}\n"))?;
    }
    Ok(folder)
}

fn have(program: &str, version: &str, package: &str) -> Result<(), String> {
    let found = Command::new(program).arg(version).output();
    if found.is_ok_and(|found| found.status.success()) {
        return Ok(());
    }
    crate::tools::install(package).map_err(|why| {
        format!("tests of pages run `{program}`, and Debian's package `{package}` could not be installed: {why}\n")
    })
}
