//! Many offers as one table: a line for each supplier, ink set and quantity.
//!
//! The first line names the columns, in any order; unknown ones are errors. The separator is a comma, a semicolon or a tab;
//! with the latter two a decimal comma is understood. What belongs to the whole offer may stand in its first line only.

use std::collections::BTreeMap;
use std::ops::Range;

use inkset_units::{Currency, Money, Size};
use jiff::civil::Date;

use super::draft::{Priced, together};
use super::figures::{self, Fault, Mark};
use super::toml::INK_WORDS;
use super::{Discount, Includes, MOST_OFFERS, Offer, OfferedLeeway, OfferedOption, Tax};
use crate::palette::csv::{Field, lines_of, split};
use crate::read::{LONGEST_FILE, Log, known_names, shown};
use crate::{FileRole, Given, Notice, Reading, codes};

/// Columns that belong to the whole offer.
const OF_OFFER: [&str; 17] = [
    "number",
    "job",
    "date",
    "valid_until",
    "currency",
    "tax",
    "tax_percent",
    "proofs",
    "carriage",
    "packing",
    "over_percent",
    "under_percent",
    "overs_per_thousand",
    "discount_percent",
    "discount_days",
    "lead_days",
    "supplier",
];
/// Columns that belong to one ink set of it.
const OF_OPTION: [&str; 5] = ["inks", "stock", "size", "run_on_per_thousand", "deviations"];
/// Columns of one price.
const OF_PRICE: [&str; 5] = ["copies", "total", "set_up", "per_thousand", "each"];
/// Columns that every table needs.
const NEEDED: [&str; 5] = ["supplier", "job", "date", "currency", "inks"];
/// Longest name or remark, characters.
const LONGEST_TEXT: usize = 200;
/// Most options of one offer.
const MOST_OPTIONS: usize = 500;

/// Whether a text is a table of offers rather than one offer.
pub(super) fn is_csv(text: &str) -> bool {
    let first = lines_of(text).next().map_or("", |(_, line)| line);
    let is_word = |name: &str| {
        name.trim()
            .trim_matches('"')
            .eq_ignore_ascii_case("supplier")
    };
    !first.contains('=') && !first.starts_with('[') && first.split([',', ';', '\t']).any(is_word)
}

pub(super) fn offers(text: &str) -> Reading<Vec<Offer>> {
    if text.len() > LONGEST_FILE {
        let message = format!(
            "the file has {} bytes, more than {LONGEST_FILE}",
            text.len()
        );
        let notice = Notice::error(FileRole::Offer, codes::FILE_TOO_LONG, message);
        return Reading::new(None, vec![notice]);
    }
    let log = Log::new(FileRole::Offer, text);
    let offers = Reader { log: &log }.offers(text);
    Reading::new(offers, log.into_notices())
}

struct Reader<'l, 't> {
    log: &'l Log<'t>,
}

/// One line of the table, its cells by column; empty ones left out.
struct Row<'t> {
    cells: BTreeMap<&'static str, Field<'t>>,
    span: Range<usize>,
    mark: Mark,
}

impl Row<'_> {
    fn text(&self, column: &str) -> Option<String> {
        self.cells.get(column).map(Field::text)
    }
}

impl<'t> Reader<'_, 't> {
    fn offers(&self, text: &'t str) -> Option<Vec<Offer>> {
        let rows = self.rows(text)?;
        let mut order: Vec<String> = Vec::new();
        let mut groups: BTreeMap<String, Vec<Row<'t>>> = BTreeMap::new();
        for row in rows {
            let Some(supplier) = row.text("supplier") else {
                self.missing("supplier", &row);
                continue;
            };
            let key = supplier.to_lowercase();
            if !groups.contains_key(&key) {
                order.push(key.clone());
            }
            groups.entry(key).or_default().push(row);
        }
        if order.len() > MOST_OFFERS {
            let message = format!(
                "the table has offers of {} suppliers; at most {MOST_OFFERS} are compared",
                order.len()
            );
            self.log
                .report(self.log.error(codes::TOO_MANY_OFFERS, message));
            return None;
        }
        let read: Vec<Option<Offer>> = order.iter().map(|key| self.offer(&groups[key])).collect();
        read.into_iter().collect()
    }

    fn rows(&self, text: &'t str) -> Option<Vec<Row<'t>>> {
        let mut lines = lines_of(text);
        let (start, line) = lines.next()?;
        let separator = [';', '\t'].into_iter().find(|s| line.contains(*s));
        let separator = separator.unwrap_or(',');
        let mark = if separator == ',' {
            Mark::Point
        } else {
            Mark::PointOrComma
        };
        let columns = self.columns(&split(line, start, separator))?;
        let mut rows = Vec::new();
        let mut sound = true;
        for (start, line) in lines {
            let fields = split(line, start, separator);
            if fields.len() != columns.len() {
                let message = format!(
                    "the line has {} fields, the header {}",
                    fields.len(),
                    columns.len()
                );
                let hint = "a field that holds the separator stands in double quotes";
                self.tell(
                    start..start + line.len(),
                    Fault::new(codes::MISSING_COLUMN, message, hint),
                );
                sound = false;
                continue;
            }
            let filled = columns.iter().copied().zip(fields);
            let cells = filled
                .filter(|(_, f)| !f.text().trim().is_empty())
                .collect();
            rows.push(Row {
                cells,
                span: start..start + line.len(),
                mark,
            });
        }
        if rows.is_empty() && sound {
            let message = "the table has a header and no offers";
            self.log.report(self.log.error(codes::EMPTY_LIST, message));
        }
        (sound && !rows.is_empty()).then_some(rows)
    }

    fn columns(&self, fields: &[Field<'t>]) -> Option<Vec<&'static str>> {
        let known = || OF_OFFER.iter().chain(&OF_OPTION).chain(&OF_PRICE).copied();
        let mut columns: Vec<&'static str> = Vec::new();
        let mut sound = true;
        for field in fields {
            let title = field.text().trim().to_lowercase();
            let Some(column) = known().find(|name| *name == title) else {
                let says = format!("`{}` is not a column of a table of offers", shown(&title));
                self.tell(
                    field.span(),
                    Fault::new(codes::UNKNOWN_KEY, says, known_names(&title, known())),
                );
                sound = false;
                continue;
            };
            if columns.contains(&column) {
                let says = format!("the column `{column}` stands there twice");
                self.tell(
                    field.span(),
                    Fault::new(codes::DUPLICATE_KEY, says, "keep one of the two"),
                );
                sound = false;
            }
            columns.push(column);
        }
        let missing = NEEDED.iter().filter(|name| !columns.contains(name));
        let missing: Vec<&str> = missing.copied().collect();
        if sound && !missing.is_empty() {
            let says = format!("the header lacks {}", crate::read::words(missing));
            let span = fields.first().map_or(0..0, Field::span);
            let hint = format!("every table needs {}", crate::read::words(NEEDED));
            self.tell(span, Fault::new(codes::MISSING_COLUMN, says, hint));
            return None;
        }
        sound.then_some(columns)
    }

    fn tell(&self, span: Range<usize>, fault: Fault) {
        let notice = self.log.error(fault.code, fault.says);
        let place = Some(self.log.place(span));
        self.log.report(notice.at(place).hint(fault.hint));
    }

    fn missing(&self, column: &str, row: &Row<'_>) {
        let says = format!("the line has no `{column}`");
        let hint = "what belongs to the whole offer stands at least in its first line";
        self.tell(row.span.clone(), Fault::new(codes::MISSING_KEY, says, hint));
    }

    /// The value of a cell; `Ok(None)` when it is empty, `Err` when it is wrong.
    fn cell<T>(
        &self,
        row: &Row<'_>,
        column: &'static str,
        read: impl FnOnce(&str) -> Result<T, Fault>,
    ) -> Result<Option<T>, ()> {
        let Some(field) = row.cells.get(column) else {
            return Ok(None);
        };
        read(&field.text()).map(Some).map_err(|mut fault| {
            fault.says = format!("`{column}`: {}", fault.says);
            self.tell(field.span(), fault);
        })
    }

    fn given<T>(&self, row: &Row<'_>, column: &str, value: T) -> Given<T> {
        let span = row.cells.get(column).map_or(row.span.clone(), Field::span);
        Given::at(value, self.log.place(span))
    }

    fn offer(&self, rows: &[Row<'_>]) -> Option<Offer> {
        let first = rows.first()?;
        let agree = self.agree(rows, &OF_OFFER, "the offer");
        let needed = |column: &'static str| {
            if !first.cells.contains_key(column) {
                self.missing(column, first);
            }
        };
        ["job", "date", "currency"].into_iter().for_each(needed);
        let supplier = self.cell(first, "supplier", name);
        let number = self.cell(first, "number", name);
        let job = self.cell(first, "job", name);
        let date = self.cell(first, "date", figures::day);
        let valid_until = self.cell(first, "valid_until", figures::day);
        let currency = self.cell(first, "currency", currency);
        let terms = self.terms(first);
        let options = self.options(rows);
        let date: Date = date.ok()??;
        let until = valid_until.ok()?;
        if until.is_some_and(|until| until < date) {
            let says = "`valid_until` is before the day of the offer";
            self.tell(
                first.span.clone(),
                Fault::new(codes::NOT_A_DATE, says, "mend one of the two"),
            );
            return None;
        }
        let (tax, includes, leeway, discount, lead_days) = terms?;
        Some(Offer {
            supplier: self.given(first, "supplier", supplier.ok()??),
            number: number.ok()?,
            job: self.given(first, "job", job.ok()??),
            date: self.given(first, "date", date),
            valid_until: until.map(|until| self.given(first, "valid_until", until)),
            currency: self.given(first, "currency", currency.ok()??),
            tax,
            includes,
            leeway,
            discount,
            lead_days,
            options: agree.and(options)?,
        })
    }

    /// Lines of one thing must not say different things about it.
    fn agree(&self, rows: &[Row<'_>], columns: &[&'static str], what: &str) -> Option<()> {
        let first = rows.first()?;
        let mut agreed = Some(());
        for row in &rows[1..] {
            for column in columns.iter().filter(|c| **c != "supplier") {
                let (said, before) = (row.text(column), first.text(column));
                if let Some(said) = said
                    && before.as_ref() != Some(&said)
                {
                    let before =
                        before.map_or("nothing".to_owned(), |b| format!("`{}`", shown(&b)));
                    let says = format!(
                        "`{column}` is `{}` here and {before} in the first line of {what}",
                        shown(&said)
                    );
                    let hint = "leave it empty, or mend one of the two";
                    let span = row.cells[*column].span();
                    self.tell(span, Fault::new(codes::CONTRADICTORY_OFFER, says, hint));
                    agreed = None;
                }
            }
        }
        agreed
    }

    fn terms(&self, row: &Row<'_>) -> Option<Terms> {
        let percent = |column| self.cell(row, column, |t| figures::percent(t, row.mark));
        let flag = |column| self.cell(row, column, flag);
        let days = |column| self.cell(row, column, days);
        let tax = self.tax(row);
        let [proofs, carriage, packing] = ["proofs", "carriage", "packing"].map(flag);
        let (over, under) = (percent("over_percent"), percent("under_percent"));
        let rate = self.cell(row, "overs_per_thousand", |t| figures::amount(t, row.mark));
        let discount = percent("discount_percent");
        let (within, lead) = (days("discount_days"), days("lead_days"));
        let per_thousand: Option<Money> = rate.ok()?;
        let leeway = match (over.ok()?, under.ok()?) {
            (Some(over_percent), Some(under_percent)) => Some(OfferedLeeway {
                over_percent,
                under_percent,
                per_thousand,
            }),
            (None, None) => None,
            _ => {
                let says = "`over_percent` and `under_percent` belong together";
                let hint = "write `0` where no copies too many or too few are allowed";
                self.tell(row.span.clone(), Fault::new(codes::MISSING_KEY, says, hint));
                return None;
            }
        };
        let within: Option<u32> = within.ok()?;
        let discount = discount.ok()?.map(|percent| Discount {
            percent,
            days: within,
        });
        let includes = Includes {
            proofs: proofs.ok()?,
            carriage: carriage.ok()?,
            packing: packing.ok()?,
        };
        Some((tax?, includes, leeway, discount, lead.ok()?))
    }

    fn tax(&self, row: &Row<'_>) -> Option<Tax> {
        let word = self.cell(row, "tax", |text| match text.to_lowercase().as_str() {
            "included" => Ok(true),
            "excluded" => Ok(false),
            _ => Err(Fault::new(
                codes::UNKNOWN_WORD,
                format!("`{}` is neither `included` nor `excluded`", shown(text)),
                "leave it empty when the offer does not say",
            )),
        });
        let rate = self.cell(row, "tax_percent", |t| figures::percent(t, row.mark));
        match (word.ok()?, rate.ok()?) {
            (None, None) => Some(Tax::Unsaid),
            (Some(true), Some(percent)) => Some(Tax::Included(percent)),
            (Some(false), _) => Some(Tax::Excluded),
            _ => {
                let says = "`tax = included` and `tax_percent` belong together";
                let hint = "give both, or neither when the offer does not say";
                self.tell(row.span.clone(), Fault::new(codes::MISSING_KEY, says, hint));
                None
            }
        }
    }

    fn options(&self, rows: &[Row<'_>]) -> Option<Vec<OfferedOption>> {
        let mut sets: Vec<(Inks, Vec<&Row<'_>>)> = Vec::new();
        let mut sound = true;
        for row in rows {
            match self.cell(row, "inks", inks) {
                Ok(Some(inks)) => match sets.iter().position(|(known, _)| same(known, &inks)) {
                    Some(at) => sets[at].1.push(row),
                    None if sets.len() < MOST_OPTIONS => sets.push((inks, vec![row])),
                    None => {
                        let says = format!("an offer has more than {MOST_OPTIONS} ink sets");
                        self.tell(
                            row.span.clone(),
                            Fault::new(codes::LIST_TOO_LONG, says, "split the table"),
                        );
                        return None;
                    }
                },
                Ok(None) => {
                    self.missing("inks", row);
                    sound = false;
                }
                Err(()) => sound = false,
            }
        }
        let read: Vec<_> = sets
            .iter()
            .map(|(inks, rows)| self.option(inks, rows))
            .collect();
        let options = read.into_iter().collect::<Option<Vec<_>>>()?;
        sound.then_some(options)
    }

    fn option(&self, inks: &Inks, rows: &[&Row<'_>]) -> Option<OfferedOption> {
        let first = *rows.first()?;
        let mark = first.mark;
        let stock = self.cell(first, "stock", name);
        let size = self.cell(first, "size", size);
        let run_on = self.cell(first, "run_on_per_thousand", |t| figures::amount(t, mark));
        let deviations = self.cell(first, "deviations", name);
        let prices: Vec<Option<Priced>> = rows.iter().map(|row| self.priced(row)).collect();
        let mut told = Vec::new();
        for (row, priced) in rows
            .iter()
            .zip(prices.into_iter().collect::<Option<Vec<_>>>()?)
        {
            told.push(priced.told().map_err(|fault| self.price_fault(row, fault)));
        }
        let told = told.into_iter().collect::<Result<Vec<_>, ()>>().ok()?;
        let price = together(told).map_err(|(at, fault)| self.price_fault(rows[at], fault));
        let solid = |name: &String| self.given(first, "inks", name.clone());
        Some(OfferedOption {
            process: inks.0,
            solids: inks.1.iter().map(solid).collect(),
            price: price.ok()?,
            run_on: run_on.ok()?,
            stock: stock.ok()?.map(|s| self.given(first, "stock", s)),
            size: size.ok()?.map(|s| self.given(first, "size", s)),
            deviations: deviations.ok()?.into_iter().collect(),
            place: Some(self.log.place(first.span.clone())),
        })
    }

    fn price_fault(&self, row: &Row<'_>, mut fault: Fault) {
        fault.says = format!("the line {}", fault.says);
        self.tell(row.span.clone(), fault);
    }

    fn priced(&self, row: &Row<'_>) -> Option<Priced> {
        let amount = |column| self.cell(row, column, |t| figures::amount(t, row.mark));
        let copies = self.cell(row, "copies", figures::copies);
        let [total, per_thousand, each, set_up] =
            ["total", "per_thousand", "each", "set_up"].map(amount);
        Some(Priced {
            copies: copies.ok()?,
            total: total.ok()?,
            per_thousand: per_thousand.ok()?,
            each: each.ok()?,
            set_up: set_up.ok()?,
            place: Some(self.log.place(row.span.clone())),
        })
    }
}

type Terms = (
    Tax,
    Includes,
    Option<OfferedLeeway>,
    Option<Discount>,
    Option<u32>,
);
type Inks = ([bool; 4], Vec<String>);

fn same(one: &Inks, other: &Inks) -> bool {
    let key = |inks: &Inks| {
        let mut names: Vec<String> = inks.1.iter().map(|n| n.to_lowercase()).collect();
        names.sort();
        (inks.0, names)
    };
    key(one) == key(other)
}

/// `process + Pumpkin orange`: words for process inks, else names of the job's colours.
fn inks(text: &str) -> Result<Inks, Fault> {
    let mut process = [false; 4];
    let mut solids = Vec::new();
    for word in text.split('+').map(str::trim).filter(|w| !w.is_empty()) {
        match INK_WORDS
            .iter()
            .find(|(known, _)| known.eq_ignore_ascii_case(word))
        {
            Some((_, inks)) => {
                for (ink, on) in process.iter_mut().zip(inks) {
                    *ink |= on;
                }
            }
            None => solids.push(name(word)?),
        }
    }
    Ok((process, solids))
}

fn name(text: &str) -> Result<String, Fault> {
    let text = text.trim();
    if text.chars().count() > LONGEST_TEXT || text.chars().any(char::is_control) {
        let says = format!("must be one line of at most {LONGEST_TEXT} characters");
        return Err(Fault::new(codes::UNFIT_TEXT, says, "shorten it"));
    }
    Ok(text.to_owned())
}

fn currency(text: &str) -> Result<Currency, Fault> {
    Currency::from_code(text.trim()).map_err(|_| {
        let says = format!("`{}` is no code of ISO 4217", shown(text));
        Fault::new(
            codes::UNKNOWN_CURRENCY,
            says,
            "write three capital letters, for instance `EUR`",
        )
    })
}

fn flag(text: &str) -> Result<bool, Fault> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "true" => Ok(true),
        "no" | "false" => Ok(false),
        _ => Err(Fault::new(
            codes::UNKNOWN_WORD,
            format!("`{}` is neither `yes` nor `no`", shown(text)),
            "leave it empty when the offer does not say",
        )),
    }
}

fn days(text: &str) -> Result<u32, Fault> {
    text.trim()
        .parse()
        .ok()
        .filter(|d| *d <= 3_650)
        .ok_or_else(|| {
            let says = format!("`{}` is no number of days from 0 to 3650", shown(text));
            Fault::new(codes::OUT_OF_RANGE, says, "write a whole number")
        })
}

fn size(text: &str) -> Result<Size, Fault> {
    Size::parse(text).map_err(|_| {
        let says = format!("`{}` is not a size", shown(text));
        Fault::new(
            codes::NOT_A_SIZE,
            says,
            "write a name such as `A5`, or `148x210 mm`",
        )
    })
}
