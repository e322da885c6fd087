//! Reads a stock of a rate card.

use inkset_units::{Gsm, Millimetres, Percent, Size, basis_categories, basis_category};

use super::card::MOST_SPOILAGE;
use super::table::words;
use super::{Limits, TableReader, Value, shown};
use crate::{Given, PaperKind, PaperPrice, Press, Reel, SheetGrain, Stock, codes};

const GSM: Limits = Limits::new(10.0, 2_000.0, "g/m²", "150");
const BULK: Limits = Limits::new(0.3, 5.0, "cm³/g", "0.85");
/// Widest and thickest reel that is believed, mm, and the heaviest.
const WIDEST_REEL: f64 = 5_000.0;
const REEL_KG: Limits = Limits::new(1.0, 10_000.0, "kg", "480");
/// What is used unless given: diameter of the core in mm, waste in percent. Common practice, no source.
const USUAL_CORE: f64 = 76.0;
const USUAL_REEL_WASTE: f64 = 2.0;
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
    let reels = reels(table);
    let sheets = sheets(table);
    let grain = grain(table);
    let pack = pack(table);
    let price = price(table);
    let (reels, price) = (reels?, price?);
    price_of_reels(table, &reels, price)?;
    Some(Stock {
        name: name?,
        kind: kind?,
        gsm: gsm?,
        bulk: bulk.ok()?,
        condition: condition?,
        sheets: sheets?,
        reels,
        grain: grain?,
        pack: pack?,
        price,
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
    let example = "sheets = [\"640x900 mm\"]";
    let value = if table.has("reels") {
        table.optional("sheets")
    } else {
        Some(table.required("sheets", example)?)
    };
    let Some(value) = value else {
        return Some(Vec::new());
    };
    let listed = value.filled_list()?;
    let read: Vec<Option<Given<Size>>> = listed.iter().map(Value::size).collect();
    read.into_iter().collect()
}

fn reels(table: &TableReader<'_>) -> Option<Vec<Reel>> {
    let Some(value) = table.optional("reels") else {
        return Some(Vec::new());
    };
    let owner = format!("a reel of {}", table.subject());
    let listed = value.filled_list()?;
    let read: Vec<Option<Reel>> = listed.iter().map(|entry| reel(entry, &owner)).collect();
    read.into_iter().collect()
}

fn reel(entry: &Value<'_>, owner: &str) -> Option<Reel> {
    let table = TableReader::of(entry, owner)?;
    let width = table.required("width", "width = \"640 mm\"");
    let width = width.and_then(|value| value.length(WIDEST_REEL));
    let weight_kg = table.if_given("weight_kg", |value| value.number(REEL_KG));
    let diameter = table.if_given("diameter", |value| {
        Some((value.length(WIDEST_REEL)?, value.place()))
    });
    let sentence =
        format!("core of the reel not given; using {USUAL_CORE} mm (common practice, no source)");
    let usual_core = Millimetres::new(USUAL_CORE)?;
    let core = match table.optional("core") {
        Some(value) => value.length(WIDEST_REEL),
        None if table.has("diameter") => {
            Some(table.assume(usual_core, (codes::ASSUMED_REEL, sentence)))
        }
        // Only a diameter is reckoned with its core.
        None => Some(Given::assumed(usual_core)),
    };
    let sentence = format!(
        "waste of the reel not given; using {USUAL_REEL_WASTE} % (common practice, no source)"
    );
    let waste = table.or_assume(
        "waste_percent",
        |value| value.percent(MOST_SPOILAGE),
        Percent::new(USUAL_REEL_WASTE)?,
        (codes::ASSUMED_REEL, sentence),
    );
    table.finish();
    let reel = Reel {
        width: width?,
        weight_kg: weight_kg.ok()?,
        diameter: diameter.ok()?.map(|(diameter, _)| diameter),
        core: core?,
        waste: waste?,
    };
    let thin = reel.diameter.filter(|d| d.mm() <= reel.core.mm());
    let (code, message) = match (reel.weight_kg, thin) {
        (Some(_), _) if reel.diameter.is_some() => (
            codes::ONE_WEIGHT,
            format!("{owner} has both a weight and a diameter"),
        ),
        (_, Some(diameter)) => (
            codes::OUT_OF_RANGE,
            format!(
                "{owner} is {diameter} across, no more than its core of {}",
                reel.core
            ),
        ),
        _ => return Some(reel),
    };
    entry.refuse(
        code,
        message,
        "give the weight of a full reel, or its diameter with the core",
    )
}

/// A reel has no number of sheets by which it could be paid.
fn price_of_reels(table: &TableReader<'_>, reels: &[Reel], price: Given<PaperPrice>) -> Option<()> {
    let by_sheets = matches!(
        price.value,
        PaperPrice::ThousandSheets(_) | PaperPrice::Ream(_)
    );
    if reels.is_empty() || !by_sheets {
        return Some(());
    }
    let message = format!(
        "{} comes on reels and is priced by the sheet",
        table.subject()
    );
    let notice = table.log().error(codes::UNFIT_KEY, message);
    let hint = "write `price_per_tonne`, `price_per_hundredweight` or `supplied_handling`";
    table.log().report(notice.at(price.place).hint(hint));
    None
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
    if let Some(value) = table.optional("pack") {
        return value.count(PACK);
    }
    // Paper off the reel comes in no packs.
    if table.has("reels") && !table.has("sheets") {
        return Some(Given::assumed(1));
    }
    let sentence = "no pack given; buying single sheets".to_owned();
    Some(table.assume(1, (codes::ASSUMED_PACK, sentence)))
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
