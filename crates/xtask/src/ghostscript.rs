//! Sees to it that Ghostscript is there: tests compare coverage with its `tiffsep` device.
//!
//! A reference of tests only; the product neither links nor runs it.

use std::process::Command;

use crate::test_data::quietly;

/// Debian's package.
const PACKAGE: &str = "ghostscript";

/// Installs Ghostscript from Debian's packages unless it is there.
pub(crate) fn run() -> Result<(), String> {
    if is_there() {
        return Ok(());
    }
    install(PACKAGE).map_err(|why| {
        format!("tests compare with `gs`, and Debian's package `{PACKAGE}` could not be installed: {why}\n")
    })
}

/// Installs one of Debian's packages.
pub(crate) fn install(package: &str) -> Result<(), String> {
    let attempt = || {
        let mut command = Command::new("apt-get");
        command.args(["install", "--yes", "--no-install-recommends", package]);
        command.env("DEBIAN_FRONTEND", "noninteractive");
        quietly(&mut command)
    };
    // A machine that never listed its packages has to do so first.
    attempt().or_else(|_| quietly(Command::new("apt-get").arg("update")).and_then(|()| attempt()))
}

fn is_there() -> bool {
    let version = Command::new("gs").arg("--version").output();
    version.is_ok_and(|found| found.status.success())
}
