//! What the reader of a document does without bounds is looked at before it does: streams that hold objects or tell
//! where they lie, which it unpacks whole, and dictionaries in each other, which it looks through over and over.
//! Source: ISO 32000-2, 7.5.7 and 7.5.8.

use hayro_syntax::object::{Dict, FromBytes, Stream};

use super::limits::{MOST_OBJECTS, Meter};
use super::unpack::Unpacker;
use crate::error::ArtworkError;

/// Bytes in which the dictionary of a stream of objects has to lie.
const LONGEST_DICTIONARY: usize = 64 << 10;
/// Deepest nesting of dictionaries that are written into each other.
const DEEPEST_DICTIONARY: usize = 100;

/// Refuses a document whose objects cannot be read at a bounded cost.
pub(super) fn check_objects(bytes: &[u8]) -> Result<(), ArtworkError> {
    let mut scan = Scan {
        bytes,
        left: MOST_OBJECTS,
        first: None,
        last: None,
        depth: 0,
        is_inside: false,
    };
    for at in 0..bytes.len() {
        scan.look(at)?;
    }
    Ok(())
}

/// Words of a document that tell where objects and streams start and end.
struct Scan<'b> {
    bytes: &'b [u8],
    /// Bytes that streams of objects may still unpack to.
    left: u64,
    /// Where the first and the last object since the last end of one start.
    first: Option<usize>,
    last: Option<usize>,
    /// How many dictionaries are open.
    depth: usize,
    /// Inside the data of a stream, where brackets mean nothing.
    is_inside: bool,
}

impl Scan<'_> {
    fn look(&mut self, at: usize) -> Result<(), ArtworkError> {
        let rest = &self.bytes[at..];
        match rest {
            [b'<', b'<', ..] if !self.is_inside => self.depth += 1,
            [b'>', b'>', ..] => self.depth = self.depth.saturating_sub(1),
            [b'o', b'b', b'j', after @ ..] => {
                let blanks = after.iter().take_while(|byte| byte.is_ascii_whitespace());
                self.last = Some(at + 3 + blanks.count());
                self.first = self.first.or(self.last);
            }
            [b'e', b'n', b'd', b'o', b'b', b'j', ..] => {
                (self.first, self.depth, self.is_inside) = (None, 0, false);
            }
            [b'e', b'n', b'd', b's', b't', b'r', b'e', b'a', b'm', ..] => self.is_inside = false,
            [b's', b't', b'r', b'e', b'a', b'm', b'\r' | b'\n', ..]
                if !self.bytes[..at].ends_with(b"end") =>
            {
                (self.depth, self.is_inside) = (0, true);
                let (first, last) = (self.first.take(), self.last.take());
                for start in [first, last.filter(|_| first != last)]
                    .into_iter()
                    .flatten()
                {
                    self.left -= objects_length(&self.bytes[start..], self.left)?;
                }
            }
            _ => {}
        }
        if self.depth > DEEPEST_DICTIONARY {
            return Err(ArtworkError::damaged("dictionaries nested too deeply"));
        }
        Ok(())
    }
}

/// How long a stream of objects unpacks to, refused beyond `bound`; nothing for any other object.
fn objects_length(bytes: &[u8], bound: u64) -> Result<u64, ArtworkError> {
    let window = &bytes[..bytes.len().min(LONGEST_DICTIONARY)];
    let Some(dict) = Dict::from_bytes(window) else {
        return Ok(0);
    };
    let holds_objects = dict.contains_key(b"First") && dict.contains_key(b"N");
    if !holds_objects && !dict.contains_key(b"W") {
        return Ok(0);
    }
    if dict.get_ref(b"Filter").is_some() {
        return Err(ArtworkError::not_read(
            "a stream of objects whose filter stands elsewhere in the document",
        ));
    }
    let Some(stream) = Stream::from_bytes(bytes) else {
        return Ok(0);
    };
    // A filter that is none is damage, which the reader tells.
    Unpacker::of(&stream, bound).map_or(Ok(0), |mut unpacker| {
        unpacker.skip(u64::MAX, &Meter::default())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brackets_in_data_mean_nothing() {
        let brackets = "<<".repeat(1000);
        let data = format!(
            "1 0 obj << /Length 2000 >> stream\n{brackets}\nendstream endobj 2 0 obj << >> endobj"
        );
        assert!(check_objects(data.as_bytes()).is_ok());
        let nested = format!("1 0 obj {brackets} endobj");
        assert!(matches!(
            check_objects(nested.as_bytes()),
            Err(ArtworkError::Damaged(_))
        ));
    }

    #[test]
    fn streams_of_objects_are_bounded_together() {
        let stream =
            "1 0 obj << /Type /ObjStm /N 1 /First 4 /Length 6 >> stream\n1 0 nu\nendstream endobj ";
        assert!(check_objects(stream.repeat(3).as_bytes()).is_ok());
        assert_eq!(objects_length(&stream.as_bytes()[8..], 6).unwrap(), 6);
        let elsewhere = stream.replace("/N 1", "/N 1 /Filter 9 0 R");
        assert!(matches!(
            check_objects(elsewhere.as_bytes()),
            Err(ArtworkError::NotRead(_))
        ));
    }
}
