//! Keys of a file of actuals.

use super::Default::{None, Required, Value};
use super::Form::{Count, Many, Number, Text};
use super::{Table, key};

pub(crate) const ACTUALS: Table = Table {
    header: "",
    about: "The top of the file.",
    keys: &[
        key("rates", Text, None, "\"../../rates/metric.toml\"")
            .about("The rate card, relative to this file; `--rates` comes before it."),
        key("job", Many(&JOB), Required, "").about("One for each finished job."),
    ],
};

const JOB: Table = Table {
    header: "[[job]]",
    about: "A finished job: with `file`, its estimate is made anew and held against what was measured; without, its runs are typed.",
    keys: &[
        key("name", Text, Required, "\"2609-14\"").about("Its name or number, each once in a file."),
        key("file", Text, None, "\"../flyer-orange.toml\"")
            .about("The job file, relative to this file."),
        key("quantity", Count(1, 10_000_000), None, "5000")
            .unit("copies")
            .about("Ordered; required with `file`."),
        key("option", Text, None, "\"CMYK + Pumpkin orange\"").about(
            "The ink set that was printed, as `inkset price` names it. Left out, the recommended one.",
        ),
        key("press", Many(&PRESS), None, "").about("What was measured on the presses."),
        key("ink", Many(&INK), None, "").about("Ink used; needs `file`."),
        key("operation", Many(&OPERATION), None, "").about("What was measured in finishing."),
    ],
};

const PRESS: Table = Table {
    header: "[[job.press]]",
    about: "A press that printed the job; the estimate is made with the presses that are named. At least one figure.",
    keys: &[
        key("press", Text, Required, "\"B2, four units\"").about("Its name on the rate card."),
        key("part", Text, None, "\"cover\"")
            .about("The part that is meant. Left out, all parts that the press printed."),
        key("runs", Many(&RUN), None, "").about("Required without a `file`, refused with one."),
        key("make_ready_minutes", Number(0.0, 525_600.0), None, "48")
            .unit("minutes")
            .about("All forms and passes together, without washing."),
        key("running_minutes", Number(0.0, 525_600.0), None, "41")
            .unit("minutes")
            .about("All runs together, stops within them included."),
        key("make_ready_sheets", Count(0, 100_000_000), None, "310")
            .unit("sheets")
            .about("Spent on make-ready."),
        key("sheets", Count(0, 100_000_000), None, "2900")
            .unit("sheets")
            .about("That went into the press, make-ready and spoilage included; with `runs`, of all runs together."),
    ],
};

const RUN: Table = Table {
    header: "runs",
    about: "A run through the press with its make-ready.",
    keys: &[
        key("inks", Count(1, 20), Required, "4").about("Inks made ready."),
        key("good_sheets", Count(1, 100_000_000), Required, "2500")
            .unit("sheets")
            .about("That it left."),
    ],
};

const INK: Table = Table {
    header: "[[job.ink]]",
    about: "Ink used for the job, what was lost in the units included.",
    keys: &[
        key("ink", Text, Required, "\"process\"").about(
            "Its name as the lines of the estimate have it (`cyan`, `Pumpkin orange`), or `process` for all process inks together.",
        ),
        key("kg", Number(0.0, 100_000.0), Required, "1.4").unit("kg"),
    ],
};

const OPERATION: Table = Table {
    header: "[[job.operation]]",
    about: "A finishing operation. At least one of minutes and `spoiled`.",
    keys: &[
        key("operation", Text, Required, "\"fold\"")
            .about("Its name on the rate card; `cut`, `fold`, `stitch` and the others of `[finishing]`, or that of an `[[operation]]`."),
        key("set_ups", Count(1, 1_000), Value("1, or those of the estimate"), "1")
            .about("Settings-up."),
        key("pieces", Count(1, 1_000_000_000), None, "5100")
            .unit("pieces")
            .about("Put through; required without a `file` and with `spoiled`."),
        key("set_up_minutes", Number(0.0, 525_600.0), None, "35")
            .unit("minutes")
            .about("Of all settings-up."),
        key("running_minutes", Number(0.0, 525_600.0), None, "62").unit("minutes"),
        key("spoiled", Count(0, 100_000_000), None, "85")
            .unit("pieces")
            .about("In setting up and running."),
    ],
};
