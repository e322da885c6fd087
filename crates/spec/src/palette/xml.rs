//! A bounded tree of XML elements with their places; entities of the file's own are refused.

use std::ops::Range;

use quick_xml::Reader;
use quick_xml::escape::unescape;
use quick_xml::events::{BytesStart, Event};

use super::notes::Notes;
use crate::codes;

/// Deepest nesting; palettes need about ten.
const DEEPEST: usize = 64;
/// Most elements of a file.
const MOST_ELEMENTS: usize = 3_000_000;

/// One element.
pub(super) struct Element {
    /// Name without its namespace prefix.
    pub(super) name: String,
    /// Bytes of its start tag.
    pub(super) span: Range<usize>,
    attributes: Vec<(String, String)>,
    /// Its own text, entities resolved.
    pub(super) text: String,
    children: Vec<usize>,
}

/// All elements of a file; the first is the root.
pub(super) struct Tree {
    elements: Vec<Element>,
}

impl Tree {
    /// Reads the file; `None` when it is no well-formed XML, which is told.
    pub(super) fn of(text: &str, notes: &mut Notes<'_>) -> Option<Self> {
        let mut builder = Builder {
            elements: Vec::new(),
            open: Vec::new(),
        };
        let mut reader = Reader::from_str(text);
        loop {
            let from = reader.buffer_position() as usize;
            let event = reader.read_event();
            let span = from..reader.buffer_position() as usize;
            let fault = match event {
                Ok(Event::Eof) => break,
                Ok(event) => builder.take(event, span.clone()),
                Err(error) => Err((
                    codes::PALETTE_DAMAGED,
                    format!("the XML is damaged: {error}"),
                )),
            };
            if let Err((code, message)) = fault {
                notes.tell(code, message, span);
                return None;
            }
        }
        builder.finish(text.len(), notes)
    }

    pub(super) fn root(&self) -> &Element {
        &self.elements[0]
    }

    /// The children of an element.
    pub(super) fn children<'a>(&'a self, of: &'a Element) -> impl Iterator<Item = &'a Element> {
        of.children.iter().map(|at| &self.elements[*at])
    }

    /// The first child of a name.
    pub(super) fn child<'a>(&'a self, of: &'a Element, name: &str) -> Option<&'a Element> {
        self.children(of).find(|child| child.name == name)
    }

    /// Every element of a name, in the order of the file.
    pub(super) fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Element> {
        self.elements
            .iter()
            .filter(move |element| element.name == name)
    }
}

impl Element {
    /// The value of an attribute, without blanks around it.
    pub(super) fn attribute(&self, name: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(key, _)| key == name);
        found.map(|(_, value)| value.trim())
    }

    /// Every attribute, its name without the namespace prefix, its value without blanks around it.
    pub(super) fn attributes(&self) -> impl Iterator<Item = (&str, &str)> + Clone {
        self.attributes
            .iter()
            .map(|(name, value)| (name.as_str(), value.trim()))
    }
}

type Fault = (&'static str, String);

struct Builder {
    elements: Vec<Element>,
    open: Vec<usize>,
}

impl Builder {
    fn take(&mut self, event: Event<'_>, span: Range<usize>) -> Result<(), Fault> {
        match event {
            Event::Start(tag) => {
                let at = self.add(&tag, span)?;
                self.open.push(at);
                if self.open.len() > DEEPEST {
                    let message = format!("the XML is nested more than {DEEPEST} deep");
                    return Err((codes::PALETTE_TOO_LARGE, message));
                }
            }
            Event::Empty(tag) => {
                self.add(&tag, span)?;
            }
            Event::End(_) => {
                self.open.pop();
            }
            Event::Text(text) => self.text(&text.xml10_content())?,
            Event::CData(text) => self.text(&text.xml10_content())?,
            Event::GeneralRef(reference) => {
                let written = format!("&{};", reference.xml10_content());
                let text = unescape(&written).map_err(|_| entity(&written))?;
                self.text(&text)?;
            }
            Event::DocType(_) => {
                let message = "the XML has a document type, which a palette does not need";
                return Err((codes::PALETTE_DAMAGED, message.to_owned()));
            }
            Event::Decl(_) | Event::PI(_) | Event::Comment(_) | Event::Eof => {}
        }
        Ok(())
    }

    fn text(&mut self, text: &str) -> Result<(), Fault> {
        if let Some(at) = self.open.last() {
            self.elements[*at].text.push_str(text);
        } else if !text.trim_start_matches('\u{feff}').trim().is_empty() {
            let message = "text stands outside the outermost element".to_owned();
            return Err((codes::PALETTE_DAMAGED, message));
        }
        Ok(())
    }

    fn add(&mut self, tag: &BytesStart<'_>, span: Range<usize>) -> Result<usize, Fault> {
        if self.elements.len() >= MOST_ELEMENTS {
            let message = format!("the XML has more than {MOST_ELEMENTS} elements");
            return Err((codes::PALETTE_TOO_LARGE, message));
        }
        let at = self.elements.len();
        match self.open.last() {
            Some(parent) => self.elements[*parent].children.push(at),
            None if at > 0 => {
                let message = "the XML has more than one outermost element".to_owned();
                return Err((codes::PALETTE_DAMAGED, message));
            }
            None => {}
        }
        self.elements.push(Element {
            name: local(tag.name().as_ref()),
            span,
            attributes: attributes(tag)?,
            text: String::new(),
            children: Vec::new(),
        });
        Ok(at)
    }

    fn finish(self, end: usize, notes: &mut Notes<'_>) -> Option<Tree> {
        if let Some(at) = self.open.last() {
            let name = crate::read::shown(&self.elements[*at].name);
            let message = format!("the XML is cut off within `{name}`");
            notes.tell(codes::PALETTE_DAMAGED, message, end..end);
            return None;
        }
        if self.elements.is_empty() {
            notes.tell(codes::PALETTE_DAMAGED, "the XML has no element", 0..0);
            return None;
        }
        Some(Tree {
            elements: self.elements,
        })
    }
}

fn attributes(tag: &BytesStart<'_>) -> Result<Vec<(String, String)>, Fault> {
    let read = tag.attributes().map(|attribute| {
        let damaged = |error| {
            (
                codes::PALETTE_DAMAGED,
                format!("an attribute is damaged: {error}"),
            )
        };
        let attribute = attribute.map_err(damaged)?;
        let value = unescape(&attribute.value).map_err(|_| entity(&attribute.value))?;
        Ok((local(attribute.key.as_ref()), value.into_owned()))
    });
    read.collect()
}

fn local(name: &str) -> String {
    name.rsplit(':').next().unwrap_or(name).to_owned()
}

fn entity(written: &str) -> Fault {
    let shown = crate::read::shown(written);
    let message = format!("`{shown}` has an entity that XML does not define");
    (codes::PALETTE_DAMAGED, message)
}
