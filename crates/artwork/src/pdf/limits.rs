//! Bounds on what a document may cost.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;

use hayro_interpret::Function;
use hayro_syntax::object::{Array, Dict, Object, ObjectIdentifier, Stream, dict_or_stream};

use super::unpack::unpacked_to;
use crate::error::ArtworkError;

/// Longest unpacked stream that is no image, bytes; the content of a page too, all its pieces together.
pub(super) const LONGEST_STREAM: u64 = 128 << 20;
/// Most bytes that are held of an image; of a longer one, rows are left out.
pub(super) const MOST_HELD: u64 = 256 << 20;
/// Most samples that a JPEG, JBIG2 or fax decoder may make, and a JPEG 2000 decoder, which takes four bytes for each.
pub(super) const MOST_DECODED: u64 = 512 << 20;
pub(super) const MOST_WAVES: u64 = 128 << 20;
/// Most bytes that streams of objects may unpack to, all together.
pub(super) const MOST_OBJECTS: u64 = 256 << 20;
/// Deepest nesting of forms, groups, patterns and glyphs.
pub(super) const DEEPEST: usize = 24;
/// Pixels and operators that one page may cost, an operator counted as 200 pixels.
pub(super) const PAGE_BUDGET: u64 = 2_000_000_000;
/// Cost of an operator, in pixels.
pub(super) const OPERATOR: u64 = 200;
/// Bytes that are unpacked at the cost of one pixel.
const BYTES_A_PIXEL: u64 = 4;
/// Longest unpacked font, bytes, and all of them together.
const LONGEST_FONT: u64 = 64 << 20;
const LONGEST_FONTS: u64 = 512 << 20;
/// Longest unpacked table of a function, bytes.
const LONGEST_TABLE: u64 = 8 << 20;
/// Longest program of a function, bytes, and how deep its procedures may lie in each other.
const LONGEST_PROGRAM: u64 = 32 << 10;
const DEEPEST_PROCEDURE: usize = 32;
/// Most functions that one may be put together from, and how deep.
const MOST_FUNCTIONS: usize = 1000;
const DEEPEST_FUNCTION: usize = 8;

/// Counts what a page costs, and what a document keeps.
#[derive(Debug, Default)]
pub(super) struct Meter {
    spent: Cell<u64>,
    fonts: RefCell<BTreeSet<ObjectIdentifier>>,
    font_bytes: Cell<u64>,
}

impl Meter {
    /// A page starts with nothing spent.
    pub(super) fn next_page(&self) {
        self.spent.set(0);
    }

    /// Counts work; a page that takes too much is given up.
    pub(super) fn spend(&self, work: u64) -> Result<(), ArtworkError> {
        self.spent.set(self.spent.get().saturating_add(work));
        if self.spent.get() > PAGE_BUDGET {
            Err(too_costly())
        } else {
            Ok(())
        }
    }

    /// Counts bytes that came out of filters.
    pub(super) fn unpacked(&self, bytes: u64) -> Result<(), ArtworkError> {
        self.spend(bytes / BYTES_A_PIXEL)
    }

    /// Sees to it that a font unpacks to no more than is allowed before its reader unpacks it.
    pub(super) fn check_font(&self, font: &Dict<'_>) -> Result<(), ArtworkError> {
        let below = font.get::<Array<'_>>(b"DescendantFonts");
        let below = below.and_then(|fonts| fonts.iter::<Dict<'_>>().next());
        for dict in [Some(font), below.as_ref()].into_iter().flatten() {
            let described = dict.get::<Dict<'_>>(b"FontDescriptor").unwrap_or_default();
            let own = [&b"Encoding"[..], b"ToUnicode", b"CIDToGIDMap"];
            let programs = [&b"FontFile"[..], b"FontFile2", b"FontFile3"];
            let streams = own.iter().filter_map(|key| dict.get::<Stream<'_>>(*key));
            let programs = programs.iter();
            let programs = programs.filter_map(|key| described.get::<Stream<'_>>(*key));
            for stream in streams.chain(programs) {
                self.check_font_stream(&stream)?;
            }
        }
        Ok(())
    }

    fn check_font_stream(&self, stream: &Stream<'_>) -> Result<(), ArtworkError> {
        if self.fonts.borrow().contains(&stream.obj_id()) {
            return Ok(());
        }
        let found = match unpacked_to(stream, LONGEST_FONT, self) {
            Ok(bytes) => bytes.len() as u64,
            Err(error @ ArtworkError::TooLarge { .. }) => return Err(error),
            // What is damaged is told by the reader of fonts.
            Err(_) => 0,
        };
        self.font_bytes.set(self.font_bytes.get() + found);
        if self.font_bytes.get() > LONGEST_FONTS {
            return Err(ArtworkError::TooLarge {
                what: "the fonts of the document unpack to",
                found: "more".to_owned(),
                allowed: format!("{} MB", LONGEST_FONTS >> 20),
            });
        }
        self.fonts.borrow_mut().insert(stream.obj_id());
        Ok(())
    }
}

/// A function with the cost of one use of it, in pixels.
#[derive(Debug)]
pub(super) struct Costed {
    pub(super) function: Function,
    pub(super) cost: u64,
}

impl Costed {
    /// Makes a function once it is known that making it is bounded; `None` if it cannot be made.
    pub(super) fn of(object: &Object<'_>, meter: &Meter) -> Result<Option<Self>, ArtworkError> {
        let mut scan = Scan {
            left: MOST_FUNCTIONS,
            longest: 0,
        };
        scan.function(object, 0, meter)?;
        let cost = 8 + scan.longest / 2;
        Ok(Function::new(object).map(|function| Self { function, cost }))
    }
}

/// Walks through a function as its reader will.
struct Scan {
    left: usize,
    /// Length of the longest program.
    longest: u64,
}

impl Scan {
    fn function(
        &mut self,
        object: &Object<'_>,
        depth: usize,
        meter: &Meter,
    ) -> Result<(), ArtworkError> {
        let Some((dict, stream)) = dict_or_stream(object) else {
            return Ok(());
        };
        if depth > DEEPEST_FUNCTION || self.left == 0 {
            return Err(ArtworkError::damaged(
                "functions nested too deeply, perhaps in a circle",
            ));
        }
        self.left -= 1;
        match (dict.get::<u8>(b"FunctionType"), stream) {
            (Some(0), Some(stream)) => unpacked_to(stream, LONGEST_TABLE, meter).map(|_| ()),
            (Some(3), _) => {
                let parts = dict.get::<Array<'_>>(b"Functions");
                let mut parts = parts.iter().flat_map(Array::iter::<Object<'_>>);
                parts.try_for_each(|part| self.function(&part, depth + 1, meter))
            }
            (Some(4), Some(stream)) => {
                let program = unpacked_to(stream, LONGEST_PROGRAM, meter)?;
                self.longest = self.longest.max(program.len() as u64);
                check_procedures(&program)
            }
            _ => Ok(()),
        }
    }
}

/// Refuses a program whose procedures lie in each other too deeply to be read.
fn check_procedures(program: &[u8]) -> Result<(), ArtworkError> {
    let mut depth = 0_usize;
    for byte in program {
        match byte {
            b'{' => depth += 1,
            b'}' => depth = depth.saturating_sub(1),
            _ => {}
        }
        if depth > DEEPEST_PROCEDURE {
            return Err(ArtworkError::damaged("a function of nested procedures"));
        }
    }
    Ok(())
}

/// Told of a stream that unpacks to more than is allowed.
pub(super) fn bomb(bound: u64) -> ArtworkError {
    let allowed = match bound {
        0..0x10_0000 => format!("{} kB", bound >> 10),
        _ => format!("{} MB", bound >> 20),
    };
    ArtworkError::TooLarge {
        what: "a stream unpacks to",
        found: "more".to_owned(),
        allowed,
    }
}

/// Told of a page that costs too much.
fn too_costly() -> ArtworkError {
    ArtworkError::TooLarge {
        what: "the page takes work",
        found: "more".to_owned(),
        allowed: format!("{} million pixels painted", PAGE_BUDGET / 1_000_000),
    }
}
