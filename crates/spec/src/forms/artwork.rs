//! Keys of the artwork that a job names.

use super::Default::{None, Required, Value};
use super::Form::{Count, Text, TextList};
use super::job::{PLACE_PAGES, PLACE_PART, PLACE_SIDE};
use super::{Key, Table, key};

pub(crate) const ARTWORK: Table = Table {
    header: "[[artwork]]",
    about: "Artwork of some pages: `plan`, `price`, `weigh` and `compare` measure it, and its coverage takes the place of what `uses` and `[[picture]]` say of these pages (`docs/coverage.md`).",
    keys: &[
        key("file", Text, Required, "\"brochure.pdf\"")
            .about("PDF, TIFF, JPEG or PNG, relative to the job file and inside its folder."),
        FIRST,
        PLACE_PART,
        PLACE_SIDE,
        PLACE_PAGES,
        UNPRINTED,
    ],
};

const FIRST: Key = key("first", Count(1, 100_000), Value("1, untold"), "3")
    .about("Page of the file that lies on the first of these pages; the others follow in order.");

const UNPRINTED: Key = key("unprinted", TextList, None, "[\"Die line\"]")
    .about("Inks of the file that are not printed, such as the line of a die.");
