//! JSON text.

use serde::Serialize;

/// Indented, with a final line end.
pub(crate) fn pretty(value: &impl Serialize) -> String {
    let mut text =
        serde_json::to_string_pretty(value).expect("plain structures always become JSON");
    text.push('\n');
    text
}
