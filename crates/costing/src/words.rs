//! Numbers inside the items of lines.

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_agree_with_their_noun() {
        assert_eq!(counted(1, "unit"), "1 unit");
        assert_eq!(counted(0, "unit"), "0 units");
        assert_eq!(counted(1_250, "sheet"), "1\u{a0}250 sheets");
        assert_eq!(grouped(1_234_567), "1\u{a0}234\u{a0}567");
    }
}
