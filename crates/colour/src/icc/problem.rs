//! What can be wrong with a profile, and at which byte.

use std::fmt;

/// The mistake that ends the reading of an ICC profile.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProfileProblem {
    /// Kebab-case name of the kind of mistake.
    pub code: &'static str,
    /// Name of the file as it was given.
    pub file: String,
    /// Place in the file, bytes from its start.
    pub offset: usize,
    /// What is wrong, in one line.
    pub message: String,
    /// What is allowed or what to do; empty if that is plain from the message.
    pub hint: &'static str,
}

impl fmt::Display for ProfileProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            code,
            file,
            offset,
            message,
            hint,
        } = self;
        write!(
            f,
            "error[{code}]: {message}\n  --> {file}, byte {offset} ({offset:#x})"
        )?;
        if hint.is_empty() {
            Ok(())
        } else {
            write!(f, "\nhint: {hint}")
        }
    }
}

impl std::error::Error for ProfileProblem {}
