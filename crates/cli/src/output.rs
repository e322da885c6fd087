//! What a command has to do with the world: data to standard output, messages to standard error, files that it reads.

use std::collections::BTreeMap;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use inkset_report::{Document, to_text};

use crate::CliError;
use crate::files;

/// Width of tables when the output is no terminal.
const PLAIN_WIDTH: usize = 80;

/// Files by name, each with its bytes.
pub(crate) type Kept = BTreeMap<PathBuf, Vec<u8>>;

/// The two streams of a command, and its files.
pub(crate) struct Output {
    /// What is read instead of the disk: the files of a record.
    instead: Option<Kept>,
    /// What has been read, where that is to be kept.
    seen: Option<Kept>,
    /// Whether messages are left out.
    silent: bool,
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
            instead: None,
            seen: None,
            silent: false,
            width: columns
                .filter(|_| is_terminal)
                .unwrap_or(PLAIN_WIDTH)
                .clamp(PLAIN_WIDTH, 120),
            data: io::stdout(),
            messages: io::stderr(),
            tells_assumptions: true,
        }
    }

    /// Keeps the bytes of every file that is read from now on.
    pub(crate) fn keep_what_is_read(&mut self) {
        self.seen = Some(Kept::new());
    }

    /// What has been read since; nothing more is kept.
    pub(crate) fn what_was_read(&mut self) -> Kept {
        self.seen.take().unwrap_or_default()
    }

    /// Reads these files from now on, and none from the disk.
    pub(crate) fn read_instead(&mut self, files: Kept) {
        self.instead = Some(files);
    }

    /// Whether what is read is kept for a record, or comes from one.
    pub(crate) fn has_to_do_with_a_record(&self) -> bool {
        self.instead.is_some() || self.seen.is_some()
    }

    /// The bytes of a file.
    pub(crate) fn read(&mut self, path: &Path) -> Result<Vec<u8>, CliError> {
        let bytes = match &self.instead {
            None => files::read(path)?,
            Some(files) => files.get(path).cloned().ok_or_else(|| {
                let missing = io::Error::new(io::ErrorKind::NotFound, "not in the record");
                CliError::File(path.to_owned(), missing)
            })?,
        };
        if let Some(seen) = &mut self.seen {
            seen.insert(path.to_owned(), bytes.clone());
        }
        Ok(bytes)
    }

    /// Whether there is such a file.
    pub(crate) fn is_file(&self, path: &Path) -> bool {
        match &self.instead {
            None => path.is_file(),
            Some(files) => files.contains_key(path),
        }
    }

    /// Leaves messages out until [`Output::speak`]: those of a quotation that was issued have been told then.
    pub(crate) fn quiet(&mut self) {
        self.silent = true;
    }

    pub(crate) fn speak(&mut self) {
        self.silent = false;
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
        if !self.silent {
            let _ = self.messages.lock().write_all(text.as_bytes());
        }
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
