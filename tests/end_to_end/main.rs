//! The `inkset` binary from outside: exit code, standard output, standard error.

mod demos;
mod layout;
mod reach;
mod refusals;
mod run;
mod starter;
