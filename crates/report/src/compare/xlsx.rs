//! The comparison as an XLSX workbook: real numbers with formats, titles that stay in view.

use inkset_units::Currency;
use rust_xlsxwriter::{Format, FormatAlign, Workbook, Worksheet, XlsxError};

use super::CompareReport;
use super::csv::{COLUMNS, Kind, rows};
use super::flags::flag_words;

/// The bytes of a workbook with the sheets `Prices`, `To look into` and `Implied rates`.
///
/// A cell of this format is a binary float of 15 sound digits, so an amount stays exact up to 9,999,999,999,999.99.
pub fn compare_xlsx(report: &CompareReport<'_>) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    prices(report, book.add_worksheet())?;
    flags(report, book.add_worksheet())?;
    implied(report, book.add_worksheet())?;
    book.save_to_buffer()
}

fn header(sheet: &mut Worksheet, name: &str, titles: &[String]) -> Result<(), XlsxError> {
    sheet.set_name(name)?;
    let bold = Format::new().set_bold().set_align(FormatAlign::Left);
    for (column, title) in titles.iter().enumerate() {
        sheet.write_string_with_format(0, column as u16, title, &bold)?;
    }
    sheet.set_freeze_panes(1, 1)?;
    Ok(())
}

fn titles<const N: usize>(titles: [&str; N]) -> Vec<String> {
    titles.map(|title| title.replace('_', " ")).to_vec()
}

/// Thousands apart and the currency's decimals.
fn money_format(currency: Currency) -> Format {
    let decimals = match currency.decimals() {
        0 => String::new(),
        n => format!(".{}", "0".repeat(n as usize)),
    };
    Format::new().set_num_format(format!("#,##0{decimals}"))
}

fn write(
    sheet: &mut Worksheet,
    (row, column): (u32, u16),
    text: &str,
    format: Option<&Format>,
) -> Result<(), XlsxError> {
    match (format, text.parse::<f64>()) {
        _ if text.is_empty() => {}
        (Some(format), Ok(number)) => {
            sheet.write_number_with_format(row, column, number, format)?;
        }
        _ => {
            sheet.write_string(row, column, text)?;
        }
    }
    Ok(())
}

fn prices(report: &CompareReport<'_>, sheet: &mut Worksheet) -> Result<(), XlsxError> {
    header(sheet, "Prices", &titles(COLUMNS.map(|(title, _)| title)))?;
    let count = Format::new().set_num_format("#,##0");
    let money = money_format(report.currency());
    let percent = Format::new().set_num_format("+0.0;-0.0;0.0");
    let rows = rows(report);
    for (at, row) in rows.iter().enumerate() {
        for (column, (text, (_, kind))) in row.iter().zip(COLUMNS).enumerate() {
            let format = match kind {
                Kind::Text => None,
                Kind::Count => Some(&count),
                Kind::Money => Some(&money),
                Kind::Percent => Some(&percent),
            };
            write(sheet, (at as u32 + 1, column as u16), text, format)?;
        }
    }
    sheet.autofilter(0, 0, rows.len() as u32, COLUMNS.len() as u16 - 1)?;
    sheet.autofit();
    Ok(())
}

fn flags(report: &CompareReport<'_>, sheet: &mut Worksheet) -> Result<(), XlsxError> {
    let columns = ["supplier", "option", "quantity", "flag", "reason", "detail"];
    header(sheet, "To look into", &titles(columns))?;
    let count = Format::new().set_num_format("#,##0");
    let mut row = 0;
    for (at, offer) in report.comparison.offers.iter().enumerate() {
        let own = report.offers[at].currency.value;
        for flag in &offer.flags {
            row += 1;
            let said = flag_words(&flag.kind, own, report.currency());
            let option = flag.option.map_or("", |option| report.option(option));
            let copies = flag.copies.map_or(String::new(), |c| c.to_string());
            write(sheet, (row, 0), &offer.supplier, None)?;
            write(sheet, (row, 1), option, None)?;
            write(sheet, (row, 2), &copies, Some(&count))?;
            write(sheet, (row, 3), said.name, None)?;
            write(sheet, (row, 4), &said.head, None)?;
            write(sheet, (row, 5), &said.detail, None)?;
        }
    }
    sheet.autofit();
    Ok(())
}

fn implied(report: &CompareReport<'_>, sheet: &mut Worksheet) -> Result<(), XlsxError> {
    let columns = [
        "supplier",
        "option",
        "fixed",
        "fixed plus minus",
        "per thousand",
        "per thousand plus minus",
    ];
    header(sheet, "Implied rates", &titles(columns))?;
    let currency = report.currency();
    let money = money_format(currency);
    let mut row = 0;
    for offer in &report.comparison.offers {
        for rates in &offer.implied.options {
            row += 1;
            write(sheet, (row, 0), &offer.supplier, None)?;
            write(sheet, (row, 1), report.option(rates.option), None)?;
            for (column, figure) in [(2, rates.fixed), (4, rates.per_thousand)] {
                let value = figure.value.to_text(currency);
                let by = figure
                    .plus_minus
                    .map_or(String::new(), |m| m.to_text(currency));
                write(sheet, (row, column), &value, Some(&money))?;
                write(sheet, (row, column + 1), &by, Some(&money))?;
            }
        }
    }
    sheet.autofit();
    Ok(())
}
