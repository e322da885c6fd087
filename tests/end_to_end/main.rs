//! The `inkset` binary from outside: exit code, standard output, standard error.

mod demos;
mod layout;
mod plan;
mod reach;
mod reach_near;
mod refusals;
mod run;
mod starter;
