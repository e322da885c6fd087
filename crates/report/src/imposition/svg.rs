//! Imposed sheets as one SVG 1.1 picture; lengths are mm of the sheet.

use std::fmt::Write as _;

use inkset_layout::{ImposedSide, Parting, PlacedPiece};
use inkset_spec::SheetGrain;

use super::{ImposedSection, ImpositionReport};

/// Free around every drawing, mm of the sheet.
const MARGIN: f64 = 20.0;
/// Height of the three lines of text above a sheet.
const TITLE: f64 = 66.0;
/// Below a sheet: gripper and grain.
const FOOT: f64 = 40.0;
const STYLE: &str = "text{font-family:sans-serif;fill:#222}\
.sheet{fill:#fff;stroke:#222;stroke-width:1.5}.grip{fill:#ddd}\
.piece{fill:#f6f4ee;stroke:#222;stroke-width:1}\
.struck{fill:#f6f4ee;stroke:#b3261e;stroke-width:1}.cut{stroke:#b3261e;stroke-width:1}\
.fold{stroke:#1f4e9e;stroke-width:1;stroke-dasharray:6 4}.number{fill:#1f4e9e}\
.head{stroke:#222;stroke-width:1;fill:none}";

/// Draws every side of every sheet, one below the other. The picture needs nothing from outside and may stand in a page of HTML.
pub fn imposition_svg(report: &ImpositionReport) -> String {
    let mut body = String::new();
    let (mut y, mut width) = (MARGIN, 0.0_f64);
    for section in &report.sections {
        for (name, side) in section.sides() {
            let sheet = section.imposition.sheet;
            side_of(&mut body, (section, name, &side), y);
            width = width.max(sheet.width.mm());
            y += TITLE + sheet.height.mm() + FOOT + MARGIN;
        }
    }
    let (width, height) = (width.max(400.0) + 2.0 * MARGIN, y);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\" width=\"100%\" role=\"img\">\
         <title>{}</title><style>{STYLE}</style>\n{body}</svg>\n",
        mm(width),
        mm(height),
        escaped(&format!("{}, {}", report.title, report.option)),
    )
}

fn side_of(out: &mut String, (section, name, side): (&ImposedSection, &str, &ImposedSide), y: f64) {
    let sheet = section.imposition.sheet;
    let (width, height) = (sheet.width.mm(), sheet.height.mm());
    let _ = writeln!(
        out,
        "<g transform=\"translate({} {})\"><text y=\"20\" font-size=\"20\">{}</text>\
         <text y=\"40\" font-size=\"13\">{}</text><text y=\"57\" font-size=\"13\">{name}</text></g>",
        mm(MARGIN),
        mm(y),
        escaped(&section.name()),
        escaped(&section.way()),
    );
    let _ = writeln!(
        out,
        "<g transform=\"translate({} {})\"><rect class=\"sheet\" width=\"{}\" height=\"{}\"/>",
        mm(MARGIN),
        mm(y + TITLE),
        mm(width),
        mm(height),
    );
    grippers(out, section, (width, height));
    let outline = match section.imposition.parting {
        Parting::Cut => "piece",
        Parting::Die => "struck",
    };
    for piece in &side.pieces {
        rectangle(out, outline, piece);
    }
    for fold in &side.folds {
        line(
            out,
            "fold",
            [fold.line.x1, fold.line.y1, fold.line.x2, fold.line.y2],
        );
        let upright = (fold.line.x1 - fold.line.x2).abs() < 1e-6;
        let (x, y) = if upright {
            (fold.line.x1 + 3.0, fold.line.y1.min(fold.line.y2) + 16.0)
        } else {
            (fold.line.x1.min(fold.line.x2) + 4.0, fold.line.y1 - 3.0)
        };
        let _ = writeln!(
            out,
            "<text class=\"number\" x=\"{}\" y=\"{}\" font-size=\"14\">{}</text>",
            mm(x),
            mm(y),
            fold.number
        );
    }
    for cut in &side.cuts {
        line(out, "cut", [cut.x1, cut.y1, cut.x2, cut.y2]);
    }
    for (place, page, head) in &side.pages {
        page_of(out, place, (*page, *head));
    }
    foot(out, section, (width, height));
    out.push_str("</g>\n");
}

/// Number of a page turned with its head, and a short line under it that stands for the foot.
fn page_of(
    out: &mut String,
    place: &PlacedPiece,
    (page, head): (Option<u32>, inkset_layout::Head),
) {
    use inkset_layout::Head::{Down, Left, Right, Up};
    let turn = match head {
        Up => 0,
        Right => 90,
        Down => 180,
        Left => 270,
    };
    let size = (place.width.min(place.height) * 0.3).clamp(6.0, 60.0);
    let (x, y) = (place.x + place.width / 2.0, place.y + place.height / 2.0);
    let page = page.map_or("–".to_owned(), |page| page.to_string());
    let _ = writeln!(
        out,
        "<g transform=\"translate({} {}) rotate({turn})\"><text text-anchor=\"middle\" y=\"{}\" font-size=\"{}\">{page}</text>\
         <path class=\"head\" d=\"M {} {} L 0 {} L {} {}\"/></g>",
        mm(x),
        mm(y),
        mm(size * 0.35),
        mm(size),
        mm(-size * 0.2),
        mm(-size * 0.5),
        mm(-size * 0.75),
        mm(size * 0.2),
        mm(-size * 0.5),
    );
}

fn grippers(out: &mut String, section: &ImposedSection, (width, height): (f64, f64)) {
    let mm_high = section.gripper_mm;
    let mut band = |y: f64| {
        let place = PlacedPiece {
            x: 0.0,
            y,
            width,
            height: mm_high,
        };
        rectangle(out, "grip", &place);
    };
    band(height - mm_high);
    if section.imposition.grips_both_edges() {
        band(0.0);
    }
}

fn foot(out: &mut String, section: &ImposedSection, (width, height): (f64, f64)) {
    let _ = writeln!(
        out,
        "<text x=\"0\" y=\"{}\" font-size=\"14\">{}</text>",
        mm(height + 18.0),
        escaped(&section.grippers()),
    );
    let (x, y) = (width - 90.0, height + 14.0);
    let turn = match section.imposition.grain {
        SheetGrain::Long => 0,
        SheetGrain::Short => 90,
    };
    let _ = writeln!(
        out,
        "<text x=\"{}\" y=\"{}\" font-size=\"14\" text-anchor=\"end\">grain</text>\
         <path class=\"head\" transform=\"translate({} {}) rotate({turn})\" d=\"M -14 0 L 14 0 M -8 -5 L -14 0 L -8 5 M 8 -5 L 14 0 L 8 5\"/>",
        mm(x),
        mm(y + 4.0),
        mm(x + 26.0),
        mm(y + 2.0),
    );
}

fn rectangle(out: &mut String, class: &str, place: &PlacedPiece) {
    let _ = writeln!(
        out,
        "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
        mm(place.x),
        mm(place.y),
        mm(place.width),
        mm(place.height),
    );
}

fn line(out: &mut String, class: &str, [x1, y1, x2, y2]: [f64; 4]) {
    let _ = writeln!(
        out,
        "<line class=\"{class}\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"/>",
        mm(x1),
        mm(y1),
        mm(x2),
        mm(y2),
    );
}

/// Two decimals, without trailing zeros.
fn mm(length: f64) -> String {
    let text = format!("{length:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// Text that may stand in an element; characters that XML 1.0 has no place for become a space.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\u{fffe}' | '\u{ffff}' => out.push(' '),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_break_out_of_the_text() {
        assert_eq!(
            escaped("a<b> & \"c\"\u{7}"),
            "a&lt;b&gt; &amp; &quot;c&quot; "
        );
    }

    #[test]
    fn lengths_are_short() {
        assert_eq!(mm(151.0), "151");
        assert_eq!(mm(-0.001), "0");
        assert_eq!(mm(75.5), "75.5");
    }
}
