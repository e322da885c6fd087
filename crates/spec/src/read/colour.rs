//! Reads colours with their uses, and pictures.

use inkset_units::{Coverage, DeltaE, ToneValue};
use toml::de::DeValue;

use super::job::report_duplicate_names;
use super::part::Parts;
use super::{Limits, Optional, TableReader, Value, pages, target};
use crate::{Colour, Effect, Given, Importance, Picture, SolidChoice, Use, UseKind, codes};

/// Most uses of one colour.
const MOST_USES: usize = 100;
/// How closely a solid is mixed unless given, ΔE00. Common practice, no source.
const USUAL_SOLID_MATCH: f64 = 1.0;
/// Mean coverage of C, M, Y, K within photographs. Common practice, no source.
pub(crate) const TYPICAL_PICTURE: [f64; 4] = [0.30, 0.28, 0.30, 0.15];
const DELTA_E: Limits = Limits::new(0.0, 100.0, "ΔE00", "2.0");

/// Effects with their words in job files and rate cards.
pub(crate) fn effects() -> [(&'static str, Effect); 4] {
    Effect::ALL.map(|effect| (effect.word(), effect))
}

pub(crate) fn colours(root: &TableReader<'_>, parts: &Parts) -> Option<Vec<Colour>> {
    let Some(listed) = root.optional("colour") else {
        return Some(Vec::new());
    };
    let read: Vec<Option<Colour>> = listed.list()?.iter().map(|e| colour(e, parts)).collect();
    let names = read.iter().flatten().map(|c| c.name.clone());
    report_duplicate_names(root, "colours", names);
    read.into_iter().collect()
}

fn colour(entry: &Value<'_>, parts: &Parts) -> Option<Colour> {
    let table = TableReader::of(entry, "a colour")?;
    let name = table.name("name", "name = \"Pumpkin orange\"");
    if let Some(name) = &name {
        table.call(format!("colour `{}`", name.value));
    }
    let effect = effect(&table);
    let target = target::target(&table, effect.ok().flatten());
    let importance = importance(&table);
    let tolerance = tolerance(&table, importance);
    let solid = solid(&table, effect.ok().flatten());
    let solid_match = solid_match(&table, solid);
    let ink = table.if_given("ink", Value::text);
    let uses = uses(&table, parts);
    table.finish();
    let colour = Colour {
        name: name?,
        target: target?,
        importance: importance?,
        tolerance: tolerance?,
        effect: effect.ok()?,
        solid: solid?,
        solid_match: solid_match?,
        ink: ink.ok()?,
        uses: uses?,
    };
    warn_of_idle_ink(&table, &colour);
    Some(colour)
}

fn effect(table: &TableReader<'_>) -> Optional<Given<Effect>> {
    table.if_given("effect", |v| v.choice(&effects()))
}

fn importance(table: &TableReader<'_>) -> Option<Given<Importance>> {
    let choices = [
        ("brand", Importance::Brand),
        ("matching", Importance::Matching),
        ("decorative", Importance::Decorative),
    ];
    let sentence = "no importance given; taking `matching` (common practice, no source)";
    table.or_assume(
        "importance",
        |v| v.choice(&choices),
        Importance::Matching,
        (codes::ASSUMED_IMPORTANCE, sentence.to_owned()),
    )
}

const fn word(importance: Importance) -> &'static str {
    match importance {
        Importance::Brand => "brand",
        Importance::Matching => "matching",
        Importance::Decorative => "decorative",
    }
}

fn tolerance(
    table: &TableReader<'_>,
    importance: Option<Given<Importance>>,
) -> Option<Given<DeltaE>> {
    let importance = importance.map_or(Importance::Matching, |i| i.value);
    let (word, usual) = (word(importance), importance.usual_tolerance());
    let sentence = format!(
        "no tolerance given; using {usual:.1} ΔE00, the usual one for `{word}` (common practice, no source)"
    );
    table.or_assume(
        "tolerance",
        delta_e,
        DeltaE::new(usual)?,
        (codes::ASSUMED_TOLERANCE, sentence),
    )
}

fn delta_e(value: &Value<'_>) -> Option<Given<DeltaE>> {
    let number = value.number(DELTA_E)?;
    DeltaE::new(*number).map(|d| value.given(d))
}

fn solid(table: &TableReader<'_>, effect: Option<Given<Effect>>) -> Option<Given<SolidChoice>> {
    let choices = [
        ("allowed", SolidChoice::Allowed),
        ("required", SolidChoice::Required),
        ("refused", SolidChoice::Refused),
    ];
    if let Some(effect) = effect {
        return solid_for_effect(table, effect, &choices);
    }
    let sentence = "not said whether a solid ink may be offered; it may".to_owned();
    table.or_assume(
        "solid",
        |v| v.choice(&choices),
        SolidChoice::Allowed,
        (codes::ASSUMED_SOLID, sentence),
    )
}

/// No build imitates an effect, so that its ink is required whether the file says so or not.
fn solid_for_effect(
    table: &TableReader<'_>,
    effect: Given<Effect>,
    choices: &[(&'static str, SolidChoice)],
) -> Option<Given<SolidChoice>> {
    let required = effect.map(|_| SolidChoice::Required);
    let Some(value) = table.optional("solid") else {
        return Some(required);
    };
    match value.choice(choices)?.value {
        SolidChoice::Required => Some(value.given(SolidChoice::Required)),
        SolidChoice::Refused => {
            let message = format!(
                "{} is `refused`, but an effect needs its own ink",
                value.subject()
            );
            value.refuse(
                codes::EFFECT_REFUSED,
                message,
                "leave out `effect` to have the colour built from process inks",
            )
        }
        SolidChoice::Allowed => {
            let message = format!(
                "{} is `allowed`; an effect is always printed with its own ink",
                value.subject()
            );
            let notice = value.log().warning(codes::EFFECT_NEEDS_SOLID, message);
            value.log().report(
                notice
                    .at(Some(value.place()))
                    .hint("write `required`, or leave `solid` out"),
            );
            Some(required)
        }
    }
}

fn solid_match(
    table: &TableReader<'_>,
    solid: Option<Given<SolidChoice>>,
) -> Option<Given<DeltaE>> {
    let usual = DeltaE::new(USUAL_SOLID_MATCH)?;
    let refused = solid.filter(|s| s.value == SolidChoice::Refused);
    if let Some(refused) = refused.filter(|_| !table.has("solid_match")) {
        table.optional("solid_match");
        return Some(refused.map(|_| usual));
    }
    let sentence = format!(
        "not said how closely a solid ink is mixed; using {USUAL_SOLID_MATCH:.1} ΔE00 to its standard (common practice, no source)"
    );
    let assumption = (codes::ASSUMED_SOLID_MATCH, sentence);
    table.or_assume("solid_match", delta_e, usual, assumption)
}

fn warn_of_idle_ink(table: &TableReader<'_>, colour: &Colour) {
    let Some(ink) = colour
        .ink
        .as_ref()
        .filter(|_| colour.solid.value == SolidChoice::Refused)
    else {
        return;
    };
    let message = format!(
        "{} names ink `{}` but takes no solid",
        table.subject(),
        ink.value
    );
    let notice = table.log().warning(codes::INK_WITHOUT_SOLID, message);
    table.log().report(
        notice
            .at(ink.place)
            .hint("leave out `ink`, or write `solid = \"allowed\"`"),
    );
}

fn uses(table: &TableReader<'_>, parts: &Parts) -> Option<Vec<Use>> {
    let Some(value) = table.optional("uses") else {
        let notice = table.log().error(
            codes::UNUSED_COLOUR,
            format!("{} is used by no part", table.subject()),
        );
        table.log().report(
            notice
                .at(table.place())
                .hint("write `uses = [ { coverage = 0.1 } ]`, or remove the colour"),
        );
        return None;
    };
    let entries = value.list()?;
    if entries.is_empty() {
        let message = format!("{} is used by no part", table.subject());
        return value.refuse(
            codes::UNUSED_COLOUR,
            message,
            "write `uses = [ { coverage = 0.1 } ]`, or remove the colour",
        );
    }
    if entries.len() > MOST_USES {
        let message = format!(
            "{} has {} entries, more than {MOST_USES}",
            value.subject(),
            entries.len()
        );
        return value.refuse(
            codes::LIST_TOO_LONG,
            message,
            "put pages of the same coverage together",
        );
    }
    let owner = table.subject();
    let read: Vec<Option<Use>> = entries
        .iter()
        .map(|entry| one_use(entry, parts, &owner))
        .collect();
    read.into_iter().collect()
}

fn one_use(entry: &Value<'_>, parts: &Parts, owner: &str) -> Option<Use> {
    let table = TableReader::of(entry, format!("a use of {owner}"))?;
    let spot = pages::spot(&table, parts);
    let coverage = table
        .required("coverage", "coverage = 0.3")
        .and_then(|v| v.coverage());
    let tint = tint(&table);
    let kind = use_kind(&table);
    table.finish();
    let (part, pages) = spot?;
    Some(Use {
        part,
        pages,
        coverage: coverage?,
        tint: tint?,
        kind: kind?,
    })
}

fn tint(table: &TableReader<'_>) -> Option<Given<ToneValue>> {
    let sentence = "no tint given; using 100 %, the full colour".to_owned();
    table.or_assume(
        "tint",
        written_tint,
        ToneValue::SOLID,
        (codes::ASSUMED_TINT, sentence),
    )
}

fn written_tint(value: &Value<'_>) -> Option<Given<ToneValue>> {
    let percent = value.plain_number()?;
    if percent == 0.0 {
        let message = format!("{} is 0, which prints nothing", value.subject());
        return value.refuse(
            codes::ZERO_TINT,
            message,
            "write a percentage up to 100, or remove the use",
        );
    }
    if let Some(tint) = ToneValue::from_percent(percent) {
        return Some(value.given(tint));
    }
    let message = format!(
        "{} is {percent}, must be more than 0 and at most 100 %",
        value.subject()
    );
    value.refuse(codes::TONE_OUT_OF_RANGE, message, "100 is the full colour")
}

fn use_kind(table: &TableReader<'_>) -> Option<Given<UseKind>> {
    let choices = [
        ("panel", UseKind::Panel),
        ("type", UseKind::Type),
        ("rule", UseKind::Rule),
        ("background", UseKind::Background),
    ];
    let sentence = "not said what it is used as; taking `panel`".to_owned();
    table.or_assume(
        "as",
        |v| v.choice(&choices),
        UseKind::Panel,
        (codes::ASSUMED_USE, sentence),
    )
}

pub(crate) fn pictures(root: &TableReader<'_>, parts: &Parts) -> Option<Vec<Picture>> {
    let Some(listed) = root.optional("picture") else {
        return Some(Vec::new());
    };
    let read: Vec<Option<Picture>> = listed.list()?.iter().map(|e| picture(e, parts)).collect();
    read.into_iter().collect()
}

fn picture(entry: &Value<'_>, parts: &Parts) -> Option<Picture> {
    let table = TableReader::of(entry, "a picture")?;
    let spot = pages::spot(&table, parts);
    let area = table
        .required("area", "area = 0.4")
        .and_then(|v| v.coverage());
    let inks = picture_inks(&table);
    table.finish();
    let (part, pages) = spot?;
    Some(Picture {
        part,
        pages,
        area: area?,
        inks: inks?,
    })
}

fn picture_inks(table: &TableReader<'_>) -> Option<Given<[f64; 4]>> {
    let value = table.optional("inks");
    if let Some(value) = value
        .as_ref()
        .filter(|v| !matches!(v.raw(), DeValue::String(_)))
    {
        return measured_inks(value);
    }
    let written = match &value {
        None => None,
        Some(value) => Some(value.choice(&[("typical", ())])?),
    };
    let [c, m, y, k] = TYPICAL_PICTURE;
    let sentence = format!(
        "{}: inks not measured; using C {c:.2}, M {m:.2}, Y {y:.2}, K {k:.2} of the picture area (common practice, no source)",
        table.subject()
    );
    let place = written.and_then(|w| w.place);
    table.log().assume(
        codes::ASSUMED_PICTURE_INKS,
        place.or(table.place()),
        sentence,
    );
    Some(Given {
        value: TYPICAL_PICTURE,
        place,
    })
}

fn measured_inks(value: &Value<'_>) -> Option<Given<[f64; 4]>> {
    let table = TableReader::of(value, "the inks of a picture")?;
    let ink = |key: &'static str| -> Option<Given<Coverage>> {
        table.required(key, &format!("{key} = 0.3"))?.coverage()
    };
    let (c, m, y, k) = (ink("c"), ink("m"), ink("y"), ink("k"));
    table.finish();
    let inks = [c?, m?, y?, k?].map(|ink| ink.fraction());
    Some(value.given(inks))
}
