//! Colours on the screen.

use inkset_colour::{LabD50, srgb_from_lab};
use inkset_report::hex;
use maud::{Markup, html};

/// A patch of a colour; the words beside it say which, so readers that do not see it pass it over.
pub fn swatch(class: &str, lab: LabD50) -> Markup {
    let colour = hex(srgb_from_lab(lab));
    html! {
        span class={ "swatch " (class) } data-srgb=(colour) style={ "background-color:" (colour) }
            aria-hidden="true" {}
    }
}

/// Patches on the white of their paper.
pub fn paper_ground(paper: LabD50, patches: &Markup) -> Markup {
    let colour = hex(srgb_from_lab(paper));
    html! {
        div .paper data-srgb=(colour) style={ "background-color:" (colour) } { (patches) }
    }
}

/// A patch of an effect, which no screen shows.
pub(crate) fn effect_swatch(class: &str) -> Markup {
    html! { span class={ "swatch effect " (class) } aria-hidden="true" {} }
}
