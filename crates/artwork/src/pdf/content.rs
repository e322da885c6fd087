//! Carries out the operators of a content stream.

use hayro_syntax::content::ops::TypedInstruction as Op;
use hayro_syntax::content::{TypedIter, UntypedIter};
use hayro_syntax::object::{Name, Object};
use hayro_syntax::page::Resources;

use super::limits::OPERATOR;
use super::painter::Painter;
use super::paths::Drawing;
use crate::error::ArtworkError;

impl<'a> Painter<'a, '_> {
    /// Carries out a content stream; the state is left as it was found.
    pub(super) fn content(
        &mut self,
        bytes: &[u8],
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let (saved, layer) = (self.saved.len(), self.shared.layers.depth());
        let state = self.state.clone();
        let mut drawing = Drawing::default();
        let mut operators = TypedIter::new(bytes);
        // Blanks and comments have to be read too, which takes as long as painting some pixels.
        let mut done = self.spend(bytes.len() as u64 * 4);
        let mut count = 0;
        while done.is_ok()
            && let Some(op) = operators.next()
        {
            count += 1;
            done = self.spend(OPERATOR);
            if done.is_err() {
                break;
            }
            done = self.operator(&op, &mut drawing, (resources, saved));
            // What is damaged is told, and the rest is painted; what costs too much ends the page.
            if let Err(ArtworkError::Damaged(why) | ArtworkError::NotRead(why)) = done {
                self.findings.not_counted(why);
                done = Ok(());
            }
            if done.is_err() {
                break;
            }
        }
        if done.is_ok() && instructions(bytes) > count {
            // The reader stops at a path operator without its numbers.
            self.findings
                .not_counted("everything after a damaged path operator");
        }
        self.saved.truncate(saved);
        self.shared.layers.restore(layer);
        self.state = state;
        done
    }

    fn operator(
        &mut self,
        op: &Op<'_, '_>,
        drawing: &mut Drawing,
        (resources, saved): (&Resources<'a>, usize),
    ) -> Result<(), ArtworkError> {
        if self.path_operator(op, drawing)? || self.state_operator(op, resources, saved)? {
            return Ok(());
        }
        if self.colour_operator(op, resources)? || self.text_operator(op, resources)? {
            return Ok(());
        }
        match op {
            Op::XObject(name) => {
                let Some(stream) = resources.get_x_object(name.0) else {
                    return Err(ArtworkError::damaged(format!(
                        "no form or image `{}`",
                        name.0.as_str()
                    )));
                };
                match stream.dict().get::<Name<'_>>(b"Subtype").as_deref() {
                    Some(b"Image") => self.image(&stream, resources),
                    Some(b"Form") => self.form(&stream, resources),
                    _ => Err(ArtworkError::not_read(
                        "an external object that is neither form nor image",
                    )),
                }
            }
            Op::InlineImage(image) => self.image(image.0, resources),
            Op::Shading(name) => match resources.get_shading(name.0) {
                Some(shading) => self.shade_clip(&shading),
                None => Err(ArtworkError::damaged(format!(
                    "no shading `{}`",
                    name.0.as_str()
                ))),
            },
            Op::BeginMarkedContent(_) => {
                self.shared.layers.enter(true);
                Ok(())
            }
            Op::BeginMarkedContentWithProperties(marked) => {
                let is_layer = marked.0.as_ref() == b"OC";
                let is_on = match &marked.1 {
                    Object::Name(name) if is_layer => self.shared.layers.is_on(name, resources),
                    _ => true,
                };
                self.shared.layers.enter(is_on);
                Ok(())
            }
            Op::EndMarkedContent(_) => {
                self.shared.layers.leave();
                Ok(())
            }
            _ => Ok(()),
        }
    }
}

/// Instructions of a content stream, sound or not.
fn instructions(bytes: &[u8]) -> usize {
    let mut all = UntypedIter::new(bytes);
    let mut count = 0;
    while all.next().is_some() {
        count += 1;
    }
    count
}
