//! Renders notices for people, with the line that each is about.

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use crate::{FileRole, Notice, Place, Severity};

/// Most notices that are rendered in full.
const MOST_RENDERED: usize = 100;
/// Longest line that is repeated, bytes.
const LONGEST_LINE: usize = 1_000;
const BYTE_ORDER_MARK: char = '\u{feff}';

/// Names and texts of the files that notices point into.
#[derive(Debug, Clone, Copy, Default)]
pub struct Sources<'a> {
    /// Name and text of the job file.
    pub job: Option<(&'a str, &'a str)>,
    /// Name and text of the rate card.
    pub rates: Option<(&'a str, &'a str)>,
    /// Name and text of a palette.
    pub palette: Option<(&'a str, &'a str)>,
    /// Name and text of a characterisation table.
    pub table: Option<(&'a str, &'a str)>,
    /// Name and text of an offer.
    pub offer: Option<(&'a str, &'a str)>,
    /// Name and text of a buyer's file.
    pub buyer: Option<(&'a str, &'a str)>,
    /// Name and text of a file of actuals.
    pub actuals: Option<(&'a str, &'a str)>,
}

impl<'a> Sources<'a> {
    fn of(&self, file: FileRole) -> Option<(&'a str, &'a str)> {
        match file {
            FileRole::Job => self.job,
            FileRole::Rates => self.rates,
            FileRole::Palette => self.palette,
            FileRole::Table => self.table,
            FileRole::Offer => self.offer,
            FileRole::Buyer => self.buyer,
            FileRole::Actuals => self.actuals,
        }
    }
}

/// Whether escape codes for colour may be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paint {
    /// Text only; everything can be read without colour.
    #[default]
    Plain,
    /// With ANSI escape codes.
    Colour,
}

/// How notices are rendered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// With or without colour.
    pub paint: Paint,
    /// Columns of the terminal.
    pub width: usize,
}

impl Default for Look {
    fn default() -> Self {
        Self {
            paint: Paint::Plain,
            width: 100,
        }
    }
}

/// Renders notices as plain text of at most 100 columns; see [`render_notices_as`].
pub fn render_notices(notices: &[Notice], sources: &Sources<'_>) -> String {
    render_notices_as(notices, sources, Look::default())
}

/// Renders notices one below the other: message, `file:line:column`, the line, carets, hint.
///
/// Assumptions show their place but not the line. At most 100 notices are rendered; the rest is counted.
pub fn render_notices_as(notices: &[Notice], sources: &Sources<'_>, look: Look) -> String {
    let renderer = match look.paint {
        Paint::Plain => Renderer::plain(),
        Paint::Colour => Renderer::styled(),
    }
    .term_width(look.width);
    let mut blocks: Vec<String> = notices
        .iter()
        .take(MOST_RENDERED)
        .map(|notice| render(notice, sources, &renderer))
        .collect();
    if notices.len() > MOST_RENDERED {
        blocks.push(format!("and {} more", notices.len() - MOST_RENDERED));
    }
    blocks
        .iter()
        .flat_map(|block| [block.as_str(), "\n"])
        .collect()
}

fn render(notice: &Notice, sources: &Sources<'_>, renderer: &Renderer) -> String {
    let title = level(notice.severity)
        .primary_title(notice.message.as_str())
        .id(notice.code);
    let mut group = Group::with_title(title);
    let source = sources.of(notice.file);
    group = match (notice.place, source) {
        (Some(place), Some((name, text))) if notice.severity != Severity::Assumption => {
            with_line(group, notice, place, (name, text))
        }
        (Some(place), Some((name, _))) => group.element(origin(name, place)),
        (None, Some((name, _))) => group.element(Origin::path(name)),
        (_, None) => group,
    };
    if let Some(hint) = &notice.hint {
        group = group.element(Level::HELP.with_name("hint").message(hint.as_str()));
    }
    renderer.render(&[group])
}

fn level(severity: Severity) -> Level<'static> {
    match severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Assumption => Level::NOTE.with_name("assumption"),
    }
}

fn origin(name: &str, place: Place) -> Origin<'_> {
    Origin::path(name)
        .line(place.line as usize)
        .char_column(place.column as usize)
}

/// Adds the line; of a place over several lines only the first is shown.
fn with_line<'a>(
    group: Group<'a>,
    notice: &'a Notice,
    place: Place,
    (name, text): (&'a str, &'a str),
) -> Group<'a> {
    let Some((line, start)) = line_at(text, place) else {
        return group.element(origin(name, place));
    };
    let from = (place.start - start).min(line.len());
    let to = (place.end - start).clamp(from, line.len());
    let mark = AnnotationKind::Primary
        .span(from..to)
        .label(notice.label.as_deref());
    let snippet = Snippet::source(line)
        .path(name)
        .line_start(place.line as usize)
        .annotation(mark);
    group.element(snippet)
}

/// The line of a place without its end, and the byte at which it starts; `None` when it is too long to repeat.
fn line_at(text: &str, place: Place) -> Option<(&str, usize)> {
    let before = text.get(..place.start)?;
    let mut start = before.rfind('\n').map_or(0, |at| at + 1);
    if start == 0 && text.starts_with(BYTE_ORDER_MARK) && place.start >= BYTE_ORDER_MARK.len_utf8()
    {
        start = BYTE_ORDER_MARK.len_utf8();
    }
    let rest = &text[start..];
    let line = rest.split('\n').next()?.trim_end_matches('\r');
    (line.len() <= LONGEST_LINE).then_some((line, start))
}
