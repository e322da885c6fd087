//! A rate card with some of its rates changed: the text as it was written, digits replaced where they stand.

use inkset_units::{Currency, Money};
use rust_decimal::{Decimal, RoundingStrategy};
use toml::de::DeTable;

use crate::read::LONGEST_TEXT;
use crate::{FurtherOperation, Given, Operation, Place, RateCard, RunRate, read_card_ranges};

/// Rates of a card that are changed together, by one factor.
#[derive(Debug, Clone, PartialEq)]
pub struct RateGroup {
    /// What they are, for instance `plates of every press`.
    pub name: String,
    /// Whether the group is one small rate that may take up what the others leave.
    pub spare: bool,
    /// The rates, each with its place in the card.
    pub rates: Vec<Given<Money>>,
}

impl RateGroup {
    fn new(name: impl Into<String>, rates: impl IntoIterator<Item = Given<Money>>) -> Self {
        let rates = rates.into_iter().filter(|rate| rate.place.is_some());
        Self {
            name: name.into(),
            spare: false,
            rates: rates.collect(),
        }
    }

    fn spare(mut self) -> Self {
        self.spare = true;
        self
    }

    /// Whether a rate that stands there is one of the group.
    pub fn holds(&self, place: Place) -> bool {
        self.rates.iter().any(|rate| rate.place == Some(place))
    }
}

/// The money rates of a card by what they pay: hours, plates, clicks, paper, finishing, packing, each kind of ink.
///
/// Proofs, carriage, tools, outside work and profit are none of them; groups without a written rate are left out.
pub fn rate_groups(card: &RateCard) -> Vec<RateGroup> {
    let presses = card.presses.iter();
    let mut groups = vec![
        RateGroup::new(
            "hour of every press",
            presses.clone().map(|p| p.hourly_rate),
        ),
        RateGroup::new("plate of every press", presses.map(|p| p.plate_price)),
        RateGroup::new("click of every press", clicks(card)),
        RateGroup::new("every paper", card.stocks.iter().map(|s| paper(s.price))),
        RateGroup::new("finishing but packing", finishing(card)),
    ];
    if let Some(pack) = &card.finishing.pack {
        groups.push(RateGroup::new("packing, set-up", [pack.set_up]).spare());
        groups.push(RateGroup::new("packing, run", run_price(pack)).spare());
    }
    let inks = &card.inks;
    let mut ink = |name: String, rate: &crate::InkRate| {
        groups.push(RateGroup::new(name, [rate.price_per_kg]).spare());
    };
    ink("process inks".to_owned(), &inks.process);
    ink("solid inks".to_owned(), &inks.solid);
    for (effect, rate) in &inks.effects {
        ink(format!("{} inks", effect.word()), rate);
    }
    for (name, rate) in &inks.named {
        ink(format!("ink {}", name.value), rate);
    }
    groups.retain(|group| !group.rates.is_empty());
    groups
}

fn clicks(card: &RateCard) -> Vec<Given<Money>> {
    let digital = card
        .presses
        .iter()
        .filter_map(|press| press.digital.as_ref());
    let clicks = digital.flat_map(|digital| &digital.clicks);
    clicks.map(|click| click.price).collect()
}

fn paper(price: Given<crate::PaperPrice>) -> Given<Money> {
    use crate::PaperPrice as P;
    price.map(|price| match price {
        P::Tonne(amount)
        | P::ThousandSheets(amount)
        | P::Hundredweight(amount)
        | P::Ream(amount)
        | P::Supplied { handling: amount } => amount,
    })
}

fn finishing(card: &RateCard) -> Vec<Given<Money>> {
    let own = &card.finishing;
    let built_in = [
        &own.cut,
        &own.fold,
        &own.stitch,
        &own.gather,
        &own.sew,
        &own.bind,
        &own.insert,
        &own.collate,
        &own.pad,
    ];
    let further = own.further.iter().map(|f: &FurtherOperation| &f.operation);
    let all = built_in.into_iter().flatten().chain(further);
    all.flat_map(|operation| {
        let prices = [Some(operation.set_up), operation.hourly_rate];
        prices.into_iter().flatten().chain(run_price(operation))
    })
    .collect()
}

fn run_price(operation: &Operation) -> Option<Given<Money>> {
    match operation.run? {
        RunRate::PerThousand(price) | RunRate::Each(price) => Some(price),
        RunRate::PerHour(_) | RunRate::Belt { .. } => operation.hourly_rate,
    }
}

/// A rate times a factor, to two decimals more than the currency has.
pub fn changed_rate(rate: Money, factor: Decimal, currency: Currency) -> Option<Money> {
    let exact = rate.times(factor)?.amount();
    let decimals = currency.decimals() + 2;
    let rounded = exact.round_dp_with_strategy(decimals, RoundingStrategy::MidpointNearestEven);
    Some(Money::new(rounded.normalize()))
}

/// The text of a card with another title and each group's rates times its factor; a rate given as a range becomes one number.
///
/// `None` when an amount is beyond 28 digits or the text is not that of the card.
pub fn changed_card(
    text: &str,
    card: &RateCard,
    (groups, factors): (&[RateGroup], &[Decimal]),
    title: &str,
) -> Option<String> {
    let ranges = read_card_ranges(text.as_bytes());
    let ranges: Vec<Place> = ranges.map_or(Vec::new(), |ranges| {
        ranges.rates.into_iter().map(|rate| rate.place).collect()
    });
    let mut changes = vec![(title_span(text)?, quoted(title))];
    for (group, factor) in groups.iter().zip(factors) {
        for rate in group.rates.iter().filter(|_| *factor != Decimal::ONE) {
            let place = rate.place?;
            let around = |range: &&Place| range.start <= place.start && place.end <= range.end;
            let whole = ranges.iter().find(around).copied().unwrap_or(place);
            let amount = changed_rate(rate.value, *factor, card.currency.value)?;
            changes.push((whole.start..whole.end, amount.amount().to_string()));
        }
    }
    // From the end, so that earlier places stay right; an hourly rate that pays a run too is changed once.
    changes.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    changes.dedup_by(|a, b| a.0 == b.0);
    let mut changed = text.to_owned();
    for (span, new) in changes {
        changed.get(span.clone())?;
        changed.replace_range(span, &new);
    }
    Some(changed)
}

fn title_span(text: &str) -> Option<std::ops::Range<usize>> {
    let table = DeTable::parse(text).ok()?;
    let (_, value) = table
        .get_ref()
        .iter()
        .find(|(key, _)| *key.get_ref() == "title")?;
    Some(value.span())
}

/// A basic string of TOML, cut where a title becomes too long to be read.
fn quoted(text: &str) -> String {
    let mut string = String::from('"');
    for c in text.chars().take(LONGEST_TEXT) {
        match c {
            '"' | '\\' => string.extend(['\\', c]),
            c => string.push(c),
        }
    }
    string.push('"');
    string
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{read_rate_card, starter_rate_card};

    fn changed(text: &str, factor: &str) -> RateCard {
        let card = read_rate_card(text).value.unwrap();
        let groups = rate_groups(&card);
        let factors = vec![factor.parse().unwrap(); groups.len()];
        let text = changed_card(text, &card, (&groups, &factors), "As \"offered\" \\").unwrap();
        read_rate_card(&text).value.unwrap()
    }

    #[test]
    fn every_rate_changes_by_its_factor() {
        let text = starter_rate_card();
        let (card, half) = (read_rate_card(text).value.unwrap(), changed(text, "0.5"));
        assert_eq!(half.title, "As \"offered\" \\");
        let both = rate_groups(&card).into_iter().zip(rate_groups(&half));
        let mut rates = 0;
        for (before, after) in both {
            for (before, after) in before.rates.iter().zip(&after.rates) {
                assert_eq!(before.value, after.value + after.value, "{before:?}");
                rates += 1;
            }
        }
        assert!(rates > 10, "{rates}");
        assert_eq!(card.presses[0].units.value, half.presses[0].units.value);
        assert_eq!(card.profit.value, half.profit.value);
    }

    #[test]
    fn factor_of_one_leaves_the_text() {
        let text = starter_rate_card();
        let card = read_rate_card(text).value.unwrap();
        let groups = rate_groups(&card);
        let ones = vec![Decimal::ONE; groups.len()];
        let same = changed_card(text, &card, (&groups, &ones), &card.title).unwrap();
        assert_eq!(same, text);
    }

    #[test]
    fn ranges_become_one_number() {
        let text = starter_rate_card();
        let card = read_rate_card(text).value.unwrap();
        let rate = card.presses[0].hourly_rate;
        let place = rate.place.unwrap();
        let mut ranged = text.to_owned();
        let range = "{ low = 1, typical = 80, high = 90000 }";
        ranged.replace_range(place.start..place.end, range);
        let found = changed(&ranged, "2").presses[0].hourly_rate.value;
        assert_eq!(found, Money::parse("160").unwrap());
    }
}
