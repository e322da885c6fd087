//! The comparison for people.

use inkset_offers::{
    AdjustmentKind, Award, ColourStanding, ComparedOffer, InkPrice, LikePrice, OfferedPrices,
    Ranked, Split,
};
use inkset_units::Money;
use rust_decimal::Decimal;

use super::flags::{extra, sentences};
use super::{CompareReport, origin_word, percent, percent_text};
use crate::document::{Cell, Column, Document, Table};
use crate::figures::{difference_text, grouped, money_text};

/// Most quantities side by side.
const QUANTITIES_A_TABLE: usize = 3;
/// Most price steps in a table without being asked for all.
const MOST_SUPPLIERS: usize = 50;

/// The comparison; with `all_steps`, the steps from offered to comparable price at every quantity.
pub fn compare_document(report: &CompareReport<'_>, all_steps: bool) -> Document {
    let mut document = Document::default();
    basis(&mut document, report);
    for option in 0..report.comparison.options.len() {
        prices(&mut document, report, option);
    }
    marks(&mut document, report);
    inks(&mut document, report);
    flags(&mut document, report);
    steps(&mut document, report, all_steps);
    exposure(&mut document, report);
    super::implied::implied(&mut document, report);
    items(&mut document, report);
    choice(&mut document, report);
    document.heading("Mind");
    document.list(report.cautions.clone());
    document
}

/// The comparison as a part of a report: the choice first; cautions are the report's own.
pub fn compare_section(report: &CompareReport<'_>) -> Document {
    let mut document = Document::default();
    basis(&mut document, report);
    choice(&mut document, report);
    for option in 0..report.comparison.options.len() {
        prices(&mut document, report, option);
    }
    marks(&mut document, report);
    inks(&mut document, report);
    flags(&mut document, report);
    steps(&mut document, report, false);
    exposure(&mut document, report);
    super::implied::implied(&mut document, report);
    items(&mut document, report);
    document
}

fn copies(count: u64) -> String {
    format!("{} copies", grouped(&count.to_string()))
}

fn money(report: &CompareReport<'_>, amount: Money) -> String {
    money_text(amount, report.currency())
}

fn basis(document: &mut Document, report: &CompareReport<'_>) {
    let n = report.offers.len();
    let offers = if n == 1 { "offer" } else { "offers" };
    document.heading(format!("{}: {n} {offers}", report.job.title));
    let comparison = report.comparison;
    let mut said = vec![format!("prices in {}, net of tax", report.currency())];
    let out: Vec<&str> = comparison.left_out.iter().map(|k| extra(*k)).collect();
    if !out.is_empty() {
        said.push(format!(
            "without {}: no offer includes it and the buyer's file has no figure",
            out.join(", ")
        ));
    }
    let discount = report.offers.iter().any(|offer| offer.discount.is_some());
    if discount {
        let taken = if report.buyer.takes_discount {
            "taken off"
        } else {
            "not taken"
        };
        said.push(format!("discounts for early payment are {taken}"));
    }
    let card = &report.card.title;
    said.push(format!("should-cost by the rate card `{card}`"));
    let lacks = comparison.lacks_of_should_cost.iter();
    let lacks: Vec<&str> = lacks.map(|k| extra(*k)).collect();
    if !lacks.is_empty() {
        said.push(format!(
            "the should-cost holds no {}",
            lacks.join(" and no ")
        ));
    }
    if report.has_basket() {
        let lots = report.quantities.iter().zip(&comparison.orders);
        let lots = lots.filter(|(_, orders)| !orders.is_zero());
        let lots = lots.map(|(c, orders)| format!("{} × {}", orders.normalize(), copies(*c)));
        said.push(format!("basket: {}", lots.collect::<Vec<_>>().join(", ")));
    } else {
        said.push("basket: each quantity once".to_owned());
    }
    document.list(said);
}

fn prices(document: &mut Document, report: &CompareReport<'_>, option: usize) {
    document.heading(option_title(report, option));
    let ranked = report.by_rank(option);
    let n = report.quantities.len();
    for from in (0..n).step_by(QUANTITIES_A_TABLE) {
        let range = from..n.min(from + QUANTITIES_A_TABLE);
        let with_basket = range.end == n && n > 1;
        let mut columns = vec![Column::words("Supplier")];
        columns.extend(
            range
                .clone()
                .map(|at| Column::figures(copies(report.quantities[at]))),
        );
        if with_basket {
            columns.push(Column::figures("basket"));
        }
        let mut table = Table::new(columns);
        if report.should(option, 0).is_some() {
            let should = range.clone().map(|at| report.should(option, at));
            let basket = report.comparison.options[option].basket_should_cost;
            let all = should.chain(with_basket.then_some(basket));
            let cells = all.map(|m| m.map_or(Cell::Empty, |m| Cell::Money(m, report.currency())));
            table.row(
                std::iter::once(Cell::text("should-cost"))
                    .chain(cells)
                    .collect(),
            );
        }
        for (offer, own) in ranked.iter().take(MOST_SUPPLIERS) {
            let mut cells = vec![Cell::text(report.supplier(*offer))];
            cells.extend(range.clone().map(|at| price_cell(report, option, own, at)));
            if with_basket {
                cells.push(basket_cell(report, option, own));
            }
            table.row(cells);
        }
        document.table(table);
    }
    if ranked.len() > MOST_SUPPLIERS {
        let hidden = ranked.len() - MOST_SUPPLIERS;
        document.text(format!(
            "{hidden} dearer offers more; `inkset compare --format csv` lists all."
        ));
    }
}

fn option_title(report: &CompareReport<'_>, option: usize) -> String {
    let option = &report.comparison.options[option];
    match option.colour {
        None => format!(
            "{}: not among the job's ink sets, no should-cost",
            option.name
        ),
        Some(colour) => format!("{}: colours that {}", option.name, standing(colour)),
    }
}

/// `hold: 2, miss: 1`.
fn standing(colour: ColourStanding) -> String {
    let counts = [
        (colour.holds, "hold"),
        (colour.drifts, "drift"),
        (colour.misses, "miss"),
    ];
    let said = counts.iter().filter(|(n, _)| *n > 0);
    let said: Vec<String> = said.map(|(n, verb)| format!("{verb}: {n}")).collect();
    said.join(", ")
}

fn rank_text(ranked: Ranked) -> String {
    let tied = if ranked.tied { "=" } else { "" };
    format!("#{}{tied}", ranked.rank)
}

fn price_cell(report: &CompareReport<'_>, option: usize, own: &OfferedPrices, at: usize) -> Cell {
    let price = &own.prices[at];
    let Some(total) = price.total else {
        return Cell::text(if price.offered.is_none() {
            "no price"
        } else {
            "not comparable"
        });
    };
    let mark = match origin_word(price) {
        "quoted" => "",
        _ => "~",
    };
    let mut stack = vec![Cell::text(format!("{mark}{}", money(report, total)))];
    stack.push(against(report.should(option, at), total, own.ranks[at]));
    Cell::Stack(stack)
}

fn basket_cell(report: &CompareReport<'_>, option: usize, own: &OfferedPrices) -> Cell {
    let Some(total) = own.basket else {
        return Cell::text("–");
    };
    let should = report.comparison.options[option].basket_should_cost;
    Cell::Stack(vec![
        Cell::Money(total, report.currency()),
        against(should, total, own.basket_rank),
    ])
}

/// `#1 −3.2 %`: rank, and difference from the should-cost.
fn against(should: Option<Money>, total: Money, ranked: Option<Ranked>) -> Cell {
    let difference = should
        .and_then(|should| percent(total, should))
        .map(percent_text);
    let said: Vec<String> = ranked
        .map(rank_text)
        .into_iter()
        .chain(difference)
        .collect();
    Cell::text(said.join("\u{a0}"))
}

fn marks(document: &mut Document, report: &CompareReport<'_>) {
    let all = report.comparison.offers.iter().flat_map(|o| &o.prices);
    let mut all = all.flatten().flat_map(|own| &own.prices);
    let reckoned = all.any(|price| !matches!(origin_word(price), "quoted" | "missing"));
    let mut said = "# rank among the offers for this ink set (= shared), then the difference from the should-cost.".to_owned();
    if reckoned {
        said.push_str(
            " ~ not quoted: by the offer's own run-on, or between two of its quantities.",
        );
    }
    document.text(said);
}

fn inks(document: &mut Document, report: &CompareReport<'_>) {
    let mut any = false;
    for (with, without, solid) in report.comparison.ink_pairs() {
        let mut tables = Vec::new();
        for from in (0..report.quantities.len()).step_by(QUANTITIES_A_TABLE) {
            let to = report.quantities.len().min(from + QUANTITIES_A_TABLE);
            tables.push(ink_table(
                report,
                (with, without),
                &report.quantities[from..to],
            ));
        }
        if tables.iter().all(|table| table.rows.is_empty()) {
            continue;
        }
        any = true;
        document.heading(format!(
            "What {solid} on {} is asked for",
            report.option(without)
        ));
        for table in tables {
            document.table(table);
        }
    }
    if any {
        document.text("Should be: the rate card's price with the ink less that without it. Second pass: what printing it alone in a further pass costs at least, with the sheets that the pass spoils; nobody needs to pay more.");
    }
}

fn ink_table(report: &CompareReport<'_>, pair: (usize, usize), quantities: &[u64]) -> Table {
    let mut columns = vec![Column::words("Supplier")];
    columns.extend(quantities.iter().map(|c| Column::figures(copies(*c))));
    let mut table = Table::new(columns);
    let of = |offer: &ComparedOffer, copies: u64| {
        let mut inks = offer.ink_prices.iter();
        inks.find(|ink| (ink.with, ink.without) == pair && ink.copies == copies)
            .cloned()
    };
    let offers = &report.comparison.offers;
    let mut known = |title: &str, figure: fn(&InkPrice) -> Option<Money>| {
        let cells: Vec<Option<Money>> = quantities
            .iter()
            .map(|copies| figure(&offers.iter().find_map(|offer| of(offer, *copies))?))
            .collect();
        if cells.iter().any(Option::is_some) {
            let cells = cells
                .into_iter()
                .map(|m| m.map_or(Cell::Empty, |m| Cell::Difference(m, report.currency())));
            table.row(std::iter::once(Cell::text(title)).chain(cells).collect());
        }
    };
    known("should be", |ink| ink.should);
    known("second pass", |ink| ink.second_pass);
    for offer in offers {
        let asked: Vec<Option<Money>> = quantities
            .iter()
            .map(|copies| Some(of(offer, *copies)?.asked))
            .collect();
        if asked.iter().any(Option::is_some) {
            let cells = asked.into_iter().map(|m| {
                m.map_or(Cell::text("–"), |m| {
                    Cell::Difference(m, report.currency())
                })
            });
            table.row(
                std::iter::once(Cell::text(&offer.supplier))
                    .chain(cells)
                    .collect(),
            );
        }
    }
    table
}

fn flags(document: &mut Document, report: &CompareReport<'_>) {
    document.heading("To look into");
    let mut any = false;
    for offer in 0..report.offers.len() {
        let said = sentences(report, offer);
        if !said.is_empty() {
            any = true;
            document.text(format!("{}:", report.supplier(offer)));
            document.list(said);
        }
    }
    if !any {
        document.text("Nothing.");
    }
}

fn steps(document: &mut Document, report: &CompareReport<'_>, all: bool) {
    document.heading("From the offer to the comparable price");
    let ordered = report.comparison.orders.iter().position(|o| !o.is_zero());
    let shown: Vec<usize> = if all {
        (0..report.quantities.len()).collect()
    } else {
        ordered.into_iter().collect()
    };
    for option in 0..report.comparison.options.len() {
        for &at in &shown {
            let mut table = Table::new(vec![
                Column::words(format!(
                    "{}, {}",
                    report.option(option),
                    copies(report.quantities[at])
                )),
                Column::figures("offered"),
                Column::words("steps"),
                Column::figures(format!("{}", report.currency())),
            ]);
            for (offer, own) in report.by_rank(option).into_iter().take(MOST_SUPPLIERS) {
                table.row(step_cells(report, offer, &own.prices[at]));
            }
            document.table(table);
        }
    }
    if !all && report.quantities.len() > 1 {
        document.text("`inkset compare --lines` shows the steps at every quantity.");
    }
}

fn step_cells(report: &CompareReport<'_>, offer: usize, price: &LikePrice) -> Vec<Cell> {
    let own = report.offers[offer].currency.value;
    let offered = price.offered.map_or(Cell::text("no price"), |(amount, _)| {
        if own == report.currency() {
            Cell::Money(amount, own)
        } else {
            Cell::text(format!("{own} {}", money_text(amount, own)))
        }
    });
    let mut steps: Vec<Cell> = Vec::new();
    if origin_word(price) != "quoted" && price.offered.is_some() {
        steps.push(Cell::text(origin_word(price)));
    }
    if let Some(converted) = price.converted.filter(|_| own != report.currency()) {
        steps.push(Cell::text(format!(
            "= {} {}",
            report.currency(),
            money(report, converted)
        )));
    }
    steps.extend(price.adjustments.iter().map(|step| {
        let amount = difference_text(step.amount, report.currency());
        let name = match step.kind {
            AdjustmentKind::Tax => "tax off",
            kind => extra(kind),
        };
        Cell::text(format!("{name} {amount}"))
    }));
    let lacking = price
        .lacking
        .iter()
        .map(|kind| Cell::text(format!("{} ?", extra(*kind))));
    steps.extend(lacking);
    let total = price
        .total
        .map_or(Cell::text("–"), |t| Cell::Money(t, report.currency()));
    vec![
        Cell::text(report.supplier(offer)),
        offered,
        Cell::Stack(steps),
        total,
    ]
}

fn exposure(document: &mut Document, report: &CompareReport<'_>) {
    let ordered = report.comparison.orders.iter().position(|o| !o.is_zero());
    let Some(at) = ordered else {
        return;
    };
    let mut table = Table::new(vec![
        Column::words("Supplier"),
        Column::words("Ink set"),
        Column::figures("fewest"),
        Column::figures("least bill"),
        Column::figures("most"),
        Column::figures("highest bill"),
    ]);
    for option in 0..report.comparison.options.len() {
        for (offer, own) in report.by_rank(option).into_iter().take(MOST_SUPPLIERS) {
            let Some(exposure) = own.exposure[at] else {
                continue;
            };
            table.row(vec![
                Cell::text(report.supplier(offer)),
                Cell::text(report.option(option)),
                Cell::Count(exposure.fewest),
                Cell::Money(exposure.low, report.currency()),
                Cell::Count(exposure.most),
                Cell::Money(exposure.high, report.currency()),
            ]);
        }
    }
    if !table.rows.is_empty() {
        document.heading(format!(
            "More or fewer copies than {}",
            grouped(&report.quantities[at].to_string())
        ));
        document.table(table);
    }
}

fn items(document: &mut Document, report: &CompareReport<'_>) {
    for schedule in &report.comparison.items {
        document.heading(format!(
            "{}, item by item at {}",
            report.option(schedule.option),
            copies(schedule.copies)
        ));
        for from in (0..schedule.offers.len()).step_by(4) {
            let range = from..schedule.offers.len().min(from + 4);
            let mut columns = vec![Column::words("Item")];
            columns.extend(
                range
                    .clone()
                    .map(|at| Column::figures(report.supplier(schedule.offers[at]))),
            );
            let mut table = Table::new(columns);
            let cell = |amount: Option<Money>, ranked: Option<Ranked>| match amount {
                None => Cell::text("–"),
                Some(amount) => {
                    let best = ranked.is_some_and(|r| r.rank == 1);
                    let mark = if best { "*\u{a0}" } else { "" };
                    Cell::text(format!("{mark}{}", money(report, amount)))
                }
            };
            for line in &schedule.lines {
                let amounts = range
                    .clone()
                    .map(|at| cell(line.amounts[at], line.ranks[at]));
                table.row(
                    std::iter::once(Cell::text(&line.name))
                        .chain(amounts)
                        .collect(),
                );
            }
            let sums = range
                .clone()
                .map(|at| cell(schedule.sums[at], schedule.ranks[at]));
            table.total(std::iter::once(Cell::text("Sum")).chain(sums).collect());
            document.table(table);
        }
        let dearer = schedule.dearer_items().len();
        document.text(match dearer {
            0 => "* the lowest. The lowest sum is the lowest on every item.".to_owned(),
            n => format!(
                "* the lowest. The lowest sum is not the lowest on {n} of {} items.",
                schedule.lines.len()
            ),
        });
    }
}

fn choice(document: &mut Document, report: &CompareReport<'_>) {
    document.heading("Choice");
    let mut said = Vec::new();
    for (option, award) in report.by_price.iter().enumerate() {
        said.push(match award {
            Some(award) => by_price(report, option, award),
            None => format!(
                "{}: no offer has a comparable price for the basket",
                report.option(option)
            ),
        });
    }
    said.extend(
        report
            .by_weights
            .as_ref()
            .map(|award| by_weights(report, award)),
    );
    said.extend(
        report
            .splits
            .iter()
            .filter_map(|split| split_text(report, split)),
    );
    document.list(said);
    if let Some(award) = &report.by_weights {
        points(document, report, award);
    }
    document.text("Prices decide nothing by themselves: what the flags say comes first.");
}

fn by_price(report: &CompareReport<'_>, option: usize, award: &Award) -> String {
    let first = &award.candidates[0];
    let price = format!("{} {}", report.currency(), money(report, first.basket));
    let name = report.option(option);
    if award.tied > 1 {
        let tied = award.candidates[..award.tied].iter();
        let tied: Vec<&str> = tied.map(|c| report.supplier(c.offer)).collect();
        return format!("{name}: a tie at {price} between {}", tied.join(", "));
    }
    let winner = report.supplier(first.offer);
    let Some(second) = award.candidates.get(1) else {
        return format!("{name}: {winner} for {price}, the only comparable offer");
    };
    let gap = second.basket - first.basket;
    let share = percent(first.basket, second.basket).map_or(Decimal::ZERO, |p| p.abs());
    let flags = match report.comparison.offers[first.offer].flags.len() {
        0 => String::new(),
        n => format!("; look into its {n} flags first"),
    };
    format!(
        "{name}: {winner} for {price}{flags}; second, {} would have to go from {} below that, by {} or {share}\u{a0}%",
        report.supplier(second.offer),
        money(report, second.basket),
        money(report, gap)
    )
}

fn by_weights(report: &CompareReport<'_>, award: &Award) -> String {
    let first = &award.candidates[0];
    let of = |c: &inkset_offers::Candidate| {
        format!(
            "{} with {}",
            report.supplier(c.offer),
            report.option(c.option)
        )
    };
    let weights = format!(
        "By price {} % and colour {} %",
        report.buyer.price_weight.normalize(),
        report.buyer.colour_weight.normalize()
    );
    if award.tied > 1 {
        let tied: Vec<String> = award.candidates[..award.tied].iter().map(of).collect();
        return format!("{weights}: a tie between {}", tied.join(", "));
    }
    let Some(second) = award.candidates.get(1) else {
        return format!("{weights}: {}, the only candidate", of(first));
    };
    let price = match award.second_wins_below {
        Some(price) => format!("at a basket price below {}", money(report, price)),
        None => "at no price".to_owned(),
    };
    let weight = match award.changes_at_colour_weight {
        Some(weight) => format!("; they change places at a colour weight of {weight} %"),
        None => "; no weight of the colour would change their order".to_owned(),
    };
    format!(
        "{weights}: {}; second, {} would win {price}{weight}",
        of(first),
        of(second)
    )
}

fn points(document: &mut Document, report: &CompareReport<'_>, award: &Award) {
    let mut table = Table::new(vec![
        Column::words("Supplier"),
        Column::words("Ink set"),
        Column::figures("basket"),
        Column::figures("price"),
        Column::figures("colour"),
        Column::figures("points"),
    ]);
    for candidate in award.candidates.iter().take(MOST_SUPPLIERS) {
        let points = |value: Decimal| Cell::text(format!("{:.2}", value.round_dp(2)));
        table.row(vec![
            Cell::text(report.supplier(candidate.offer)),
            Cell::text(report.option(candidate.option)),
            Cell::Money(candidate.basket, report.currency()),
            points(candidate.price_points),
            points(candidate.colour_points),
            points(candidate.points),
        ]);
    }
    document.table(table);
    document.text("Price: 100 for the lowest, others in inverse proportion. Colour: share of the colours that hold, those that drift by half, out of 100.");
}

/// Says so only where splitting is cheaper than the cheapest single supplier.
fn split_text(report: &CompareReport<'_>, split: &Split) -> Option<String> {
    if split.suppliers() < 2 {
        return None;
    }
    let lots = split.lots.iter().map(|(option, at, offer, _)| {
        let of = if split.options.len() > 1 {
            format!("{}, ", report.option(*option))
        } else {
            String::new()
        };
        format!(
            "{of}{}: {}",
            copies(report.quantities[*at]),
            report.supplier(*offer)
        )
    });
    let lots: Vec<String> = lots.collect();
    let about = match split.options.as_slice() {
        [option] => format!("{}, split by quantity", report.option(*option)),
        _ => "Every ink set ordered, split by ink set and quantity".to_owned(),
    };
    let total = money(report, split.total);
    match (split.saving(), split.single) {
        (Some(saving), Some((offer, single))) if saving > Money::ZERO => Some(format!(
            "{about}: {total}, {} less than all from {} for {} ({})",
            money(report, saving),
            report.supplier(offer),
            money(report, single),
            lots.join("; ")
        )),
        (None, _) => Some(format!(
            "{about}: {total}; no single supplier prices everything ({})",
            lots.join("; ")
        )),
        _ => None,
    }
}
