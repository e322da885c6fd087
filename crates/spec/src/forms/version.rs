//! Keys of versions.

use super::Default::{None, Required, Value};
use super::Form::{Count, Pages, Share, Text, TextList};
use super::{Key, Table, key};

pub(super) const VERSION: Table = Table {
    header: "[[version]]",
    about: "Copies that differ from the others in some inks, such as a name or a language in black; 2 to 100 versions. All give `copies`, or all `share`, or neither: then there are as many of each. Versions follow one another on the press, or lie together on one sheet, whichever is cheaper (`docs/costing.md`).",
    keys: &[
        key("name", Text, Required, "\"German\"")
            .about("No two versions share a name, whatever its case."),
        key("copies", Count(1, 10_000_000), None, "250")
            .unit("copies")
            .about("Of the smallest order, which all versions together make up; larger orders keep the proportions, rounded up."),
        key("share", Share, None, "0.6").about("Of every order, rounded up; shares add up to 1."),
    ],
};

pub(super) const VERSION_INKS: Key = key("version_inks", TextList, Value("`[\"black\"]` with versions"), "[\"black\"]")
    .about("Only with `[[version]]`: inks of the part that change from version to version, by the names of the job's colours, of `[[ink.named]]`, or `cyan`, `magenta`, `yellow`, `black`; `[]` where the part is the same in all. Where an ink set prints none of them on these pages, all its inks change.");
pub(super) const VERSION_PAGES: Key = key(
    "version_pages",
    Pages,
    Value("all pages of the part, untold"),
    "1",
)
.about("Only with `[[version]]`: pages on which they change, counted from 1 within the part.");
