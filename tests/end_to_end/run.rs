//! Runs the binary in the repository's root, where the demo jobs are.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What one run of the binary did.
pub(crate) struct Run {
    pub(crate) code: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

impl Run {
    /// All three, for snapshots.
    pub(crate) fn shown(&self) -> String {
        format!(
            "exit code {}\n--- stdout\n{}--- stderr\n{}",
            self.code, self.stdout, self.stderr
        )
    }

    /// Standard output as JSON.
    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.stdout)
            .unwrap_or_else(|error| panic!("{error}\n{}", self.shown()))
    }
}

/// The root of the repository.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()
        .unwrap()
}

/// Runs `inkset` with these arguments from the root.
pub(crate) fn inkset(arguments: &[&str]) -> Run {
    inkset_in(&root(), arguments)
}

/// Runs `inkset` from the root with further environment variables.
pub(crate) fn inkset_with(variables: &[(&str, &str)], arguments: &[&str]) -> Run {
    run(&root(), variables, arguments)
}

/// Runs `inkset` from another folder.
pub(crate) fn inkset_in(folder: &Path, arguments: &[&str]) -> Run {
    run(folder, &[], arguments)
}

fn run(folder: &Path, variables: &[(&str, &str)], arguments: &[&str]) -> Run {
    // A cache of its own: no test meets what another program or an earlier version left behind.
    let cache = Path::new(env!("CARGO_TARGET_TMPDIR")).join("cache");
    let output = Command::new(env!("CARGO_BIN_EXE_inkset"))
        .args(arguments)
        .current_dir(folder)
        .env("INKSET_CACHE", cache)
        .envs(variables.iter().copied())
        .env_remove("COLUMNS")
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Run {
        code: output.status.code().unwrap_or(-1),
        stdout: text(output.stdout),
        stderr: text(output.stderr),
    }
}

/// An empty folder for one test, removed and made anew.
pub(crate) fn empty_folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}
