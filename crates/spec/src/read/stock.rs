//! Reads a stock of a rate card.

use inkset_units::{Gsm, Size, basis_categories, basis_category};

use super::table::words;
use super::{Limits, TableReader, Value, shown};
use crate::{Given, PaperKind, PaperPrice, Press, SheetGrain, Stock, codes};

const GSM: Limits = Limits::new(10.0, 2_000.0, "g/m²", "150");
const BULK: Limits = Limits::new(0.3, 5.0, "cm³/g", "0.85");
const PACK: Limits = Limits::new(1.0, 100_000.0, "sheets", "250");

const PRICES: [&str; 5] = [
    "price_per_tonne",
    "price_per_thousand",
    "price_per_hundredweight",
    "price_per_ream",
    "supplied_handling",
];

pub(crate) fn stock(table: &TableReader<'_>) -> Option<Stock> {
    let name = table.name("name", "name = \"gloss-150\"");
    if let Some(name) = &name {
        table.call(format!("stock `{}`", name.value));
    }
    let kind = kind(table);
    let gsm = weight(table);
    let bulk = table.if_given("bulk", |v| v.number(BULK));
    let condition = condition(table, kind);
    let sheets = sheets(table);
    let grain = grain(table);
    let pack = pack(table);
    let price = price(table);
    Some(Stock {
        name: name?,
        kind: kind?,
        gsm: gsm?,
        bulk: bulk.ok()?,
        condition: condition?,
        sheets: sheets?,
        grain: grain?,
        pack: pack?,
        price: price?,
    })
}

fn kind(table: &TableReader<'_>) -> Option<Given<PaperKind>> {
    let kinds = [
        ("coated", PaperKind::Coated),
        ("uncoated", PaperKind::Uncoated),
        ("newsprint", PaperKind::Newsprint),
    ];
    table.required("kind", "kind = \"coated\"")?.choice(&kinds)
}

fn weight(table: &TableReader<'_>) -> Option<Given<Gsm>> {
    match (table.optional("gsm"), table.optional("basis_weight")) {
        (Some(gsm), None) => {
            let number = gsm.number(GSM)?;
            Gsm::new(*number).map(|weight| gsm.given(weight))
        }
        (None, Some(basis)) => basis_weight(&basis),
        (Some(_), Some(second)) => {
            let message = format!("{} has two weights", table.subject());
            second.refuse(codes::ONE_WEIGHT, message, "keep `gsm` or `basis_weight`")
        }
        (None, None) => {
            let notice = table.log().error(
                codes::ONE_WEIGHT,
                format!("{} has no weight", table.subject()),
            );
            let hint = "write `gsm = 150`, or `basis_weight = \"100 lb cover\"`";
            table.log().report(notice.at(table.place()).hint(hint));
            None
        }
    }
}

/// Reads `100 lb cover` or `100# cover`.
fn basis_weight(value: &Value<'_>) -> Option<Given<Gsm>> {
    let text = value.raw_text()?;
    let split = text.split_once("lb").or_else(|| text.split_once('#'));
    let weight = split.and_then(|(pounds, category)| {
        let pounds = pounds
            .trim()
            .parse::<f64>()
            .ok()
            .filter(|p| (1.0..=1_000.0).contains(p))?;
        Gsm::from_basis_weight(pounds, basis_category(category)?)
    });
    if let Some(weight) = weight {
        return Some(value.given(weight));
    }
    let message = format!(
        "{}: `{}` is not a basis weight",
        value.subject(),
        shown(text)
    );
    let hint = format!(
        "write pounds and category, for instance `100 lb cover`; categories: {}",
        words(basis_categories().iter().map(|c| c.name))
    );
    value.refuse(codes::NOT_A_BASIS_WEIGHT, message, hint)
}

/// The printing condition usual for a kind of paper. Common practice, no source.
fn usual_condition(kind: PaperKind) -> &'static str {
    match kind {
        PaperKind::Coated => "coated-fogra39",
        PaperKind::Uncoated => "uncoated-fogra29",
        PaperKind::Newsprint => "newsprint-tr002",
    }
}

fn condition(table: &TableReader<'_>, kind: Option<Given<PaperKind>>) -> Option<Given<String>> {
    let usual = usual_condition(kind.map_or(PaperKind::Coated, |k| k.value));
    let sentence = format!(
        "no printing condition given; using `{usual}` for this kind of paper (common practice, no source)"
    );
    table.or_assume(
        "condition",
        Value::text,
        usual.to_owned(),
        (codes::ASSUMED_CONDITION, sentence),
    )
}

fn sheets(table: &TableReader<'_>) -> Option<Vec<Given<Size>>> {
    let listed = table
        .required("sheets", "sheets = [\"640x900 mm\"]")?
        .filled_list()?;
    let read: Vec<Option<Given<Size>>> = listed.iter().map(Value::size).collect();
    read.into_iter().collect()
}

/// Untold: it only matters to a job that asks for a direction, and is told there.
fn grain(table: &TableReader<'_>) -> Option<Given<SheetGrain>> {
    let grains = [SheetGrain::Long, SheetGrain::Short].map(|grain| (grain.word(), grain));
    match table.optional("grain") {
        Some(value) => value.choice(&grains),
        None => Some(Given::assumed(SheetGrain::Long)),
    }
}

fn pack(table: &TableReader<'_>) -> Option<Given<u64>> {
    let sentence = "no pack given; buying single sheets".to_owned();
    let single = (codes::ASSUMED_PACK, sentence);
    table.or_assume("pack", |v| v.count(PACK), 1, single)
}

fn price(table: &TableReader<'_>) -> Option<Given<PaperPrice>> {
    let given: Vec<(usize, Value<'_>)> = PRICES
        .iter()
        .enumerate()
        .filter_map(|(index, key)| Some((index, table.optional(key)?)))
        .collect();
    match given.as_slice() {
        [(index, value)] => paper_price(*index, value),
        [] => {
            let notice = table.log().error(
                codes::ONE_PRICE,
                format!("{} has no price", table.subject()),
            );
            let hint = format!("write one of {}", words(PRICES));
            table.log().report(notice.at(table.place()).hint(hint));
            None
        }
        [_, (_, second), ..] => {
            let message = format!("{} has {} prices", table.subject(), given.len());
            second.refuse(codes::ONE_PRICE, message, "keep one")
        }
    }
}

fn paper_price(index: usize, value: &Value<'_>) -> Option<Given<PaperPrice>> {
    let amount = value.money()?;
    Some(amount.map(|amount| match index {
        0 => PaperPrice::Tonne(amount),
        1 => PaperPrice::ThousandSheets(amount),
        2 => PaperPrice::Hundredweight(amount),
        3 => PaperPrice::Ream(amount),
        _ => PaperPrice::Supplied { handling: amount },
    }))
}

/// A parent sheet may be cut down to fit a press, but none can be made larger.
pub(crate) fn report_unprintable(root: &TableReader<'_>, stocks: &[Stock], presses: &[Press]) {
    for stock in stocks {
        for sheet in &stock.sheets {
            if !presses
                .iter()
                .any(|press| press.smallest_sheet.fits_on(sheet.value))
            {
                report_small_sheet(root, stock, *sheet);
            }
        }
    }
}

fn report_small_sheet(root: &TableReader<'_>, stock: &Stock, sheet: Given<Size>) {
    let message = format!(
        "sheet {sheet} of stock `{}` is smaller than the smallest sheet of every press",
        stock.name.value
    );
    let notice = root.log().error(codes::SHEET_FITS_NO_PRESS, message);
    let hint = "remove the sheet, or check `smallest_sheet` of the presses";
    root.log().report(notice.at(sheet.place).hint(hint));
}
