//! `inkset`: reads arguments and files, calls the stages, prints what they return.
//!
//! Exit codes: 0 fine, 1 the user's files have errors, 2 wrong arguments or trouble with the machine.

mod args;
mod artwork;
mod commands;
mod conditions;
mod files;
mod output;
mod palettes;
mod plant;
mod progress;

use std::io;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::Parser;

use crate::args::{Cli, Command};
use crate::output::Output;

/// Why a command stopped.
#[derive(Debug)]
pub(crate) enum CliError {
    /// The user's files have errors, which have been told.
    Told,
    /// An argument is wrong; the sentence says which and what is allowed.
    Usage(String),
    /// A file could not be read or written.
    File(PathBuf, io::Error),
    /// Standard output could not be written.
    Output(io::Error),
}

fn main() -> ExitCode {
    let cli = Cli::parse();
    let mut out = Output::new();
    files::leave_nothing_behind();
    let done = match &cli.command {
        Command::New(args) => commands::new::new(args, &mut out),
        Command::Check(args) => commands::check::check(args, &mut out),
        Command::Reach(args) => commands::reach::reach(args, &mut out),
        Command::Plan(args) => commands::plan::plan(args, &mut out),
        Command::Layout(args) => commands::layout::layout(args, &mut out),
        Command::Price(args) => commands::price::price(args, &mut out),
        Command::Compare(args) => commands::compare::compare(args, &mut out),
        Command::Weigh(args) => commands::weigh::weigh(args, &mut out),
        Command::Report(args) => commands::report::report(args, &mut out),
        Command::Learn(args) => commands::learn::learn(args, &mut out),
        Command::Enquire(args) => commands::enquire::enquire(args, &mut out),
        Command::Delivery(args) => commands::delivery::delivery(args, &mut out),
        Command::Quote(args) => commands::quote::quote(args, &mut out),
        Command::Condition(args) => commands::condition::condition(args, &mut out),
        Command::Coverage(args) => commands::coverage::coverage(args, &mut out),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => end(&error, &mut out),
    }
}

fn end(error: &CliError, out: &mut Output) -> ExitCode {
    match error {
        CliError::Told => ExitCode::from(1),
        CliError::Usage(message) => {
            out.message(&format!("error: {message}\n"));
            ExitCode::from(2)
        }
        CliError::File(path, source) => {
            out.message(&format!("error: `{}`: {source}\n", path.display()));
            ExitCode::from(2)
        }
        // The reader of a pipe that has seen enough is no trouble.
        CliError::Output(source) if source.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        CliError::Output(source) => {
            out.message(&format!("error: cannot write the output: {source}\n"));
            ExitCode::from(2)
        }
    }
}
