//! What keeps artwork from being measured.

/// Why a file, or a page of it, could not be measured.
#[derive(Debug, thiserror::Error)]
pub enum ArtworkError {
    /// The first bytes are of no kind that is read.
    #[error("this is no PDF, TIFF, JPEG or PNG; only these are measured")]
    UnknownKind,
    /// The file breaks its own format.
    #[error("the file is damaged: {0}")]
    Damaged(String),
    /// The file is sound, but it uses something that is not read.
    #[error("{0}; this is not read yet")]
    NotRead(String),
    /// The file would cost more than is allowed.
    #[error("{what}: {found}; at most {allowed} is taken")]
    TooLarge {
        /// What is too large.
        what: &'static str,
        /// What the file asks for.
        found: String,
        /// The most that is taken.
        allowed: String,
    },
    /// The source could not be read.
    #[error("the file cannot be read: {0}")]
    Read(#[from] std::io::Error),
}

impl ArtworkError {
    /// The file breaks its own format.
    pub(crate) fn damaged(what: impl Into<String>) -> Self {
        Self::Damaged(what.into())
    }

    /// Something that is not read.
    pub(crate) fn not_read(what: impl Into<String>) -> Self {
        Self::NotRead(what.into())
    }

    /// The code under which `docs/errors.md` explains it.
    pub fn code(&self) -> &'static str {
        match self {
            Self::UnknownKind => "artwork-unknown-kind",
            Self::Damaged(_) => "artwork-damaged",
            Self::NotRead(_) => "artwork-not-read",
            Self::TooLarge { .. } => "artwork-too-large",
            Self::Read(_) => "artwork-unreadable",
        }
    }
}
