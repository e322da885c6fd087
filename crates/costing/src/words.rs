//! Numbers inside the items of lines.

use rust_decimal::Decimal;

/// A count with its digits in groups of three, a no-break space between them (ISO 80000-1).
pub(crate) fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    out
}

/// `1 unit`, `2 units`: nouns that take an s.
pub(crate) fn counted(count: u64, noun: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{} {noun}{ending}", grouped(count))
}

/// A decimal with its whole digits grouped.
pub(crate) fn figure(value: Decimal) -> String {
    let plain = value.normalize().to_string();
    let (sign, digits) = plain
        .strip_prefix('-')
        .map_or(("", plain.as_str()), |d| ("−", d));
    let (whole, rest) = digits.split_once('.').unwrap_or((digits, ""));
    let whole = whole.parse().map_or(whole.to_owned(), grouped);
    let point = if rest.is_empty() { "" } else { "." };
    format!("{sign}{whole}{point}{rest}")
}

/// A physical quantity to six decimals at most.
pub(crate) fn number(value: f64) -> String {
    let decimal = inkset_units::quantity(value, 6);
    decimal.map_or(value.to_string(), figure)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_agree_with_their_noun() {
        assert_eq!(counted(1, "unit"), "1 unit");
        assert_eq!(counted(0, "unit"), "0 units");
        assert_eq!(counted(1_250, "sheet"), "1\u{a0}250 sheets");
        assert_eq!(grouped(1_234_567), "1\u{a0}234\u{a0}567");
        assert_eq!(number(1_234.5), "1\u{a0}234.5");
        assert_eq!(number(0.475_5), "0.4755");
        assert_eq!(figure(Decimal::new(-1_500, 1)), "−150");
    }
}
