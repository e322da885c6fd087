//! Files that `cargo xtask test-data` takes out of packages.

use std::path::Path;

/// Reads a file that the test command takes out of a Debian package.
pub(crate) fn fetched(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../target/test-data")
        .join(name);
    std::fs::read(&path).unwrap_or_else(|error| {
        panic!(
            "{}: {error}; `cargo xtask test-data` fetches it",
            path.display()
        )
    })
}

/// The real CMYK profiles of presses, all of version 2 with Lab.
pub(crate) const FETCHED: [&str; 4] = [
    "FOGRA39L_coated.icc",
    "default_cmyk.icc",
    "cmyk.icm",
    "ISOcoated_v2_300_bas.icc",
];
