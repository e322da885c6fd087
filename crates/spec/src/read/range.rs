//! Rates given as `{ low = , typical = , high = }`: which end is read, and what all of them are.

use toml::de::DeValue;

use super::{Log, Optional, Refused, TableReader, Value, shown};
use crate::{Place, RateCard, Reading, codes};

/// Most ranges of a card; each is priced twice.
const MOST_RANGES: usize = 60;
/// Numbers of a rate card that say what a thing is, not what it costs.
const FIXED: [&str; 17] = [
    "units",
    "weight_kg",
    "inks",
    "up_to",
    "pack",
    "gsm",
    "bulk",
    "lightest_gsm",
    "heaviest_gsm",
    "density",
    "tone",
    "correlation",
    "opacity",
    "trapping",
    "stitch_thickest",
    "bind_thinnest",
    "round_total_to",
];

/// Whether a number or an amount of a rate card may be given as a range.
///
/// A price never falls as such a value rises, or, for speeds, never rises; rounding would break that.
pub(crate) fn may_range(key: &str) -> bool {
    !FIXED.contains(&key)
}

/// Whether the price falls as the value rises.
fn speeds_up(key: &str) -> bool {
    key.ends_with("per_hour") || key == "belt_speed"
}

/// Which ends of the ranges a reading takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Pick {
    /// The typical value of each.
    Typical,
    /// The end of each at which a job costs least.
    Cheapest,
    /// The end of each at which a job costs most.
    Dearest,
    /// The low end of the range that begins at this byte, the typical value of all others.
    Low(usize),
    /// The high end of the range that begins at this byte, the typical value of all others.
    High(usize),
}

impl Pick {
    /// The key of the end that is taken for the range of `key` at byte `at`.
    fn end(self, key: &str, at: usize) -> &'static str {
        match self {
            Self::Cheapest if speeds_up(key) => "high",
            Self::Dearest if speeds_up(key) => "low",
            Self::Cheapest => "low",
            Self::Dearest => "high",
            Self::Low(start) if start == at => "low",
            Self::High(start) if start == at => "high",
            _ => "typical",
        }
    }
}

/// A range as it is written.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Written {
    name: String,
    place: Place,
    ends: [String; 3],
}

/// A rate that is given as a range, and the card at each of its ends.
#[derive(Debug, Clone, PartialEq)]
pub struct RangedRate {
    /// What it is, for instance `hourly rate of press B2`.
    pub name: String,
    /// Where it is written.
    pub place: Place,
    /// Low, typical and high value, digits as written.
    pub values: [String; 3],
    /// The card with the low end of this range and the typical value of all others.
    pub low: RateCard,
    /// The card with the high end of this range and the typical value of all others.
    pub high: RateCard,
}

/// The ranges of a rate card.
#[derive(Debug, Clone, PartialEq)]
pub struct CardRanges {
    /// Each range, in the order in which the card is read.
    pub rates: Vec<RangedRate>,
    /// The card with the cheapest end of every range.
    pub cheapest: RateCard,
    /// The card with the dearest end of every range.
    pub dearest: RateCard,
}

/// The ranges of a rate card that has been read without an error; `None` when it has none.
pub fn read_card_ranges(bytes: &[u8]) -> Option<CardRanges> {
    let text = std::str::from_utf8(bytes).ok()?;
    let card = |pick| super::read_card(text, pick).0.value;
    let (_, written) = super::read_card(text, Pick::Typical);
    let rate = |range: Written| {
        Some(RangedRate {
            low: card(Pick::Low(range.place.start))?,
            high: card(Pick::High(range.place.start))?,
            name: range.name,
            place: range.place,
            values: range.ends,
        })
    };
    let rates: Vec<RangedRate> = written.into_iter().map(rate).collect::<Option<_>>()?;
    (!rates.is_empty()).then_some(CardRanges {
        cheapest: card(Pick::Cheapest)?,
        dearest: card(Pick::Dearest)?,
        rates,
    })
}

/// Adds what is wrong with the ends of the ranges to a card that is right at their typical values.
pub(crate) fn check_ends(reading: Reading<RateCard>, text: &str) -> Reading<RateCard> {
    let mut notices = reading.notices;
    for pick in [Pick::Cheapest, Pick::Dearest] {
        let (ends, _) = super::read_card(text, pick);
        let errors: Vec<_> = ends
            .errors()
            .filter(|e| !notices.contains(e))
            .cloned()
            .collect();
        notices.extend(errors);
    }
    Reading::new(reading.value, notices)
}

impl<'a> Value<'a> {
    /// The end of a range that this reading takes; `Ok(None)` when the value is no range.
    pub(crate) fn end_of_range(&self) -> Optional<Value<'a>> {
        let is_range = matches!(self.raw(), DeValue::Table(_));
        if !is_range || !self.log().takes_ranges() || !may_range(self.key()) {
            return Ok(None);
        }
        self.range().map(Some).ok_or(Refused)
    }

    fn range(&self) -> Option<Value<'a>> {
        let table = TableReader::of(self, format!("the range {}", self.subject()))?;
        let read = |key: &'static str| {
            let example = "{ low = 90, typical = 100, high = 120 }";
            let value = table.required(key, example)?;
            Some((value.digits()?, value))
        };
        let ends = [read("low"), read("typical"), read("high")];
        table.finish();
        let [Some(low), Some(typical), Some(high)] = ends else {
            return None;
        };
        // Only their order is decided here, so that a float will do for amounts too.
        let ascending = |a: &str, b: &str| matches!((a.parse::<f64>(), b.parse::<f64>()), (Ok(a), Ok(b)) if a <= b);
        let digits = [low.0, typical.0, high.0];
        if !ascending(&digits[0], &digits[1]) || !ascending(&digits[1], &digits[2]) {
            let message = format!(
                "{}: low {}, typical {} and high {} do not ascend",
                self.subject(),
                shown(&digits[0]),
                shown(&digits[1]),
                shown(&digits[2])
            );
            let hint = "write the lowest value likely, the usual one and the highest likely";
            return self.refuse(codes::RANGE_NOT_ASCENDING, message, hint);
        }
        self.record(digits)?;
        let end = self.log().pick().end(self.key(), self.span().start);
        [low.1, typical.1, high.1]
            .into_iter()
            .find(|value| value.key() == end)
            .map(|value| self.standing_for(&value))
    }

    fn digits(&self) -> Option<String> {
        match self.raw() {
            DeValue::Integer(whole) if whole.radix() == 10 => Some(whole.as_str().to_owned()),
            DeValue::Float(number) => Some(number.as_str().to_owned()),
            DeValue::String(text) => Some(text.trim().to_owned()),
            _ => self.wrong_type("a number"),
        }
    }

    fn record(&self, ends: [String; 3]) -> Option<()> {
        let name = self.subject().replace('`', "").replace('_', " ");
        let place = self.place();
        let known = self.log().record_range(Written { name, place, ends });
        if known <= MOST_RANGES {
            return Some(());
        }
        let message = format!("the card has more than {MOST_RANGES} ranges");
        self.refuse(
            codes::TOO_MANY_RANGES,
            message,
            "keep those that move the price most",
        )
    }
}

impl Log<'_> {
    /// Remembers a range once; returns how many there are.
    fn record_range(&self, range: Written) -> usize {
        let mut all = self.ranges.borrow_mut();
        if !all.iter().any(|known| known.place == range.place) {
            all.push(range);
        }
        all.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Given, read_rate_card};

    fn amount(given: &Given<inkset_units::Money>) -> String {
        given.value.amount().normalize().to_string()
    }

    fn starter(replaced: &[(&str, &str)]) -> String {
        let demo = include_str!("../../../../rates/metric.toml").to_owned();
        replaced.iter().fold(demo, |text, (from, to)| {
            assert!(text.contains(from), "{from}");
            text.replacen(from, to, 1)
        })
    }

    const HOURLY: (&str, &str) = (
        "hourly_rate = 150.00",
        "hourly_rate = { low = 140, typical = \"150.00\", high = 165.5 }",
    );
    const SPEED: (&str, &str) = (
        "sheets_per_hour = 7000",
        "sheets_per_hour = { low = 6000, typical = 7000, high = 8000 }",
    );

    #[test]
    fn typical_values_are_what_is_read() {
        let ranged = read_rate_card(&starter(&[HOURLY, SPEED])).value.unwrap();
        assert_eq!(amount(&ranged.presses[0].hourly_rate), "150");
        assert_eq!(
            ranged.presses[0].speeds[0].sheets_per_hour.to_string(),
            "7000"
        );
    }

    #[test]
    fn each_end_gives_a_card() {
        let ranges = read_card_ranges(starter(&[HOURLY, SPEED]).as_bytes()).unwrap();
        let names: Vec<&str> = ranges.rates.iter().map(|r| r.name.as_str()).collect();
        assert_eq!(
            names,
            [
                "hourly rate of press B2, four units",
                "sheets per hour of a step of speeds of press B2, four units"
            ]
        );
        let press = |card: &RateCard| {
            let press = &card.presses[0];
            (
                amount(&press.hourly_rate),
                press.speeds[0].sheets_per_hour.value as u64,
            )
        };
        let hourly = &ranges.rates[0];
        assert_eq!(press(&hourly.low), ("140".to_owned(), 7_000));
        assert_eq!(press(&hourly.high), ("165.5".to_owned(), 7_000));
        assert_eq!(hourly.values, ["140", "150.00", "165.5"]);
        // A high speed is the cheap end.
        assert_eq!(press(&ranges.cheapest), ("140".to_owned(), 8_000));
        assert_eq!(press(&ranges.dearest), ("165.5".to_owned(), 6_000));
    }

    #[test]
    fn cards_without_ranges_have_none() {
        assert_eq!(read_card_ranges(starter(&[]).as_bytes()), None);
        assert_eq!(read_card_ranges(b"\xff"), None);
    }

    #[test]
    fn wrong_ends_are_told_once() {
        let wrong = (
            "hourly_rate = 150.00",
            "hourly_rate = { low = -1, typical = 5, high = 6 }",
        );
        let reading = read_rate_card(&starter(&[wrong]));
        let errors: Vec<_> = reading.errors().map(|e| e.code).collect();
        assert_eq!(errors, [codes::NOT_AN_AMOUNT]);
        assert_eq!(reading.value, None);
    }
}
