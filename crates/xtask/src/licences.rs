//! Holds every dependency to licences that may be linked into MIT OR Apache-2.0 work.

use std::process::Command;

use serde_json::Value;

/// Licences that may be linked, by their SPDX names.
const ALLOWED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Refuses any package of the lock file without an allowed licence.
pub(crate) fn run() -> Result<(), String> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked"])
        .output()
        .map_err(|error| format!("cannot run cargo metadata: {error}\n"))?;
    let metadata: Value = serde_json::from_slice(&output.stdout)
        .map_err(|error| format!("cargo metadata: {error}\n"))?;
    let packages = metadata["packages"]
        .as_array()
        .ok_or("cargo metadata lists no packages\n")?;
    let refused: Vec<String> = packages.iter().filter_map(refused).collect();
    if refused.is_empty() {
        Ok(())
    } else {
        Err(format!("licences not allowed:\n{}\n", refused.join("\n")))
    }
}

fn refused(package: &Value) -> Option<String> {
    let licence = package["license"].as_str().unwrap_or("none stated");
    (!allowed(licence)).then(|| format!("  {} {}: {licence}", package["name"], package["version"]))
}

/// Whether one of the alternatives of an SPDX expression is allowed as a whole.
fn allowed(expression: &str) -> bool {
    let plain = expression
        .replace(['(', ')'], " ")
        .replace('/', " OR ")
        .replace(" WITH LLVM-exception", "");
    plain.split(" OR ").any(|alternative| {
        alternative
            .split(" AND ")
            .all(|name| ALLOWED.contains(&name.trim()))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn copyleft_is_refused_unless_there_is_a_choice() {
        for licence in [
            "MIT",
            "MIT/Apache-2.0",
            "(MIT OR Apache-2.0) AND Unicode-3.0",
            "GPL-3.0 OR MIT",
            "Apache-2.0 WITH LLVM-exception",
        ] {
            assert!(allowed(licence), "{licence}");
        }
        for licence in ["GPL-3.0", "AGPL-3.0-only", "MIT AND GPL-2.0", "none stated"] {
            assert!(!allowed(licence), "{licence}");
        }
    }
}
