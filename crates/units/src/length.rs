//! Lengths in millimetres and sheet sizes with their names.

use std::fmt;
use std::ops::{Add, Mul, Sub};

use thiserror::Error;

/// A length in millimetres, finite.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Millimetres(f64);

impl Millimetres {
    /// No length.
    pub const ZERO: Self = Self(0.0);

    /// Wraps a length given in millimetres. `None` unless finite.
    pub fn new(millimetres: f64) -> Option<Self> {
        millimetres.is_finite().then_some(Self(millimetres))
    }

    /// From inches, 25.4 mm each (exact by definition). `None` unless finite.
    pub fn from_inches(inches: f64) -> Option<Self> {
        Self::new(tidy(inches * 25.4))
    }

    /// Reads `12 mm`, `1.2 cm` or `0.5 in`; a unit is required.
    pub fn parse(text: &str) -> Result<Self, SizeError> {
        let (number, factor) = split_unit(text)?;
        number_of(number, text).map(|n| Self(tidy(n * factor)))
    }

    /// In millimetres.
    pub const fn mm(self) -> f64 {
        self.0
    }
}

impl Add for Millimetres {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Millimetres {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Mul<f64> for Millimetres {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl fmt::Display for Millimetres {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", short(self.0))
    }
}

/// Equal sheets cut from a larger one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutDown {
    /// How many the larger one gives.
    pub number: u32,
    /// Size of each, long edge first.
    pub size: Size,
    /// Whether what is left of the long edge of the larger sheet is now the short one, and the grain with it.
    pub turned: bool,
}

/// Width and height of a page, piece or sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// Horizontal edge, as written first.
    pub width: Millimetres,
    /// Vertical edge, as written second.
    pub height: Millimetres,
}

impl Size {
    /// From two lengths in millimetres, both more than 0.
    pub fn from_mm(width: f64, height: f64) -> Option<Self> {
        let positive = |x: f64| Millimetres::new(x).filter(|x| x.mm() > 0.0);
        Some(Self {
            width: positive(width)?,
            height: positive(height)?,
        })
    }

    /// Reads a name (`A4`, `SRA2`, `Letter`, also `A4 landscape`) or `210x297 mm`, `8.5x11 in`.
    ///
    /// The separator is `x` or `×`; without a unit, millimetres are meant.
    pub fn parse(text: &str) -> Result<Self, SizeError> {
        if let Some(size) = Self::from_name(text) {
            return Ok(size);
        }
        let (numbers, factor) = split_unit(text).unwrap_or((text.trim(), 1.0));
        let (width, height) = numbers
            .split_once(['x', '×', 'X'])
            .ok_or_else(|| SizeError::NotASize(text.to_owned()))?;
        let width = tidy(number_of(width, text)? * factor);
        let height = tidy(number_of(height, text)? * factor);
        Self::from_mm(width, height).ok_or_else(|| SizeError::NotASize(text.to_owned()))
    }

    fn from_name(text: &str) -> Option<Self> {
        let mut words = text.split_whitespace();
        let name = words.next()?;
        let size = named_sizes()
            .iter()
            .find(|s| s.name.eq_ignore_ascii_case(name))?
            .size();
        match words.next().map(str::to_ascii_lowercase).as_deref() {
            None | Some("portrait") => Some(size),
            Some("landscape") => Some(size.turned()),
            Some(_) => None,
        }
    }

    /// The sheet whole, halved across its long edge, and quartered.
    pub fn cut_down(self) -> [CutDown; 3] {
        let (long, short) = (self.long_edge(), self.short_edge());
        [(1, 1.0, 1.0), (2, 0.5, 1.0), (4, 0.5, 0.5)].map(|(number, of_long, of_short)| {
            let (a, b) = (long * of_long, short * of_short);
            let turned = a < b;
            let (width, height) = if turned { (b, a) } else { (a, b) };
            CutDown {
                number,
                size: Self { width, height },
                turned,
            }
        })
    }

    /// The same piece turned by 90 degrees.
    #[must_use]
    pub fn turned(self) -> Self {
        Self {
            width: self.height,
            height: self.width,
        }
    }

    /// With `margin` added on all four edges.
    #[must_use]
    pub fn grown_by(self, margin: Millimetres) -> Self {
        Self {
            width: self.width + margin * 2.0,
            height: self.height + margin * 2.0,
        }
    }

    /// In square metres.
    pub fn area_m2(self) -> f64 {
        self.width.mm() * self.height.mm() / 1e6
    }

    /// Whether this piece fits on `sheet`, turned or not.
    pub fn fits_on(self, sheet: Self) -> bool {
        let upright = |a: Self| a.width <= sheet.width && a.height <= sheet.height;
        upright(self) || upright(self.turned())
    }

    /// The longer edge.
    pub fn long_edge(self) -> Millimetres {
        Millimetres(self.width.mm().max(self.height.mm()))
    }

    /// The shorter edge.
    pub fn short_edge(self) -> Millimetres {
        Millimetres(self.width.mm().min(self.height.mm()))
    }
}

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (width, height) = (self.width.mm(), self.height.mm());
        if self.is_in_inches() {
            return write!(f, "{} × {} in", inches(width), inches(height));
        }
        write!(f, "{} × {} mm", short(width), short(height))
    }
}

impl Size {
    /// Whether the size was meant in inches: not whole millimetres, but whole 32nds of an inch.
    fn is_in_inches(self) -> bool {
        let edges = [self.width.mm(), self.height.mm()];
        let whole = |value: f64| (value - value.round()).abs() < 1e-3;
        !edges.iter().all(|mm| whole(*mm)) && edges.iter().all(|mm| whole(mm / 25.4 * 32.0))
    }
}

/// A size known by name, portrait.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NamedSize {
    /// Name as the standard or the trade spells it.
    pub name: &'static str,
    /// Short edge in mm.
    pub short_mm: f64,
    /// Long edge in mm.
    pub long_mm: f64,
}

impl NamedSize {
    /// The portrait size.
    pub fn size(self) -> Size {
        Size {
            width: Millimetres(self.short_mm),
            height: Millimetres(self.long_mm),
        }
    }
}

/// All sizes known by name: ISO 216 (A, B), ISO 217 (RA, SRA), DL (ISO 269 leaflet, 99 × 210), US sizes of ANSI Y14.1 and the trade.
pub fn named_sizes() -> &'static [NamedSize] {
    NAMED_SIZES
}

macro_rules! sizes {
    ($($name:literal $short:literal $long:literal;)*) => {
        &[$(NamedSize { name: $name, short_mm: $short, long_mm: $long }),*]
    };
}

const NAMED_SIZES: &[NamedSize] = sizes! {
    "A0" 841.0 1189.0; "A1" 594.0 841.0; "A2" 420.0 594.0; "A3" 297.0 420.0; "A4" 210.0 297.0; "A5" 148.0 210.0;
    "A6" 105.0 148.0; "A7" 74.0 105.0; "A8" 52.0 74.0; "A9" 37.0 52.0; "A10" 26.0 37.0;
    "B0" 1000.0 1414.0; "B1" 707.0 1000.0; "B2" 500.0 707.0; "B3" 353.0 500.0; "B4" 250.0 353.0; "B5" 176.0 250.0;
    "B6" 125.0 176.0; "B7" 88.0 125.0; "B8" 62.0 88.0; "B9" 44.0 62.0; "B10" 31.0 44.0;
    "RA0" 860.0 1220.0; "RA1" 610.0 860.0; "RA2" 430.0 610.0; "RA3" 305.0 430.0; "RA4" 215.0 305.0;
    "SRA0" 900.0 1280.0; "SRA1" 640.0 900.0; "SRA2" 450.0 640.0; "SRA3" 320.0 450.0; "SRA4" 225.0 320.0;
    "DL" 99.0 210.0;
    "Letter" 215.9 279.4; "Legal" 215.9 355.6; "Tabloid" 279.4 431.8; "Half-letter" 139.7 215.9;
};

/// Why a length or size could not be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SizeError {
    /// No unit where one is needed.
    #[error("`{0}` has no unit; write `mm`, `cm` or `in`, for instance `3 mm`")]
    NoUnit(String),
    /// The number is not one.
    #[error("`{0}` is not a length; write for instance `3 mm` or `0.125 in`")]
    NotALength(String),
    /// Neither a name nor width x height.
    #[error(
        "`{0}` is not a size; write a name such as `A4`, `SRA2` or `Letter`, or `210x297 mm`, `8.5x11 in`"
    )]
    NotASize(String),
}

fn split_unit(text: &str) -> Result<(&str, f64), SizeError> {
    let text = text.trim();
    [("mm", 1.0), ("cm", 10.0), ("in", 25.4)]
        .into_iter()
        .find_map(|(unit, factor)| {
            text.strip_suffix(unit)
                .map(|number| (number.trim(), factor))
        })
        .ok_or_else(|| SizeError::NoUnit(text.to_owned()))
}

fn number_of(text: &str, whole: &str) -> Result<f64, SizeError> {
    let text = text.trim();
    let plain = !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || c == '.');
    text.parse::<f64>()
        .ok()
        .filter(|n| plain && n.is_finite())
        .ok_or_else(|| SizeError::NotALength(whole.to_owned()))
}

/// Removes the binary dust of a conversion: 8.5 in is 215.9 mm, kept to 0.1 micrometre.
fn tidy(millimetres: f64) -> f64 {
    (millimetres * 1e4).round() / 1e4
}

/// At most two decimals, none that are zero.
fn short(value: f64) -> String {
    without_zeros(&format!("{value:.2}"))
}

/// Inches down to 32nds.
fn inches(millimetres: f64) -> String {
    without_zeros(&format!("{:.5}", millimetres / 25.4))
}

fn without_zeros(decimal: &str) -> String {
    decimal
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn iso_sizes_match_the_published_table() {
        let table = include_str!("../../../tests/reference/costing/paper_sizes.csv");
        let mut rows = 0;
        for line in table.lines().filter(|l| !l.starts_with('#')).skip(1) {
            let fields: Vec<&str> = line.split(',').collect();
            let size = Size::parse(fields[0]).unwrap();
            assert_eq!(
                size,
                Size::from_mm(fields[1].parse().unwrap(), fields[2].parse().unwrap()).unwrap(),
                "{line}"
            );
            let area: f64 = fields[3].parse().unwrap();
            assert!((size.area_m2() - area).abs() < 0.000_01, "{line}");
            rows += 1;
        }
        assert_eq!(rows, 32);
    }

    #[test]
    fn sizes_are_read_in_mm_and_inches() {
        assert_eq!(
            Size::parse("210x297 mm").unwrap(),
            Size::parse("A4").unwrap()
        );
        assert_eq!(
            Size::parse("a4 landscape").unwrap(),
            Size::parse("297 x 210").unwrap()
        );
        assert_eq!(
            Size::parse("8.5x11 in").unwrap(),
            Size::parse("Letter").unwrap()
        );
        assert_eq!(Size::parse("8.5x11in").unwrap().to_string(), "8.5 × 11 in");
        assert_eq!(
            Millimetres::parse("0.125 in").unwrap(),
            Millimetres::new(3.175).unwrap()
        );
    }

    #[test]
    fn nonsense_is_no_size() {
        for text in [
            "",
            "x",
            "A4x",
            "0x10",
            "-3x4",
            "210x",
            "nanx3",
            "1e3x4",
            "A4 sideways",
        ] {
            assert!(Size::parse(text).is_err(), "{text}");
        }
        assert_eq!(
            Millimetres::parse("3"),
            Err(SizeError::NoUnit("3".to_owned()))
        );
    }

    #[test]
    fn halving_turns_the_long_edge() {
        let cuts = |w, h| Size::from_mm(w, h).unwrap().cut_down();
        let told = |cut: &CutDown| {
            (
                cut.number,
                cut.size.width.mm(),
                cut.size.height.mm(),
                cut.turned,
            )
        };
        let sra1 = cuts(640.0, 900.0);
        assert_eq!(
            sra1.iter().map(told).collect::<Vec<_>>(),
            [
                (1, 900.0, 640.0, false),
                (2, 640.0, 450.0, true),
                (4, 450.0, 320.0, false)
            ]
        );
        // More than twice as long as wide: what is left is still the longer edge.
        assert_eq!(told(&cuts(1000.0, 400.0)[1]), (2, 500.0, 400.0, false));
    }
}
