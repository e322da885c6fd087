//! What can be wrong with a table, and where.

use std::fmt;

/// One mistake in a characterisation file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TableProblem {
    /// Kebab-case name of the kind of mistake.
    pub code: &'static str,
    /// Name of the file as it was given.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong, in one line.
    pub message: String,
    /// What is allowed or what to do, if that is not plain from the message.
    pub hint: Option<String>,
}

impl fmt::Display for TableProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            code,
            file,
            line,
            column,
            message,
            ..
        } = self;
        write!(f, "error[{code}]: {message}\n  --> {file}:{line}:{column}")?;
        self.hint
            .as_ref()
            .map_or(Ok(()), |hint| write!(f, "\nhint: {hint}"))
    }
}

impl std::error::Error for TableProblem {}

/// A place in the file: line and column, both from 1.
pub(super) type Place = (usize, usize);

/// The most problems reported of one file: a table with the wrong field order has one in every row.
const MOST_PROBLEMS: usize = 40;

/// Collects the problems of one file.
pub(super) struct Problems {
    file: String,
    found: Vec<TableProblem>,
    left_out: usize,
}

impl Problems {
    pub(super) fn of(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            found: Vec::new(),
            left_out: 0,
        }
    }

    pub(super) fn add(&mut self, code: &'static str, place: Place, message: String, hint: &str) {
        if self.found.len() >= MOST_PROBLEMS {
            self.left_out += 1;
            return;
        }
        let hint = (!hint.is_empty()).then(|| hint.to_owned());
        let (line, column) = place;
        self.found.push(TableProblem {
            code,
            file: self.file.clone(),
            line,
            column,
            message,
            hint,
        });
    }

    pub(super) fn is_empty(&self) -> bool {
        self.found.is_empty()
    }

    /// Returns the problems in the file's order, with a last line for those that were left out.
    pub(super) fn finish(mut self) -> Vec<TableProblem> {
        self.found.sort_by_key(|p| (p.line, p.column));
        if let Some(last) = self.found.last().filter(|_| self.left_out > 0).cloned() {
            let message = format!("{} further problems are not listed", self.left_out);
            self.found.push(TableProblem {
                code: "table-more-problems",
                message,
                hint: None,
                ..last
            });
        }
        self.found
    }
}
