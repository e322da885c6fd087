//! Bounds on what a document may cost.

use std::io::Read;

use flate2::read::ZlibDecoder;
use hayro_syntax::Filter;
use hayro_syntax::object::Stream;

use crate::error::ArtworkError;

/// Longest decoded stream, bytes.
pub(super) const LONGEST_STREAM: u64 = 512 << 20;
/// Deflate cannot pack tighter than this (RFC 1951: 258 bytes in two bits); LZW with codes of 12 bits is near it.
const TIGHTEST: u64 = 1400;
/// Deepest nesting of forms, groups, patterns and glyphs.
pub(super) const DEEPEST: usize = 24;
/// Pixels and operators that one page may cost, an operator counted as 200 pixels.
pub(super) const PAGE_BUDGET: u64 = 2_000_000_000;
/// Cost of an operator, in pixels.
pub(super) const OPERATOR: u64 = 200;

/// The decoded bytes of a stream that is no image.
pub(super) fn decoded(stream: &Stream<'_>) -> Result<Vec<u8>, ArtworkError> {
    guard(stream)?;
    let data = stream.decoded_data();
    let data = data.map_err(|error| {
        ArtworkError::damaged(format!("a stream cannot be unpacked ({error:?})"))
    })?;
    Ok(data.into_owned())
}

/// Refuses a stream that would unpack to more than is allowed, before it does.
pub(super) fn guard(stream: &Stream<'_>) -> Result<(), ArtworkError> {
    let packed = stream.raw_data();
    let filters = stream.filters();
    let tight = |filter: &&Filter| {
        matches!(
            filter,
            Filter::FlateDecode | Filter::LzwDecode | Filter::RunLengthDecode
        )
    };
    match filters.iter().filter(tight).count() {
        0 => Ok(()),
        1 if packed.len() as u64 * TIGHTEST <= LONGEST_STREAM => Ok(()),
        1 if filters.first() == Some(&Filter::FlateDecode) => {
            let mut counted = ZlibDecoder::new(&*packed).take(LONGEST_STREAM + 1);
            // Damage is found, and told, by the decoder itself.
            let length = std::io::copy(&mut counted, &mut std::io::sink()).unwrap_or(0);
            if length > LONGEST_STREAM {
                Err(bomb())
            } else {
                Ok(())
            }
        }
        1 if packed.len() as u64 <= 64 << 20 => Ok(()),
        _ if packed.len() as u64 <= 4096 => Ok(()),
        _ => Err(bomb()),
    }
}

fn bomb() -> ArtworkError {
    ArtworkError::TooLarge {
        what: "a stream unpacks to",
        found: "more".to_owned(),
        allowed: format!("{} MB", LONGEST_STREAM >> 20),
    }
}

/// Told of a page that costs too much.
pub(super) fn too_costly() -> ArtworkError {
    ArtworkError::TooLarge {
        what: "the page takes work",
        found: "more".to_owned(),
        allowed: format!("{} million pixels painted", PAGE_BUDGET / 1_000_000),
    }
}
