//! Where data and messages go: data to standard output, messages to standard error.

use std::io::{self, Write};

use inkset_report::{Document, to_text};

use crate::CliError;

/// Width of tables when the output is no terminal.
const PLAIN_WIDTH: usize = 80;

/// The two streams of a command.
pub(crate) struct Output {
    width: usize,
    data: io::Stdout,
    messages: io::Stderr,
    tells_assumptions: bool,
}

impl Output {
    /// Tables are fitted to the terminal, between 80 and 120 columns; to 80 columns otherwise.
    pub(crate) fn new() -> Self {
        let columns = std::env::var("COLUMNS")
            .ok()
            .and_then(|columns| columns.parse().ok());
        let is_terminal = io::IsTerminal::is_terminal(&io::stdout());
        Self {
            width: columns
                .filter(|_| is_terminal)
                .unwrap_or(PLAIN_WIDTH)
                .clamp(PLAIN_WIDTH, 120),
            data: io::stdout(),
            messages: io::stderr(),
            tells_assumptions: true,
        }
    }

    /// Writes data.
    pub(crate) fn data(&mut self, text: &str) -> Result<(), CliError> {
        let mut out = self.data.lock();
        out.write_all(text.as_bytes())
            .and_then(|()| out.flush())
            .map_err(CliError::Output)
    }

    /// Writes a document for people.
    pub(crate) fn document(&mut self, document: &Document) -> Result<(), CliError> {
        let text = to_text(document, self.width);
        self.data(&text)
    }

    /// Writes messages; a closed standard error loses them, which is no reason to stop.
    pub(crate) fn message(&mut self, text: &str) {
        let _ = self.messages.lock().write_all(text.as_bytes());
    }

    /// Tells a value that was assumed, unless they are left out.
    pub(crate) fn assumption(&mut self, sentence: &str) {
        if self.tells_assumptions {
            self.message(&format!("assumed: {sentence}\n"));
        }
    }

    /// Leaves assumptions out from now on: a command that reads many jobs would bury its answer under them.
    pub(crate) fn leave_assumptions_out(&mut self) {
        self.tells_assumptions = false;
    }
}
