//! Writes measured coverage into the text of a job, keeping its comments and its order.

mod edit;

use std::collections::{BTreeMap, BTreeSet};

use inkset_units::{Coverage, ToneValue};
use toml_edit::{DocumentMut, Value};

use crate::{Job, Part, Picture, Target, Use, UseKind, page_runs, read_job};
use edit::{Entries, entries, inline, pages_value, set, written};

/// Decimals of a coverage that is written.
const DECIMALS: f64 = 100_000.0;

/// A colour that the artwork shows and the job lacks.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundColour {
    /// Its name.
    pub name: String,
    /// What it looks like; no palette.
    pub look: Target,
    /// Whether the artwork has an ink of its own for it.
    pub is_solid: bool,
    /// Index into [`Job::parts`].
    pub part: usize,
    /// Pages within the part that show it, from 1; never empty.
    pub pages: Vec<u32>,
}

/// Text of a job with its coverage filled in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filled {
    /// The text; the same as before where nothing changes.
    pub text: String,
    /// What changed, a line each.
    pub changes: Vec<String>,
}

/// Why coverage cannot be filled in.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the job is laid out in a way that cannot be filled in: {0}")]
pub struct CannotFill(String);

fn cannot(why: impl Into<String>) -> CannotFill {
    CannotFill(why.into())
}

/// Adds colours to the text of a job, behind those that it has, with a coverage of 0.
pub fn with_colours(text: &str, job: &Job, found: &[FoundColour]) -> Result<Filled, CannotFill> {
    let mut document: DocumentMut = text.parse().map_err(|e| cannot(format!("{e}")))?;
    let mut changes = Vec::new();
    for colour in found {
        let place = vec![
            (
                "part",
                Value::from(job.parts[colour.part].name.value.as_str()),
            ),
            ("pages", pages_value(&colour.pages)),
            ("coverage", Value::from(0.0)),
            ("tint", Value::from(100)),
            ("as", Value::from("panel")),
        ];
        let mut uses = toml_edit::Array::new();
        uses.push_formatted(inline(place, "\n  "));
        uses.set_trailing("\n");
        let mut keys = vec![("name", Value::from(colour.name.as_str()))];
        keys.extend(look(&colour.look)?);
        let (importance, solid) = if colour.is_solid {
            ("brand", "allowed")
        } else {
            ("decorative", "refused")
        };
        keys.push(("importance", Value::from(importance)));
        keys.push(("solid", Value::from(solid)));
        keys.push(("uses", Value::Array(uses)));
        let comment =
            "\n# Found in the artwork: look, importance and tolerance are for you to settle.\n";
        edit::append(&mut document, "colour", keys, comment)
            .ok_or_else(|| cannot("`colour` is no list of tables"))?;
        changes.push(format!("colour `{}`: new, from the artwork", colour.name));
    }
    Ok(Filled {
        text: document.to_string(),
        changes,
    })
}

fn look(target: &Target) -> Result<Vec<(&'static str, Value)>, CannotFill> {
    let list = |values: &[f64]| -> Value {
        values
            .iter()
            .map(|v| Value::from((v * 10.0).round() / 10.0))
            .collect()
    };
    match target {
        Target::Lab { l, a, b } => Ok(vec![("lab", list(&[*l, *a, *b]))]),
        Target::Cmyk { tones, condition } => {
            let mut keys = vec![("cmyk", list(tones))];
            keys.extend(
                condition
                    .as_deref()
                    .map(|name| ("condition", Value::from(name))),
            );
            Ok(keys)
        }
        Target::Srgb([r, g, b]) => Ok(vec![(
            "srgb",
            Value::from(format!("#{r:02x}{g:02x}{b:02x}")),
        )]),
        Target::Palette { .. } => Err(cannot("a palette names no colour of the artwork")),
    }
}

/// Writes the coverage of `measured` on the measured pages into the text of `job`.
///
/// `pages` are the measured ones, as index of the part and number of the page. What is written is read again and held
/// against `measured`.
pub fn with_coverage(
    text: &str,
    (job, measured): (&Job, &Job),
    pages: &BTreeSet<(usize, u32)>,
) -> Result<Filled, CannotFill> {
    let document = text.parse().map_err(|e| cannot(format!("{e}")))?;
    let mut filler = Filler {
        document,
        job,
        measured,
        pages,
        changes: Vec::new(),
    };
    for colour in 0..job.colours.len() {
        filler.colour(colour)?;
    }
    filler.pictures()?;
    let text = filler.document.to_string();
    let again = read_job(&text).value;
    let again = again.ok_or_else(|| cannot("what was filled in cannot be read again"))?;
    if !alike(&again, measured) {
        return Err(cannot(
            "what was filled in reads otherwise than what was measured",
        ));
    }
    Ok(Filled {
        text,
        changes: filler.changes,
    })
}

type Shares = BTreeMap<(usize, u32, u64), f64>;

/// Coverage of a colour by part, page and bits of the tint.
fn shares(uses: &[Use]) -> Shares {
    let mut all = Shares::new();
    for place in uses {
        for &page in &place.pages {
            let key = (place.part, page, place.tint.percent().to_bits());
            *all.entry(key).or_default() += place.coverage.fraction();
        }
    }
    all
}

/// Ink of the pictures by part, page and ink.
fn picture_inks(pictures: &[Picture]) -> BTreeMap<(usize, u32), [f64; 4]> {
    let mut all: BTreeMap<(usize, u32), [f64; 4]> = BTreeMap::new();
    for picture in pictures {
        for &page in &picture.pages {
            let inks = all.entry((picture.part, page)).or_default();
            for (sum, tone) in inks.iter_mut().zip(picture.inks.value) {
                *sum += picture.area.fraction() * tone;
            }
        }
    }
    all
}

/// Whether both print the same on every page, to what the digits written allow.
fn alike(one: &Job, other: &Job) -> bool {
    let near = |a: Option<&f64>, b: Option<&f64>| {
        (a.unwrap_or(&0.0) - b.unwrap_or(&0.0)).abs() < 2.0 / DECIMALS
    };
    let colours = one.colours.iter().zip(&other.colours).all(|(one, other)| {
        let (a, b) = (shares(&one.uses), shares(&other.uses));
        a.keys()
            .chain(b.keys())
            .all(|key| near(a.get(key), b.get(key)))
    });
    let (a, b) = (picture_inks(&one.pictures), picture_inks(&other.pictures));
    let pictures = a.keys().chain(b.keys()).all(|key| {
        let (a, b) = (a.get(key), b.get(key));
        (0..4).all(|ink| near(a.map(|inks| &inks[ink]), b.map(|inks| &inks[ink])))
    });
    one.colours.len() == other.colours.len() && colours && pictures
}

fn rounded(share: f64) -> f64 {
    (share * DECIMALS).round() / DECIMALS
}

/// Fills one document.
struct Filler<'a> {
    document: DocumentMut,
    job: &'a Job,
    measured: &'a Job,
    pages: &'a BTreeSet<(usize, u32)>,
    changes: Vec<String>,
}

/// What a use becomes: pages of the same coverage.
type Group = (f64, Vec<u32>);

impl Filler<'_> {
    fn colour(&mut self, colour: usize) -> Result<(), CannotFill> {
        let job = self.job;
        let mut left = shares(&self.measured.colours[colour].uses);
        let uses = &job.colours[colour].uses;
        let groups: Vec<Vec<Group>> = uses.iter().map(|place| groups(place, &mut left)).collect();
        let mut at = 0;
        for (place, groups) in uses.iter().zip(groups) {
            at += self.one_use(colour, place, (at, &groups))?;
        }
        let mut found: BTreeMap<(usize, u64, u64), Vec<u32>> = BTreeMap::new();
        for ((part, page, tint), share) in left {
            let share = rounded(share);
            if share > 0.0 {
                let key = (part, tint, share.to_bits());
                found.entry(key).or_default().push(page);
            }
        }
        for ((part, tint, share), pages) in found {
            let share = f64::from_bits(share);
            let place = Use {
                part,
                pages,
                coverage: crate::Given::assumed(share_of(share)),
                tint: crate::Given::assumed(
                    ToneValue::from_percent(f64::from_bits(tint)).unwrap_or(ToneValue::SOLID),
                ),
                kind: crate::Given::assumed(UseKind::Panel),
            };
            let keys = keys_of(&place, &job.parts, (share, &place.pages));
            self.uses(colour)?.insert(at, keys);
            at += 1;
            self.tell(colour, &place, &format!("new, coverage {share}"));
        }
        Ok(())
    }

    fn uses(&mut self, colour: usize) -> Result<Entries<'_>, CannotFill> {
        let uses = entries(self.document.as_table_mut(), "colour").and_then(|colours| {
            let table = colours.into_table(colour)?;
            entries(table, "uses")
        });
        uses.ok_or_else(|| cannot("a list of uses could not be found"))
    }

    /// Fills in one use; returns how many entries it takes now.
    fn one_use(
        &mut self,
        colour: usize,
        place: &Use,
        (at, groups): (usize, &[Group]),
    ) -> Result<usize, CannotFill> {
        let before = place.coverage.fraction();
        let parts = &self.job.parts;
        let mut uses = self.uses(colour)?;
        if let (Some(table), Some((share, pages))) = (uses.get(at), groups.first()) {
            // What stays the same keeps the form in which it was written.
            if (before - share).abs() >= 0.5 / DECIMALS {
                set(table, "coverage", Value::from(*share));
            }
            if groups.len() > 1 {
                table.remove("side");
                set(table, "pages", pages_value(pages));
            }
        }
        for (n, (share, pages)) in groups.iter().enumerate().skip(1) {
            uses.insert(at + n, keys_of(place, parts, (*share, pages)));
        }
        for (share, pages) in groups {
            if (before - share).abs() >= 0.5 / DECIMALS {
                let of = Use {
                    pages: pages.clone(),
                    ..place.clone()
                };
                self.tell(colour, &of, &format!("coverage {before} -> {share}"));
            }
        }
        Ok(groups.len())
    }

    fn tell(&mut self, colour: usize, place: &Use, what: &str) {
        let tint = match place.tint.percent() {
            full if full >= 100.0 => String::new(),
            tint => format!(" {tint} %"),
        };
        self.changes.push(format!(
            "`{}`{tint}, {} of `{}`: {what}",
            self.job.colours[colour].name.value,
            page_runs(&place.pages),
            self.job.parts[place.part].name.value
        ));
    }

    fn pictures(&mut self) -> Result<(), CannotFill> {
        let job = self.job;
        let mut left = picture_inks(&self.measured.pictures);
        left.retain(|page, _| self.pages.contains(page));
        let mut at = 0;
        for picture in &job.pictures {
            let is_measured = |page: &&u32| self.pages.contains(&(picture.part, **page));
            let (measured, kept): (Vec<u32>, Vec<u32>) =
                picture.pages.iter().partition(|page| is_measured(page));
            let inks = measured
                .into_iter()
                .map(|page| (page, left.remove(&(picture.part, page)).unwrap_or_default()))
                .collect();
            at += self.one_picture(picture, at, (kept, inks))?;
        }
        for ((part, page), inks) in left {
            let inks = inks.map(rounded);
            if inks.iter().any(|tone| *tone > 0.0) {
                let keys = picture_keys(&job.parts[part], &[page], inks);
                edit::append(&mut self.document, "picture", keys, "\n")
                    .ok_or_else(|| cannot("`picture` is no list of tables"))?;
                self.tell_picture((part, page), "new", inks);
            }
        }
        Ok(())
    }

    /// Fills in one picture; returns how many entries it takes now.
    fn one_picture(
        &mut self,
        picture: &Picture,
        at: usize,
        (kept, measured): (Vec<u32>, Vec<(u32, [f64; 4])>),
    ) -> Result<usize, CannotFill> {
        if measured.is_empty() {
            return Ok(1);
        }
        let part = &self.job.parts[picture.part];
        let lost = || cannot("a picture could not be found");
        let mut pictures = entries(self.document.as_table_mut(), "picture").ok_or_else(lost)?;
        let mut taken = 0;
        if !kept.is_empty() {
            let table = pictures.get(at).ok_or_else(lost)?;
            table.remove("side");
            set(table, "pages", pages_value(&kept));
            taken = 1;
        }
        for (page, inks) in &measured {
            let inks = inks.map(rounded);
            if taken == 0 {
                let table = pictures.get(at).ok_or_else(lost)?;
                if picture.pages.len() > 1 {
                    table.remove("side");
                    set(table, "pages", pages_value(&[*page]));
                }
                set(table, "area", Value::from(1.0));
                set(table, "inks", edit::inks_value(inks));
            } else {
                pictures.insert(at + taken, picture_keys(part, &[*page], inks));
            }
            taken += 1;
        }
        for (page, inks) in measured {
            self.tell_picture((picture.part, page), "all ink beside the colours", inks);
        }
        Ok(taken)
    }

    fn tell_picture(&mut self, (part, page): (usize, u32), what: &str, inks: [f64; 4]) {
        let inks: Vec<String> = ["C", "M", "Y", "K"]
            .iter()
            .zip(inks)
            .map(|(letter, tone)| format!("{letter} {}", rounded(tone)))
            .collect();
        self.changes.push(format!(
            "picture, page {page} of `{}`: {what}, {}",
            self.job.parts[part].name.value,
            inks.join(", ")
        ));
    }
}

/// The pages of a use by what was measured there; takes that out of what is left.
fn groups(place: &Use, left: &mut Shares) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for &page in &place.pages {
        let key = (place.part, page, place.tint.percent().to_bits());
        let share = rounded(left.remove(&key).unwrap_or(0.0));
        match groups
            .iter_mut()
            .find(|(known, _)| (known - share).abs() < 0.5 / DECIMALS)
        {
            Some((_, pages)) => pages.push(page),
            None => groups.push((share, vec![page])),
        }
    }
    groups
}

fn share_of(share: f64) -> Coverage {
    Coverage::from_fraction(share).unwrap_or(Coverage::FULL)
}

fn keys_of(
    place: &Use,
    parts: &[Part],
    (share, pages): (f64, &[u32]),
) -> Vec<(&'static str, Value)> {
    let kind = match place.kind.value {
        UseKind::Panel => "panel",
        UseKind::Type => "type",
        UseKind::Rule => "rule",
        UseKind::Background => "background",
    };
    vec![
        ("part", Value::from(parts[place.part].name.value.as_str())),
        ("pages", pages_value(pages)),
        ("coverage", Value::from(share)),
        ("tint", written(place.tint.percent())),
        ("as", Value::from(kind)),
    ]
}

fn picture_keys(part: &Part, pages: &[u32], inks: [f64; 4]) -> Vec<(&'static str, Value)> {
    vec![
        ("part", Value::from(part.name.value.as_str())),
        ("pages", pages_value(pages)),
        ("area", Value::from(1.0)),
        ("inks", edit::inks_value(inks)),
    ]
}
