//! A paper as PDF: text as text in embedded fonts, solid inks as separations of their own name.

use inkset_report::{
    Align, Block, Paper, PaperBlock, PaperColour, PaperInk, Table, TableRow, cell_text, printable,
};
use krilla::Document;
use krilla::color::separation::{Color as Separation, SeparationColorant, SeparationSpace};
use krilla::color::{luma, rgb};
use krilla::geom::{PathBuilder, Point, Rect};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, Paint, Stroke};
use krilla::surface::Surface;

use super::letters::{Letters, Line, Weight};
use super::sheet::{EDGE, Ink, Look, Mark, Sheets};

const TEXT: Look = Look::new(9.5);
const SMALL: Look = Look::new(8.5);
/// Between columns of a table.
const GUTTER: f32 = 10.0;
/// Above and below the text of a table's row.
const PADDING: f32 = 3.0;
/// Narrowest column of words that is broken into lines.
const NARROWEST: f32 = 60.0;
/// A swatch with the paper around it.
const SWATCH: (f32, f32) = (112.0, 46.0);
/// Longest name of a separation, bytes: what a name in a PDF may have (ISO 32000-2, annex C).
const LONGEST_NAME: usize = 127;

/// Size of the sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// 210 × 297 mm.
    A4,
    /// 8.5 × 11 in.
    Letter,
}

impl Format {
    const fn points(self) -> (f32, f32) {
        match self {
            Self::A4 => (595.276, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// The whole file; the same for the same paper, without a clock in it.
///
/// Errors: one sentence, when the writer of PDF refuses something.
pub fn paper_pdf(paper: &Paper, format: Format) -> Result<Vec<u8>, String> {
    let letters = Letters::new().ok_or("the fonts of the program are damaged")?;
    let mut sheets = Sheets::new(&letters, format.points());
    head(&mut sheets, paper);
    for block in &paper.blocks {
        piece(&mut sheets, block);
    }
    feet(&mut sheets, paper);
    written(&sheets, paper)
}

/// Sender and facts beside each other, then what it is and for whom.
fn head(sheets: &mut Sheets<'_>, paper: &Paper) {
    let top = sheets.y;
    let half = sheets.measure() / 2.0;
    let mut left = top;
    for (at, line) in paper.from.iter().enumerate() {
        let look = if at == 0 { TEXT.bold() } else { TEXT.quiet() };
        let lines = sheets.broken(line, half - GUTTER, look);
        left += sheets.put(&lines, (EDGE, left), look);
    }
    let mut right = top;
    for (what, value) in &paper.facts {
        let label = sheets.broken(what, 96.0, SMALL.quiet());
        let lines = sheets.broken(value, half - 100.0, SMALL);
        sheets.put(&label, (EDGE + half, right), SMALL.quiet());
        right += sheets.put(&lines, (EDGE + half + 100.0, right), SMALL);
    }
    sheets.y = left.max(right) + 16.0;
    sheets.paragraph(paper.kind, 0.0, TEXT.quiet());
    sheets.paragraph(&paper.title, 0.0, Look::new(19.0).bold());
    for line in &paper.to {
        sheets.paragraph(&format!("for {line}"), 0.0, Look::new(11.0));
    }
    if let Some(draft) = &paper.draft {
        sheets.y += 6.0;
        let y = sheets.y;
        let look = TEXT.bold();
        let lines = sheets.broken(draft, sheets.measure() - 16.0, look);
        let height = lines.len() as f32 * look.line_height() + 10.0;
        let box_of = [EDGE, y, sheets.measure(), height];
        sheets.mark(Mark::Area(box_of, Ink::Grey(236)));
        sheets.mark(Mark::Area([EDGE, y, 3.0, height], Ink::Grey(60)));
        sheets.put(&lines, (EDGE + 10.0, y + 4.0), look);
        sheets.y += height;
    }
}

fn piece(sheets: &mut Sheets<'_>, block: &PaperBlock) {
    match block {
        PaperBlock::Plain(Block::Heading(text)) => heading(sheets, text),
        PaperBlock::Plain(Block::Text(text)) => {
            sheets.y += 3.0;
            sheets.paragraph(&text.replace('`', ""), 0.0, TEXT);
        }
        PaperBlock::Plain(Block::Sketch(text)) => {
            for line in text.lines() {
                sheets.paragraph(line, 0.0, SMALL);
            }
        }
        PaperBlock::Plain(Block::List(items)) => {
            for item in items {
                sheets.need(TEXT.line_height());
                let bullet = sheets.broken("•", 20.0, TEXT);
                let y = sheets.y;
                sheets.put(&bullet, (EDGE + 1.0, y), TEXT);
                sheets.paragraph(&item.replace('`', ""), 12.0, TEXT);
            }
        }
        PaperBlock::Plain(Block::Table(table)) => rows(sheets, table),
        PaperBlock::Colours(colours) => swatches(sheets, colours),
        // Drawn on the page only.
        PaperBlock::Loupes => {}
        PaperBlock::Blanks(fields) => blanks(sheets, fields),
    }
}

/// A heading keeps two lines of what follows beside it.
fn heading(sheets: &mut Sheets<'_>, text: &str) {
    let look = Look::new(12.5).bold();
    sheets.need(16.0 + look.line_height() + 3.0 * TEXT.line_height());
    sheets.y += 14.0;
    let y = sheets.y;
    sheets.rule(y, 0.6);
    sheets.y += 4.0;
    sheets.paragraph(text, 0.0, look);
    sheets.y += 2.0;
}

/// A table: figures as wide as they are, words share what is left.
fn rows(sheets: &mut Sheets<'_>, table: &Table) {
    let widths = column_widths(sheets, table);
    let head: Vec<String> = table.columns.iter().map(|c| c.title.clone()).collect();
    let first = table
        .rows
        .first()
        .map_or(0.0, |row| height(sheets, &texts(row), &widths, SMALL));
    let height_of_head = height(sheets, &head, &widths, SMALL.quiet());
    sheets.need(height_of_head + first);
    sheets.y += 3.0;
    table_row(sheets, (table, &head), &widths, SMALL.quiet());
    for row in &table.rows {
        let texts = texts(row);
        let tall = height(sheets, &texts, &widths, SMALL);
        if sheets.need(tall.min(sheets.depth() - height_of_head)) {
            table_row(sheets, (table, &head), &widths, SMALL.quiet());
        }
        table_row(sheets, (table, &texts), &widths, SMALL);
    }
    sheets.y += 5.0;
}

fn texts(row: &TableRow) -> Vec<String> {
    row.cells.iter().map(cell_text).collect()
}

/// Widths of the columns in points, gutters not counted.
fn column_widths(sheets: &Sheets<'_>, table: &Table) -> Vec<f32> {
    let cut = sheets.letters.cut(Weight::Regular);
    let natural: Vec<f32> = (0..table.columns.len())
        .map(|at| {
            let title = cut.line(&table.columns[at].title).width;
            let cells = table.rows.iter().filter_map(|row| row.cells.get(at));
            let widest = cells
                .map(|cell| cut.line(&cell_text(cell)).width)
                .fold(title, f32::max);
            (widest * SMALL.size).min(sheets.measure()) + 0.5
        })
        .collect();
    let room = sheets.measure() - GUTTER * (natural.len().saturating_sub(1)) as f32;
    let is_words = |at: usize| table.columns[at].align == Align::Left;
    let fixed: f32 = (0..natural.len())
        .filter(|at| !is_words(*at))
        .map(|at| natural[at])
        .sum();
    let words: f32 = (0..natural.len())
        .filter(|at| is_words(*at))
        .map(|at| natural[at])
        .sum();
    let share = ((room - fixed) / words.max(1.0)).min(1.0);
    if share >= 1.0 || words <= 0.0 {
        return natural;
    }
    shrunk(&natural, (&|at| is_words(at), room - fixed))
}

/// Columns of words that need less than an equal share keep it; the others share what is left.
fn shrunk(natural: &[f32], (is_words, room): (&dyn Fn(usize) -> bool, f32)) -> Vec<f32> {
    let mut widths = natural.to_vec();
    let mut open: Vec<usize> = (0..natural.len()).filter(|at| is_words(*at)).collect();
    let mut left = room;
    loop {
        let equal = left / open.len().max(1) as f32;
        let Some(place) = open.iter().position(|at| natural[*at] <= equal) else {
            for at in &open {
                widths[*at] = equal.max(NARROWEST);
            }
            return widths;
        };
        left -= natural[open.remove(place)];
        if open.is_empty() {
            return widths;
        }
    }
}

fn height(sheets: &Sheets<'_>, texts: &[String], widths: &[f32], look: Look) -> f32 {
    let lines = texts
        .iter()
        .zip(widths)
        .map(|(text, width)| sheets.broken(text, *width, look).len());
    lines.max().unwrap_or(1) as f32 * look.line_height() + 2.0 * PADDING
}

/// A row of cells over a rule.
fn table_row(
    sheets: &mut Sheets<'_>,
    (table, texts): (&Table, &[String]),
    widths: &[f32],
    look: Look,
) {
    let tall = height(sheets, texts, widths, look);
    let (mut left, top) = (EDGE, sheets.y + PADDING);
    for ((text, width), column) in texts.iter().zip(widths).zip(&table.columns) {
        let lines = sheets.broken(text, *width, look);
        for (at, line) in lines.iter().enumerate() {
            let indent = match column.align {
                Align::Left => 0.0,
                Align::Right => width - line.width * look.size,
            };
            let y = top + at as f32 * look.line_height();
            sheets.put(std::slice::from_ref(line), (left + indent, y), look);
        }
        left += width + GUTTER;
    }
    sheets.y += tall;
    let y = sheets.y;
    sheets.rule(y, if look.grey > 0 { 0.8 } else { 0.3 });
}

/// Swatches on the white of their paper, names below.
fn swatches(sheets: &mut Sheets<'_>, colours: &[PaperColour]) {
    let across = (((sheets.measure() + GUTTER) / (SWATCH.0 + GUTTER)) as usize).max(1);
    sheets.y += 4.0;
    for row in colours.chunks(across) {
        let names: Vec<Vec<Line>> = row
            .iter()
            .map(|c| sheets.broken(&c.name, SWATCH.0, SMALL))
            .collect();
        let lines = names.iter().map(Vec::len).max().unwrap_or(0);
        sheets.need(SWATCH.1 + lines as f32 * SMALL.line_height() + 8.0);
        let y = sheets.y;
        for (at, (colour, name)) in row.iter().zip(&names).enumerate() {
            let left = EDGE + at as f32 * (SWATCH.0 + GUTTER);
            swatch(sheets, colour, (left, y));
            sheets.put(name, (left, y + SWATCH.1 + 2.0), SMALL);
        }
        sheets.y += SWATCH.1 + lines as f32 * SMALL.line_height() + 8.0;
    }
}

fn swatch(sheets: &mut Sheets<'_>, colour: &PaperColour, (left, top): (f32, f32)) {
    let (width, height) = SWATCH;
    let outer = [left, top, width, height];
    sheets.mark(Mark::Area(outer, Ink::Grey(190)));
    let paper = [left + 0.5, top + 0.5, width - 1.0, height - 1.0];
    sheets.mark(Mark::Area(paper, Ink::Screen(colour.paper)));
    let inner = [left + 7.0, top + 7.0, width - 14.0, height - 14.0];
    let ink = match &colour.ink {
        PaperInk::Build => Ink::Screen(colour.srgb),
        PaperInk::Own { name, tone, full } => Ink::Own(printable(name), *tone, *full),
        PaperInk::Effect(name) => Ink::Own(printable(name), 100.0, [150, 147, 140]),
    };
    sheets.mark(Mark::Area(inner, ink));
}

/// Lines to write on.
fn blanks(sheets: &mut Sheets<'_>, fields: &[String]) {
    for field in fields {
        sheets.need(24.0);
        let lines = sheets.broken(field, 110.0, SMALL.quiet());
        let y = sheets.y;
        sheets.put(&lines, (EDGE, y + 10.0), SMALL.quiet());
        sheets.y += 24.0;
        let line = sheets.y - 2.0;
        let right = (EDGE + 360.0).min(sheets.width - EDGE);
        sheets.mark(Mark::Rule((EDGE + 116.0, line), (right, line), 0.5));
    }
}

/// The foot of every sheet: what it belongs to, and which of how many it is.
fn feet(sheets: &mut Sheets<'_>, paper: &Paper) {
    let look = Look::new(7.0).quiet();
    let of = sheets.pages.len();
    let y = sheets.height - 40.0;
    let foot = sheets.broken(&paper.foot, sheets.measure() - 60.0, look);
    for page in 0..of {
        let count = sheets
            .letters
            .cut(look.weight)
            .line(&format!("{} of {of}", page + 1));
        let right = sheets.width - EDGE - count.width * look.size;
        let mut add = |line: &Line, left: f32, at: usize| {
            sheets.pages[page].push(Mark::Text {
                at: (left, y + at as f32 * look.line_height()),
                size: look.size,
                weight: look.weight,
                ink: Ink::Grey(look.grey),
                line: line.clone(),
            });
        };
        for (at, line) in foot.iter().take(2).enumerate() {
            add(line, EDGE, at);
        }
        add(&count, right, 0);
    }
}

fn written(sheets: &Sheets<'_>, paper: &Paper) -> Result<Vec<u8>, String> {
    let settings = PageSettings::from_wh(sheets.width, sheets.height).ok_or("no such sheet")?;
    let mut document = Document::new();
    document.set_metadata(
        Metadata::new()
            .title(printable(&format!("{}: {}", paper.kind, paper.title)))
            .creator(format!("inkset {}", env!("CARGO_PKG_VERSION")))
            .language("en".to_owned()),
    );
    for marks in &sheets.pages {
        let mut page = document.start_page_with(settings.clone());
        let mut surface = page.surface();
        for mark in marks {
            draw(&mut surface, sheets.letters, mark);
        }
        surface.finish();
        page.finish();
    }
    document
        .finish()
        .map_err(|error| format!("the PDF cannot be written: {error:?}"))
}

fn draw(surface: &mut Surface<'_>, letters: &Letters, mark: &Mark) {
    match mark {
        Mark::Text {
            at: (left, base),
            size,
            weight,
            ink,
            line,
        } => {
            surface.set_fill(Some(fill(ink)));
            surface.set_stroke(None);
            let mut left = *left;
            for run in &line.runs {
                let font = letters.cut(*weight).font.clone();
                surface.draw_glyphs(
                    Point::from_xy(left, *base),
                    &run.glyphs,
                    font,
                    &run.text,
                    *size,
                    false,
                );
                left += run.width * size;
            }
        }
        Mark::Area([left, top, width, height], ink) => {
            surface.set_fill(Some(fill(ink)));
            surface.set_stroke(None);
            let mut path = PathBuilder::new();
            if let Some(rect) = Rect::from_xywh(*left, *top, *width, *height) {
                path.push_rect(rect);
            }
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
        Mark::Rule(from, to, width) => {
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke {
                paint: luma::Color::new(60).into(),
                width: *width,
                ..Stroke::default()
            }));
            let mut path = PathBuilder::new();
            path.move_to(from.0, from.1);
            path.line_to(to.0, to.1);
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
    }
}

fn fill(ink: &Ink) -> Fill {
    let paint: Paint = match ink {
        Ink::Grey(grey) => luma::Color::new(*grey).into(),
        Ink::Screen([r, g, b]) => rgb::Color::new(*r, *g, *b).into(),
        Ink::Own(name, tone, [r, g, b]) => {
            let space = SeparationSpace::new(
                SeparationColorant::Custom(short(name)),
                rgb::Color::new(*r, *g, *b).into(),
            );
            let tone = (tone * 2.55).round().clamp(0.0, 255.0) as u8;
            krilla::color::Color::from(Separation::new(tone, space)).into()
        }
    };
    Fill {
        paint,
        opacity: NormalizedF32::ONE,
        ..Fill::default()
    }
}

/// As much of a name as a PDF takes.
fn short(name: &str) -> String {
    let mut end = name.len().min(LONGEST_NAME);
    while !name.is_char_boundary(end) {
        end -= 1;
    }
    name[..end].to_owned()
}
