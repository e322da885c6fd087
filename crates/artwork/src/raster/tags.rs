//! The directories of a TIFF file, classic and of 64 bits.
//!
//! Source: TIFF 6.0 (1992), and the layout of offsets of eight bytes that its readers agreed on.

use std::collections::BTreeMap;
use std::io::{Read, Seek, SeekFrom};

use crate::error::ArtworkError;

/// Longest value of one tag that is read, bytes; tables of offsets and profiles are the longest.
const LONGEST_VALUE: u64 = 64 << 20;

/// Where and how the directories lie.
pub(crate) struct Header {
    big_endian: bool,
    wide: bool,
    /// Place of the first directory.
    pub(crate) first: u64,
}

/// The tags of one picture: numbers, or bytes as they are.
#[derive(Debug, Default)]
pub(crate) struct Tags {
    numbers: BTreeMap<u16, Vec<u64>>,
    bytes: BTreeMap<u16, Vec<u8>>,
    rationals: BTreeMap<u16, f64>,
}

impl Tags {
    pub(crate) fn number(&self, tag: u16) -> Option<u64> {
        self.numbers.get(&tag)?.first().copied()
    }

    pub(crate) fn numbers(&self, tag: u16) -> &[u64] {
        self.numbers.get(&tag).map_or(&[], Vec::as_slice)
    }

    pub(crate) fn bytes(&self, tag: u16) -> Option<&[u8]> {
        self.bytes.get(&tag).map(Vec::as_slice)
    }

    pub(crate) fn rational(&self, tag: u16) -> Option<f64> {
        self.rationals.get(&tag).copied()
    }
}

impl Header {
    /// Reads the first bytes of a file.
    pub(crate) fn read(source: &mut (impl Read + Seek)) -> Result<Self, ArtworkError> {
        let mut start = [0; 8];
        source.read_exact(&mut start).map_err(short)?;
        let big_endian = start[0] == b'M';
        let mut header = Self {
            big_endian,
            wide: false,
            first: 0,
        };
        header.wide = header.int(&start[2..4]) == 43;
        header.first = if header.wide {
            let mut first = [0; 8];
            source.read_exact(&mut first).map_err(short)?;
            header.int(&first)
        } else {
            header.int(&start[4..8])
        };
        Ok(header)
    }

    /// Whether 16-bit samples have their high byte first.
    pub(crate) fn big_endian(&self) -> bool {
        self.big_endian
    }

    fn int(&self, bytes: &[u8]) -> u64 {
        let add = |sum: u64, &byte: &u8| sum << 8 | u64::from(byte);
        if self.big_endian {
            bytes.iter().fold(0, add)
        } else {
            bytes.iter().rev().fold(0, add)
        }
    }

    /// Reads the directory at a place; returns its tags and the place of the next, 0 at the end.
    pub(crate) fn directory(
        &self,
        source: &mut (impl Read + Seek),
        at: u64,
    ) -> Result<(Tags, u64), ArtworkError> {
        source.seek(SeekFrom::Start(at))?;
        let (count_bytes, entry_bytes, place_bytes) =
            if self.wide { (8, 20, 8) } else { (2, 12, 4) };
        let mut count = [0; 8];
        source
            .read_exact(&mut count[..count_bytes])
            .map_err(short)?;
        let count = self.int(&count[..count_bytes]);
        if count > 4096 {
            return Err(ArtworkError::damaged(format!(
                "a directory of {count} entries"
            )));
        }
        let mut entries = vec![0; count as usize * entry_bytes + place_bytes];
        source.read_exact(&mut entries).map_err(short)?;
        let (entries, next) = entries.split_at(count as usize * entry_bytes);
        let mut tags = Tags::default();
        for entry in entries.chunks_exact(entry_bytes) {
            self.entry(source, entry, &mut tags)?;
        }
        Ok((tags, self.int(next)))
    }

    fn entry(
        &self,
        source: &mut (impl Read + Seek),
        entry: &[u8],
        tags: &mut Tags,
    ) -> Result<(), ArtworkError> {
        let half = if self.wide { 8 } else { 4 };
        let tag = self.int(&entry[..2]) as u16;
        let kind = self.int(&entry[2..4]);
        let count = self.int(&entry[4..4 + half]);
        let value = &entry[4 + half..];
        let Some(width) = width(kind) else {
            return Ok(());
        };
        let length = count.saturating_mul(width);
        if length > LONGEST_VALUE {
            return Err(ArtworkError::damaged(format!(
                "tag {tag} claims {count} values"
            )));
        }
        let mut bytes = value.get(..length as usize).unwrap_or(&[]).to_vec();
        if length > half as u64 {
            source.seek(SeekFrom::Start(self.int(value)))?;
            bytes.clear();
            source.by_ref().take(length).read_to_end(&mut bytes)?;
            if bytes.len() as u64 != length {
                return Err(ArtworkError::damaged(format!(
                    "tag {tag} lies beyond the end"
                )));
            }
        }
        self.keep(tag, kind, bytes, tags);
        Ok(())
    }

    fn keep(&self, tag: u16, kind: u64, bytes: Vec<u8>, tags: &mut Tags) {
        match kind {
            3 | 4 | 13 | 16 | 18 => {
                let width = width(kind).unwrap_or(1) as usize;
                let numbers = bytes
                    .chunks_exact(width)
                    .map(|value| self.int(value))
                    .collect();
                tags.numbers.insert(tag, numbers);
            }
            5 if bytes.len() >= 8 => {
                let below = self.int(&bytes[4..8]) as f64;
                tags.rationals
                    .insert(tag, self.int(&bytes[..4]) as f64 / below);
            }
            1 | 2 | 7 => {
                tags.bytes.insert(tag, bytes);
            }
            _ => {}
        }
    }
}

/// Bytes of one value of a type.
fn width(kind: u64) -> Option<u64> {
    Some(match kind {
        1 | 2 | 6 | 7 => 1,
        3 | 8 => 2,
        4 | 9 | 11 | 13 => 4,
        5 | 10 | 12 | 16 | 17 | 18 => 8,
        _ => return None,
    })
}

/// An end where more should come is damage, not trouble with the machine.
pub(crate) fn short(error: std::io::Error) -> ArtworkError {
    if error.kind() == std::io::ErrorKind::UnexpectedEof {
        ArtworkError::damaged("it ends too early")
    } else {
        ArtworkError::Read(error)
    }
}
