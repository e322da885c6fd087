//! The frame of every page: head, style, body.

use inkset_report::printable;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// The style of every page: screen in light and dark, print on A4 and Letter.
pub const STYLE: &str = include_str!("style.css");

/// Nothing is loaded and nothing runs, whatever stands in the page.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:";

/// A page before it is text.
pub struct Shell<'a> {
    /// Title of the window.
    pub title: &'a str,
    /// Everything between header and footer, headings from `h1` down.
    pub body: Markup,
}

impl Shell<'_> {
    /// The whole file.
    pub fn into_text(self) -> String {
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta http-equiv="Content-Security-Policy" content=(POLICY);
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    meta name="generator" content={ "inkset " (env!("CARGO_PKG_VERSION")) };
                    title { (printable(self.title)) }
                    style { (PreEscaped(STYLE)) }
                }
                body { (self.body) }
            }
        };
        let mut text = page.into_string();
        text.push('\n');
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn titles_cannot_leave_their_element() {
        let page = Shell {
            title: "</title><script>alert(1)</script>\u{202e}",
            body: html! {},
        };
        let text = page.into_text();
        assert!(!text.contains("<script"), "{text}");
        assert!(!text.contains('\u{202e}'));
        assert!(text.contains("&lt;/title&gt;&lt;script&gt;"));
    }
}
