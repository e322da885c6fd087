//! Amounts, percentages, days and counts as suppliers write them; what could be read in two ways is refused.

use inkset_units::Money;
use jiff::civil::Date;
use rust_decimal::Decimal;

use crate::codes;
use crate::read::shown;

/// Largest amount that is believed.
const LARGEST_AMOUNT: u32 = 100_000_000;
/// Most copies of one order.
pub(super) const MOST_COPIES: u64 = 10_000_000;

/// Why a figure cannot be used: the code, what is wrong with it, what to write.
#[derive(Debug, PartialEq)]
pub(super) struct Fault {
    pub(super) code: &'static str,
    pub(super) says: String,
    pub(super) hint: String,
}

impl Fault {
    pub(super) fn new(
        code: &'static str,
        says: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self {
            code,
            says: says.into(),
            hint: hint.into(),
        }
    }
}

/// The sign before decimals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Mark {
    Point,
    /// As in tables whose columns are parted by semicolons or tabs.
    PointOrComma,
}

/// An amount, not negative.
pub(super) fn amount(written: &str, mark: Mark) -> Result<Money, Fault> {
    let amount = signed(written, mark)?;
    let quoted = shown(written);
    let hint = "write digits with at most one point, for instance `12.50`";
    if amount < Money::ZERO {
        return Err(Fault::new(
            codes::NOT_AN_AMOUNT,
            format!("`{quoted}` is negative"),
            "a reduction belongs into `[discount]`, or into the price itself",
        ));
    }
    if amount.amount() > LARGEST_AMOUNT.into() {
        let says = format!("`{quoted}` is more than 100,000,000");
        return Err(Fault::new(codes::NOT_AN_AMOUNT, says, hint));
    }
    Ok(amount)
}

fn signed(written: &str, mark: Mark) -> Result<Money, Fault> {
    let text = written.trim();
    let bare = text.trim_start_matches(['-', '+']);
    let quoted = shown(text);
    let ambiguous = |says: &str, hint: String| {
        Err(Fault::new(
            codes::AMBIGUOUS_AMOUNT,
            format!("`{quoted}` {says}"),
            hint,
        ))
    };
    let points = bare.matches('.').count();
    let commas = bare.matches(',').count();
    if points + commas > 1 {
        let says =
            "has more than one point or comma, and which of them parts the decimals is not certain";
        return ambiguous(says, ungrouped_hint(bare));
    }
    let (whole, decimals) = bare.split_once(['.', ',']).unwrap_or((bare, ""));
    if decimals.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0') {
        let hint = format!("write `{whole}{decimals}` or `{whole}.{decimals}0`");
        return ambiguous("may be thousands or may be decimals", hint);
    }
    let plain = match mark {
        Mark::PointOrComma => text.replace(',', "."),
        Mark::Point => text.to_owned(),
    };
    Money::parse(&plain).map_err(|_| {
        let hint = if commas == 1 && mark == Mark::Point {
            format!("write the decimals after a point: `{whole}.{decimals}`")
        } else {
            "write digits with at most one point, for instance `12.50`".to_owned()
        };
        Fault::new(
            codes::NOT_AN_AMOUNT,
            format!("`{quoted}` is not an amount"),
            hint,
        )
    })
}

/// `1.234,56` and `1,234.56` both become `1234.56` in the hint.
fn ungrouped_hint(bare: &str) -> String {
    let Some(last) = bare.rfind(['.', ',']) else {
        return String::new();
    };
    let digits = |text: &str| -> String { text.chars().filter(char::is_ascii_digit).collect() };
    let (whole, decimals) = (digits(&bare[..last]), digits(&bare[last..]));
    let kinds = [bare.contains('.'), bare.contains(',')];
    if kinds == [true, true] && decimals.len() != 3 {
        format!("write it without thousands signs: `{whole}.{decimals}`")
    } else {
        format!("write it without thousands signs, for instance `{whole}{decimals}`")
    }
}

/// A percentage from 0 to 100: `5`, `2.5` or `"0.5 %"`; a bare number below 1 is refused, as it may be a fraction.
pub(super) fn percent(written: &str, mark: Mark) -> Result<Decimal, Fault> {
    let text = written.trim();
    let (number, signed) = match text.strip_suffix('%') {
        Some(number) => (number.trim(), true),
        None => (text, false),
    };
    let plain = match mark {
        Mark::PointOrComma => number.replace(',', "."),
        Mark::Point => number.to_owned(),
    };
    let quoted = shown(text);
    let Ok(percent) = Money::parse(&plain).map(Money::amount) else {
        let says = format!("`{quoted}` is not a percentage");
        return Err(Fault::new(
            codes::WRONG_TYPE,
            says,
            "write `5` for five percent",
        ));
    };
    if percent.is_sign_negative() && !percent.is_zero() || percent > Decimal::ONE_HUNDRED {
        let says = format!("`{quoted}` is out of range, must be 0 to 100 %");
        return Err(Fault::new(
            codes::OUT_OF_RANGE,
            says,
            "write `5` for five percent",
        ));
    }
    if !signed && !percent.is_zero() && percent < Decimal::ONE {
        let hundredfold = (percent * Decimal::ONE_HUNDRED).normalize();
        return Err(Fault::new(
            codes::AMBIGUOUS_PERCENT,
            format!("`{quoted}` may be {quoted} % or the fraction for {hundredfold} %"),
            format!("write `{hundredfold}` or `\"{quoted} %\"`"),
        ));
    }
    Ok(percent)
}

/// A calendar day.
pub(super) fn day(written: &str) -> Result<Date, Fault> {
    let text = written.trim();
    let shaped = text.len() == 10 && text.bytes().filter(|b| *b == b'-').count() == 2;
    text.parse().ok().filter(|_| shaped).ok_or_else(|| {
        Fault::new(
            codes::NOT_A_DATE,
            format!("`{}` is not a calendar date", shown(text)),
            "write year, month, day, for instance `2026-11-20`",
        )
    })
}

/// A whole number of copies.
pub(super) fn copies(written: &str) -> Result<u64, Fault> {
    let quoted = shown(written.trim());
    let parsed = written.trim().replace('_', "").parse::<u64>();
    match parsed {
        Ok(copies) if (1..=MOST_COPIES).contains(&copies) => Ok(copies),
        _ => Err(Fault::new(
            codes::QUANTITY_OUT_OF_RANGE,
            format!("`{quoted}` is no whole number of copies from 1 to 10,000,000"),
            "a quantity is the number of finished copies, written without thousands signs",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_of_two_readings_are_refused() {
        for (written, hint) in [
            ("1.234,56", "`1234.56`"),
            ("1,234.56", "`1234.56`"),
            ("1.234.567", "`1234567`"),
            ("1.234", "`1234` or `1.2340`"),
            ("12,345", "`12345` or `12.3450`"),
        ] {
            for mark in [Mark::Point, Mark::PointOrComma] {
                let fault = amount(written, mark).unwrap_err();
                assert_eq!(fault.code, codes::AMBIGUOUS_AMOUNT, "{written}");
                assert!(fault.hint.contains(hint), "{written}: {}", fault.hint);
            }
        }
    }

    #[test]
    fn amounts_of_one_reading_are_taken() {
        for (written, mark, exact) in [
            ("1234.56", Mark::Point, "1234.56"),
            ("0.125", Mark::Point, "0.125"),
            ("1_234", Mark::Point, "1234"),
            ("12,50", Mark::PointOrComma, "12.50"),
            ("1.2340", Mark::Point, "1.2340"),
        ] {
            assert_eq!(amount(written, mark).unwrap().amount().to_string(), exact);
        }
        let fault = amount("12,50", Mark::Point).unwrap_err();
        assert!(fault.hint.contains("`12.50`"), "{}", fault.hint);
        assert_eq!(
            amount("-3", Mark::Point).unwrap_err().code,
            codes::NOT_AN_AMOUNT
        );
    }

    #[test]
    fn percent_below_one_needs_its_sign() {
        assert_eq!(percent("5", Mark::Point).unwrap(), Decimal::from(5));
        assert_eq!(percent("0", Mark::Point).unwrap(), Decimal::ZERO);
        assert_eq!(percent("0.5 %", Mark::Point).unwrap(), Decimal::new(5, 1));
        let fault = percent("0.05", Mark::Point).unwrap_err();
        assert_eq!(fault.code, codes::AMBIGUOUS_PERCENT);
        assert_eq!(fault.hint, "write `5` or `\"0.05 %\"`");
        assert_eq!(
            percent("120", Mark::Point).unwrap_err().code,
            codes::OUT_OF_RANGE
        );
        assert_eq!(
            percent("-2", Mark::Point).unwrap_err().code,
            codes::OUT_OF_RANGE
        );
    }

    #[test]
    fn days_and_copies_are_plain() {
        assert_eq!(day("2026-11-20").unwrap().to_string(), "2026-11-20");
        for written in ["20.11.2026", "2026-02-30", "2026-11-20T10:00"] {
            assert_eq!(
                day(written).unwrap_err().code,
                codes::NOT_A_DATE,
                "{written}"
            );
        }
        for written in ["0", "5.000", "-5", "10000001"] {
            assert_eq!(
                copies(written).unwrap_err().code,
                codes::QUANTITY_OUT_OF_RANGE
            );
        }
    }
}
