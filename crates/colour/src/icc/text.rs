//! Texts of a profile. A text that cannot be read is no reason to refuse the colours.

use super::bytes::Bytes;

/// The longest text that is kept, characters.
const LONGEST: usize = 400;

/// Reads a `desc`, `text` or `mluc` tag as one line; empty if there is none.
pub(super) fn read(bytes: &Bytes<'_>, tag: Option<usize>) -> String {
    let text = tag.and_then(|at| read_at(bytes, at)).unwrap_or_default();
    let printable = |c: char| if c.is_control() { ' ' } else { c };
    let line: String = text.chars().map(printable).take(LONGEST).collect();
    line.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn read_at(bytes: &Bytes<'_>, at: usize) -> Option<String> {
    const WHAT: &str = "a text";
    match &bytes.signature(at, WHAT).ok()? {
        b"desc" => {
            let length = bytes.u32(at + 8, WHAT).ok()?;
            Some(plain(bytes.part(at + 12, length, WHAT).ok()?))
        }
        b"text" => {
            let rest = bytes.all.get(at + 8..)?;
            Some(plain(&rest[..rest.len().min(LONGEST)]))
        }
        b"mluc" => translated(bytes, at),
        _ => None,
    }
}

/// The English text, else the first.
fn translated(bytes: &Bytes<'_>, at: usize) -> Option<String> {
    const WHAT: &str = "a text";
    let records = bytes.u32(at + 8, WHAT).ok()?.min(100);
    let size = bytes.u32(at + 12, WHAT).ok()?.clamp(12, 1000);
    let places: Vec<usize> = (0..records).map(|i| at + 16 + size * i).collect();
    let english = |place: &&usize| bytes.part(**place, 2, WHAT).is_ok_and(|name| name == b"en");
    let place = *places.iter().find(english).or(places.first())?;
    let length = bytes.u32(place + 4, WHAT).ok()?.min(2 * LONGEST);
    let start = bytes.u32(place + 8, WHAT).ok()?;
    let pairs = bytes.part(at.checked_add(start)?, length, WHAT).ok()?;
    let units = pairs.as_chunks::<2>().0.iter();
    let units: Vec<u16> = units.map(|pair| u16::from_be_bytes(*pair)).collect();
    Some(String::from_utf16_lossy(&units))
}

fn plain(bytes: &[u8]) -> String {
    let end = bytes.iter().position(|b| *b == 0).unwrap_or(bytes.len());
    String::from_utf8_lossy(&bytes[..end]).into_owned()
}
