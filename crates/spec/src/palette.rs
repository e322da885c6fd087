//! Reads a palette: colours to be looked at by themselves, as CSV with the columns `name,L,a,b`.

use std::ops::Range;

use crate::read::{Log, shown};
use crate::{FileRole, Notice, Place, Reading, codes};

/// Longest palette that is read, bytes.
const LONGEST_PALETTE: usize = 16_000_000;

/// One colour of a palette.
#[derive(Debug, Clone, PartialEq)]
pub struct PaletteColour {
    /// Its name, as written.
    pub name: String,
    /// CIELAB, D50, absolute: L 0..=100, a and b -128..=128.
    pub lab: [f64; 3],
    /// Its line.
    pub place: Place,
}

/// Reads a palette: the header `name,L,a,b`, then a line for each colour.
///
/// Lines that start with `#` and empty lines are skipped. A name may stand in quotation marks, and then hold commas.
pub fn read_palette(bytes: &[u8]) -> Reading<Vec<PaletteColour>> {
    if bytes.len() > LONGEST_PALETTE {
        let message = format!(
            "the file has {} bytes, more than {LONGEST_PALETTE}",
            bytes.len()
        );
        let notice = Notice::error(FileRole::Palette, codes::FILE_TOO_LONG, message);
        return Reading::new(None, vec![notice]);
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => read_text(text),
        Err(error) => {
            let at = error.valid_up_to();
            Reading::new(
                None,
                vec![crate::read::not_text(FileRole::Palette, bytes, at)],
            )
        }
    }
}

fn read_text(text: &str) -> Reading<Vec<PaletteColour>> {
    let log = Log::new(FileRole::Palette, text);
    let mut rows = rows(text);
    let header = rows.next();
    if !header.is_some_and(|(_, line)| is_header(line)) {
        let place = header.map(|(at, line)| log.place(at..at + line.len()));
        let notice = log.error(
            codes::PALETTE_HEADER,
            "the palette does not begin with `name,L,a,b`",
        );
        log.report(
            notice
                .at(place)
                .hint("write `name,L,a,b` as the first line"),
        );
        return Reading::new(None, log.into_notices());
    }
    let read: Vec<Option<PaletteColour>> = rows.map(|row| colour(&log, row)).collect();
    if read.is_empty() {
        log.report(log.error(codes::EMPTY_LIST, "the palette has no colours"));
    }
    Reading::new(read.into_iter().collect(), log.into_notices())
}

/// Lines that say something, with the byte at which each starts.
fn rows(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut at = 0;
    let lines = text.split_inclusive('\n').map(move |line| {
        let start = at;
        at += line.len();
        let said = line.trim_start_matches('\u{feff}');
        (start + line.len() - said.len(), said.trim_end())
    });
    lines.filter(|(_, line)| !line.trim().is_empty() && !line.starts_with('#'))
}

fn is_header(line: &str) -> bool {
    let columns: Vec<String> = line.split(',').map(|c| c.trim().to_lowercase()).collect();
    columns == ["name", "l", "a", "b"]
}

fn colour(log: &Log<'_>, (at, line): (usize, &str)) -> Option<PaletteColour> {
    let span = at..at + line.len();
    let fields = name_and_rest(line).and_then(|(name, rest)| {
        let numbers: Vec<f64> = rest.split(',').map(number).collect::<Option<_>>()?;
        let lab: [f64; 3] = numbers.try_into().ok()?;
        Some((name, lab)).filter(|(name, _)| !name.is_empty())
    });
    let Some((name, lab)) = fields else {
        return refuse(
            log,
            span,
            codes::PALETTE_ROW,
            format!("`{}` is not a name and three numbers", shown(line)),
        );
    };
    let [l, a, b] = lab;
    let chroma = -128.0..=128.0;
    if !(0.0..=100.0).contains(&l) || !chroma.contains(&a) || !chroma.contains(&b) {
        let message = format!(
            "`{}` is {l}, {a}, {b}; L must be 0 to 100, a and b -128 to 128",
            shown(&name)
        );
        return refuse(log, span, codes::LAB_OUT_OF_RANGE, message);
    }
    let place = log.place(span);
    Some(PaletteColour { name, lab, place })
}

fn refuse<T>(log: &Log<'_>, span: Range<usize>, code: &'static str, message: String) -> Option<T> {
    let notice = log.error(code, message).at(Some(log.place(span)));
    log.report(notice.hint("write for instance `Pumpkin orange,66.0,58.0,78.0`"));
    None
}

/// A finite number written with digits.
fn number(text: &str) -> Option<f64> {
    let number: f64 = text.trim().parse().ok()?;
    number.is_finite().then_some(number)
}

/// The name, without its quotation marks, and what follows its comma.
fn name_and_rest(line: &str) -> Option<(String, &str)> {
    let Some(quoted) = line.strip_prefix('"') else {
        let (name, rest) = line.split_once(',')?;
        return Some((name.trim().to_owned(), rest));
    };
    let mut name = String::new();
    let mut rest = quoted;
    loop {
        let (piece, after) = rest.split_once('"')?;
        name.push_str(piece);
        if let Some(fields) = after.strip_prefix(',') {
            return Some((name, fields));
        }
        name.push('"');
        rest = after.strip_prefix('"')?;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_may_hold_commas_and_quotes() {
        let text =
            "\u{feff}name,L,a,b\r\n# ours\r\n\"Red, \"\"deep\"\"\",40,50,30\r\nSky,70,-10,-25\r\n";
        let palette = read_palette(text.as_bytes()).value.unwrap();
        assert_eq!(palette[0].name, "Red, \"deep\"");
        assert_eq!(palette[1].lab.map(|x| x as i32), [70, -10, -25]);
        assert_eq!(palette[1].place.line, 4);
    }

    #[test]
    fn every_bad_row_is_told() {
        let reading = read_palette(b"name,L,a,b\nRed,40,50\nSky,170,0,0\nSea,nan,0,0\n");
        let codes: Vec<_> = reading.notices.iter().map(|n| n.code).collect();
        assert_eq!(codes, ["palette-row", "lab-out-of-range", "palette-row"]);
        assert_eq!(reading.value, None);
    }

    #[test]
    fn other_headers_are_told() {
        let reading = read_palette(b"name,X,Y,Z\nRed,40,50,1\n");
        assert_eq!(reading.notices[0].code, "palette-header");
    }
}
