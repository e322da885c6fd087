//! Palettes from ICC named-colour profiles: the tag `ncl2` of versions 2 and 4, with Lab as connection space.
//!
//! Source: ICC.1, 10.17 (`namedColor2Type`) and the legacy 16-bit encoding of Lab, which both versions keep for this tag.
//! Its values are relative to the paper in the tag `wtpt`.

use std::collections::HashSet;

use super::{Coordinates, MOST_COLOURS, PaletteColour};
use crate::{FileRole, Notice, Reading, codes};

/// Bytes of the header, and of one entry of the table of tags.
const HEADER: usize = 128;
const TAG: usize = 12;
/// Most tags of a profile.
const MOST_TAGS: usize = 1_000;
/// Bytes before the colours within the tag.
const BEFORE_COLOURS: usize = 84;
/// Bytes of a name.
const NAME: usize = 32;

/// Whether bytes are an ICC profile of any class.
pub(super) fn is_profile(bytes: &[u8]) -> bool {
    bytes.get(36..40) == Some(b"acsp")
}

/// Reads the colours; the first thing that is wrong is told.
pub(super) fn read(bytes: &[u8]) -> Reading<Vec<PaletteColour>> {
    match (Profile { bytes }).colours() {
        Ok((colours, assumed)) => Reading::new(Some(colours), assumed.into_iter().collect()),
        Err((code, message)) => {
            let notice = Notice::error(FileRole::Palette, code, message);
            Reading::new(None, vec![notice])
        }
    }
}

type Fault = (&'static str, String);

#[derive(Clone, Copy)]
struct Profile<'b> {
    bytes: &'b [u8],
}

impl Profile<'_> {
    fn colours(self) -> Result<(Vec<PaletteColour>, Option<Notice>), Fault> {
        self.check_class()?;
        let Some((at, length)) = self.tag(*b"ncl2")? else {
            return Err((
                codes::PALETTE_DAMAGED,
                "the profile has no tag `ncl2`".to_owned(),
            ));
        };
        let paper = self.paper()?;
        let (count, entry) = self.table(at, length)?;
        let (prefix, suffix) = (self.name(at + 20)?, self.name(at + 52)?);
        let mut names = HashSet::new();
        let mut colours = Vec::with_capacity(count);
        for index in 0..count {
            let from = at + BEFORE_COLOURS + index * entry;
            let name = format!("{prefix}{}{suffix}", self.name(from)?)
                .trim()
                .to_owned();
            if name.is_empty() {
                return Err((
                    codes::EMPTY_TEXT,
                    format!("colour {} has no name", index + 1),
                ));
            }
            if !names.insert(name.to_lowercase()) {
                let message = format!("`{name}` is in the palette twice");
                return Err((codes::DUPLICATE_NAME, message));
            }
            colours.push(self.colour(name, from + NAME, paper)?);
        }
        let assumed = paper.is_none().then(|| {
            let sentence = "the profile names no paper white; taking its values as absolute";
            Notice::assumption(FileRole::Palette, codes::ASSUMED_PAPER_WHITE, sentence)
        });
        Ok((colours, assumed))
    }

    fn check_class(self) -> Result<(), Fault> {
        let (class, space) = (self.signature(12)?, self.signature(20)?);
        if &class != b"nmcl" {
            let message = format!(
                "the profile is of class `{}`; a palette needs a named-colour profile (`nmcl`)",
                class.escape_ascii()
            );
            return Err((codes::NOT_A_PALETTE, message));
        }
        if &space != b"Lab " {
            let message = format!(
                "the profile's colours are given as `{}`; only `Lab ` is read",
                space.escape_ascii()
            );
            return Err((codes::NOT_A_PALETTE, message));
        }
        Ok(())
    }

    /// Number of colours and bytes of each; both must lie within the tag.
    fn table(self, at: usize, length: usize) -> Result<(usize, usize), Fault> {
        let kind = self.signature(at)?;
        if &kind != b"ncl2" {
            let message = format!("the tag `ncl2` holds `{}`", kind.escape_ascii());
            return Err((codes::PALETTE_DAMAGED, message));
        }
        let (count, channels) = (self.u32(at + 12)?, self.u32(at + 16)?);
        if channels > 15 {
            let message = format!("each colour has {channels} inks; a profile has at most 15");
            return Err((codes::PALETTE_DAMAGED, message));
        }
        if count == 0 {
            return Err((codes::EMPTY_LIST, "the profile has no colours".to_owned()));
        }
        if count > MOST_COLOURS {
            let message =
                format!("the profile says {count} colours; at most {MOST_COLOURS} are read");
            return Err((codes::PALETTE_TOO_LARGE, message));
        }
        let entry = NAME + 6 + 2 * channels;
        let needed = BEFORE_COLOURS + count * entry;
        if needed > length {
            let message =
                format!("{count} colours need {needed} bytes from byte {at}; the tag has {length}");
            return Err((codes::PALETTE_DAMAGED, message));
        }
        Ok((count, entry))
    }

    /// Place and length of a tag, both within the file.
    fn tag(self, wanted: [u8; 4]) -> Result<Option<(usize, usize)>, Fault> {
        let count = self.u32(HEADER)?;
        if count > MOST_TAGS {
            let message = format!("the profile says {count} tags; at most {MOST_TAGS} are read");
            return Err((codes::PALETTE_DAMAGED, message));
        }
        for index in 0..count {
            let entry = HEADER + 4 + index * TAG;
            if self.signature(entry)? == wanted {
                let (at, length) = (self.u32(entry + 4)?, self.u32(entry + 8)?);
                self.check_within(at, length)?;
                return Ok(Some((at, length)));
            }
        }
        Ok(None)
    }

    fn paper(self) -> Result<Option<[f64; 3]>, Fault> {
        let Some((at, _)) = self.tag(*b"wtpt")? else {
            return Ok(None);
        };
        let mut paper = [0.0; 3];
        for (axis, value) in paper.iter_mut().enumerate() {
            *value = f64::from((self.u32(at + 8 + 4 * axis)? as u32).cast_signed()) / 65_536.0;
        }
        if paper.iter().all(|v| (0.01..=2.0).contains(v)) {
            return Ok(Some(paper));
        }
        let message = format!("the paper white is {paper:?}, which no paper is");
        Err((codes::PALETTE_DAMAGED, message))
    }

    fn colour(
        self,
        name: String,
        at: usize,
        paper: Option<[f64; 3]>,
    ) -> Result<PaletteColour, Fault> {
        let [l, a, b] = [self.u16(at)?, self.u16(at + 2)?, self.u16(at + 4)?];
        let lab = [l * 100.0 / 65_280.0, a / 256.0 - 128.0, b / 256.0 - 128.0];
        let coordinates = match paper {
            Some(paper) => Coordinates::LabOnPaper { lab, paper },
            None => Coordinates::Lab(lab),
        };
        Ok(PaletteColour {
            name,
            coordinates: Some(coordinates),
            spectrum: None,
            tint: None,
            place: None,
        })
    }

    fn check_within(self, at: usize, length: usize) -> Result<(), Fault> {
        let end = at.checked_add(length);
        if end.is_some_and(|end| end <= self.bytes.len()) {
            return Ok(());
        }
        Err(self.cut_off(at, length))
    }

    fn cut_off(self, at: usize, length: usize) -> Fault {
        let message = format!(
            "{length} bytes are needed from byte {at}; the profile has {}",
            self.bytes.len()
        );
        (codes::PALETTE_DAMAGED, message)
    }

    fn array<const N: usize>(self, at: usize) -> Result<[u8; N], Fault> {
        let bytes = at.checked_add(N).and_then(|end| self.bytes.get(at..end));
        let array = bytes.and_then(|bytes| bytes.try_into().ok());
        array.ok_or_else(|| self.cut_off(at, N))
    }

    fn signature(self, at: usize) -> Result<[u8; 4], Fault> {
        self.array(at)
    }

    fn u32(self, at: usize) -> Result<usize, Fault> {
        Ok(u32::from_be_bytes(self.array(at)?) as usize)
    }

    fn u16(self, at: usize) -> Result<f64, Fault> {
        Ok(f64::from(u16::from_be_bytes(self.array(at)?)))
    }

    /// A name of at most 32 bytes that ends at the first zero; bytes beyond ASCII are shown as unknown.
    fn name(self, at: usize) -> Result<String, Fault> {
        let bytes: [u8; NAME] = self.array(at)?;
        let end = bytes.iter().position(|byte| *byte == 0).unwrap_or(NAME);
        let text = String::from_utf8_lossy(&bytes[..end]);
        Ok(text.replace(char::is_control, " "))
    }
}
