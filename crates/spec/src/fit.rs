//! Checks a job against the rate card that it is to be priced with.

use inkset_units::Size;

use crate::read::{BUILT_IN, known_names, words};
use crate::{
    Bundle, Colour, FileRole, Finish, FurtherOperation, Given, Job, Notice, Part, Press,
    ProductKind, RateCard, Stock, Target, VariationName, WorksOn, codes,
};

/// Everything in which the job and the rate card do not fit each other.
///
/// `conditions` are the names of the printing conditions that exist.
pub fn check_against(job: &Job, card: &RateCard, conditions: &[&str]) -> Vec<Notice> {
    let mut notices = Vec::new();
    notices.extend(currencies(job, card));
    let used = |stock: &&Stock| job.parts.iter().any(|part| is_stock(stock, part));
    let used = card.stocks.iter().filter(used);
    notices.extend(used.filter_map(|stock| stock_condition(stock, conditions)));
    for part in &job.parts {
        notices.extend(part_fits(job, card, part));
    }
    for colour in &job.colours {
        notices.extend(target_condition(colour, conditions));
        notices.extend(ink_rate(colour, card));
    }
    notices.extend(plant_variation(job, card));
    notices.extend(operations(job, card));
    notices.extend(finishes(job, card));
    notices.extend(zones(job, card));
    notices.extend(proofs(job, card));
    notices
}

/// Printed size of the open sheet of a part with its bleed: the whole leaflet, or a spread of a booklet.
pub fn open_size(job: &Job, part: &Part) -> Size {
    let trim = job.product.trim.value;
    let across = match job.product.kind.value {
        ProductKind::Flat => 1,
        ProductKind::Folded => part.pages.value / 2,
        ProductKind::SaddleStitched => 2,
    };
    let open = Size {
        width: trim.width * f64::from(across),
        height: trim.height,
    };
    open.grown_by(part.bleed.value)
}

fn currencies(job: &Job, card: &RateCard) -> Option<Notice> {
    if job.currency.value == card.currency.value {
        return None;
    }
    let message = format!(
        "the job is in {}, rate card `{}` is in {}",
        job.currency.value, card.title, card.currency.value
    );
    let notice = Notice::error(FileRole::Job, codes::MIXED_CURRENCIES, message);
    Some(
        notice
            .at(job.currency.place)
            .hint("amounts are never converted; use a rate card in the currency of the job"),
    )
}

/// A condition with a point or a slash is a file, which only the caller can look for.
fn unknown_condition(name: &str, conditions: &[&str]) -> bool {
    !name.contains(['.', '/', '\\']) && !conditions.contains(&name)
}

fn stock_condition(stock: &Stock, conditions: &[&str]) -> Option<Notice> {
    let name = &stock.condition;
    unknown_condition(name, conditions).then(|| {
        let message = format!(
            "stock `{}` names printing condition `{}`, which does not exist",
            stock.name.value, name.value
        );
        Notice::error(FileRole::Rates, codes::UNKNOWN_CONDITION, message)
            .at(name.place)
            .hint(known_names(name, conditions.iter().copied()))
    })
}

fn target_condition(colour: &Colour, conditions: &[&str]) -> Option<Notice> {
    let Target::Cmyk {
        condition: Some(name),
        ..
    } = &colour.target.value
    else {
        return None;
    };
    unknown_condition(name, conditions).then(|| {
        let message = format!(
            "colour `{}` names printing condition `{name}`, which does not exist",
            colour.name.value
        );
        Notice::error(FileRole::Job, codes::UNKNOWN_CONDITION, message)
            .at(colour.target.place)
            .hint(known_names(name, conditions.iter().copied()))
    })
}

fn part_fits(job: &Job, card: &RateCard, part: &Part) -> Option<Notice> {
    let Some(stock) = card.stocks.iter().find(|stock| is_stock(stock, part)) else {
        return Some(unknown_stock(part, card));
    };
    let presses = presses_for(card, stock);
    if presses.is_empty() {
        return Some(weight_fits_no_press(part, stock, card));
    }
    let open = open_size(job, part);
    let fits = presses.iter().any(|press| {
        stock
            .sheets
            .iter()
            .any(|sheet| piece_fits(open, sheet.value, press))
    });
    (!fits).then(|| piece_fits_no_press(job, part, stock))
}

fn is_stock(stock: &Stock, part: &Part) -> bool {
    stock.name.value == part.stock.value
}

fn unknown_stock(part: &Part, card: &RateCard) -> Notice {
    let message = format!(
        "stock `{}` of part `{}` is not on rate card `{}`",
        part.stock.value, part.name.value, card.title
    );
    let known = card.stocks.iter().map(|s| s.name.value.as_str());
    Notice::error(FileRole::Job, codes::UNKNOWN_STOCK, message)
        .at(part.stock.place)
        .hint(known_names(&part.stock, known))
}

fn presses_for<'c>(card: &'c RateCard, stock: &Stock) -> Vec<&'c Press> {
    let takes =
        |press: &&Press| (press.lightest.value..=press.heaviest.value).contains(&stock.gsm.value);
    card.presses.iter().filter(takes).collect()
}

fn weight_fits_no_press(part: &Part, stock: &Stock, card: &RateCard) -> Notice {
    let range = |press: &Press| {
        let (from, to) = (press.lightest.value.value(), press.heaviest.value.value());
        format!("`{}` {from:.0} to {to:.0}", press.name.value)
    };
    let ranges: Vec<String> = card.presses.iter().map(range).collect();
    let message = format!(
        "no press takes stock `{}` of {:.0} g/m²",
        stock.name.value,
        stock.gsm.value.value()
    );
    Notice::error(FileRole::Job, codes::WEIGHT_FITS_NO_PRESS, message)
        .at(part.stock.place)
        .hint(format!("g/m² taken: {}", ranges.join(", ")))
}

/// Whether a piece can be printed on a sheet cut from `parent`; grippers hold one long edge.
fn piece_fits(piece: Size, parent: Size, press: &Press) -> bool {
    let largest = press.largest_sheet.value;
    let long = parent.long_edge().mm().min(largest.long_edge().mm());
    let short = parent.short_edge().mm().min(largest.short_edge().mm());
    let sheet = Size::from_mm(long, short);
    let printable = Size::from_mm(
        long - 2.0 * press.side.mm(),
        short - press.gripper.mm() - press.tail.mm(),
    );
    match (sheet, printable) {
        (Some(sheet), Some(printable)) => {
            press.smallest_sheet.fits_on(sheet) && piece.fits_on(printable)
        }
        _ => false,
    }
}

fn piece_fits_no_press(job: &Job, part: &Part, stock: &Stock) -> Notice {
    let message = format!(
        "part `{}` needs {} with bleed, more than any press can print on a sheet of `{}`",
        part.name.value,
        open_size(job, part),
        stock.name.value
    );
    let sheets: Vec<String> = stock.sheets.iter().map(|s| s.value.to_string()).collect();
    let hint = format!(
        "sheets of this stock: {}; grippers and edges take part of each",
        sheets.join(", ")
    );
    Notice::error(FileRole::Job, codes::PIECE_FITS_NO_PRESS, message)
        .at(job.product.trim.place)
        .hint(hint)
}

fn ink_rate(colour: &Colour, card: &RateCard) -> Option<Notice> {
    if let Some(ink) = &colour.ink {
        return named_ink(colour, ink, card);
    }
    let effect = colour.effect?;
    if card
        .inks
        .effects
        .iter()
        .any(|(on_card, _)| *on_card == effect.value)
    {
        return None;
    }
    let word = effect.value.word();
    let message = format!(
        "rate card `{}` has no rate for a {word} ink, which colour `{}` needs",
        card.title, colour.name.value
    );
    let notice = Notice::error(FileRole::Job, codes::EFFECT_WITHOUT_RATE, message);
    Some(
        notice
            .at(effect.place)
            .hint(format!("add `[ink.{word}]` to the rate card")),
    )
}

fn named_ink(colour: &Colour, ink: &Given<String>, card: &RateCard) -> Option<Notice> {
    let names = || card.inks.named.iter().map(|(name, _)| name.value.as_str());
    if names().any(|name| name == ink.value) {
        return None;
    }
    let message = format!(
        "colour `{}` names ink `{}`, which is not on rate card `{}`",
        colour.name.value, ink.value, card.title
    );
    let hint = if card.inks.named.is_empty() {
        "the card names no inks; leave `ink` out, or add `[[ink.named]]` to it".to_owned()
    } else {
        known_names(ink, names())
    };
    let notice = Notice::error(FileRole::Job, codes::UNKNOWN_INK, message);
    Some(notice.at(ink.place).hint(hint))
}

fn plant_variation(job: &Job, card: &RateCard) -> Option<Notice> {
    if job.variation.value != VariationName::Plant || card.variation.is_some() {
        return None;
    }
    let message = format!(
        "the job is to be judged by the plant's variation, which rate card `{}` does not tell",
        card.title
    );
    let notice = Notice::error(FileRole::Job, codes::VARIATION_WITHOUT_FIGURES, message);
    Some(
        notice
            .at(job.variation.place)
            .hint("add `[variation]` to the rate card, or write `controlled`"),
    )
}

fn operations(job: &Job, card: &RateCard) -> Option<Notice> {
    let finishing = &card.finishing;
    let cut = ("cut", finishing.cut.is_some());
    let fold = ("fold", finishing.fold.is_some());
    let stitch = ("stitch", finishing.stitch.is_some());
    let needed = match job.product.kind.value {
        ProductKind::Flat => vec![cut],
        ProductKind::Folded => vec![cut, fold],
        ProductKind::SaddleStitched => vec![cut, fold, stitch],
    };
    let missing: Vec<&str> = needed
        .into_iter()
        .filter(|(_, given)| !given)
        .map(|(word, _)| word)
        .collect();
    if missing.is_empty() {
        return None;
    }
    let message = format!(
        "the product needs {}, for which rate card `{}` has no rate",
        words(missing.iter().copied()),
        card.title
    );
    let notice = Notice::error(FileRole::Job, codes::FINISHING_MISSING, message);
    let hint = format!("add `[finishing.{}]` to the rate card", missing[0]);
    Some(notice.at(job.product.kind.place).hint(hint))
}

/// The operation of the card that a job asks for; `None` too for what a product needs anyway.
pub fn find_operation<'c>(card: &'c RateCard, finish: &Finish) -> Option<&'c FurtherOperation> {
    let further = card.finishing.further.iter();
    let wanted = finish.operation.to_lowercase();
    further
        .into_iter()
        .find(|operation| operation.name.to_lowercase() == wanted)
}

fn finishes(job: &Job, card: &RateCard) -> Vec<Notice> {
    let notice = |finish: &Finish| match find_operation(card, finish) {
        Some(operation) => misplaced(finish, operation),
        None if BUILT_IN.contains(&finish.operation.as_str()) => None,
        None => Some(unknown_operation(finish, card)),
    };
    job.finishes.iter().filter_map(notice).collect()
}

fn unknown_operation(finish: &Finish, card: &RateCard) -> Notice {
    let name = &finish.operation;
    let message = format!(
        "the job asks for `{}`, which rate card `{}` does not have",
        name.value, card.title
    );
    let further = &card.finishing.further;
    let add = format!(
        "add `[[operation]]` with `name = \"{}\"` to the rate card",
        name.value
    );
    let hint = if further.is_empty() {
        add
    } else {
        let names = further.iter().map(|o| o.name.value.as_str());
        format!("{add}; {}", known_names(name, names))
    };
    Notice::error(FileRole::Job, codes::UNKNOWN_OPERATION, message)
        .at(name.place)
        .hint(hint)
}

/// Keys of a finish that mean nothing for what goes through the operation.
fn misplaced(finish: &Finish, operation: &FurtherOperation) -> Option<Notice> {
    let on = operation.on.value;
    let bundle = finish.bundle.map(|bundle| match bundle {
        Bundle::Copies(copies) => copies.place,
        Bundle::Kilograms(kilograms) => kilograms.place,
    });
    let part = finish.part.map(|part| part.place);
    let sides = finish.sides.place.map(Some);
    let coverage = finish.coverage.place.map(Some);
    let (key, place) = match on {
        WorksOn::Copies => [("part", part), ("side", sides), ("coverage", coverage)],
        WorksOn::Pieces => [("side", sides), ("coverage", coverage), ("copies", bundle)],
        WorksOn::Sheets => [("copies", bundle), ("", None), ("", None)],
    }
    .into_iter()
    .find_map(|(key, place)| Some((key, place?)))?;
    let message = format!(
        "`{key}` of finish `{}` says nothing: {} go through that operation",
        finish.operation.value,
        on.word()
    );
    let notice = Notice::error(FileRole::Job, codes::UNFIT_KEY, message).at(place);
    Some(notice.hint(format!("leave `{key}` out")))
}

fn zones(job: &Job, card: &RateCard) -> Vec<Notice> {
    let known = |zone: &str| {
        let mut zones = card.carriage.iter();
        zones.any(|own| own.zone.to_lowercase() == zone.to_lowercase())
    };
    let unknown = job.deliveries.iter().filter(|d| !known(&d.zone));
    unknown
        .map(|delivery| {
            let zone = &delivery.zone;
            let message = format!(
                "rate card `{}` has no carriage to `{}`",
                card.title, zone.value
            );
            let names = card.carriage.iter().map(|own| own.zone.value.as_str());
            let hint = format!(
                "add `[[carriage]]` with `zone = \"{}\"` to the rate card; {}",
                zone.value,
                known_names(zone, names)
            );
            Notice::error(FileRole::Job, codes::UNKNOWN_ZONE, message)
                .at(zone.place)
                .hint(hint)
        })
        .collect()
}

fn proofs(job: &Job, card: &RateCard) -> Vec<Notice> {
    let asked = [
        ("form", job.proofs.forms, card.proof.form),
        ("drawdown", job.proofs.drawdowns, card.proof.drawdown),
    ];
    let lacking = asked
        .into_iter()
        .filter(|(_, sets, rate)| sets.value > 0 && rate.is_none());
    lacking
        .map(|(key, sets, _)| {
            let message = format!(
                "the job asks for proofs, and rate card `{}` has no `{key}` in `[proof]`",
                card.title
            );
            Notice::error(FileRole::Job, codes::PROOF_WITHOUT_RATE, message)
                .at(sets.place)
                .hint(format!("add `{key} = 40.00` to `[proof]` of the rate card"))
        })
        .collect()
}
