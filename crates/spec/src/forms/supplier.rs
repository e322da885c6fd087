//! Keys of the supplier block of a rate card.

use super::Default::None;
use super::Form::{Count, Text, TextList};
use super::{Table, key};

pub(crate) const SUPPLIER: Table = Table {
    header: "[supplier]",
    about: "What a quotation says beside its prices. Only `quote` uses it; a quotation is issued only with `name`, `valid_days` and `payment`.",
    keys: &[
        key("name", Text, None, "\"Weir Street Printing Works\"").about("Name of the company."),
        key(
            "address",
            TextList,
            None,
            "[\"14 Weir Street\", \"Two Rivers\"]",
        )
        .about("Lines of its address."),
        key("contact", Text, None, "\"estimating@weir-street.example\"").about("Where to ask."),
        key("valid_days", Count(1, 3650), None, "30")
            .unit("days")
            .about("How long a quotation holds, its own day not counted."),
        key("lead_days", Count(1, 3650), None, "8")
            .unit("working days")
            .about("From approval to delivery."),
        key("payment", Text, None, "\"30 days from the invoice, net\"").about("When to pay."),
        key(
            "terms",
            TextList,
            None,
            "[\"Delivery to one address at ground level\"]",
        )
        .about("Further terms, a sentence each."),
        key(
            "excluded",
            TextList,
            None,
            "[\"author's corrections after the first proof\"]",
        )
        .about("What no price includes, beside what follows from the job."),
    ],
};
