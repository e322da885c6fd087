//! Keys of proofs and deliveries.

use super::Default::{None, Required, Value};
use super::Form::{Amount, Count, Share, Text, TextList};
use super::{Table, key};

pub(crate) const PROOFS: Table = Table {
    header: "[proofs]",
    about: "Proofs that are paid for.",
    keys: &[
        key("forms", Count(0, 100), Value("0, untold"), "1")
            .unit("proofs")
            .about("Contract proofs of each form."),
        key("drawdowns", Count(0, 100), Value("0, untold"), "1")
            .unit("drawdowns")
            .about("Of each solid and effect ink on each paper that it is printed on."),
    ],
};

pub(crate) const DELIVERY: Table = Table {
    header: "[[delivery]]",
    about: "A destination. At most one has neither `copies` nor `share`: it takes the rest. Without any `[[delivery]]` no carriage is charged.",
    keys: &[
        key("zone", Text, Required, "\"home\"").about("A zone of `[[carriage]]` of the rate card."),
        key("copies", Count(1, 10_000_000), None, "500")
            .unit("copies")
            .about("Whatever the order; together no more than the smallest."),
        key("share", Share, None, "0.6")
            .about("Of the copies that are not given in number; shares add up to 1, or less where one delivery takes the rest."),
    ],
};

pub(crate) const QUEUE: Table = Table {
    header: "[[queue]]",
    about: "What a press prints before and after the job. Inks go by the names of the job's colours, of `[[ink.named]]`, or `cyan`, `magenta`, `yellow`, `black`; an ink of the job before may have any other name.",
    keys: &[
        key("press", Text, Required, "\"B2, four units\"").about("A press of the rate card; each at most once."),
        key("before", TextList, Value("none, untold"), "[\"Pumpkin orange\"]")
            .about("Inks that hang on its units when the job comes: one that the job prints need not be hung, any other is washed off when its unit is needed. Units not listed are free."),
        key("after", TextList, Value("none, untold"), "[\"Pumpkin orange\"]")
            .about("Inks that may stay for the next job, so that they are not washed off in the end."),
    ],
};

pub(crate) const PROOF: Table = Table {
    header: "[proof]",
    about: "What proofs cost.",
    keys: &[
        key("form", Amount, None, "38.00").about("A contract proof of one form."),
        key("drawdown", Amount, None, "45.00").about("A drawdown of one solid on one paper."),
    ],
};

pub(crate) const CARRIAGE: Table = Table {
    header: "[[carriage]]",
    about: "Carriage to a zone, by the weight of the paper.",
    keys: &[
        key("zone", Text, Required, "\"home\"")
            .about("No two zones share a name, whatever its case."),
        key("base", Amount, Value("0, untold"), "14.00").about("For each consignment."),
        key("per_kg", Amount, Required, "0.22"),
    ],
};
