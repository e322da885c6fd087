//! Sees to it that the programs are there that tests compare with: Ghostscript's `tiffsep` device for coverage,
//! `convert` of `ImageMagick` and the tools of libtiff for files with four inks.
//!
//! References of tests only; the product neither links nor runs them.

use std::process::Command;

use crate::test_data::quietly;

/// A program, how it is asked whether it is there, and Debian's package of it.
const TOOLS: [(&str, &str, &str); 3] = [
    ("gs", "--version", "ghostscript"),
    ("convert", "-version", "imagemagick"),
    ("tiffcp", "-h", "libtiff-tools"),
];

/// Installs from Debian's packages what is not there.
pub(crate) fn run() -> Result<(), String> {
    let mut missing = TOOLS
        .iter()
        .filter(|(program, question, _)| !is_there(program, question));
    missing.try_for_each(|(program, _, package)| {
        install(package).map_err(|why| {
            format!("tests compare with `{program}`, and Debian's package `{package}` could not be installed: {why}\n")
        })
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

/// Some of them answer a question about themselves with a failure; that they answer is enough.
fn is_there(program: &str, question: &str) -> bool {
    Command::new(program).arg(question).output().is_ok()
}
