//! Keys of plates that stay on the press while the paper changes.

use super::Default::{None, Value};
use super::Form::{Pages, Text, TextList};
use super::{Key, key};

pub(super) const PLATES_OF: Key = key("plates_of", Text, None, "\"white\"")
    .about("Sets only: the part whose plates also print this one, because it carries the same image on another paper. Where both are printed alike (press, sheet, work style, number up), the plates are made once and only the paper is changed (`docs/costing.md`). That part has no `plates_of` of its own; both have the same bleed.");
pub(super) const CHANGED_INKS: Key = key("changed_inks", TextList, Value("none, untold"), "[\"black\"]")
    .about("Only with `plates_of`: inks of which this part has plates of its own all the same, such as black with another line of type; named as in `version_inks`. Where an ink set prints none of them on these pages, all its inks are changed.");
pub(super) const CHANGED_PAGES: Key = key(
    "changed_pages",
    Pages,
    Value("all pages of the part, untold"),
    "1",
)
.about("Only with `changed_inks`: pages on which they differ, counted from 1 within the part.");
