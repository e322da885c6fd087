//! The header and the list of tags: what kind of profile this is, and where its parts stand.

use super::ProfileProblem;
use super::bytes::{Bytes, shown};

/// What is expected instead of another kind of file.
const WANTED: &str = "expected an ICC output profile (class `prtr`) with CMYK, version 2 or 4";

/// The most tags that are listed; usual profiles have some twenty.
const MOST_TAGS: usize = 1000;

/// What the header says, and where the tags stand.
pub(super) struct Header {
    pub(super) version: (u8, u8),
    /// `Lab ` or `XYZ `.
    pub(super) connection: [u8; 4],
    tags: Vec<([u8; 4], usize)>,
}

impl Header {
    pub(super) fn read(bytes: &Bytes<'_>, longest: usize) -> Result<Self, ProfileProblem> {
        check_length(bytes, longest)?;
        let version = check_kind(bytes)?;
        let connection = bytes.signature(20, "the header")?;
        if !matches!(&connection, b"Lab " | b"XYZ ") {
            let message = format!(
                "the connection space is `{}`; known are `Lab` and `XYZ`",
                shown(connection)
            );
            return Err(bytes.problem("profile-wrong-class", 20, message, WANTED));
        }
        Ok(Self {
            version,
            connection,
            tags: read_tags(bytes)?,
        })
    }

    /// Returns where a tag's contents start.
    pub(super) fn tag(&self, wanted: [u8; 4]) -> Option<usize> {
        let found = self.tags.iter().find(|(name, _)| *name == wanted)?;
        Some(found.1)
    }

    /// Returns the first of two tables that is there, with its name.
    pub(super) fn first_of(
        &self,
        bytes: &Bytes<'_>,
        wanted: [[u8; 4]; 2],
    ) -> Result<(usize, &'static str), ProfileProblem> {
        const NAMES: [&str; 4] = ["A2B1", "A2B0", "B2A1", "B2A0"];
        let name = |tag: [u8; 4]| NAMES.into_iter().find(|name| name.as_bytes() == tag);
        wanted
            .into_iter()
            .find_map(|tag| Some((self.tag(tag)?, name(tag)?)))
            .ok_or_else(|| {
                let message = format!(
                    "the profile has neither the table `{}` nor `{}`",
                    shown(wanted[0]),
                    shown(wanted[1])
                );
                bytes.problem("profile-no-table", 128, message, WANTED)
            })
    }
}

fn check_length(bytes: &Bytes<'_>, longest: usize) -> Result<(), ProfileProblem> {
    let length = bytes.all.len();
    if length > longest {
        let (found, most) = (length >> 20, longest >> 20);
        let message = format!("the file has {found} MB, at most {most} are read");
        return Err(bytes.problem("profile-too-large", 0, message, WANTED));
    }
    if length >= 40 && !super::is_icc_profile(bytes.all) {
        let message = "bytes 36 to 39 are not `acsp`, so this is no ICC profile".to_owned();
        let hint = "an encrypted or packed file has to be opened first";
        return Err(bytes.problem("profile-not-one", 36, message, hint));
    }
    let declared = bytes.u32(0, "the header")?;
    bytes.part(0, 132, "the header")?;
    bytes
        .part(0, declared, "the profile, by its own header,")
        .map(|_| ())
}

fn check_kind(bytes: &Bytes<'_>) -> Result<(u8, u8), ProfileProblem> {
    let (major, minor) = (bytes.all[8], bytes.all[9] >> 4);
    if !matches!(major, 2 | 4) {
        let message = format!("the profile has version {major}.{minor}; known are 2 and 4");
        return Err(bytes.problem("profile-wrong-version", 8, message, WANTED));
    }
    let class = bytes.signature(12, "the header")?;
    if &class != b"prtr" {
        let kind = match &class {
            b"link" => ", a device link from one device to another",
            b"mntr" => ", a display",
            b"scnr" => ", a scanner or camera",
            b"nmcl" => ", named colours",
            _ => "",
        };
        let message = format!("the profile has the class `{}`{kind}", shown(class));
        return Err(bytes.problem("profile-wrong-class", 12, message, WANTED));
    }
    let space = bytes.signature(16, "the header")?;
    if &space != b"CMYK" {
        let message = format!("the profile is for `{}`, not for CMYK", shown(space));
        return Err(bytes.problem("profile-wrong-class", 16, message, WANTED));
    }
    Ok((major, minor))
}

fn read_tags(bytes: &Bytes<'_>) -> Result<Vec<([u8; 4], usize)>, ProfileProblem> {
    let count = bytes.u32(128, "the list of tags")?;
    if count > MOST_TAGS {
        let message = format!("the profile lists {count} tags, at most {MOST_TAGS} are taken");
        return Err(bytes.problem("profile-too-large", 128, message, ""));
    }
    (0..count).map(|i| read_tag(bytes, 132 + 12 * i)).collect()
}

fn read_tag(bytes: &Bytes<'_>, at: usize) -> Result<([u8; 4], usize), ProfileProblem> {
    const LIST: &str = "the list of tags";
    let name = bytes.signature(at, LIST)?;
    let (start, length) = (bytes.u32(at + 4, LIST)?, bytes.u32(at + 8, LIST)?);
    let end = start.saturating_add(length);
    if end > bytes.all.len() || start < 128 {
        let message = format!(
            "the tag `{}` stands at bytes {start} to {end}, the file has {}",
            shown(name),
            bytes.all.len()
        );
        let hint = "the file seems to be cut off or damaged; take it again from its source";
        return Err(bytes.problem("profile-cut-off", at + 4, message, hint));
    }
    Ok((name, start))
}
