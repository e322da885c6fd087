//! Priced options for spreadsheets.

use inkset_costing::{ByHand, PriceRange, Split};
use inkset_units::Money;

use super::PriceReport;

/// One line for each option and quantity; with `lines`, one for each line of each breakdown.
pub fn price_csv(report: &PriceReport<'_>, lines: bool) -> String {
    if lines {
        lines_csv(report)
    } else {
        totals_csv(report)
    }
}

fn totals_csv(report: &PriceReport<'_>) -> String {
    let header = [
        "option",
        "units_needed",
        "press",
        "passes",
        "worst_delta_e",
        "verdict",
        "quantity",
        "currency",
        "total",
        "per_thousand",
        "difference",
        "on_frontier",
        "run_on",
        "reprint",
        "leeway_copies",
        "leeway_amount",
        "fixed",
        "variable_per_thousand",
        "break_even",
        "lowest",
        "likely_low",
        "likely_high",
        "highest",
    ];
    let currency = report.currency();
    let rows = report
        .options
        .iter()
        .enumerate()
        .flat_map(|(number, option)| {
            option
                .estimates
                .iter()
                .enumerate()
                .map(move |(at, estimate)| {
                    let split = |figure: fn(Split) -> Money| {
                        let split = option.growth.split;
                        split.map_or(String::new(), |s| figure(s).to_text(currency))
                    };
                    let range = report.ranges.as_ref().map(|r| &r.prices[number][at]);
                    let end = |figure: fn(&PriceRange) -> Money| {
                        range.map_or(String::new(), |r| figure(r).to_text(currency))
                    };
                    vec![
                        option.set.name.clone(),
                        estimate.units_needed().to_string(),
                        super::press(estimate),
                        estimate.passes().to_string(),
                        format!("{:.2}", option.set.worst_delta_e()),
                        option.set.verdict().word().to_owned(),
                        report.quantities[at].to_string(),
                        currency.code().to_owned(),
                        estimate.total.to_text(currency),
                        estimate.per_thousand.to_text(currency),
                        report
                            .difference(option, at)
                            .map_or(String::new(), |d| d.to_text(currency)),
                        option.on_frontier[at].to_string(),
                        estimate.run_on.to_text(currency),
                        estimate.reprint.to_text(currency),
                        estimate.leeway.copies.to_string(),
                        estimate.leeway.amount.to_text(currency),
                        split(|split| split.fixed),
                        split(|split| split.per_thousand),
                        super::growth::against_four_ink(report, number),
                        end(|range| range.lowest),
                        end(|range| range.likely_low),
                        end(|range| range.likely_high),
                        end(|range| range.highest),
                    ]
                })
        });
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}

fn lines_csv(report: &PriceReport<'_>) -> String {
    let header = [
        "option",
        "quantity",
        "stage",
        "part",
        "item",
        "line_quantity",
        "unit",
        "rate",
        "amount",
        "currency",
        "formula",
        "inputs",
        "computed_quantity",
        "computed_rate",
        "computed_amount",
        "set_by_hand",
    ];
    let currency = report.currency();
    let rows = report.options.iter().flat_map(|option| {
        option
            .estimates
            .iter()
            .enumerate()
            .flat_map(move |(at, estimate)| {
                estimate.lines.iter().map(move |line| {
                    let hand = line.by_hand.as_ref();
                    let computed =
                        |figure: &dyn Fn(&ByHand) -> String| hand.map_or(String::new(), figure);
                    vec![
                        option.set.name.clone(),
                        report.quantities[at].to_string(),
                        line.stage.name().to_owned(),
                        line.part.map_or(String::new(), |part| {
                            report.plan.job.parts[part].name.value.clone()
                        }),
                        line.item.clone(),
                        line.quantity.to_string(),
                        line.unit.name().to_owned(),
                        line.rate.amount().to_string(),
                        line.amount.to_text(currency),
                        currency.code().to_owned(),
                        line.formula.to_owned(),
                        super::json::inputs(report, line).join("; "),
                        computed(&|hand| hand.quantity.to_string()),
                        computed(&|hand| hand.rate.amount().to_string()),
                        computed(&|hand| hand.amount.to_text(currency)),
                        computed(&|hand| report.place_text(hand.place)),
                    ]
                })
            })
    });
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}
