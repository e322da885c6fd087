//! Development tasks, run as `cargo xtask TASK`.
//!
//! `test` is what the README and CI call: it checks the tools it needs, then runs format, lints, tests and docs.

mod browser;
mod conditions;
mod licences;
mod test_data;
mod tools;

use std::process::{Command, ExitCode};

const USAGE: &str = "usage: cargo xtask TASK

  test         format check, licences, lints, all tests, doc tests, docs: what CI runs
  bench        benchmarks, one after the other
  page         open the pages of `report` in a headless browser; `test` does so too
  test-data    fetch what tests compare with from Debian's packages; `test` does so too
  conditions   recompute the dense grids of the shipped printing conditions
";

fn main() -> ExitCode {
    let task = std::env::args().nth(1);
    let done = match task.as_deref() {
        Some("test") => test(),
        Some("bench") => test_data::run().and_then(|()| cargo(&["bench", "--workspace"])),
        Some("page") => page(),
        Some("test-data") => test_data::run(),
        Some("conditions") => conditions::run(),
        _ => Err(USAGE.to_owned()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            say(&message);
            ExitCode::from(2)
        }
    }
}

/// Everything that has to be green before a change lands.
fn test() -> Result<(), String> {
    for component in ["rustfmt", "clippy"] {
        have(component)?;
    }
    cargo(&["fmt", "--all", "--check"])?;
    licences::run()?;
    cargo(&[
        "clippy",
        "--workspace",
        "--all-targets",
        "--locked",
        "--",
        "--deny",
        "warnings",
    ])?;
    // What the product is without the features of the tests' dependencies.
    cargo(&["check", "--locked", "--bin", "inkset"])?;
    test_data::run()?;
    browser::tools()?;
    cargo(&["test", "--workspace", "--locked"])?;
    // The tests have just built the binary; building it apart from them would compile nearly everything twice.
    browser::run()?;
    docs()
}

/// The pages of the binary as it is now, in a browser.
fn page() -> Result<(), String> {
    cargo(&["build", "--locked", "--bin", "inkset"])?;
    browser::run()
}

/// The toolchain's components come with rustup's default profile; a bare toolchain lacks them.
fn have(component: &str) -> Result<(), String> {
    let (program, arguments) = if component == "rustfmt" {
        ("fmt", "--version")
    } else {
        ("clippy", "--version")
    };
    let found = Command::new(env!("CARGO"))
        .args([program, arguments])
        .output()
        .is_ok_and(|out| out.status.success());
    found.then_some(()).ok_or_else(|| {
        format!("`{component}` is missing; install it with `rustup component add {component}`\n")
    })
}

fn docs() -> Result<(), String> {
    let mut command = Command::new(env!("CARGO"));
    command
        .args(["doc", "--workspace", "--no-deps", "--locked"])
        .env("RUSTDOCFLAGS", "--deny warnings");
    run(command)
}

fn cargo(arguments: &[&str]) -> Result<(), String> {
    let mut command = Command::new(env!("CARGO"));
    command.args(arguments);
    run(command)
}

fn run(mut command: Command) -> Result<(), String> {
    let shown = format!("{command:?}");
    let status = command
        .status()
        .map_err(|error| format!("cannot run {shown}: {error}\n"))?;
    status
        .success()
        .then_some(())
        .ok_or_else(|| format!("failed: {shown}\n"))
}

#[expect(
    clippy::print_stderr,
    reason = "a development task talks to the person at the terminal"
)]
fn say(message: &str) {
    eprint!("{message}");
}
