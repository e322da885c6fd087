//! Keys of a rate card.

use super::Default::{None, Required, Value};
use super::Form::{
    Amount, Count, Date, Flag, LabOrPalette, Length, Many, Number, One, Size, Sizes, Text,
    TextList, Words,
};
use super::delivery::{CARRIAGE, PROOF};
use super::operation::{FURTHER, OPERATION};
use super::supplier::SUPPLIER;
use super::{Form, Key, Table, key};

pub(crate) const RATE_CARD: Table = Table {
    header: "",
    about: "The top of the file. An amount is digits with at most one point, bare or in quotation marks, 0 to 100,000,000, in the currency of the card.",
    keys: &[
        key("title", Text, Required, "\"Our presses, autumn\"").about("What people call the card."),
        key("example", Flag, Value("`false`, untold"), "true")
            .about("Example rates are shown with a caution."),
        key("currency", Text, Required, "\"EUR\"").about("Code of ISO 4217."),
        key("date", Date, Required, "2026-01-01").about("Day from which the rates hold."),
        key("round_total_to", Amount, Value("0"), "1")
            .about("Totals are rounded up to a multiple of this; 0 = not rounded."),
        key(
            "profit",
            One(&PROFIT),
            Value("a mark-up of 0 %"),
            "{ margin_percent = 12 }",
        ),
        key("run_spoilage", Many(&SPOILAGE), Required, "").about("Steps by run length."),
        key("variation", One(&VARIATION), None, "")
            .about("How much the plant's presses vary; used by jobs with `variation = \"plant\"`."),
        key("press", Many(&PRESS), None, "")
            .about("At least one `[[press]]` or `[[digital_press]]`."),
        key("digital_press", Many(&DIGITAL_PRESS), None, ""),
        key("stock", Many(&STOCK), Required, ""),
        key("sheeter", One(&SHEETER), None, ""),
        key("ink", One(&INKS), Required, ""),
        key("finishing", One(&FINISHING), None, ""),
        key("operation", Many(&FURTHER), None, "").about("Operations that jobs ask for by name."),
        key("proof", One(&PROOF), None, ""),
        key("carriage", Many(&CARRIAGE), None, ""),
        key("supplier", One(&SUPPLIER), None, ""),
    ],
};

const PROFIT: Table = Table {
    header: "profit",
    about: "Exactly one of the two.",
    keys: &[
        key("margin_percent", Number(0.0, 99.9), None, "12")
            .unit("%")
            .about("Share of the selling price."),
        key("mark_up_percent", Number(0.0, 1000.0), None, "18")
            .unit("%")
            .about("Share of the cost."),
    ],
};

const UP_TO: Key = key("up_to", Count(1, 100_000_000), None, "5000")
    .unit("sheets")
    .about("Ascending; left out of the last step, and of no other.");

const SPOILAGE: Table = Table {
    header: "run_spoilage",
    about: "Sheets spoiled while running, for each pass, by the good sheets wanted from it.",
    keys: &[
        UP_TO,
        key("percent", Number(0.0, 90.0), Required, "2.5").unit("% of the sheets printed"),
    ],
};

const DENSITY: Form = Number(0.0, 1.0);
const TONE: Form = Number(0.0, 20.0);
const CORRELATION: Form = Number(-1.0, 1.0);

const VARIATION: Table = Table {
    header: "[variation]",
    about: "How much the inks vary within a run: figures that 95 % of sheets keep within (two standard deviations). An ink with a table of its own, or with readings, does not follow the figures for all inks.",
    keys: &[
        key("density", DENSITY, Value("0.05"), "0.04").about("Density of the solids, all inks."),
        key("tone", TONE, Value("2"), "1.5")
            .unit("points")
            .about("Tone value at the middle tone, all inks."),
        key("correlation", CORRELATION, Value("0, untold"), "0.5")
            .about("Between an ink's density and its tone value."),
        key("readings", Text, None, "\"strip.csv\"").about("Control-strip readings over a run, relative to the card: CSV with the columns ink, density, tone50, at least 10 lines an ink."),
        key("cyan", One(&INK_VARIATION), None, ""),
        key("magenta", One(&INK_VARIATION), None, ""),
        key("yellow", One(&INK_VARIATION), None, ""),
        key("black", One(&INK_VARIATION), None, ""),
        key("solid", One(&INK_VARIATION), None, "").about("Any solid ink."),
    ],
};

const INK_VARIATION: Table = Table {
    header: "[variation.cyan], [variation.magenta], [variation.yellow], [variation.black], [variation.solid]",
    about: "How much one ink varies; what is left out is that of all inks.",
    keys: &[
        key("density", DENSITY, None, "0.04"),
        key("tone", TONE, None, "1.5").unit("points"),
        key("correlation", CORRELATION, None, "0.5"),
    ],
};

const SPEED: Table = Table {
    header: "speeds",
    about: "Running speed by the sheets of the run.",
    keys: &[
        UP_TO,
        key("sheets_per_hour", Number(100.0, 50_000.0), Required, "9000").unit("sheets an hour"),
    ],
};

const PRESS: Table = Table {
    header: "[[press]]",
    about: "A sheetfed press.",
    keys: &[
        key("name", Text, Required, "\"B2, four units\"")
            .about("No two presses share a name, whatever its case."),
        key("units", Count(1, 20), Required, "4")
            .unit("units")
            .about("Printing units; a coater is none."),
        key("perfecting", Flag, Value("`false`"), "true")
            .about("Turns the sheet in the press, half of the units for each side."),
        key("coater", Flag, Value("`false`"), "true").about("A coater behind the last unit."),
        key("sheeter", Flag, Value("`false`, untold"), "true")
            .about("Cuts its sheets off a reel itself."),
        key("largest_sheet", Size, Required, "\"520x740 mm\""),
        key("smallest_sheet", Size, Required, "\"210x280 mm\""),
        key("lightest_gsm", Number(10.0, 2000.0), Value("60"), "60").unit("g/m²"),
        key("heaviest_gsm", Number(10.0, 2000.0), Value("350"), "350").unit("g/m²"),
        key("gripper", Length, Value("12 mm"), "\"10 mm\"")
            .about("Unprintable, along one long edge, at most 100 mm."),
        key("tail", Length, Value("5 mm"), "\"6 mm\"").about("Unprintable, opposite the grippers."),
        key("side", Length, Value("5 mm"), "\"5 mm\"").about("Unprintable, on each side."),
        key("hourly_rate", Amount, Required, "150.00").about("An hour of the press with its crew."),
        key("make_ready_minutes", Number(0.0, 1000.0), Required, "9")
            .unit("minutes")
            .about("For each form and pass."),
        key(
            "make_ready_minutes_per_ink",
            Number(0.0, 1000.0),
            Required,
            "2.5",
        )
        .unit("minutes")
        .about("Further, for each ink of it."),
        key("make_ready_sheets", Count(0, 10_000), Required, "70")
            .unit("sheets")
            .about("For each form and pass."),
        key(
            "make_ready_sheets_per_ink",
            Count(0, 10_000),
            Required,
            "20",
        )
        .unit("sheets")
        .about("Further, for each ink of it."),
        key(
            "plate_change_minutes",
            Number(0.0, 1000.0),
            Value("`make_ready_minutes_per_ink`, told where a job changes plates"),
            "4",
        )
        .unit("minutes")
        .about("For each plate changed between two versions of a job, or two papers of a set, the press standing."),
        key(
            "plate_change_sheets",
            Count(0, 10_000),
            Value("`make_ready_sheets_per_ink`, told where a job changes plates"),
            "15",
        )
        .unit("sheets")
        .about("Spoilt after each stop for changing plates between versions or papers."),
        key(
            "paper_change_minutes",
            Number(0.0, 1000.0),
            Value("as making ready, told where a part has the plates of another"),
            "8",
        )
        .unit("minutes")
        .about("To change the paper of a run whose plates stay on, in place of its make-ready: parts of a set with `plates_of`."),
        key(
            "paper_change_sheets",
            Count(0, 10_000),
            Value("as making ready, told where a part has the plates of another"),
            "20",
        )
        .unit("sheets")
        .about("Spoilt after such a change, in place of the sheets of make-ready."),
        key("wash_up_minutes", Number(0.0, 1000.0), Required, "8")
            .unit("minutes")
            .about("For a unit that changes its ink."),
        key(
            "wash_up_minutes_effect",
            Number(0.0, 1000.0),
            Value("twice `wash_up_minutes`"),
            "20",
        )
        .unit("minutes")
        .about("After a metallic, fluorescent or white."),
        key("plate_price", Amount, Required, "9.00").about("One plate, exposed and mounted."),
        key("speeds", Many(&SPEED), Required, "").about("Steps by run length."),
    ],
};

const CLICK: Table = Table {
    header: "clicks",
    about: "Price of one side of one sheet by its inks, ink included; both ascend. A side with more inks than the last step cannot be printed.",
    keys: &[
        key("inks", Count(1, 20), Required, "4")
            .unit("inks")
            .about("Most inks of the side."),
        key("price", Amount, Required, "0.045").about("One side of one sheet."),
    ],
};

const DIGITAL_PRESS: Table = Table {
    header: "[[digital_press]]",
    about: "A digital sheetfed press: it charges by the click and has no plates. Both sides are printed in one pass.",
    keys: &[
        key("name", Text, Required, "\"Digital, SRA3\"")
            .about("No two presses share a name, whatever its case."),
        key("largest_sheet", Size, Required, "\"330x488 mm\""),
        key("smallest_sheet", Size, Required, "\"210x210 mm\""),
        key("lightest_gsm", Number(10.0, 2000.0), Value("60"), "64").unit("g/m²"),
        key("heaviest_gsm", Number(10.0, 2000.0), Value("350"), "350").unit("g/m²"),
        key("gripper", Length, Value("5 mm"), "\"5 mm\"")
            .about("Unprintable, along one long edge, at most 100 mm."),
        key("tail", Length, Value("5 mm"), "\"5 mm\"").about("Unprintable, opposite."),
        key("side", Length, Value("5 mm"), "\"5 mm\"").about("Unprintable, on each side."),
        key("hourly_rate", Amount, Required, "60.00").about("An hour of the press with its operator."),
        key("make_ready_minutes", Number(0.0, 1000.0), Required, "6")
            .unit("minutes")
            .about("Once for each part, whatever its forms."),
        key("make_ready_sheets", Count(0, 10_000), Required, "4")
            .unit("sheets")
            .about("Once for each part; they are clicked too."),
        key("run_spoilage_percent", Number(0.0, 90.0), Required, "1").unit("% of the sheets printed"),
        key("clicks", Many(&CLICK), Required, "").about("Steps by inks."),
        key("click_sheet", Size, None, "\"330x488 mm\"")
            .about("Largest sheet of one click; a larger one counts as many as its area needs. Left out, every sheet is one."),
        key("solids", TextList, Value("none, untold"), "[\"white\"]")
            .about("Inks besides the four process inks: `solid` for any without an effect, `metallic`, `fluorescent`, `white`, `varnish`, or the name of an `[[ink.named]]`."),
        key("speeds", Many(&SPEED), Required, "")
            .about("Steps by run length, for sheets printed on one side; two sides take twice as long."),
    ],
};

const STOCK: Table = Table {
    header: "[[stock]]",
    about: "A paper as it is bought. Exactly one of `gsm` and `basis_weight`, and exactly one of the prices.",
    keys: &[
        key("name", Text, Required, "\"gloss-150\"").about("No two stocks share a name, whatever its case."),
        key("kind", Words(&["coated", "uncoated", "newsprint"]), Required, "\"coated\"").about("Surface; decides ink film and usual condition."),
        key("gsm", Number(10.0, 2000.0), None, "150").unit("g/m²"),
        key("basis_weight", Text, None, "\"100 lb cover\"").unit("lb of 500 basic sheets").about("Pounds and category: bond, book, text, offset, cover, index, tag, newsprint, printing bristol, wedding bristol, blotting."),
        key("bulk", Number(0.3, 5.0), None, "0.75").unit("cm³/g").about("Specific volume."),
        key("condition", Text, Value("coated-fogra39, uncoated-fogra29 or newsprint-tr002 by kind"), "\"coated-fogra39\"").about("A printing condition, or a characterisation file relative to the card."),
        key("sheets", Sizes, None, "[\"SRA1\", \"700x1000 mm\"]").about("Parent sheets on sale. Needed unless it comes on `reels`."),
        key("reels", Many(&REEL), None, "").about("Reels on sale: sheets are cut off them at any whole millimetre that a press takes, by a press with a `sheeter` or by `[sheeter]`. Paid by weight, or supplied."),
        key("grain", Words(&["long", "short"]), Value("`long`, told where a job asks for a direction"), "\"short\"").about("The edge of the parent sheets along which the grain runs."),
        key("pack", Count(1, 100_000), Value("1"), "250").unit("sheets").about("Packs are bought whole."),
        key("price_per_tonne", Amount, None, "1150.00"),
        key("price_per_thousand", Amount, None, "128.00").about("1,000 parent sheets."),
        key("price_per_hundredweight", Amount, None, "92.00").about("100 lb."),
        key("price_per_ream", Amount, None, "21.50").about("500 parent sheets."),
        key("supplied_handling", Amount, None, "12.00").about("Supplied by the customer: handling of 1,000 parent sheets."),
    ],
};

const REEL: Table = Table {
    header: "reels",
    about: "Paper on a reel. At most one of `weight_kg` and `diameter`; with one of them the reels needed are told.",
    keys: &[
        key("width", Length, Required, "\"640 mm\"").about("One edge of every sheet cut off it."),
        key("weight_kg", Number(1.0, 10_000.0), None, "480")
            .unit("kg")
            .about("Paper on one reel."),
        key("diameter", Length, None, "\"1000 mm\"").about("Of a full reel."),
        key("core", Length, Value("76 mm"), "\"76 mm\"").about("Diameter without paper."),
        key("waste_percent", Number(0.0, 90.0), Value("2"), "2")
            .unit("% of the paper")
            .about("Paper that becomes no sheet: wrapping, butt, splices."),
    ],
};

const SHEETER: Table = Table {
    header: "[sheeter]",
    about: "Cutting reels to sheets, apart from the press; the keys are those of `[finishing.cut]`, its pieces are sheets.",
    keys: OPERATION.keys,
};

const INKS: Table = Table {
    header: "[ink]",
    about: "Inks by kind; an effect without its table cannot be priced.",
    keys: &[
        key("process", One(&PROCESS), Required, "").about("The four process inks."),
        key("solid", One(&SOLID), Required, "").about("Any solid without an effect."),
        key("metallic", One(&EFFECT), None, ""),
        key("fluorescent", One(&EFFECT), None, ""),
        key("white", One(&EFFECT), None, ""),
        key("varnish", One(&EFFECT), None, ""),
        key("named", Many(&NAMED), None, "").about("Inks that a job asks for by name."),
    ],
};

const PRICE_PER_KG: Key = key("price_per_kg", Amount, Required, "8.00");

const fn film(name: &'static str, usual: &'static str) -> Key {
    key(name, Number(0.1, 20.0), Value(usual), usual).unit("g/m² at full coverage")
}

const LOSS: Key = key("fixed_loss_kg", Number(0.0, 1000.0), Value("0.3"), "0.2")
    .unit("kg")
    .about("Lost in the unit at each make-ready.");

const fn order(usual: &'static str) -> Key {
    key(
        "smallest_order_kg",
        Number(0.0, 1000.0),
        Value(usual),
        usual,
    )
    .unit("kg")
    .about("Least bought for a job; 0 = taken from stock.")
}

const PROCESS: Table = Table {
    header: "[ink.process]",
    about: "The four process inks.",
    keys: &[
        PRICE_PER_KG,
        film("film_coated", "0.9"),
        film("film_uncoated", "1.2"),
        film("film_newsprint", "1.4"),
        LOSS,
        order("0"),
    ],
};

const SOLID: Table = Table {
    header: "[ink.solid]",
    about: "Any solid ink without an effect.",
    keys: &[
        PRICE_PER_KG,
        film("film_coated", "1.1"),
        film("film_uncoated", "1.5"),
        film("film_newsprint", "1.6"),
        LOSS,
        order("1"),
    ],
};

const EFFECT: Table = Table {
    header: "[ink.metallic], [ink.fluorescent], [ink.white], [ink.varnish]",
    about: "Inks with an effect.",
    keys: &[
        PRICE_PER_KG,
        film("film_coated", "1.5"),
        film("film_uncoated", "1.9"),
        film("film_newsprint", "2"),
        LOSS,
        order("1"),
    ],
};

const NAMED: Table = Table {
    header: "[[ink.named]]",
    about: "An ink that a job may ask for by name.",
    keys: &[
        key("name", Text, Required, "\"House blue\""),
        PRICE_PER_KG,
        film("film_coated", "1.1"),
        film("film_uncoated", "1.5"),
        film("film_newsprint", "1.6"),
        LOSS,
        order("1"),
        key("extended", One(&EXTENDED), None, "{ coated = [65.0, 58.0, 85.0] }")
            .about("Makes it a process ink besides the four, usual films and smallest order those of process inks: it stays in its unit, and any build may use it."),
    ],
};

const EXTENDED: Table = Table {
    header: "extended",
    about: "An extended process ink, at most four of a card, in printing order. Needs its full solid on at least one kind of paper, as Lab (D50, 2° observer, absolute) or as a colour of a palette, whose spectrum, tints and opacity are then used too; on other kinds of paper the ink is not used.",
    keys: &[
        key(
            "coated",
            LabOrPalette(&SOLID_OF_PALETTE),
            None,
            "[65.0, 58.0, 85.0]",
        ),
        key(
            "uncoated",
            LabOrPalette(&SOLID_OF_PALETTE),
            None,
            "{ file = \"inks.cxf\", name = \"Orange, uncoated\" }",
        ),
        key(
            "newsprint",
            LabOrPalette(&SOLID_OF_PALETTE),
            None,
            "[62.0, 40.0, 45.0]",
        ),
        key(
            "opacity",
            Number(0.0, 1.0),
            Value("that of the palette, else 0"),
            "0.1",
        )
        .about("0 = transparent, 1 = hides what lies below."),
        key("trapping", Number(0.1, 1.0), Value("0.9"), "0.9")
            .about("Share of its film that it lays on ink, of what it lays on paper."),
        key(
            "printed",
            Words(&["before", "after"]),
            Value("`after`, untold"),
            "\"after\"",
        )
        .about("Before or after the four process inks."),
    ],
};

const SOLID_OF_PALETTE: Table = Table {
    header: "solid of a palette",
    about: "The full solid of an extended process ink as a colour of a palette (`docs/palettes.md`), an inline table: `coated = { file = \"inks.cxf\", name = \"Orange\" }`.",
    keys: &[
        key("file", Text, Required, "\"inks.cxf\"")
            .about("Palette file; its place is relative to the rate card."),
        key("name", Text, Required, "\"Orange\"")
            .about("Name of the colour in the palette, whatever its case."),
    ],
};

const FINISHING: Table = Table {
    header: "[finishing]",
    about: "Flat products need `cut`; folded ones also `fold`; saddle-stitched ones `fold` and `stitch`; perfect-bound ones `cut`, `fold`, `gather` and `bind`; section-sewn ones also `sew`; loose inserts `insert`; pads `cut` and `pad`; sets `cut` and `collate`, and `pad` when they come in books.",
    keys: &[
        key("cut", One(&OPERATION), None, "")
            .about("Parent sheets to press sheets, and printed sheets to pieces."),
        key("fold", One(&OPERATION), None, "").about("One pass through the folder for each sheet."),
        key("stitch", One(&OPERATION), None, "")
            .about("Gathering, stitching and trimming, for each copy."),
        key("gather", One(&OPERATION), None, "")
            .about("Gathering sections one upon the other, for each section; set up for each."),
        key("sew", One(&OPERATION), None, "").about("Sewing, for each section; set up once."),
        key("bind", One(&OPERATION), None, "")
            .about("Gluing the spine, drawing the cover on and trimming, for each copy."),
        key("insert", One(&OPERATION), None, "").about("Laying loose inserts in, for each insert."),
        key("collate", One(&OPERATION), None, "")
            .about("Collating the leaves of sets, edge gluing included, for each leaf."),
        key("pad", One(&OPERATION), None, "")
            .about("Counting off and gluing pads and books of sets, backing board included, for each copy."),
        key("pack", One(&OPERATION), None, "").about("Packing, for each copy."),
        key("stitch_thickest", Length, Value("6 mm, untold"), "\"6 mm\"")
            .about("Thickest product that can be saddle-stitched, at the spine, at most 50 mm."),
        key("bind_thinnest", Length, Value("3 mm, untold"), "\"3 mm\"")
            .about("Thinnest spine that can be perfect-bound, at most 50 mm."),
    ],
};
