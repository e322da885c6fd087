//! Helpers for the end-to-end tests of the `inkset` binary.
