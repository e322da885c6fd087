//! Flags as sentences.

use inkset_offers::{AdjustmentKind, Flag, FlagKind, Origin, Spread};
use inkset_units::{Currency, Money};

use super::{CompareReport, percent_text};
use crate::figures::{grouped, money_text};

/// What a flag says: a head, and what differs from quantity to quantity.
pub(super) struct Words {
    /// Kebab-case name for programs.
    pub(super) name: &'static str,
    pub(super) head: String,
    pub(super) detail: String,
}

fn words(name: &'static str, head: impl Into<String>) -> Words {
    Words {
        name,
        head: head.into(),
        detail: String::new(),
    }
}

fn detailed(name: &'static str, head: &str, detail: String) -> Words {
    Words {
        name,
        head: head.to_owned(),
        detail,
    }
}

/// What an extra is called.
pub(super) const fn extra(kind: AdjustmentKind) -> &'static str {
    match kind {
        AdjustmentKind::Tax => "tax",
        AdjustmentKind::Discount => "discount",
        AdjustmentKind::Proofs => "proofs",
        AdjustmentKind::Carriage => "carriage",
        AdjustmentKind::Packing => "packing",
        AdjustmentKind::Rounding => "rounding",
    }
}

fn origin(origin: Origin) -> String {
    match origin {
        Origin::Quoted => "quoted".to_owned(),
        Origin::RunOn { from } => format!("by its run-on from {}", grouped(&from.to_string())),
        Origin::Between { low, high } => format!(
            "on a straight line between {} and {}",
            grouped(&low.to_string()),
            grouped(&high.to_string())
        ),
    }
}

/// The words of one flag; `own` is the currency of the offer, `common` that of the comparison.
#[expect(clippy::too_many_lines, reason = "one arm for each kind of flag")]
pub(super) fn flag_words(kind: &FlagKind, own: Currency, common: Currency) -> Words {
    let amount = |money: Money| format!("{common} {}", money_text(money, common));
    let offered = |money: Money| format!("{own} {}", money_text(money, own));
    match kind {
        FlagKind::OptionMissing => words("option-missing", "not offered; others offer it"),
        FlagKind::QuantityMissing => words(
            "quantity-missing",
            "no price: not quoted, and neither a run-on nor two quantities around it",
        ),
        FlagKind::Reckoned(from) => detailed("reckoned", "not quoted; reckoned", origin(*from)),
        FlagKind::StockDiffers(stock) => words(
            "stock-differs",
            format!("on another stock than the job's: {stock}"),
        ),
        FlagKind::SizeDiffers(size) => words(
            "size-differs",
            format!("in another size than the job's: {size}"),
        ),
        FlagKind::Deviates(said) => words("deviates", format!("departs from the job: {said}")),
        FlagKind::Expired { last, award } => words(
            "expired",
            format!("holds until {last} only; the award is on {award}"),
        ),
        FlagKind::ValidityUnsaid => words("validity-unsaid", "does not say how long it holds"),
        FlagKind::ValidityNotJudged => words(
            "validity-not-judged",
            "validity not judged: the buyer's file gives no `award_date`",
        ),
        FlagKind::PriceFalls { from, to } => detailed(
            "price-falls",
            "the total falls as the quantity rises",
            format!(
                "{} copies for {}, {} for {}",
                grouped(&from.0.to_string()),
                offered(from.1),
                grouped(&to.0.to_string()),
                offered(to.1)
            ),
        ),
        FlagKind::UnitPriceDiffers { total, product } => detailed(
            "unit-price-differs",
            "unit price times quantity does not give the total",
            format!(
                "{} against a total of {}",
                offered(*product),
                offered(*total)
            ),
        ),
        FlagKind::InkFree { solid, asked } => detailed(
            "ink-free",
            &format!("{solid} costs nothing or less; is it really a further ink?"),
            format!("{} more", amount(*asked)),
        ),
        FlagKind::InkAbovePass { solid, asked, pass } => detailed(
            "ink-above-pass",
            &format!("{solid} is dearer than a second pass should be"),
            format!("{} asked, {} for the pass", amount(*asked), amount(*pass)),
        ),
        FlagKind::Converted {
            currency,
            rate,
            date,
        } => words(
            "converted",
            format!("offered in {currency}, converted at {rate} of {date}"),
        ),
        FlagKind::NoRate(currency) => words(
            "no-rate",
            format!("offered in {currency}, and the buyer's file has no rate: not compared"),
        ),
        FlagKind::TaxUnsaid => words(
            "tax-unsaid",
            "does not say whether tax is in its prices; taken as net, which never flatters it",
        ),
        FlagKind::OversUnsaid(percent) => words(
            "overs-unsaid",
            format!(
                "does not say how many copies more or less it bills; the job's ±{percent} % is used"
            ),
        ),
        FlagKind::OversAbove { over, usual } => words(
            "overs-above",
            format!("bills up to {over} % copies too many; the job accepts {usual} %"),
        ),
        FlagKind::ExtraUnsaid(kind) => words(
            "extra-unsaid",
            format!(
                "does not say whether {} is in; the buyer's figure is added",
                extra(*kind)
            ),
        ),
        FlagKind::ExtraWithoutFigure(kind) => words(
            "extra-without-figure",
            format!(
                "not included: {}; others include it, and the buyer's file has no figure: not ranked",
                extra(*kind)
            ),
        ),
        FlagKind::DiscountNotTaken(percent) => words(
            "discount-not-taken",
            format!("offers {percent} % for early payment, which the buyer does not take"),
        ),
        FlagKind::FarFromShouldCost { percent, should } => detailed(
            "far-from-should-cost",
            "far from what it should cost",
            format!(
                "{} from {}",
                percent_text(percent.round_dp(1)),
                amount(*should)
            ),
        ),
        FlagKind::FarFromOthers {
            side,
            median,
            count,
        } => detailed(
            "far-from-others",
            match side {
                Spread::Low => "unusually low among the offers",
                _ => "unusually high among the offers",
            },
            format!("median {} of {count}", amount(*median)),
        ),
        FlagKind::SameFigures(other) => words(
            "same-figures",
            format!("exactly the same figures as {other}"),
        ),
    }
}

/// The flags of one offer as sentences; what is the same at several quantities is said once.
pub(super) fn sentences(report: &CompareReport<'_>, offer: usize) -> Vec<String> {
    let own = report.offers[offer].currency.value;
    let mut groups: Vec<(Option<usize>, String, Vec<String>)> = Vec::new();
    for flag in &report.comparison.offers[offer].flags {
        let said = flag_words(&flag.kind, own, report.currency());
        let detail = detail(flag, &said);
        let known = groups
            .iter_mut()
            .find(|(option, head, _)| *option == flag.option && *head == said.head);
        match known {
            Some((_, _, details)) => details.extend(detail),
            None => groups.push((flag.option, said.head, detail.into_iter().collect())),
        }
    }
    let mut merged: Vec<(Vec<usize>, String)> = Vec::new();
    for (option, head, details) in groups {
        let details = match details.as_slice() {
            [] => String::new(),
            all => format!(" ({})", all.join("; ")),
        };
        let said = format!("{head}{details}");
        match merged.iter_mut().find(|(_, known)| *known == said) {
            Some((options, _)) => options.extend(option),
            None => merged.push((option.into_iter().collect(), said)),
        }
    }
    let sentence = |(options, said): (Vec<usize>, String)| {
        let names: Vec<&str> = options
            .iter()
            .map(|option| report.option(*option))
            .collect();
        match names.as_slice() {
            [] => said,
            names => format!("{}: {said}", names.join(" and ")),
        }
    };
    merged.into_iter().map(sentence).collect()
}

fn detail(flag: &Flag, said: &Words) -> Option<String> {
    let copies = flag
        .copies
        .map(|copies| format!("{} copies", grouped(&copies.to_string())));
    match (copies, said.detail.as_str()) {
        (None, "") => None,
        (Some(copies), "") => Some(copies),
        (Some(_), detail) if matches!(flag.kind, FlagKind::PriceFalls { .. }) => {
            Some(detail.to_owned())
        }
        (Some(copies), detail) => Some(format!("{copies}: {detail}")),
        (None, detail) => Some(detail.to_owned()),
    }
}
