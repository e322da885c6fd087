//! Reads the parts of a product.

use inkset_units::Millimetres;

use super::job::{PAGES, report_duplicate_names};
use super::plates::{Kept, kept};
use super::product::ProductOutline;
use super::version::{Changing, Edition, changing};
use super::{Limits, TableReader, Value};
use crate::{FoldScheme, Given, Part, ProductKind, Role, codes};

/// Widest bleed, mm.
const WIDEST_BLEED: f64 = 50.0;
/// Bleed unless given, mm. Common practice, no source.
const USUAL_BLEED: f64 = 3.0;
/// Most panels of a folded sheet, twice.
const MOST_FOLDED_PAGES: u32 = 32;
/// Most pages of endpapers.
const MOST_ENDPAPERS: u32 = 16;
const LEAVES: Limits = Limits::new(1.0, 1000.0, "leaves", "50");

/// What decides how many pages a part may have.
#[derive(Clone, Copy)]
struct Frame {
    kind: ProductKind,
    fold: FoldScheme,
    role: Role,
}

/// The parts as far as they could be read; one that could not keeps its place.
pub(crate) struct Parts {
    parts: Vec<Option<Part>>,
    kind: Option<ProductKind>,
}

impl Parts {
    /// All parts, if all of them were right.
    pub(crate) fn complete(self) -> Option<Vec<Part>> {
        self.parts.into_iter().collect()
    }

    pub(crate) fn all_known(&self) -> bool {
        !self.parts.is_empty() && self.parts.iter().all(Option::is_some)
    }

    pub(crate) fn get(&self, index: usize) -> Option<&Part> {
        self.parts.get(index)?.as_ref()
    }

    pub(crate) fn len(&self) -> usize {
        self.parts.len()
    }

    pub(crate) fn kind(&self) -> Option<ProductKind> {
        self.kind
    }

    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        self.parts.iter().flatten().map(|p| p.name.value.as_str())
    }

    pub(crate) fn position(&self, name: &str) -> Option<usize> {
        let is_it = |part: &Option<Part>| {
            part.as_ref()
                .is_some_and(|p| p.name.to_lowercase() == name.to_lowercase())
        };
        self.parts.iter().position(is_it)
    }
}

pub(crate) fn parts(root: &TableReader<'_>, product: Option<&ProductOutline<'_>>) -> Parts {
    let listed = root.optional("part");
    let kind = product.and_then(|p| p.kind.map(|k| k.value));
    let frame = kind.map(|kind| Frame {
        kind,
        fold: product
            .and_then(|p| p.fold)
            .map_or(FoldScheme::Parallel, |f| f.value),
        role: Role::Text,
    });
    let edition = Edition::of(root);
    let parts = match (listed, product) {
        (Some(listed), _) => {
            if let Some(product) = product {
                refuse_part_keys(product);
            }
            listed_parts(root, &listed, (frame, edition))
        }
        (None, Some(product)) => vec![only_part(product, (frame, edition))],
        (None, None) => Vec::new(),
    };
    if let Some(product) = product {
        product.table.finish();
    }
    Parts { parts, kind }
}

/// Keys that belong to a part may stand under the product only when there is no `[[part]]`.
fn refuse_part_keys(product: &ProductOutline<'_>) {
    for key in [
        "part",
        "pages",
        "leaves",
        "stock",
        "bleed",
        "version_inks",
        "version_pages",
    ] {
        if let Some(value) = product.table.optional(key) {
            let message = format!(
                "{} is given although the job has `[[part]]`",
                value.subject()
            );
            let hint = format!("write `{key}` in each `[[part]]`, or leave `[[part]]` out");
            value.refuse::<()>(codes::PART_GIVEN_TWICE, message, hint);
        }
    }
}

fn listed_parts(
    root: &TableReader<'_>,
    listed: &Value<'_>,
    (frame, edition): (Option<Frame>, Edition),
) -> Vec<Option<Part>> {
    let entries = listed.filled_list().unwrap_or_default();
    let parts: Vec<Option<Part>> = entries
        .iter()
        .map(|entry| listed_part(entry, frame, edition))
        .collect();
    report_duplicate_names(
        root,
        "parts",
        parts.iter().flatten().map(|p| p.name.clone()),
    );
    let kind = frame.map(|frame| frame.kind);
    if let (Some(ProductKind::Set), [only]) = (kind, entries.as_slice()) {
        let hint = "write a `[[part]]` for each leaf of the set, or make it a `pad`";
        let message = "the set has one part; a set has at least two";
        only.refuse::<()>(codes::TOO_FEW_PARTS, message, hint);
    }
    let single = kind.is_some_and(|kind| !kind.is_bound() && kind != ProductKind::Set);
    if let Some(second) = entries.get(1).filter(|_| single) {
        let message = format!(
            "the job has {} parts; a flat or folded product and a pad have one",
            entries.len()
        );
        let hint = "make it a bound product, for instance `kind = \"saddle-stitched\"`, or write a job file for each sheet";
        second.refuse::<()>(codes::TOO_MANY_PARTS, message, hint);
    }
    if let Some(frame) = frame {
        check_covers(root, (listed, &parts), frame.kind);
    }
    parts
}

/// A perfect-bound product is glued into a cover; no product has two.
fn check_covers(
    root: &TableReader<'_>,
    (listed, parts): (&Value<'_>, &[Option<Part>]),
    kind: ProductKind,
) {
    let mut covers = parts
        .iter()
        .flatten()
        .filter(|p| p.role.value == Role::Cover);
    let known = parts.iter().all(Option::is_some);
    match (covers.next(), covers.next()) {
        (None, _) if kind == ProductKind::PerfectBound && known => {
            no_cover(root, Some(listed.place()));
        }
        (Some(_), Some(second)) => {
            let message = format!("part `{}` is a second cover", second.name.value);
            let notice = root.log().error(codes::SEVERAL_COVERS, message);
            let hint = "one part has `role = \"cover\"`; the others are `text` or `insert`";
            root.log().report(notice.at(second.role.place).hint(hint));
        }
        _ => {}
    }
}

fn no_cover(root: &TableReader<'_>, place: Option<crate::Place>) {
    let notice = root.log().error(
        codes::COVER_MISSING,
        "a perfect-bound product has no cover to be glued into",
    );
    let hint = "add a `[[part]]` of 4 pages with `role = \"cover\"`";
    root.log().report(notice.at(place).hint(hint));
}

fn listed_part(entry: &Value<'_>, frame: Option<Frame>, edition: Edition) -> Option<Part> {
    let table = TableReader::of(entry, "a part")?;
    let name = table.name("name", "name = \"cover\"");
    if let Some(name) = &name {
        table.call(format!("part `{}`", name.value));
    }
    let role = role(&table, frame.map(|f| f.kind));
    let frame = frame.zip(role).map(|(frame, role)| Frame {
        role: role.value,
        ..frame
    });
    let part = part(&table, (name, role), frame, edition);
    let kept = kept(&table, part.as_ref(), frame.map(|frame| frame.kind));
    table.finish();
    let Kept { of, inks, pages } = kept?;
    Some(Part {
        plates_of: of,
        changed_inks: inks,
        changed_pages: pages,
        ..part?
    })
}

fn role(table: &TableReader<'_>, kind: Option<ProductKind>) -> Option<Given<Role>> {
    let roles = [
        ("text", Role::Text),
        ("cover", Role::Cover),
        ("endpapers", Role::Endpapers),
        ("insert", Role::Insert),
        ("loose-insert", Role::LooseInsert),
    ];
    let Some(value) = table.optional("role") else {
        return Some(Given::assumed(Role::Text));
    };
    let role = value.choice(&roles)?;
    let allowed = kind.is_none_or(|kind| match role.value {
        Role::Text => true,
        Role::Cover | Role::Insert | Role::LooseInsert => kind.is_bound(),
        Role::Endpapers => kind.is_gathered(),
    });
    if allowed {
        return Some(role);
    }
    let message = format!(
        "{}: a {} product has no such part",
        value.subject(),
        kind.map_or("flat", ProductKind::word)
    );
    let hint = "covers and inserts belong to bound products, endpapers to gathered ones";
    value.refuse(codes::KEY_OF_OTHER_KIND, message, hint)
}

/// The part of a job without `[[part]]`, named by `part` or after the kind of product.
fn only_part(
    product: &ProductOutline<'_>,
    (frame, edition): (Option<Frame>, Edition),
) -> Option<Part> {
    let table = &product.table;
    let kind = frame.map(|f| f.kind);
    if kind == Some(ProductKind::PerfectBound) {
        no_cover(table, product.kind.and_then(|k| k.place));
    }
    if kind == Some(ProductKind::Set) {
        let message = format!("{} has one part; a set has at least two", table.subject());
        let notice = table.log().error(codes::TOO_FEW_PARTS, message);
        let hint = "write a `[[part]]` for each leaf of the set, each with its stock";
        table.log().report(notice.at(table.place()).hint(hint));
    }
    let name = match table.optional("part") {
        Some(written) => written.text(),
        None => table
            .place()
            .map(|place| Given::at(usual_name(kind).to_owned(), place)),
    };
    let role = Some(Given::assumed(Role::Text));
    part(table, (name, role), frame, edition)
}

fn usual_name(kind: Option<ProductKind>) -> &'static str {
    match kind {
        Some(ProductKind::Folded) => "leaflet",
        Some(ProductKind::SaddleStitched) => "booklet",
        Some(ProductKind::PerfectBound | ProductKind::SectionSewn) => "book",
        Some(ProductKind::Pad | ProductKind::Set) => "leaf",
        Some(ProductKind::Flat) | None => "sheet",
    }
}

fn part(
    table: &TableReader<'_>,
    (name, role): (Option<Given<String>>, Option<Given<Role>>),
    frame: Option<Frame>,
    edition: Edition,
) -> Option<Part> {
    let pages = pages(table, frame);
    let leaves = leaves(table, frame.map(|frame| frame.kind));
    let stock = table.name("stock", "stock = \"gloss-150\"");
    let bleed = bleed(table);
    let changing = changing(table, (name.as_ref(), pages), edition);
    let Changing {
        inks,
        pages: changed,
    } = changing?;
    Some(Part {
        name: name?,
        role: role?,
        stock: stock?,
        pages: pages?,
        leaves: leaves?,
        bleed: bleed?,
        version_inks: inks,
        version_pages: changed,
        plates_of: None,
        changed_inks: Vec::new(),
        changed_pages: Vec::new(),
    })
}

/// Leaves of the part in a copy: required for pads, 1 for sets unless given, never given for others.
fn leaves(table: &TableReader<'_>, kind: Option<ProductKind>) -> Option<Given<u32>> {
    let read = |value: &Value<'_>| Some(value.count(LEAVES)?.map(|n| n as u32));
    match kind {
        Some(ProductKind::Pad) => read(&table.required("leaves", "leaves = 50")?),
        Some(ProductKind::Set) => {
            let sentence = "no leaves given; a copy is one loose set".to_owned();
            table.or_assume("leaves", read, 1, (codes::ASSUMED_LEAVES, sentence))
        }
        Some(_) => match table.optional("leaves") {
            Some(value) => {
                let message = format!("{} is given for a product without any", value.subject());
                let hint = "only a `pad` or a `set` has leaves; else leave it out";
                value.refuse(codes::LEAVES_NOT_ALLOWED, message, hint)
            }
            None => Some(Given::assumed(1)),
        },
        // The kind is wrong and told; whatever stands here may be right.
        None => {
            let given = table.if_given("leaves", read);
            given.ok().flatten().or(Some(Given::assumed(1)))
        }
    }
}

fn bleed(table: &TableReader<'_>) -> Option<Given<Millimetres>> {
    let sentence = format!(
        "no bleed given; using {USUAL_BLEED} mm on every edge (common practice, no source)"
    );
    table.or_assume(
        "bleed",
        |v| v.length(WIDEST_BLEED),
        Millimetres::new(USUAL_BLEED)?,
        (codes::ASSUMED_BLEED, sentence),
    )
}

fn pages(table: &TableReader<'_>, frame: Option<Frame>) -> Option<Given<u32>> {
    let value = table.required("pages", "pages = 2")?;
    let pages = value.count(PAGES)?.map(|n| n as u32);
    let Some(rule) = frame.map(PageRule::of) else {
        return Some(pages);
    };
    if rule.allows(*pages) {
        return Some(pages);
    }
    let message = format!("{} is {}, must be {}", value.subject(), *pages, rule.wanted);
    value.refuse(codes::PAGES_NOT_ALLOWED, message, rule.nearest(*pages))
}

/// How many pages a part may have: multiples of a step between two limits.
struct PageRule {
    step: u32,
    least: u32,
    most: u32,
    wanted: &'static str,
    /// What else takes other numbers.
    otherwise: &'static str,
}

impl PageRule {
    fn of(frame: Frame) -> Self {
        let any = PAGES.high as u32;
        let (step, least, most, wanted, otherwise) = match (frame.kind, frame.role) {
            (ProductKind::Flat, _) => (
                1,
                1,
                2,
                "1 or 2 for a flat sheet",
                "a sheet with more pages is `folded` or bound",
            ),
            (ProductKind::Pad | ProductKind::Set, _) => (
                1,
                1,
                2,
                "1 or 2, the printed sides of a leaf",
                "the number of leaves is `leaves`",
            ),
            (ProductKind::Folded, _) if frame.fold == FoldScheme::RightAngle => (
                8,
                8,
                MOST_FOLDED_PAGES,
                "a multiple of 8 from 8 to 32 for a right-angle fold: two rows of panels",
                "parallel folds take any even number",
            ),
            (ProductKind::Folded, _) => (
                2,
                4,
                MOST_FOLDED_PAGES,
                "an even number from 4 to 32 for a folded sheet: two pages for each panel",
                "",
            ),
            (_, Role::LooseInsert) => (
                2,
                2,
                MOST_FOLDED_PAGES,
                "an even number from 2 to 32 for a loose insert",
                "leave a page without ink to print one side",
            ),
            (ProductKind::PerfectBound | ProductKind::SectionSewn, Role::Cover) => {
                (4, 4, 4, "4 for a cover that is glued on", "")
            }
            (_, Role::Endpapers) => (
                4,
                4,
                MOST_ENDPAPERS,
                "a multiple of 4 from 4 to 16 for endpapers",
                "",
            ),
            (ProductKind::PerfectBound, Role::Insert) => {
                (2, 2, any, "an even number for an insert bound in", "")
            }
            (ProductKind::PerfectBound, _) => (
                2,
                4,
                any,
                "an even number, 4 or more, for perfect binding",
                "",
            ),
            (ProductKind::SectionSewn, _) => (
                4,
                4,
                any,
                "a multiple of 4 for sewn sections",
                "perfect binding takes any even number",
            ),
            (ProductKind::SaddleStitched, _) => (
                4,
                4,
                any,
                "a multiple of 4 for saddle-stitching",
                "perfect binding takes any even number",
            ),
        };
        Self {
            step,
            least,
            most,
            wanted,
            otherwise,
        }
    }

    fn allows(&self, pages: u32) -> bool {
        pages.is_multiple_of(self.step) && (self.least..=self.most).contains(&pages)
    }

    fn nearest(&self, pages: u32) -> String {
        let below = (pages / self.step * self.step).clamp(self.least, self.most);
        let above = pages
            .next_multiple_of(self.step)
            .clamp(self.least, self.most);
        let nearest = if below == above {
            format!("nearest allowed: {below}")
        } else {
            format!("nearest allowed: {below} or {above}")
        };
        match self.otherwise {
            "" => nearest,
            otherwise => format!("{nearest}; {otherwise}"),
        }
    }
}
