//! One document model, written as a text table, JSON or CSV.

mod columns;
mod compare;
mod condition;
mod coverage;
mod csv;
mod document;
mod figures;
mod imposition;
mod json;
mod learn;
mod near;
mod paper;
mod plan;
mod price;
mod reach;
mod record;
mod seen;
mod sheet;
mod sketch;
mod text;
mod weigh;

pub use compare::{
    CompareReport, OfferedRates, RatedPrice, compare_csv, compare_document, compare_json,
    compare_schema, compare_section, compare_xlsx, offered_rates_card,
};
pub use condition::{
    CheckedCondition, ShownCondition, checked_csv, checked_document, checked_json, listed_csv,
    listed_document, listed_json, shown_csv, shown_document, shown_json,
};
pub use coverage::{MeasuredFile, coverage_csv, coverage_document, coverage_json};
pub use document::{Align, Block, Cell, Column, Document, RowKind, Table, TableRow};
pub use figures::{
    CAUTION_SCREEN, build_text, difference_text, grouped, hex, listed, money_text, printable,
};
pub use imposition::{
    ImposedSection, ImpositionReport, imposition_csv, imposition_document, imposition_json,
    imposition_svg,
};
pub use learn::{
    LearnReport, Ranges, learn_csv, learn_document, learn_json, learn_schema, learn_toml,
};
pub use near::{NearColour, NearReport, near_csv, near_document, near_json};
pub use paper::{
    Arrival, Enquiry, Issued, Paper, PaperBlock, PaperColour, PaperInk, Quotation, QuotedResult,
    arrival_paper, enquiry_offer, enquiry_paper, paper_document, quotation_csv, quotation_json,
    quotation_paper, quoted_result,
};
pub use plan::{
    PlanReport, conditions_text, plan_csv, plan_document, plan_json, prediction_notes, printed_as,
    tally,
};
pub use price::{
    ExplainedStage, PressesFrom, PriceReport, PricedOption, RangesReport, break_even_texts,
    digital_texts, explain_csv, explain_document, explain_json, fall_warnings, job_in_words,
    presses_by_quantity, price_cautions, price_csv, price_document, price_json, price_schema,
    sensitivity_csv, sensitivity_document,
};
pub use reach::{ReachReport, ReachedColour, reach_csv, reach_document, reach_json, seen_as};
pub use record::{
    Broken, ListedRecord, Record, RecordedFile, records_csv, records_document, records_json,
    result_differences, sha256,
};
pub use seen::{SeenBuild, SeenOn, seen_csv, seen_document, seen_json};
pub use sheet::{SheetReport, sheet_csv, sheet_document, sheet_json};
pub use text::{cell_text, to_text};
pub use weigh::{
    Budget, Looser, LooserPrice, LooserWhy, SolidTags, WeighReport, plain_words, weigh_csv,
    weigh_document, weigh_json, weigh_schema,
};
