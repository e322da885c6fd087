//! Words and figures in the running text.

use inkset_report::{grouped, printable};
use maud::{Markup, html};

/// Something named by a user: in a reading direction of its own, without marks that turn that of the page.
pub fn name(text: &str) -> Markup {
    html! { bdi { (printable(text)) } }
}

/// A message of the program: what stands between backticks is somebody's own.
pub(crate) fn told(text: &str) -> Markup {
    let parts = text.split('`').enumerate();
    html! {
        @for (at, part) in parts {
            @if at % 2 == 0 { (printable(part)) } @else { q { (name(part)) } }
        }
    }
}

/// `3 000 copies`.
pub fn copies(quantity: u64) -> String {
    let noun = if quantity == 1 { "copy" } else { "copies" };
    format!("{} {noun}", grouped(&quantity.to_string()))
}

/// A number of a drawing's attributes: at most two decimals, no trailing zeros.
pub(crate) fn number(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0 + 0.0;
    rounded.to_string()
}
