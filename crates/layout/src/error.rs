//! Why a layout is refused.

use inkset_units::Size;
use thiserror::Error;

/// Why pieces could not be laid out.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LayoutError {
    /// More pieces than a sheet is ever cut into; the exact search is not started.
    #[error(
        "a sheet of {sheet} could hold up to {bound} pieces of {piece}; at most {limit} are laid out"
    )]
    TooManyPieces {
        /// The sheet.
        sheet: Size,
        /// The piece.
        piece: Size,
        /// Pieces by area alone.
        bound: u64,
        /// Most that are laid out.
        limit: u64,
    },
    /// The exact search would take too long, and no simple pattern is proved to be the best.
    #[error(
        "the best cut of {sheet} into {piece} would take too long to prove; round the sizes to whole or half millimetres"
    )]
    TooFine {
        /// The sheet.
        sheet: Size,
        /// The piece.
        piece: Size,
    },
}
