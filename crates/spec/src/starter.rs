//! Files to start from: complete, with a comment on every key.

/// A job file to start from.
pub fn starter_job() -> &'static str {
    include_str!("../starter/job.toml")
}

/// A rate card to start from; its figures are examples and say so.
pub fn starter_rate_card() -> &'static str {
    include_str!("../starter/rates.toml")
}
