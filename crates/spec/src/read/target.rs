//! Reads what a colour should look like.

use toml::de::DeValue;

use super::{TableReader, Value, shown};
use crate::{Effect, Given, Target, codes};

pub(crate) fn target(
    table: &TableReader<'_>,
    effect: Option<Given<Effect>>,
) -> Option<Given<Target>> {
    let condition = table.if_given("condition", Value::text);
    let given = [
        table.optional("lab").map(|v| (lab as ReadTarget, v)),
        table.optional("srgb").map(|v| (srgb as ReadTarget, v)),
        table.optional("cmyk").map(|v| (cmyk as ReadTarget, v)),
        table
            .optional("palette")
            .map(|v| (palette as ReadTarget, v)),
    ];
    let mut given = given.into_iter().flatten();
    let Some((read, value)) = given.next() else {
        return no_target(table, effect);
    };
    if let Some((_, second)) = given.next() {
        let message = format!("{} has more than one target", table.subject());
        return second.refuse(
            codes::SEVERAL_TARGETS,
            message,
            "keep one of `lab`, `srgb`, `cmyk` and `palette`",
        );
    }
    let target = read(&value)?;
    Some(value.given(with_condition(table, target, condition.ok()?)?))
}

type ReadTarget = fn(&Value<'_>) -> Option<Target>;

/// A metallic, white or varnish may go without a target: it only decides how a swatch is drawn.
fn no_target(table: &TableReader<'_>, effect: Option<Given<Effect>>) -> Option<Given<Target>> {
    let l = match effect.map(|e| e.value) {
        Some(Effect::Metallic) => 60.0,
        Some(Effect::White | Effect::Varnish) => 95.0,
        Some(Effect::Fluorescent) | None => {
            let message = format!("{} has no target", table.subject());
            let hint = "write `lab = [66.0, 58.0, 78.0]`, `srgb = \"#F26A21\"` or `cmyk = [0, 60, 100, 0]`";
            let notice = table.log().error(codes::NO_TARGET, message);
            table.log().report(notice.at(table.place()).hint(hint));
            return None;
        }
    };
    let (a, b) = (0.0, 0.0);
    let sentence = format!("no target given; its swatch is drawn as Lab {l} 0 0");
    Some(table.assume(Target::Lab { l, a, b }, (codes::ASSUMED_TARGET, sentence)))
}

fn with_condition(
    table: &TableReader<'_>,
    target: Target,
    condition: Option<Given<String>>,
) -> Option<Target> {
    match (target, condition) {
        (Target::Cmyk { tones, .. }, None) => {
            let sentence = format!(
                "{}: no printing condition given for its `cmyk`; taking the one of the paper it is printed on",
                table.subject()
            );
            table
                .log()
                .assume(codes::ASSUMED_CONDITION, table.place(), sentence);
            Some(Target::Cmyk {
                tones,
                condition: None,
            })
        }
        (Target::Cmyk { tones, .. }, Some(name)) => Some(Target::Cmyk {
            tones,
            condition: Some(name.value),
        }),
        (target, None) => Some(target),
        (_, Some(name)) => {
            let message = format!("`condition` of {} goes only with `cmyk`", table.subject());
            let notice = table.log().error(codes::UNKNOWN_KEY, message);
            table.log().report(
                notice
                    .at(name.place)
                    .hint("leave `condition` out: Lab and sRGB are the same everywhere"),
            );
            None
        }
    }
}

fn numbers<const N: usize>(value: &Value<'_>, wanted: &str) -> Option<[f64; N]> {
    let DeValue::Array(_) = value.raw() else {
        return value.wrong_type(wanted);
    };
    let read: Vec<Option<f64>> = value.list()?.iter().map(Value::plain_number).collect();
    let read: Vec<f64> = read.into_iter().collect::<Option<_>>()?;
    let count = read.len();
    read.try_into().ok().or_else(|| {
        let message = format!("{} has {count} numbers, must be {wanted}", value.subject());
        value.log().report(value.error(codes::WRONG_TYPE, message));
        None
    })
}

fn lab(value: &Value<'_>) -> Option<Target> {
    lab_values(value).map(|[l, a, b]| Target::Lab { l, a, b })
}

/// CIELAB: L 0 to 100, a and b -128 to 128.
pub(crate) fn lab_values(value: &Value<'_>) -> Option<[f64; 3]> {
    let [l, a, b] = numbers(value, "three numbers: L, a, b")?;
    let chroma = -128.0..=128.0;
    if (0.0..=100.0).contains(&l) && chroma.contains(&a) && chroma.contains(&b) {
        return Some([l, a, b]);
    }
    let message = format!(
        "{} is {l}, {a}, {b}; L must be 0 to 100, a and b -128 to 128",
        value.subject()
    );
    value.refuse(
        codes::LAB_OUT_OF_RANGE,
        message,
        "write L, a, b as measured under D50, for instance `[66.0, 58.0, 78.0]`",
    )
}

/// A full solid: Lab, or a colour of a palette.
pub(crate) fn lab_or_palette(value: &Value<'_>) -> Option<Given<Target>> {
    let target = match value.raw() {
        DeValue::Table(_) => palette(value)?,
        _ => lab(value)?,
    };
    Some(value.given(target))
}

fn srgb(value: &Value<'_>) -> Option<Target> {
    let text = value.raw_text()?;
    hex(text).map(Target::Srgb).or_else(|| {
        let message = format!("{}: `{}` is no sRGB colour", value.subject(), shown(text));
        value.refuse(
            codes::NOT_A_HEX_COLOUR,
            message,
            "write six digits 0-9 A-F, for instance `#F26A21`",
        )
    })
}

fn palette(value: &Value<'_>) -> Option<Target> {
    let table = TableReader::of(value, value.subject())?;
    let file = table.name("file", "file = \"brand.cxf\"");
    let name = table.name("name", "name = \"Harbour blue\"");
    table.finish();
    Some(Target::Palette {
        file: file?.value,
        name: name?.value,
    })
}

/// Reads `#RRGGBB` or `#RGB`.
fn hex(text: &str) -> Option<[u8; 3]> {
    let digits = text.trim().strip_prefix('#')?;
    if !digits.chars().all(|c| c.is_ascii_hexdigit()) {
        return None;
    }
    let pair = |from: usize| u8::from_str_radix(&digits[from..from + 2], 16).ok();
    let single = |at: usize| {
        u8::from_str_radix(&digits[at..=at], 16)
            .ok()
            .map(|d| d * 17)
    };
    match digits.len() {
        6 => Some([pair(0)?, pair(2)?, pair(4)?]),
        3 => Some([single(0)?, single(1)?, single(2)?]),
        _ => None,
    }
}

fn cmyk(value: &Value<'_>) -> Option<Target> {
    let tones: [f64; 4] = numbers(value, "four numbers: C, M, Y, K in percent")?;
    if tones.iter().all(|t| (0.0..=100.0).contains(t)) {
        return Some(Target::Cmyk {
            tones,
            condition: None,
        });
    }
    let [c, m, y, k] = tones;
    let message = format!(
        "{} is {c}, {m}, {y}, {k}; each tone value must be 0 to 100 %",
        value.subject()
    );
    value.refuse(
        codes::TONE_OUT_OF_RANGE,
        message,
        "write percent, for instance `[0, 60, 100, 0]`",
    )
}
