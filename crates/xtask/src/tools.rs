//! Sees to it that the programs are there that tests compare with: Ghostscript's `tiffsep` device for coverage,
//! `convert` of `ImageMagick` and the tools of libtiff for files with four inks.
//!
//! References of tests only; the product neither links nor runs them.

use std::process::Command;

use crate::test_data::quietly;

/// A program that tests compare with.
struct Tool {
    program: &'static str,
    /// How it is asked whether it is there.
    question: &'static str,
    /// What its answer says: another program may go by the same name.
    answer: &'static str,
    /// Debian's package of it.
    package: &'static str,
}

const TOOLS: [Tool; 3] = [
    Tool {
        program: "gs",
        question: "--help",
        answer: "Ghostscript",
        package: "ghostscript",
    },
    Tool {
        program: "convert",
        question: "-version",
        answer: "Version: ImageMagick",
        package: "imagemagick",
    },
    Tool {
        program: "tiffcp",
        question: "-h",
        answer: "LIBTIFF",
        package: "libtiff-tools",
    },
];

/// Installs from Debian's packages what is not there.
pub(crate) fn run() -> Result<(), String> {
    TOOLS.iter().filter(|tool| !is_there(tool)).try_for_each(|tool| {
        let Tool { program, package, .. } = tool;
        install(package).map_err(|why| {
            format!("tests compare with `{program}`, and Debian's package `{package}` could not be installed: {why}\n")
        })?;
        if is_there(tool) {
            return Ok(());
        }
        Err(format!(
            "tests compare with `{program}` of Debian's package `{package}`, which is installed, but another program of that name comes first on the path\n"
        ))
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

/// Some of them answer a question about themselves with a failure, and some on the error stream.
fn is_there(tool: &Tool) -> bool {
    let asked = Command::new(tool.program).arg(tool.question).output();
    asked.is_ok_and(|asked| {
        let said = [asked.stdout, asked.stderr].concat();
        String::from_utf8_lossy(&said).contains(tool.answer)
    })
}
