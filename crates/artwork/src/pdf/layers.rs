//! Optional content: which layers print. Source: ISO 32000-2, 8.11.

use std::cell::RefCell;
use std::collections::BTreeSet;

use hayro_syntax::object::dict::Dict;
use hayro_syntax::object::{Array, MaybeRef, Name, Object, ObjectIdentifier};
use hayro_syntax::page::Resources;

/// The layers that are off, and those that the content is in.
#[derive(Debug, Default)]
pub(super) struct Layers {
    off: BTreeSet<(u32, i32)>,
    open: RefCell<Vec<bool>>,
}

impl Layers {
    /// Reads the default configuration of a document.
    pub(super) fn of(catalog: &Dict<'_>) -> Self {
        let mut layers = Self::default();
        let Some(properties) = catalog.get::<Dict<'_>>(b"OCProperties") else {
            return layers;
        };
        let Some(usual) = properties.get::<Dict<'_>>(b"D") else {
            return layers;
        };
        if usual
            .get::<Name<'_>>(b"BaseState")
            .is_some_and(|state| state.as_ref() == b"OFF")
        {
            layers.off.extend(references(properties.get(b"OCGs")));
            for id in references(usual.get(b"ON")) {
                layers.off.remove(&id);
            }
        }
        layers.off.extend(references(usual.get(b"OFF")));
        layers
    }

    /// Whether everything that the content is in prints.
    pub(super) fn is_visible(&self) -> bool {
        self.open.borrow().iter().all(|&on| on)
    }

    /// Enters marked content.
    pub(super) fn enter(&self, is_on: bool) {
        self.open.borrow_mut().push(is_on);
    }

    /// Leaves marked content.
    pub(super) fn leave(&self) {
        self.open.borrow_mut().pop();
    }

    /// How deep the content is in; a stream that leaves more than it entered is brought back to it.
    pub(super) fn depth(&self) -> usize {
        self.open.borrow().len()
    }

    /// Goes back to a depth.
    pub(super) fn restore(&self, depth: usize) {
        self.open.borrow_mut().resize(depth, true);
    }

    /// Whether the property list of a marked content prints.
    pub(super) fn is_on(&self, name: &Name<'_>, resources: &Resources<'_>) -> bool {
        let id = resources
            .properties
            .get_ref(name.as_ref())
            .map(|id| key(id.into()));
        let dict = resources.properties.get::<Dict<'_>>(name.as_ref());
        self.group_is_on(id, dict.as_ref())
    }

    /// Whether the `OC` entry of a form or an image prints.
    pub(super) fn entry_is_on(&self, dict: &Dict<'_>) -> bool {
        let id = dict.get_ref(b"OC").map(|id| key(id.into()));
        self.group_is_on(id, dict.get::<Dict<'_>>(b"OC").as_ref())
    }

    fn group_is_on(&self, id: Option<(u32, i32)>, dict: Option<&Dict<'_>>) -> bool {
        let membership = dict.filter(|dict| {
            dict.get::<Name<'_>>(b"Type")
                .is_some_and(|kind| kind.as_ref() == b"OCMD")
        });
        let Some(membership) = membership else {
            return id.is_none_or(|id| !self.off.contains(&id));
        };
        let mut groups = references(membership.get(b"OCGs"));
        groups.extend(
            membership
                .get_ref(b"OCGs")
                .map(|id| key(id.into()))
                .filter(|_| groups.is_empty()),
        );
        if groups.is_empty() {
            return true;
        }
        let is_on = |id: &(u32, i32)| !self.off.contains(id);
        match membership
            .get::<Name<'_>>(b"P")
            .as_deref()
            .unwrap_or(b"AnyOn")
        {
            b"AllOn" => groups.iter().all(is_on),
            b"AllOff" => !groups.iter().any(is_on),
            b"AnyOff" => !groups.iter().all(is_on),
            _ => groups.iter().any(is_on),
        }
    }
}

fn key(id: ObjectIdentifier) -> (u32, i32) {
    (id.obj_number, id.gen_number)
}

fn references(array: Option<Array<'_>>) -> Vec<(u32, i32)> {
    let items = array.into_iter().flat_map(|array| array.raw_iter());
    items
        .filter_map(|item: MaybeRef<Object<'_>>| Some(key(item.as_obj_ref()?.into())))
        .collect()
}
