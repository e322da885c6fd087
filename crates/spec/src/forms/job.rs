//! Keys of a job file.

use super::Default::{None, Required, Value};
use super::Form::{
    Amount, Count, Counts, Hex, Length, Many, Number, Numbers, One, Pages, PictureInks, Share,
    Size, Text, Words,
};
use super::artwork::ARTWORK;
use super::delivery::{DELIVERY, PROOFS, QUEUE};
use super::plates::{CHANGED_INKS, CHANGED_PAGES, PLATES_OF};
use super::version::{VERSION, VERSION_INKS, VERSION_PAGES};
use super::{Form, Key, Table, key};

pub(crate) const JOB: Table = Table {
    header: "",
    about: "The top of the file.",
    keys: &[
        key("title", Text, Required, "\"Farm-shop flyer\"").about("What people call the job."),
        key("client", Text, None, "\"Hollerbach farm shop\"").about("Who it is for."),
        key("currency", Text, Required, "\"EUR\"")
            .about("Code of ISO 4217; the rate card must have the same."),
        key(
            "quantities",
            Counts(1, 10_000_000),
            Required,
            "[2000, 5000]",
        )
        .unit("copies")
        .about("Orders to be priced, no doubles."),
        key("rates", Text, None, "\"../rates/metric.toml\"")
            .about("The rate card, relative to the job file; a command can name another."),
        key("overs", Number(0.0, 100.0), Value("0"), "2")
            .unit("%")
            .about("Copies delivered beyond the order."),
        key("delivery_tolerance", Number(0.0, 100.0), Value("5"), "5")
            .unit("%")
            .about("Copies more or less than ordered that a delivery may have, charged or credited at the run-on."),
        key(
            "variation",
            Words(&["controlled", "limit", "plant"]),
            Value("`controlled`"),
            "\"controlled\"",
        )
        .about("Press variation by which colours are judged; `plant` takes `[variation]` of the rate card."),
        key("product", One(&PRODUCT), Required, ""),
        key("part", Many(&PART), None, "").about("Only for a product of several parts."),
        key("colour", Many(&COLOUR), None, ""),
        key("picture", Many(&PICTURE), None, ""),
        key("artwork", Many(&ARTWORK), None, "").about("Files from which coverage is measured."),
        key("override", Many(&OVERRIDE), None, "")
            .about("Figures of the estimate that are set by hand."),
        key("printing", Many(&PRINTING), None, "")
            .about("Ways to print that are set by hand."),
        key("difficulty", DIFFICULTY, Value("1, untold"), "1.2")
            .about("Factor on make-ready and running of the presses and on all finishing."),
        key("proofs", One(&PROOFS), None, ""),
        key("delivery", Many(&DELIVERY), None, ""),
        key("version", Many(&VERSION), None, "")
            .about("Versions that share the run: copies that differ in some inks."),
        key("queue", Many(&QUEUE), None, "")
            .about("What hangs on presses before the job and what stays on them after it."),
        key("finish", Many(&FINISH), None, "").about("Finishing beyond what the product needs anyway, in the order in which it is done."),
    ],
};

const OVERRIDE: Table = Table {
    header: "[[override]]",
    about: "A figure set by hand; the computed one is shown beside it. Exactly one of `quantity`, `rate` and `amount`. It has to fit one line: a line is named by its stage and, where a stage has several lines, by part and item as `price` prints them.",
    keys: &[
        key("line", Text, Required, "\"plates\"")
            .about("Stage of the line as `price` prints it, or `total`."),
        key("part", Text, None, "\"cover\"").about("Part whose line it is."),
        key("item", Text, None, "\"folding, set-up\"").about("How the item of the line begins."),
        key("option", Text, None, "\"CMYK\"")
            .about("Ink set that it is for; else for all that have the line."),
        key("copies", Count(1, 10_000_000), None, "5000")
            .unit("copies")
            .about("Quantity that it is for; else for all."),
        key("quantity", Amount, None, "12")
            .about("In the unit of the line, at most three decimals."),
        key("rate", Amount, None, "8.50").about("Price of one unit."),
        key("amount", Amount, None, "80.00")
            .about("The amount itself; the only figure of a total."),
        key("why", Text, None, "\"plates kept from May\"").about("Shown with the figure."),
    ],
};

const PRINTING: Table = Table {
    header: "[[printing]]",
    about: "How a part is printed, set by hand; the price follows from it, and the computed choice is shown beside it. What is not given is chosen by price among the ways that are left. At most one for each part.",
    keys: &[
        key("part", Text, Value("the only part"), "\"cover\"").about("Part that is printed so."),
        key("press", Text, None, "\"B2, five units\"")
            .about("A press of the rate card, which prints the part alone unless `further_press` is given too."),
        key("further_press", Text, None, "\"small, one unit\"").about("A press of the rate card that prints the inks for which the first has no units, on the sheets that it leaves."),
        key("sheet", Size, None, "\"500 x 700 mm\"")
            .about("Sheet as printed, either way round."),
        key(
            "style",
            Words(&["sheetwise", "work-and-turn", "work-and-tumble", "perfecting"]),
            None,
            "\"sheetwise\"",
        )
        .about("Work style."),
        key("up", Count(1, 1_000), None, "4").about("Sections from one printed sheet, fronts and backs counted together in work-and-turn and work-and-tumble; no more than fit."),
        key("make_ready_sheets", Count(0, 100_000), None, "250")
            .unit("sheets")
            .about("Sheets of make-ready of every run that makes ready, instead of those of the press."),
        key("why", Text, None, "\"the die exists\"").about("Shown with the choice."),
    ],
};

const PRODUCT: Table = Table {
    header: "[product]",
    about: "What the copies become. `part`, `pages`, `leaves`, `stock`, `bleed`, `version_inks` and `version_pages` stand here only in a job without `[[part]]`.",
    keys: &[
        key(
            "kind",
            Words(&["flat", "folded", "saddle-stitched", "perfect-bound", "section-sewn", "pad", "set"]),
            Required,
            "\"flat\"",
        )
        .about("How the sheets become a product. `pad`: flat leaves glued at one edge. `set`: leaves of several parts collated, such as carbonless ones."),
        key("size", Size, Required, "\"A5\"").about("Trimmed size, folded."),
        key("part", Text, None, "\"flyer\"")
            .about("Name of the only part; else `sheet`, `leaflet`, `booklet`, `book` or `leaf` after the kind."),
        key("grain", Words(&["any", "spine", "along", "across"]), Value("`any`; of a gathered product `spine`; untold of flat and folded ones"), "\"spine\"")
            .about("Which way the grain must run: parallel to the spine or the folds, along the longer edge of the page, or across it."),
        key("fold", Words(&["parallel", "right-angle"]), Value("`parallel`, untold"), "\"right-angle\"")
            .about("Folded products only. `right-angle`: two rows of panels, pages a multiple of 8."),
        key("trim_allowance", Length, Value("3 mm"), "\"3 mm\"")
            .about("Bound products only: trimmed off at head, foot and fore-edge of each page, or the bleed where that is wider; at most 50 mm."),
        key("spine_milling", Length, Value("3 mm"), "\"3 mm\"")
            .about("Perfect-bound products only: milled off the spine side of each page, at most 50 mm."),
        key("gap", Length, Value("0 mm, untold"), "\"4 mm\"")
            .about("Flat and folded products only: left between neighbouring pieces on the sheet, bleed to bleed, for the rules of a die and for stripping; at most 50 mm."),
        key("lap", Length, Value("0 mm, untold"), "\"8 mm\"")
            .about("Saddle-stitched products only: one half of each spread is wider by this for the grippers of the stitching line, at most 50 mm."),
        PAGES,
        LEAVES,
        STOCK,
        BLEED,
        VERSION_INKS,
        VERSION_PAGES,
    ],
};

const PAGES: Key = key("pages", Count(1, 1000), None, "2")
    .unit("pages")
    .about("Required for each part. Flat, pad, set: 1 or 2 sides. Folded: 2 for each panel, 4 to 32. Saddle-stitched and section-sewn: a multiple of 4. Perfect-bound: an even number. A cover glued on: 4. A loose insert: as flat or folded.");
const LEAVES: Key = key("leaves", Count(1, 1000), None, "50")
    .unit("leaves")
    .about("Equal leaves of a part in one copy. Pad: required. Set: 1, a loose set, unless given; more make a book. Others: never.");
const STOCK: Key = key("stock", Text, None, "\"gloss-150\"")
    .about("Required for each part. Name of a stock on the rate card.");
const BLEED: Key = key("bleed", Length, Value("3 mm"), "\"3 mm\"")
    .about("Image beyond the trim on every edge, at most 50 mm.");

const PART: Table = Table {
    header: "[[part]]",
    about: "Sheets of one stock within the product: cover, text.",
    keys: &[
        key("name", Text, Required, "\"cover\"")
            .about("No two parts share a name, whatever its case."),
        key("role", Words(&["text", "cover", "endpapers", "insert", "loose-insert"]), Value("`text`, untold"), "\"cover\"")
            .about("What it is within a bound product. A cover of a gathered product is glued around its spine; endpapers stand before and behind the sections; an insert is bound in, a loose insert laid in."),
        PAGES,
        LEAVES,
        STOCK,
        BLEED,
        VERSION_INKS,
        VERSION_PAGES,
        PLATES_OF,
        CHANGED_INKS,
        CHANGED_PAGES,
    ],
};

const COLOUR: Table = Table {
    header: "[[colour]]",
    about: "A flat colour of the design. Exactly one of `lab`, `srgb`, `cmyk` and `palette` says what it should look like; a metallic, white or varnish may go without.",
    keys: &[
        key("name", Text, Required, "\"Pumpkin orange\"").about("No two colours share a name, whatever its case."),
        key("lab", Numbers(3, -128.0, 128.0), None, "[66.0, 58.0, 78.0]").about("CIELAB L, a, b under D50, 2° observer, absolute; L 0 to 100."),
        key("srgb", Hex, None, "\"#F26A21\"").about("sRGB, IEC 61966-2-1."),
        key("cmyk", Numbers(4, 0.0, 100.0), None, "[0, 60, 100, 0]").unit("%").about("Tone values of cyan, magenta, yellow, black."),
        key("palette", One(&PALETTE), None, "").about("A colour of a palette file, instead of its values."),
        key("condition", Text, Value("that of the paper"), "\"coated-fogra39\"").about("Printing condition that `cmyk` is meant for; only with `cmyk`."),
        key("importance", Words(&["brand", "matching", "decorative"]), Value("`matching`"), "\"brand\"").about("Decides the usual tolerance."),
        key("tolerance", Number(0.0, 100.0), Value("brand 2, matching 3.5, decorative 6"), "2.0").unit("ΔE00").about("What the client accepts on a delivered copy."),
        key("effect", Words(&["metallic", "fluorescent", "white", "varnish"]), None, "\"metallic\"").about("No build imitates it: always an ink of its own."),
        key("solid", Words(&["allowed", "required", "refused"]), Value("`allowed`; with an effect `required`, untold"), "\"allowed\"").about("Whether a solid ink may, must or must not be offered."),
        key("solid_match", Number(0.0, 100.0), Value("1.0"), "1.0").unit("ΔE00").about("How closely a solid is mixed to its standard; untold when no solid is offered."),
        key("ink", Text, None, "\"House blue\"").about("`[[ink.named]]` of the rate card that prices a solid of this colour; else `[ink.solid]` or that of the effect."),
        key("uses", Many(&USE), Required, "").about("Where it is printed."),
    ],
};

const PALETTE: Table = Table {
    header: "palette",
    about: "A colour of a palette (`docs/palettes.md`), an inline table within the colour: `palette = { file = \"brand.cxf\", name = \"Harbour blue\" }`.",
    keys: &[
        key("file", Text, Required, "\"brand.cxf\"")
            .about("CSV, CGATS.17, CxF or ICC named-colour profile, relative to the job file."),
        key("name", Text, Required, "\"Harbour blue\"")
            .about("Name of the colour in the palette, whatever its case."),
    ],
};

pub(super) const PLACE_PART: Key =
    key("part", Text, None, "\"flyer\"").about("Required when the job has several parts.");
pub(super) const PLACE_SIDE: Key = key("side", Words(&["front", "back", "both"]), None, "\"front\"").about("Flat and folded products only; a folded sheet has its outside on the front. Not together with `pages`.");
pub(super) const PLACE_PAGES: Key = key("pages", Pages, Value("all pages of the part"), "\"2-5\"")
    .about("Counted from 1 within the part: `\"all\"`, `4`, `[1, 4]` or `\"1, 4-6\"`.");

const USE: Table = Table {
    header: "uses",
    about: "One use of a colour, an inline table within `uses`.",
    keys: &[
        PLACE_PART,
        PLACE_SIDE,
        PLACE_PAGES,
        key("coverage", Share, Required, "0.3")
            .about("Share of each of these pages that carries the colour: `0.3` or `\"30 %\"`."),
        key("tint", Number(0.0, 100.0), Value("100"), "40")
            .unit("%")
            .about("Tone of the colour, more than 0; 100 is the full colour."),
        key(
            "as",
            Words(&["panel", "type", "rule", "background"]),
            Value("`panel`"),
            "\"type\"",
        )
        .about("What it is used as."),
    ],
};

const PICTURE: Table = Table {
    header: "[[picture]]",
    about: "Photographs and other four-ink pictures on some pages.",
    keys: &[
        PLACE_PART,
        PLACE_SIDE,
        PLACE_PAGES,
        key("area", Share, Required, "0.4").about("Share of each of these pages that pictures take."),
        key("inks", PictureInks, Value("`typical`"), "{ c = 0.3, m = 0.28, y = 0.3, k = 0.15 }")
            .about("Mean coverage of each process ink inside the pictures. `\"typical\"` is C 0.30, M 0.28, Y 0.30, K 0.15 and is told as an assumption."),
    ],
};

const DIFFICULTY: Form = Number(0.1, 10.0);

const FINISH: Table = Table {
    header: "[[finish]]",
    about: "An operation of the rate card that the job asks for. `cut`, `fold`, `stitch` and `pack`, which the product decides, only take a difficulty here.",
    keys: &[
        key("operation", Text, Required, "\"gloss laminate\"")
            .about("Name of an `[[operation]]` of the rate card."),
        key("part", Text, Value("all parts, untold"), "\"cover\"")
            .about("For operations on sheets and on pieces."),
        key(
            "side",
            Words(&["front", "back", "both"]),
            Value("`front`, untold"),
            "\"both\"",
        )
        .about("For operations on sheets; both sides are two passes."),
        key("coverage", Share, Value("the whole, untold"), "0.25")
            .about("Share of the sheet that takes material, for instance of a spot varnish."),
        key(
            "difficulty",
            DIFFICULTY,
            Value("that of the job, untold"),
            "1.5",
        )
        .about("Factor on prices, hours and spoilage of the operation."),
        key("copies", Count(1, 10_000_000), None, "500")
            .unit("copies")
            .about("In one carton, bundle or pallet; not together with `kilograms`."),
        key("kilograms", Number(0.01, 10_000.0), None, "12")
            .unit("kg")
            .about("Most that one carton, bundle or pallet may weigh, by the weight of the paper."),
    ],
};
