//! The stored form of a printing condition.
//!
//! A text header that names everything needed to read the rest (condition, source, limits, area model, grid), an empty
//! line, the nodes as 16-bit little-endian whole numbers (L, a, b in steps of 1/256; black runs fastest, cyan slowest),
//! and at the end eight bytes of checksum.

use crate::condition::PrintingCondition;
use crate::curve::ToneCurve;
use crate::grid::{Grid, LEVELS, NODES};
use crate::neugebauer::Neugebauer;
use crate::table::ConditionInfo;

const MAGIC: &str = "inkset-grid 1";

/// Longest header that is read, in bytes.
const MAX_HEADER: usize = 16 * 1024;

const CURVE_KEYS: [&str; 4] = ["curve c", "curve m", "curve y", "curve k"];

pub(crate) fn encode(info: &ConditionInfo, areas: &Neugebauer, nodes: &[[i16; 3]]) -> Vec<u8> {
    let mut header = format!("{MAGIC}\nname: {}\n", info.name);
    info.write_fields(&mut header);
    let mut field = |key: &str, value: &str| header.extend([key, ": ", value, "\n"]);
    field("levels", &LEVELS.to_string());
    field("exponent", &areas.exponent.to_string());
    let primaries: Vec<String> = areas
        .primaries
        .iter()
        .flatten()
        .map(f64::to_string)
        .collect();
    field("primaries", &primaries.join(" "));
    for (key, curve) in CURVE_KEYS.iter().zip(&areas.curves) {
        let knots: Vec<String> = curve
            .knots()
            .iter()
            .map(|(tone, area)| format!("{tone} {area}"))
            .collect();
        field(key, &knots.join(" "));
    }
    header.push('\n');
    let mut bytes = header.into_bytes();
    bytes.extend(nodes.iter().flatten().flat_map(|v| v.to_le_bytes()));
    let sum = checksum(&bytes);
    bytes.extend(sum.to_le_bytes());
    bytes
}

pub(crate) fn decode(bytes: &[u8]) -> Result<PrintingCondition, &'static str> {
    let (header, nodes) = split(bytes)?;
    let header = read_header(header)?;
    let stored = nodes.as_chunks::<6>().0.iter().map(|n| {
        let at = |i: usize| i16::from_le_bytes([n[i], n[i + 1]]);
        [at(0), at(2), at(4)]
    });
    Ok(PrintingCondition::from_parts(
        header.info,
        header.areas,
        Grid::from_stored(stored),
    ))
}

/// Reads only what is known of the condition, without checking or unpacking the nodes.
pub(crate) fn decode_info(bytes: &[u8]) -> Result<ConditionInfo, &'static str> {
    Ok(read_info(header_text(bytes)?))
}

fn read_info(header: &str) -> ConditionInfo {
    let mut info = ConditionInfo::unknown("");
    for line in header.lines().skip(1) {
        let (key, value) = line
            .split_once(": ")
            .unwrap_or((line.trim_end_matches(':'), ""));
        if key == "name" {
            value.clone_into(&mut info.name);
        } else {
            info.set_field(key, value);
        }
    }
    info
}

fn header_text(bytes: &[u8]) -> Result<&str, &'static str> {
    let head = &bytes[..bytes.len().min(MAX_HEADER)];
    let end = head
        .windows(2)
        .position(|w| w == b"\n\n")
        .ok_or("no header")?;
    let text = std::str::from_utf8(&head[..end]).map_err(|_| "the header is not text")?;
    if text.lines().next() == Some(MAGIC) {
        Ok(text)
    } else {
        Err("not a grid of this version")
    }
}

fn split(bytes: &[u8]) -> Result<(&str, &[u8]), &'static str> {
    let header = header_text(bytes)?;
    let start = header.len() + 2;
    if bytes.len() != start + NODES * 6 + 8 {
        return Err("the length does not fit the grid");
    }
    let (body, sum) = bytes.split_at(bytes.len() - 8);
    if checksum(body).to_le_bytes() != sum {
        return Err("the checksum does not match");
    }
    Ok((header, &body[start..]))
}

struct Header {
    info: ConditionInfo,
    areas: Neugebauer,
}

fn read_header(text: &str) -> Result<Header, &'static str> {
    let field = |key: &str| {
        text.lines()
            .find_map(|line| line.strip_prefix(key)?.strip_prefix(": "))
    };
    if field("levels") != Some(LEVELS.to_string().as_str()) {
        return Err("another number of levels");
    }
    let exponent = field("exponent")
        .and_then(|v| v.parse().ok())
        .filter(|n| (1.0..=100.0).contains(n));
    let primaries = numbers(field("primaries").unwrap_or_default()).ok_or("bad primaries")?;
    let curves = CURVE_KEYS.map(|key| numbers(field(key).unwrap_or_default()));
    if primaries.len() != 48
        || curves
            .iter()
            .any(|c| !c.as_ref().is_some_and(|v| v.len().is_multiple_of(2)))
    {
        return Err("the area model is incomplete");
    }
    let primaries =
        std::array::from_fn(|i| std::array::from_fn(|channel| primaries[3 * i + channel]));
    let curves = curves.map(|v| {
        ToneCurve::through(
            v.unwrap_or_default()
                .as_chunks::<2>()
                .0
                .iter()
                .map(|p| (p[0], p[1]))
                .collect(),
        )
    });
    let areas = Neugebauer::new(exponent.ok_or("bad exponent")?, &primaries, curves);
    Ok(Header {
        info: read_info(text),
        areas,
    })
}

fn numbers(text: &str) -> Option<Vec<f64>> {
    text.split(' ')
        .map(|word| word.parse().ok().filter(|v: &f64| v.is_finite()))
        .collect()
}

/// FNV-1a over 64-bit words instead of bytes: finds damage, quickly; no defence against intent.
fn checksum(bytes: &[u8]) -> u64 {
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    let (words, tail) = bytes.as_chunks::<8>();
    let start = 0xcbf2_9ce4_8422_2325_u64 ^ bytes.len() as u64;
    let sum = words.iter().fold(start, |sum, word| {
        (sum ^ u64::from_le_bytes(*word))
            .wrapping_mul(PRIME)
            .rotate_left(23)
    });
    tail.iter().fold(sum, |sum, byte| {
        (sum ^ u64::from(*byte)).wrapping_mul(PRIME)
    })
}
