//! Reads one value: what it is, whether it may be that, and where it stands.

use std::ops::Range;

use inkset_units::{Coverage, Millimetres, Money, Percent, Size};
use toml::Spanned;
use toml::de::DeValue;

use super::table::words;
use super::{Log, nearest, shown};
use crate::{Given, Notice, Place, codes};

/// Longest name or title, characters.
pub(crate) const LONGEST_TEXT: usize = 200;
/// Largest rate or price, so that no sum can leave the range of a decimal.
const LARGEST_AMOUNT: u32 = 100_000_000;
/// Longest edge of a sheet or page, mm.
const LONGEST_EDGE: f64 = 5_000.0;
/// Most entries of a list.
pub(crate) const MOST_ENTRIES: usize = 500;

/// Smallest and largest allowed value of a number, with its unit and an example.
#[derive(Clone, Copy)]
pub(crate) struct Limits {
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) unit: &'static str,
    pub(crate) example: &'static str,
}

impl Limits {
    pub(crate) const fn new(
        low: f64,
        high: f64,
        unit: &'static str,
        example: &'static str,
    ) -> Self {
        Self {
            low,
            high,
            unit,
            example,
        }
    }
}

/// One value of a file.
#[derive(Clone)]
pub(crate) struct Value<'a> {
    log: &'a Log<'a>,
    key: &'static str,
    owner: String,
    /// Whether it is one of several values of its key.
    listed: bool,
    raw: &'a Spanned<DeValue<'a>>,
}

impl<'a> Value<'a> {
    pub(crate) fn new(
        log: &'a Log<'a>,
        key: &'static str,
        owner: String,
        raw: &'a Spanned<DeValue<'a>>,
    ) -> Self {
        Self {
            log,
            key,
            owner,
            listed: false,
            raw,
        }
    }

    pub(crate) fn log(&self) -> &'a Log<'a> {
        self.log
    }

    pub(crate) fn key(&self) -> &'static str {
        self.key
    }

    /// The same value of the same key, written as that of another key.
    pub(crate) fn standing_for(&self, other: &Value<'a>) -> Value<'a> {
        Value {
            raw: other.raw,
            ..self.clone()
        }
    }

    pub(crate) fn raw(&self) -> &'a DeValue<'a> {
        self.raw.get_ref()
    }

    pub(crate) fn span(&self) -> Range<usize> {
        self.raw.span()
    }

    pub(crate) fn place(&self) -> Place {
        self.log.place(self.span())
    }

    /// What messages call the value, for instance ``` `tint` of colour `Orange` ```.
    pub(crate) fn subject(&self) -> String {
        let entry = if self.listed { "an entry of " } else { "" };
        match self.owner.as_str() {
            "" => format!("{entry}`{}`", self.key),
            owner => format!("{entry}`{}` of {owner}", self.key),
        }
    }

    /// An error at this value.
    pub(crate) fn error(&self, code: &'static str, message: impl Into<String>) -> Notice {
        self.log.error(code, message).at(Some(self.place()))
    }

    /// Reports an error at this value, with a hint.
    pub(crate) fn refuse<T>(
        &self,
        code: &'static str,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Option<T> {
        self.log.report(self.error(code, message).hint(hint));
        None
    }

    pub(crate) fn wrong_type<T>(&self, wanted: &str) -> Option<T> {
        let message = format!("{} is {}, must be {wanted}", self.subject(), self.what());
        self.log.report(self.error(codes::WRONG_TYPE, message));
        None
    }

    fn what(&self) -> &'static str {
        match self.raw() {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) => "a whole number",
            DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        }
    }

    pub(crate) fn given<T>(&self, value: T) -> Given<T> {
        Given::at(value, self.place())
    }

    /// Text as it is written, without a limit on what it says.
    pub(crate) fn raw_text(&self) -> Option<&'a str> {
        match self.raw() {
            DeValue::String(text) => Some(text.as_ref()),
            _ => self.wrong_type("a text in quotation marks"),
        }
    }

    /// A name or title: 1 to 200 characters, no control characters.
    pub(crate) fn text(&self) -> Option<Given<String>> {
        let text = self.raw_text()?.trim();
        if text.is_empty() {
            return self.refuse(
                codes::EMPTY_TEXT,
                format!("{} is empty", self.subject()),
                "write a text",
            );
        }
        if text.chars().count() > LONGEST_TEXT || text.chars().any(char::is_control) {
            let message = format!(
                "{} must be one line of at most {LONGEST_TEXT} characters",
                self.subject()
            );
            return self.refuse(codes::UNFIT_TEXT, message, "shorten it");
        }
        Some(self.given(text.to_owned()))
    }

    /// True or false.
    pub(crate) fn flag(&self) -> Option<Given<bool>> {
        match self.raw() {
            DeValue::Boolean(flag) => Some(self.given(*flag)),
            _ => self.wrong_type("`true` or `false`"),
        }
    }

    /// One of a few words.
    pub(crate) fn choice<T: Copy>(&self, choices: &[(&'static str, T)]) -> Option<Given<T>> {
        let allowed = || choices.iter().map(|(word, _)| *word);
        let DeValue::String(text) = self.raw() else {
            return self.wrong_type(&format!("one of {}", words(allowed())));
        };
        if let Some((_, choice)) = choices.iter().find(|(word, _)| *word == text.as_ref()) {
            return Some(self.given(*choice));
        }
        let message = format!(
            "{} is `{}`, must be one of {}",
            self.subject(),
            shown(text),
            words(allowed())
        );
        let notice = self.error(codes::UNKNOWN_WORD, message);
        self.log.report(match nearest(text, allowed()) {
            Some(meant) => notice.hint(format!("did you mean `{meant}`?")),
            None => notice,
        });
        None
    }

    /// A number within limits.
    pub(crate) fn number(&self, limits: Limits) -> Option<Given<f64>> {
        let number = self.plain_number()?;
        if !(limits.low..=limits.high).contains(&number) {
            return self.out_of_range(&number.to_string(), limits);
        }
        Some(self.given(number))
    }

    /// A finite number, without limits.
    pub(crate) fn plain_number(&self) -> Option<f64> {
        if let Some(end) = self.end_of_range().ok()? {
            return end.plain_number();
        }
        let digits = match self.raw() {
            DeValue::Integer(whole) if whole.radix() == 10 => whole.as_str(),
            DeValue::Float(number) => number.as_str(),
            _ => return self.wrong_type("a number"),
        };
        match digits.parse::<f64>() {
            Ok(number) if number.is_finite() => Some(number),
            _ => self.wrong_type("a finite number"),
        }
    }

    fn out_of_range<T>(&self, found: &str, limits: Limits) -> Option<T> {
        let Limits {
            low, high, unit, ..
        } = limits;
        let unit = if unit.is_empty() {
            String::new()
        } else {
            format!(" {unit}")
        };
        let message = format!(
            "{} is {}, must be {low} to {high}{unit}",
            self.subject(),
            shown(found)
        );
        self.log.report(self.error(codes::OUT_OF_RANGE, message));
        None
    }

    /// A whole number within limits.
    pub(crate) fn count(&self, limits: Limits) -> Option<Given<u64>> {
        if let Some(end) = self.end_of_range().ok()? {
            return end.count(limits);
        }
        let DeValue::Integer(whole) = self.raw() else {
            return self.wrong_type("a whole number");
        };
        let within = |n: &u64| (limits.low..=limits.high).contains(&(*n as f64));
        match u64::from_str_radix(whole.as_str(), whole.radix())
            .ok()
            .filter(within)
        {
            Some(count) => Some(self.given(count)),
            None => self.out_of_range(whole.as_str(), limits),
        }
    }

    /// A whole number of any size that fits; hexadecimal and the like count too.
    pub(crate) fn whole(&self) -> Option<i128> {
        match self.raw() {
            DeValue::Integer(whole) => i128::from_str_radix(whole.as_str(), whole.radix())
                .ok()
                .or_else(|| self.wrong_type("a whole number of fewer digits")),
            _ => self.wrong_type("a whole number"),
        }
    }

    /// A percentage, not negative, at most `most`.
    pub(crate) fn percent(&self, most: f64) -> Option<Given<Percent>> {
        let number = self.number(Limits::new(0.0, most, "%", "5"))?;
        Percent::new(*number).map(|percent| self.given(percent))
    }

    /// An amount of money, read digit by digit: never by way of a float.
    pub(crate) fn money(&self) -> Option<Given<Money>> {
        if let Some(end) = self.end_of_range().ok()? {
            return end.money();
        }
        let digits = match self.raw() {
            DeValue::Integer(whole) if whole.radix() == 10 => whole.as_str(),
            DeValue::Float(number) => number.as_str(),
            DeValue::String(text) => text.as_ref(),
            _ => return self.wrong_type("an amount such as `12.50`"),
        };
        match Money::parse(digits) {
            Ok(amount) if amount < Money::ZERO => self.bad_amount(digits, "is negative"),
            Ok(amount) if amount.amount() > LARGEST_AMOUNT.into() => {
                self.bad_amount(digits, "is more than 100,000,000")
            }
            Ok(amount) => Some(self.given(amount)),
            Err(_) => self.bad_amount(digits, "is not an amount"),
        }
    }

    fn bad_amount<T>(&self, digits: &str, fault: &str) -> Option<T> {
        let message = format!("{}: `{}` {fault}", self.subject(), shown(digits));
        let hint = "write digits with at most one point, for instance `12.50`";
        self.refuse(codes::NOT_AN_AMOUNT, message, hint)
    }

    /// A sheet or page size, by name or by its edges.
    pub(crate) fn size(&self) -> Option<Given<Size>> {
        let text = self.raw_text()?;
        let hint = "write a name such as `A4`, `SRA2` or `Letter`, or `210x297 mm`, `8.5x11 in`";
        match Size::parse(text) {
            Ok(size) if size.long_edge().mm() > LONGEST_EDGE => {
                let message = format!(
                    "{} is {size}, longer than {LONGEST_EDGE} mm",
                    self.subject()
                );
                self.refuse(codes::OUT_OF_RANGE, message, hint)
            }
            Ok(size) => Some(self.given(size)),
            Err(_) => {
                let message = format!("{}: `{}` is not a size", self.subject(), shown(text));
                self.refuse(codes::NOT_A_SIZE, message, hint)
            }
        }
    }

    /// A length with its unit, 0 to `most` mm.
    pub(crate) fn length(&self, most: f64) -> Option<Given<Millimetres>> {
        let hint = "write the unit too, for instance `\"3 mm\"` or `\"0.125 in\"`";
        let DeValue::String(text) = self.raw() else {
            let message = format!(
                "{} is {}, must be a length with its unit",
                self.subject(),
                self.what()
            );
            return self.refuse(codes::NOT_A_LENGTH, message, hint);
        };
        let limits = Limits::new(0.0, most, "mm", "");
        let below_zero = text.trim().strip_prefix(['-', '−']);
        match Millimetres::parse(text) {
            Ok(length) if (0.0..=most).contains(&length.mm()) => Some(self.given(length)),
            Ok(length) => self.out_of_range(&length.to_string(), limits),
            Err(_) if below_zero.is_some_and(|rest| Millimetres::parse(rest).is_ok()) => {
                self.out_of_range(text.trim(), limits)
            }
            Err(_) => {
                let message = format!("{}: `{}` is not a length", self.subject(), shown(text));
                self.refuse(codes::NOT_A_LENGTH, message, hint)
            }
        }
    }

    /// A share of an area: `0.35` or `"35 %"`.
    pub(crate) fn coverage(&self) -> Option<Given<Coverage>> {
        let fraction = match self.raw() {
            DeValue::String(text) => self.written_percent(text)? / 100.0,
            _ => self.plain_number()?,
        };
        if let Some(coverage) = Coverage::from_fraction(fraction) {
            return Some(self.given(coverage));
        }
        if fraction < 0.0 {
            return self.out_of_range(&fraction.to_string(), Limits::new(0.0, 1.0, "", ""));
        }
        let message = format!("{} is {fraction}, more than the whole area", self.subject());
        self.refuse(codes::COVERAGE_OVER_ONE, message, percent_hint(fraction))
    }

    fn written_percent(&self, text: &str) -> Option<f64> {
        let digits = text.trim().strip_suffix('%').map(str::trim);
        let number = digits
            .filter(|d| !d.is_empty() && d.chars().all(|c| c.is_ascii_digit() || c == '.'))
            .and_then(|d| d.parse().ok());
        if number.is_none() {
            let message = format!("{}: `{}` is not a share", self.subject(), shown(text));
            return self.refuse(codes::NOT_A_SHARE, message, "write `0.35` or `\"35 %\"`");
        }
        number
    }

    /// The entries of a list, at most 500.
    pub(crate) fn list(&self) -> Option<Vec<Value<'a>>> {
        let DeValue::Array(entries) = self.raw() else {
            return self.wrong_type("a list in `[` `]`");
        };
        if entries.len() > MOST_ENTRIES {
            let message = format!(
                "{} has {} entries, more than {MOST_ENTRIES}",
                self.subject(),
                entries.len()
            );
            return self.refuse(codes::LIST_TOO_LONG, message, "split the file");
        }
        Some(entries.iter().map(|raw| self.entry(raw)).collect())
    }

    /// A list that must have an entry.
    pub(crate) fn filled_list(&self) -> Option<Vec<Value<'a>>> {
        let entries = self.list()?;
        if entries.is_empty() {
            return self.refuse(
                codes::EMPTY_LIST,
                format!("{} is empty", self.subject()),
                "list at least one",
            );
        }
        Some(entries)
    }

    fn entry(&self, raw: &'a Spanned<DeValue<'a>>) -> Value<'a> {
        Value {
            listed: true,
            raw,
            ..self.clone()
        }
    }
}

fn percent_hint(fraction: f64) -> String {
    if (2.0..=100.0).contains(&fraction) {
        let share = (fraction * 100.0).round() / 10_000.0;
        return format!("write a fraction: {fraction} % is `{share}`");
    }
    "write a fraction from 0 to 1, or a percentage such as `\"35 %\"`".to_owned()
}
