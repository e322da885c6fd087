//! Every shipped file reads without an error.

use std::path::{Path, PathBuf};

use inkset_spec::{Severity, read_job, read_rate_card};

fn workspace() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn files(folder: &str) -> Vec<(PathBuf, String)> {
    let entries = std::fs::read_dir(workspace().join(folder)).unwrap();
    let mut paths: Vec<PathBuf> = entries.map(|e| e.unwrap().path()).collect();
    paths.retain(|p| p.extension().is_some_and(|e| e == "toml"));
    paths.sort();
    paths
        .into_iter()
        .map(|p| (p.clone(), std::fs::read_to_string(p).unwrap()))
        .collect()
}

#[test]
fn demo_rate_cards_need_no_assumption() {
    for (path, text) in files("rates") {
        let reading = read_rate_card(&text);
        assert!(reading.value.unwrap().example, "{}", path.display());
        assert_eq!(reading.notices, [], "{}", path.display());
    }
}

#[test]
fn demo_jobs_read_without_error() {
    for (path, text) in files("jobs") {
        let reading = read_job(&text);
        let worse = reading
            .notices
            .iter()
            .find(|n| n.severity != Severity::Assumption);
        assert_eq!(worse, None, "{}", path.display());
        assert!(reading.value.is_some(), "{}", path.display());
    }
}
