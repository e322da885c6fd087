//! Keys of finishing operations.

use super::Default::{None, Required, Value};
use super::Form::{Amount, Count, Flag, Number, Text, Words};
use super::{Key, Table, key};

const SET_UP: Key = key("set_up", Amount, None, "28.00")
    .about("Setting up once; required without `set_up_minutes`.");
const SET_UP_MINUTES: Key = key("set_up_minutes", Number(0.0, 10_000.0), None, "20")
    .unit("minutes")
    .about("Setting up once, at `hourly_rate`.");
const HOURLY_RATE: Key =
    key("hourly_rate", Amount, None, "60.00").about("Required where minutes or a speed are given.");
const PER_THOUSAND: Key =
    key("per_thousand", Amount, None, "7.50").about("1,000 pieces through the operation.");
const EACH: Key = key("each", Amount, None, "1.20")
    .about("One piece, or one bundle where the job says how many copies make one.");
const PER_HOUR: Key = key("per_hour", Number(1.0, 1_000_000.0), None, "4000")
    .unit("pieces or bundles an hour")
    .about("Paid by `hourly_rate`.");
const BELT_SPEED: Key = key("belt_speed", Number(1.0, 1_000.0), None, "150")
    .unit("m/min")
    .about("Paid by `hourly_rate`; pieces run with their longer edge along the belt.");
const GAP: Key = key("gap_percent", Number(0.0, 1_000.0), Value("10"), "10")
    .unit("% of the length")
    .about("Between two pieces on the belt; only with `belt_speed`.");
const SET_UP_SPOILAGE: Key = key("set_up_spoilage", Count(0, 100_000), Value("20"), "40")
    .unit("pieces")
    .about("Spoiled in setting up.");
const RUN_SPOILAGE: Key = key("run_spoilage_percent", Number(0.0, 90.0), Value("1"), "1.0")
    .unit("%")
    .about("Spoiled in running.");

pub(crate) const OPERATION: Table = Table {
    header: "[finishing.cut], [finishing.fold], [finishing.stitch], [finishing.gather], [finishing.sew], [finishing.bind], [finishing.insert], [finishing.collate], [finishing.pad], [finishing.pack]",
    about: "One finishing operation. Exactly one of `per_thousand`, `each`, `per_hour` and `belt_speed`.",
    keys: &[
        SET_UP,
        SET_UP_MINUTES,
        HOURLY_RATE,
        PER_THOUSAND,
        EACH,
        PER_HOUR,
        BELT_SPEED,
        GAP,
        SET_UP_SPOILAGE,
        RUN_SPOILAGE,
    ],
};

pub(crate) const FURTHER: Table = Table {
    header: "[[operation]]",
    about: "A finishing operation that jobs ask for by name in `[[finish]]`. Exactly one of `per_thousand`, `each`, `per_hour` and `belt_speed`, or none for a coating that is only laid down in line.",
    keys: &[
        key("name", Text, Required, "\"gloss laminate\"")
            .about("No two operations share a name, whatever its case."),
        key(
            "kind",
            Words(&[
                "seal-varnish",
                "aqueous",
                "spot-varnish",
                "laminate",
                "foil",
                "emboss",
                "crease",
                "perforate",
                "number",
                "drill",
                "die-cut",
                "carton",
                "shrink-wrap",
                "pallet",
                "other",
            ]),
            Required,
            "\"laminate\"",
        ),
        key("on", Words(&["sheets", "pieces", "copies"]), Value("by kind, untold"), "\"sheets\"")
            .about("What goes through: printed sheets before cutting (coatings, laminate, foil, emboss, die-cut), pieces before folding (crease, perforate, number), else finished copies before packing."),
        SET_UP,
        SET_UP_MINUTES,
        HOURLY_RATE,
        PER_THOUSAND,
        EACH,
        PER_HOUR,
        BELT_SPEED,
        GAP,
        SET_UP_SPOILAGE,
        RUN_SPOILAGE,
        key("tool_price", Amount, None, "180.00").about("Die, block or brush; paid once a job, kept for a reprint."),
        key("tool_per_up", Amount, None, "14.00").about("Added to `tool_price` for each piece on the sheet: the rules of a die with several blanks. For operations on sheets."),
        key("material_per_m2", Amount, None, "0.14").about("Film or foil, by the area of the sheets."),
        key("material_gsm", Number(0.1, 500.0), None, "4")
            .unit("g/m² wet")
            .about("Coating; needs `material_per_kg`."),
        key("material_per_kg", Amount, None, "5.50"),
        key("inline_set_up", Amount, None, "18.00").about("Setting up the coater for one side. Given: presses with a coater lay it down in line, on each side that they print."),
        key("separates", Flag, Value("`false`, untold"), "true").about("Pieces come out of the sheet by it, so that printed sheets are not cut."),
        key("outside", Flag, Value("`false`, untold"), "true").about("Done by another plant."),
        key("handling_percent", Number(0.0, 1000.0), Value("0, untold"), "10")
            .unit("% of the work")
            .about("Added to outside work."),
        key("minimum_charge", Amount, Value("0, untold"), "60.00").about("Least for outside work, handling apart."),
    ],
};
