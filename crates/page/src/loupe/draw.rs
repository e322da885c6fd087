//! Loupe views as SVG: one pattern an ink, masks where inks lie over each other.

use inkset_colour::srgb_from_lab;
use inkset_report::hex;
use maud::{Markup, html};

use super::{FIELD, Loupe, LoupeInk};
use crate::text::number;

/// Units of the drawing to a millimetre.
const UNITS: f64 = 100.0;

/// Draws a loupe view; `id` must be the page's own and start with a letter.
pub fn loupe_drawing(id: &str, loupe: &Loupe, label: &str) -> Markup {
    let field = FIELD * UNITS;
    let screened: Vec<usize> = (0..loupe.inks.len())
        .filter(|&at| !loupe.inks[at].dots.is_even())
        .collect();
    // Even films lie under everything that is drawn.
    let ground: usize = (0..loupe.inks.len())
        .filter(|at| !screened.contains(at))
        .map(|at| 1 << at)
        .sum();
    html! {
        svg class="loupe" data-srgb=(hex(srgb_from_lab(loupe.lab))) data-ruling=(number(loupe.ruling))
            viewBox={ "0 0 " (number(field)) " " (number(field)) } role="img" aria-label=(label) {
            defs {
                @for &at in &screened { (screen(id, at, loupe)) }
            }
            (layer(id, loupe, (ground, &screened)))
        }
    }
}

/// The dots of one ink, and the mask that they make.
fn screen(id: &str, at: usize, loupe: &Loupe) -> Markup {
    let ink: &LoupeInk = &loupe.inks[at];
    let distance = 10.0 / loupe.ruling * UNITS;
    let field = number(FIELD * UNITS);
    let reversed = ink.dots.is_reversed();
    html! {
        pattern id={ (id) "p" (at) } width=(number(distance)) height=(number(distance)) patternUnits="userSpaceOnUse"
            data-angle=(number(ink.dots.angle)) data-area=(exact(ink.dots.area)) patternTransform={ "rotate(" (number(-ink.dots.angle)) ")" } {
            circle cx=(number(distance / 2.0)) cy=(number(distance / 2.0)) r=(exact(ink.dots.radius() * distance))
                fill=(if reversed { "#000" } else { "#fff" }) {}
        }
        mask id={ (id) "m" (at) } maskUnits="userSpaceOnUse" x="0" y="0" width=(field) height=(field) {
            @if reversed { rect width=(field) height=(field) fill="#fff" {} }
            rect width=(field) height=(field) fill={ "url(#" (id) "p" (at) ")" } {}
        }
    }
}

/// The field in the colour of the inks laid so far; within it, ink by ink, where each further one lies over them.
fn layer(id: &str, loupe: &Loupe, (laid, further): (usize, &[usize])) -> Markup {
    let field = number(FIELD * UNITS);
    html! {
        rect width=(field) height=(field) fill=(hex(loupe.overlaps[laid])) {}
        // The last ink comes first, so that what is painted later covers no overlap with fewer inks.
        @for (n, &at) in further.iter().enumerate().rev() {
            g mask={ "url(#" (id) "m" (at) ")" } {
                (layer(id, loupe, (laid | 1 << at, &further[n + 1..])))
            }
        }
    }
}

/// Four decimals: the area goes with the square.
fn exact(value: f64) -> String {
    let rounded = (value * 10_000.0).round() / 10_000.0;
    rounded.to_string()
}
