//! Fills that differ in lightness and in pattern, so that they are told apart in grey.

use maud::{Markup, html};

/// One of eight fills.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Fill(pub(crate) usize);

impl Fill {
    /// How many there are.
    pub(crate) const ALL: usize = 8;

    /// The class that paints it in the drawing whose patterns were defined under `id`.
    pub(crate) fn paint(self, id: &str) -> String {
        format!("fill:url(#{id}-{})", self.0 % Self::ALL)
    }
}

/// Definitions of fills under an id of the page's own. Each pattern is a ground and lines or dots over it.
pub(crate) fn fills(id: &str, fills: impl Iterator<Item = Fill>) -> Markup {
    html! {
        defs {
            @for Fill(fill) in fills {
                pattern id={ (id) "-" (fill) } width="6" height="6" patternUnits="userSpaceOnUse"
                    patternTransform=[turned(fill)] {
                    rect class={ "ground g" (fill) } width="6" height="6" {}
                    (marks(fill))
                }
            }
        }
    }
}

fn turned(fill: usize) -> Option<&'static str> {
    match fill {
        1 | 6 => Some("rotate(45)"),
        3 => Some("rotate(-45)"),
        _ => None,
    }
}

fn marks(fill: usize) -> Markup {
    match fill {
        1 | 3 => html! { rect class="mark" width="2" height="6" {} },
        2 => html! { circle class="mark" cx="3" cy="3" r="1.2" {} },
        4 => html! { rect class="mark" width="6" height="1.6" {} },
        6 => html! {
            rect class="mark" width="1.4" height="6" {}
            rect class="mark" width="6" height="1.4" {}
        },
        7 => html! { rect class="mark" x="2" width="1.6" height="6" {} },
        _ => html! {},
    }
}
