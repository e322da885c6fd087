//! CSV text (RFC 4180, with line ends as on Unix).

/// A header and its rows. A field that a spreadsheet would take for a formula is kept as text.
pub(crate) fn csv_text(header: Vec<String>, rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    for row in std::iter::once(header).chain(rows) {
        writer
            .write_record(row.iter().map(|field| harmless(field)))
            .expect("memory takes every record");
    }
    let bytes = writer.into_inner().expect("memory takes every record");
    String::from_utf8(bytes).expect("fields are text")
}

/// A name that begins like a formula is prefixed with an apostrophe; numbers are left alone.
fn harmless(field: &str) -> String {
    let formula =
        field.starts_with(['=', '+', '-', '@', '\t', '\r']) && field.parse::<f64>().is_err();
    if formula {
        format!("'{field}")
    } else {
        field.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_never_become_formulas() {
        let text = csv_text(
            vec!["name".to_owned()],
            [
                vec!["=1+1".to_owned()],
                vec!["-2.5".to_owned()],
                vec!["a,b".to_owned()],
            ],
        );
        assert_eq!(text, "name\n'=1+1\n-2.5\n\"a,b\"\n");
    }
}
