//! Keys of an offer and of a buyer's file.

use super::Default::{None, Required, Value};
use super::Form::{
    Amount, Count, Date, Flag, Many, Number, One, Percent, Size, Text, TextList, WordList, Words,
};
use super::{Table, key};

pub(crate) const OFFER: Table = Table {
    header: "",
    about: "The top of the file.",
    keys: &[
        key("supplier", Text, Required, "\"Alder Lane Print\"").about("Who offers; one offer of each supplier is compared."),
        key("number", Text, None, "\"2611-40\"").about("The supplier's number of the offer."),
        key("job", Text, Required, "\"Flyer for the pumpkin weeks\"").about("Title of the job that the offer is for."),
        key("date", Date, Required, "2026-11-20").about("Day of the offer."),
        key("valid_until", Date, None, "2026-12-31").about("Last day on which it holds."),
        key("valid_days", Count(0, 3650), None, "30").unit("days").about("Instead of `valid_until`: days after the day of the offer."),
        key("currency", Text, Required, "\"EUR\"").about("ISO 4217 code of every amount of the file."),
        key("tax", Words(&["excluded", "included"]), None, "\"excluded\"").about("Whether the prices hold tax. Left out, the offer counts as silent: the price is taken as net and flagged."),
        key("tax_percent", Percent, None, "20").unit("%").about("Tax that the prices hold, on top of the net amount; required with `tax = \"included\"`."),
        key("includes", One(&INCLUDES), None, "").about("What the prices include beside the printed copies."),
        key("overs", One(&OVERS), None, "").about("Copies more or less than ordered that may be delivered and billed."),
        key("discount", One(&DISCOUNT), None, "").about("For early payment."),
        key("lead_days", Count(0, 3650), None, "6").unit("working days").about("From approval to delivery."),
        key("option", Many(&OPTION), Required, "").about("One for each ink set that is priced."),
    ],
};

const INCLUDES: Table = Table {
    header: "[includes]",
    about: "A key that is left out counts as silent: the item is taken as not included, and flagged.",
    keys: &[
        key("proofs", Flag, None, "true").about("Proofs."),
        key("carriage", Flag, None, "false").about("Carriage to the buyer."),
        key("packing", Flag, None, "true").about("Packing."),
    ],
};

const OVERS: Table = Table {
    header: "[overs]",
    about: "Copies too many or too few.",
    keys: &[
        key("over_percent", Percent, Required, "5").unit("%").about("Most copies too many that are billed."),
        key("under_percent", Percent, Required, "5").unit("%").about("Most copies too few that are credited."),
        key("per_thousand", Amount, None, "21.00").about("Price of 1,000 such copies; else the option's run-on, else the price of 1,000 ordered ones."),
    ],
};

const DISCOUNT: Table = Table {
    header: "[discount]",
    about: "Less to pay for those who pay early.",
    keys: &[
        key("percent", Percent, Required, "2")
            .unit("%")
            .about("Of the invoice."),
        key("days", Count(0, 3650), None, "14")
            .unit("days")
            .about("Within which it must be paid."),
    ],
};

const OPTION: Table = Table {
    header: "[[option]]",
    about: "One ink set: `inks`, `solids` or both, and exactly one of `prices` and `schedule`.",
    keys: &[
        key(
            "inks",
            WordList(&["process", "cyan", "magenta", "yellow", "black"]),
            None,
            "[\"process\"]",
        )
        .about("Process inks; `process` is all four."),
        key("solids", TextList, None, "[\"Pumpkin orange\"]")
            .about("Colours of the job that are printed as solids, and extended process inks of the rate card."),
        key("prices", Many(&PRICE), None, "").about("Prices by quantity."),
        key("schedule", Many(&ITEM), None, "").about("Priced items, for any quantity."),
        key("run_on_per_thousand", Amount, None, "21.50")
            .about("For 1,000 more copies of the same order."),
        key("stock", Text, None, "\"matt-150\"").about("Stock offered, when it is not the job's."),
        key("size", Size, None, "\"A5\"").about("Finished size offered, when it is not the job's."),
        key(
            "deviations",
            TextList,
            None,
            "[\"rounded corners left out\"]",
        )
        .about("Other departures, in the supplier's words."),
    ],
};

const PRICE: Table = Table {
    header: "prices",
    about: "`copies` with `total`, with `per_thousand` or `each`, or with `set_up` and one of these; `total` with a unit price beside it is checked. `set_up` and a unit price without `copies` hold for any quantity.",
    keys: &[
        key("copies", Count(1, 10_000_000), None, "5000").unit("copies"),
        key("total", Amount, None, "246.00").about("For all copies."),
        key("per_thousand", Amount, None, "49.20").about("For 1,000 copies."),
        key("each", Amount, None, "0.0492").about("For one copy."),
        key("set_up", Amount, None, "115.00").about("For the order."),
    ],
};

const ITEM: Table = Table {
    header: "schedule",
    about: "A line of a price schedule: either `each` or `per_thousand`.",
    keys: &[
        key("item", Text, Required, "\"plates\"")
            .about("Offers are also compared item by item where they use the same words."),
        key("count", Number(0.0, 100_000_000.0), Value("1"), "8").about("Units."),
        key("each", Amount, None, "9.00").about("For a unit, whatever the quantity."),
        key("per_thousand", Amount, None, "12.50").about("For a unit and 1,000 copies."),
    ],
};

pub(crate) const BUYER: Table = Table {
    header: "",
    about: "The top of the file.",
    keys: &[
        key("award_date", Date, None, "2026-12-01")
            .about("Day on which offers must still hold. Left out, validity is not judged."),
        key("takes_discount", Flag, Value("`false`, untold"), "true")
            .about("Whether invoices are paid early enough for a discount."),
        key("proofs", One(&CHARGE), None, "")
            .about("What proofs cost where an offer excludes them."),
        key("carriage", One(&CHARGE), None, "")
            .about("What carriage costs where an offer excludes it."),
        key("packing", One(&CHARGE), None, "")
            .about("What packing costs where an offer excludes it."),
        key(
            "far_percent",
            Percent,
            Value("25, untold; common practice, no source"),
            "25",
        )
        .unit("%")
        .about("Difference from the should-cost beyond which a price is flagged."),
        key("exchange", Many(&EXCHANGE), None, "").about(
            "Rates into the job's currency; offers in other currencies are set aside without one.",
        ),
        key(
            "basket",
            Many(&LOT),
            Value("each quantity of the job once"),
            "",
        )
        .about("Orders expected."),
        key("price_weight", Percent, Value("100, untold"), "70")
            .unit("%")
            .about("Weight of the price in the choice."),
        key("colour_weight", Percent, Value("0, untold"), "30")
            .unit("%")
            .about("Weight of the colour in the choice; the two make 100."),
        key(
            "orders_every_option",
            Flag,
            Value("`false`, untold"),
            "false",
        )
        .about(
            "Every ink set is ordered, as variants of one campaign are, rather than one of them.",
        ),
    ],
};

const CHARGE: Table = Table {
    header: "[proofs], [carriage], [packing]",
    about: "A cost of the buyer's own.",
    keys: &[
        key("fixed", Amount, Value("0, untold"), "45.00").about("For an order."),
        key("per_thousand", Amount, Value("0, untold"), "3.50").about("For 1,000 copies."),
    ],
};

const EXCHANGE: Table = Table {
    header: "[[exchange]]",
    about: "A rate of exchange.",
    keys: &[
        key("currency", Text, Required, "\"GBP\"").about("ISO 4217 code of the offer's currency."),
        key("rate", Number(0.0, 100_000_000.0), Required, "1.15")
            .about("Units of the job's currency for one of the offer's."),
        key("date", Date, Required, "2026-11-20").about("Day of the rate."),
    ],
};

const LOT: Table = Table {
    header: "[[basket]]",
    about: "Orders of one quantity.",
    keys: &[
        key("copies", Count(1, 10_000_000), Required, "5000")
            .unit("copies")
            .about("Of one order."),
        key("orders", Number(0.0, 1_000_000.0), Value("1, untold"), "3")
            .about("Number of such orders."),
    ],
};
