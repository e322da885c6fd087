//! The codes of all notices; each is explained in `docs/errors.md`.

macro_rules! codes {
    ($($name:ident $code:literal $meaning:literal;)*) => {
        $(#[doc = $meaning] pub const $name: &str = $code;)*
        /// Every code, in the order of `docs/errors.md`.
        pub const ALL: &[&str] = &[$($code),*];
    };
}

codes! {
    FILE_TOO_LONG "file-too-long" "The file is longer than the reader accepts.";
    NOT_UTF_8 "not-utf-8" "The file is no UTF-8 text.";
    SYNTAX "syntax" "The text is no TOML.";
    DUPLICATE_KEY "duplicate-key" "A key is given twice in one table.";
    TOO_MANY_PROBLEMS "too-many-problems" "There are more problems than are listed.";
    UNKNOWN_KEY "unknown-key" "The table has no such key.";
    MISSING_KEY "missing-key" "A key that has no default is not given.";
    WRONG_TYPE "wrong-type" "A value is of another type than its key takes.";
    EMPTY_TEXT "empty-text" "A text is empty.";
    UNFIT_TEXT "unfit-text" "A text is too long or has control characters.";
    UNKNOWN_WORD "unknown-word" "A word is none of those that the key takes.";
    OUT_OF_RANGE "out-of-range" "A number is beyond its limits.";
    LIST_TOO_LONG "list-too-long" "A list has too many entries.";
    EMPTY_LIST "empty-list" "A list has no entry.";
    NOT_AN_AMOUNT "not-an-amount" "A text or number is no amount of money.";
    NOT_A_SIZE "not-a-size" "A text is no sheet or page size.";
    NOT_A_LENGTH "not-a-length" "A value is no length with a unit.";
    NOT_A_SHARE "not-a-share" "A text is no share of an area.";
    NOT_A_DATE "not-a-date" "A value is no calendar date.";
    UNKNOWN_CURRENCY "unknown-currency" "The code is none of ISO 4217.";
    DUPLICATE_NAME "duplicate-name" "Two entries have the same name.";
    QUANTITY_OUT_OF_RANGE "quantity-out-of-range" "A quantity is 0 or beyond 10,000,000.";
    DUPLICATE_QUANTITY "duplicate-quantity" "A quantity is listed twice.";
    PAGES_NOT_ALLOWED "pages-not-allowed" "The product cannot have this number of pages.";
    TOO_MANY_PARTS "too-many-parts" "The product has one part only.";
    KEY_OF_OTHER_KIND "key-of-other-kind" "A key is for another kind of product.";
    COVER_MISSING "cover-missing" "A perfect-bound product has no cover.";
    SEVERAL_COVERS "several-covers" "Two parts are covers.";
    TOO_FEW_PARTS "too-few-parts" "The product has several parts.";
    LEAVES_NOT_ALLOWED "leaves-not-allowed" "The product has no leaves that could be counted.";
    PART_GIVEN_TWICE "part-given-twice" "The pages stand both under the product and in parts.";
    VERSION_PORTIONS "version-portions" "The versions do not make up the order.";
    PLATES_OF "plates-of" "A part cannot be printed from the plates of another.";
    QUEUE_BEYOND_UNITS "queue-beyond-units" "A queue hangs more inks on a press than it has units.";
    UNKNOWN_PART "unknown-part" "The job has no part of this name.";
    PAGE_BEYOND_PART "page-beyond-part" "The part has no such page.";
    NOT_PAGES "not-pages" "A value names no pages.";
    SIDE_AND_PAGES "side-and-pages" "Both side and pages are given.";
    SIDE_OF_BOOKLET "side-of-booklet" "A booklet has pages, not two sides.";
    NO_TARGET "no-target" "A colour has no target.";
    SEVERAL_TARGETS "several-targets" "A colour has more than one target.";
    NOT_A_HEX_COLOUR "not-a-hex-colour" "A text is no sRGB colour.";
    EXTENDED_WITHOUT_SOLID "extended-without-solid" "An extended ink has no look on any paper.";
    TOO_MANY_EXTENDED "too-many-extended" "A card has too many extended inks.";
    LAB_OUT_OF_RANGE "lab-out-of-range" "A Lab value is beyond its range.";
    TONE_OUT_OF_RANGE "tone-out-of-range" "A tone value is beyond 0 to 100 percent.";
    COVERAGE_OVER_ONE "coverage-over-one" "A share is more than the whole.";
    ZERO_TINT "zero-tint" "A tint of nothing prints nothing.";
    EFFECT_REFUSED "effect-refused" "An effect needs a solid ink, which is refused.";
    EFFECT_NEEDS_SOLID "effect-needs-solid" "An effect is always printed as a solid ink.";
    INK_WITHOUT_SOLID "ink-without-solid" "An ink is named for a colour that takes no solid.";
    UNUSED_COLOUR "unused-colour" "No part uses a colour.";
    TWO_ARTWORKS "two-artworks" "A page has two artworks.";
    ARTWORK_OUTSIDE "artwork-outside" "Artwork lies outside the folder of the job.";
    ARTWORK_UNREAD "artwork-unread" "Artwork that the job names cannot be read or measured.";
    ARTWORK_PAGES "artwork-pages" "Artwork has fewer pages than the job needs.";
    ARTWORK_INK "artwork-ink" "Artwork prints an ink that the job does not have.";
    COVERAGE_SUM "coverage-sum" "Colours and pictures cover a page more than twice.";
    STEPS_NOT_ASCENDING "steps-not-ascending" "Steps by run length do not ascend.";
    RANGE_NOT_ASCENDING "range-not-ascending" "Low, typical and high of a range do not ascend.";
    TOO_MANY_RANGES "too-many-ranges" "The card has more ranges than are priced.";
    OPEN_STEP "open-step" "The last step, and no other, has no upper end.";
    LARGEST_BELOW_SMALLEST "largest-below-smallest" "A largest value is less than the smallest.";
    MARGIN_OVER_HUNDRED "margin-over-hundred" "A margin of 100 percent or more has no price.";
    SEVERAL_PROFITS "several-profits" "Both margin and mark-up are given.";
    ONE_PRICE "one-price" "A stock needs exactly one price.";
    ONE_WEIGHT "one-weight" "A stock needs exactly one weight.";
    NOT_A_BASIS_WEIGHT "not-a-basis-weight" "A text is no basis weight.";
    ONE_RUN_RATE "one-run-rate" "An operation needs exactly one rate for its run.";
    NO_HOURLY_RATE "no-hourly-rate" "An operation that is paid by the hour has no hourly rate.";
    UNFIT_KEY "unfit-key" "A key does not go with what else is given.";
    DELIVERY_PORTIONS "delivery-portions" "The deliveries do not take exactly the order.";
    MISSING_COLUMN "missing-column" "A palette lacks a column or a field.";
    NOT_A_PALETTE "not-a-palette" "The file is of another kind than a palette.";
    PALETTE_DAMAGED "palette-damaged" "A palette is cut off or contradicts itself.";
    PALETTE_TOO_LARGE "palette-too-large" "A palette has more colours or deeper nesting than is read.";
    NO_COLOUR_VALUES "no-colour-values" "A palette gives no values that a colour follows from.";
    PALETTE_UNREAD "palette-unread" "A palette that the job names cannot be read.";
    UNKNOWN_PALETTE_COLOUR "unknown-palette-colour" "The palette has no colour of this name.";
    WRONG_SPECTRUM "wrong-spectrum" "A spectrum cannot be read as one.";
    ASSUMED_PERCENT "assumed-percent" "A palette does not say that its spectra are in percent.";
    ASSUMED_TINT_SCALE "assumed-tint-scale" "An ink of a palette counts its tints as shares of the solid.";
    ASSUMED_LIGHT "assumed-light" "A palette does not name the light of its values.";
    ASSUMED_PAPER_WHITE "assumed-paper-white" "A profile does not name its paper white.";
    SHEETER_MISSING "sheeter-missing" "A stock comes on reels only and nothing cuts them to sheets.";
    SHEET_FITS_NO_PRESS "sheet-fits-no-press" "No press of the card takes a sheet.";
    AMBIGUOUS_AMOUNT "ambiguous-amount" "An amount could be read in two ways.";
    AMBIGUOUS_PERCENT "ambiguous-percent" "A percentage below 1 could be a fraction.";
    UNCLEAR_PRICE "unclear-price" "The figures of a price make none.";
    CONTRADICTORY_OFFER "contradictory-offer" "Lines of one offer say different things.";
    TOO_MANY_OFFERS "too-many-offers" "There are more offers than are compared.";
    OTHER_JOB "other-job" "An offer is for another job.";
    SAME_SUPPLIER "same-supplier" "Two offers come from one supplier.";
    UNKNOWN_SOLID "unknown-solid" "An offer names a solid that is no colour of the job.";
    NO_ACTUAL "no-actual" "Nothing was measured.";
    UNKNOWN_PRESS "unknown-press" "The rate card has no such press.";
    NOT_AS_PRINTED "not-as-printed" "A finished job cannot be estimated as it was printed.";
    MIXED_CURRENCIES "mixed-currencies" "Job and rate card have different currencies.";
    UNKNOWN_STOCK "unknown-stock" "The rate card has no such stock.";
    UNKNOWN_CONDITION "unknown-condition" "There is no such printing condition.";
    UNKNOWN_INK "unknown-ink" "The rate card has no such ink.";
    EFFECT_WITHOUT_RATE "effect-without-rate" "The rate card has no rate for an effect.";
    VARIATION_WITHOUT_FIGURES "variation-without-figures" "The rate card does not say how much its presses vary.";
    FINISHING_MISSING "finishing-missing" "The rate card lacks an operation that the product needs.";
    UNKNOWN_OPERATION "unknown-operation" "The rate card has no such operation.";
    UNKNOWN_ZONE "unknown-zone" "The rate card has no carriage to a zone.";
    PROOF_WITHOUT_RATE "proof-without-rate" "The rate card has no rate for a proof.";
    PIECE_FITS_NO_PRESS "piece-fits-no-press" "The open sheet with bleed fits no press.";
    TOO_THICK_TO_STITCH "too-thick-to-stitch" "The product is too thick to be saddle-stitched.";
    SPINE_TOO_THIN "spine-too-thin" "The spine is too thin to be glued.";
    NO_SHEET_WITH_GRAIN "no-sheet-with-grain" "No sheet of the stock has the grain asked for.";
    WEIGHT_FITS_NO_PRESS "weight-fits-no-press" "No press takes paper of this weight.";
    ONE_FIGURE "one-figure" "An override sets exactly one figure.";
    OVERRIDE_UNUSED "override-unused" "An override names no line.";
    PRINTING_IMPOSSIBLE "printing-impossible" "No way to print is as the job sets it by hand.";
    TWO_PRINTINGS "two-printings" "A part has two ways to print set by hand.";
    NOTHING_SET "nothing-set" "A way to print set by hand sets nothing.";
    ASSUMED_OVERS "assumed-overs" "Overs are not given.";
    ASSUMED_DELIVERY_TOLERANCE "assumed-delivery-tolerance" "The accepted difference in copies is not given.";
    ASSUMED_VARIATION "assumed-variation" "The press variation is not given.";
    ASSUMED_GRAIN "assumed-grain" "The direction of the grain is not given.";
    ASSUMED_PIECE_GAP "assumed-piece-gap" "A die takes pieces out of the sheet, and how far apart they lie is not given.";
    ASSUMED_ALLOWANCE "assumed-allowance" "The paper that the binding takes is not given.";
    ASSUMED_BULK "assumed-bulk" "The bulk of a stock is not given, and a thickness is needed.";
    ASSUMED_LEAVES "assumed-leaves" "The leaves of a set's part are not given.";
    ASSUMED_BLEED "assumed-bleed" "The bleed is not given.";
    ASSUMED_IMPORTANCE "assumed-importance" "The importance of a colour is not given.";
    ASSUMED_TOLERANCE "assumed-tolerance" "The tolerance of a colour is not given.";
    ASSUMED_SOLID "assumed-solid" "Whether a solid may be offered is not given.";
    ASSUMED_SOLID_MATCH "assumed-solid-match" "How closely a solid is mixed is not given.";
    ASSUMED_TARGET "assumed-target" "The look of an effect is not given.";
    ASSUMED_CONDITION "assumed-condition" "The printing condition is not given.";
    ASSUMED_PAGES "assumed-pages" "The pages of a use are not given.";
    ASSUMED_TINT "assumed-tint" "The tint of a use is not given.";
    ASSUMED_USE "assumed-use" "What a colour is used as is not given.";
    ASSUMED_PICTURE_INKS "assumed-picture-inks" "The inks of pictures are not measured.";
    ASSUMED_PRESS_RANGE "assumed-press-range" "The lightest or heaviest paper of a press is not given.";
    ASSUMED_EDGE "assumed-edge" "An unprintable edge of a press is not given.";
    ASSUMED_PRESS_FITTING "assumed-press-fitting" "Perfecting or coater is not given.";
    ASSUMED_VERSION_INKS "assumed-version-inks" "The inks that change from version to version are not given.";
    ASSUMED_PAPER_CHANGE "assumed-paper-change" "What changing the paper takes is not given.";
    ASSUMED_PLATE_CHANGE "assumed-plate-change" "What changing plates between versions takes is not given.";
    ASSUMED_WASH_UP "assumed-wash-up" "The wash-up after an effect ink is not given.";
    ASSUMED_REEL "assumed-reel" "The core or the waste of a reel is not given.";
    ASSUMED_PACK "assumed-pack" "The pack of a stock is not given.";
    ASSUMED_OPACITY "assumed-opacity" "The opacity of an extended ink is not given.";
    ASSUMED_TRAPPING "assumed-trapping" "The trapping of an extended ink is not given.";
    ASSUMED_FILM "assumed-film" "The film weight of an ink is not given.";
    ASSUMED_INK_LOSS "assumed-ink-loss" "The ink lost at each make-ready is not given.";
    ASSUMED_SMALLEST_ORDER "assumed-smallest-order" "The smallest order of an ink is not given.";
    ASSUMED_FINISHING_SPOILAGE "assumed-finishing-spoilage" "The spoilage of an operation is not given.";
    ASSUMED_GAP "assumed-gap" "The gap between pieces on a belt is not given.";
    ASSUMED_PROFIT "assumed-profit" "Neither margin nor mark-up is given.";
    ASSUMED_ROUNDING "assumed-rounding" "The rounding of the total is not given.";
}

/// Codes that a broken line elsewhere can cause.
pub(crate) const DEPENDS_ON_OTHER_LINES: &[&str] = &[
    MISSING_KEY,
    NO_TARGET,
    UNUSED_COLOUR,
    UNKNOWN_PART,
    ONE_PRICE,
    ONE_WEIGHT,
    ONE_RUN_RATE,
    DELIVERY_PORTIONS,
    NO_HOURLY_RATE,
    OPEN_STEP,
    EMPTY_LIST,
];
