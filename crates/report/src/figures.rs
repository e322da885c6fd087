//! How single figures are written for people.

use inkset_units::{Currency, Money};

/// Digits in groups of three with a no-break space (ISO 80000-1), which no reader takes for a decimal sign.
pub fn grouped(number: &str) -> String {
    let (sign, digits) = number
        .strip_prefix('-')
        .map_or(("", number), |rest| ("−", rest));
    let (whole, decimals) = digits
        .split_once('.')
        .map_or((digits, None), |(w, d)| (w, Some(d)));
    let mut out = sign.to_owned();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    if let Some(decimals) = decimals {
        out.push('.');
        out.push_str(decimals);
    }
    out
}

/// `a, b and c`; nothing of nothing.
pub fn listed<T: AsRef<str>>(items: &[T]) -> String {
    let items: Vec<&str> = items.iter().map(AsRef::as_ref).collect();
    match items.split_last() {
        None => String::new(),
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// An amount without its currency.
pub fn money_text(money: Money, currency: Currency) -> String {
    grouped(&money.to_text(currency))
}

/// An amount with its sign.
pub fn difference_text(money: Money, currency: Currency) -> String {
    let text = money_text(money, currency);
    if money > Money::ZERO {
        format!("+{text}")
    } else {
        text
    }
}

/// Without control characters and without marks that turn the reading direction.
pub fn printable(text: &str) -> String {
    let turns = |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}');
    text.chars()
        .map(|c| {
            if c == '\n' {
                c
            } else if c.is_control() || turns(c) {
                '\u{fffd}'
            } else {
                c
            }
        })
        .collect()
}

/// Said wherever colours are shown.
pub const CAUTION_SCREEN: &str = "Figures and screen swatches are no proof: only a contract proof or a drawdown on the real paper decides.";

/// Letters of the process inks, in the order of tone values.
pub(crate) const LETTERS: [&str; 4] = ["C", "M", "Y", "K"];

/// A build as a designer types it: `C80 M10`; a paper-white one is `paper`.
pub fn build_text(tones: [u8; 4]) -> String {
    let parts: Vec<String> = LETTERS
        .iter()
        .zip(tones)
        .filter(|(_, tone)| *tone > 0)
        .map(|(letter, tone)| format!("{letter}{tone}"))
        .collect();
    if parts.is_empty() {
        "paper".to_owned()
    } else {
        parts.join(" ")
    }
}

/// `#RRGGBB`.
pub fn hex(rgb: [u8; 3]) -> String {
    format!("#{:02X}{:02X}{:02X}", rgb[0], rgb[1], rgb[2])
}

/// Two decimals.
pub(crate) fn round2(value: f64) -> f64 {
    // Adding zero turns -0 into 0.
    (value * 100.0).round() / 100.0 + 0.0
}

/// Numbers of pages or options, neighbours drawn together: `1-3, 7`.
pub(crate) fn runs(numbers: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &number in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => runs.push((number, number)),
        }
    }
    let text = |&(first, last): &(usize, usize)| {
        if first == last {
            first.to_string()
        } else {
            format!("{first}-{last}")
        }
    };
    runs.iter().map(text).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_stand_apart() {
        for (plain, shown) in [
            ("1", "1"),
            ("1234.50", "1\u{a0}234.50"),
            ("-1234567", "−1\u{a0}234\u{a0}567"),
            ("999.99", "999.99"),
        ] {
            assert_eq!(grouped(plain), shown);
        }
    }

    #[test]
    fn neighbours_are_drawn_together() {
        assert_eq!(runs(&[1, 2, 3, 7, 9, 10]), "1-3, 7, 9-10");
    }
}
