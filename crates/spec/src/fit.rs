//! Checks a job against the rate card that it is to be priced with.

use inkset_units::Size;

use crate::die::is_cut;
use crate::piece::{Fit, fit_on, nearer, smallest_piece, spine_mm, stock_of};
use crate::read::{BUILT_IN, known_names, words};
use crate::{
    Bundle, Colour, FileRole, Finish, FurtherOperation, Given, Job, Notice, Part, Press,
    ProductKind, RateCard, Role, Stock, Target, VariationName, WorksOn, codes,
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
    notices.extend(printing(job, card));
    notices.extend(binding(job, card));
    notices.extend(grain(job, card));
    notices.extend(crate::die::no_gap(job, card));
    notices.extend(plant_variation(job, card));
    notices.extend(operations(job, card));
    notices.extend(finishes(job, card));
    notices.extend(zones(job, card));
    notices.extend(proofs(job, card));
    notices.extend(crate::fit_queue::queues(job, card));
    notices.extend(crate::fit_version::versions(job, card));
    notices.extend(crate::fit_plates::plates(job, card));
    notices
}

/// Presses that are named by hand and not on the card.
fn printing(job: &Job, card: &RateCard) -> Vec<Notice> {
    let known = || card.presses.iter().map(|press| press.name.value.as_str());
    let named = job
        .printing
        .iter()
        .flat_map(|printing| [printing.press.as_ref(), printing.further_press.as_ref()])
        .flatten();
    let unknown = named.filter(|press| !known().any(|name| name == press.value));
    let notice = |press: &Given<String>| {
        let subject = format!("press `{}`", press.value);
        unknown_press(&subject, press, card)
    };
    unknown.map(notice).collect()
}

/// A press that is not on the card; `subject` begins the sentence.
pub(crate) fn unknown_press(subject: &str, press: &Given<String>, card: &RateCard) -> Notice {
    let message = format!("{subject} is not on rate card `{}`", card.title);
    let known = card.presses.iter().map(|press| press.name.value.as_str());
    Notice::error(FileRole::Job, codes::UNKNOWN_PRESS, message)
        .at(press.place)
        .hint(known_names(press, known))
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
    let Some(stock) = stock_of(card, part) else {
        return Some(unknown_stock(part, card));
    };
    let presses = presses_for(card, stock);
    if presses.is_empty() {
        return Some(weight_fits_no_press(part, stock, card));
    }
    let cuts_reels = card.sheeter.is_some() || presses.iter().any(|press| press.sheeter.value);
    if stock.sheets.is_empty() && !cuts_reels {
        return Some(no_sheeter(part, stock));
    }
    let piece = smallest_piece(job, card, part);
    let wish = job.product.grain_along_height();
    let fits = presses
        .iter()
        .map(|press| (fit_on(piece, (stock, press), wish), *press));
    let (fit, press) = fits.reduce(|one, other| {
        if nearer(one.0, other.0) == one.0 {
            one
        } else {
            other
        }
    })?;
    match fit {
        Fit::Fits => None,
        Fit::GrainOnly => Some(no_sheet_with_grain(job, part, stock)),
        Fit::Over(mm) => Some(piece_fits_no_press(job, (part, stock), (piece, press, mm))),
        Fit::NoSheet => Some(no_sheet_for_a_press(part, stock)),
    }
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

fn piece_fits_no_press(
    job: &Job,
    (part, stock): (&Part, &Stock),
    (piece, press, over): (Size, &Press, f64),
) -> Notice {
    let message = format!(
        "part `{}` needs {piece} with bleed and trim: {over:.1} mm too big for any press on a sheet of `{}`; the nearest is `{}`",
        part.name.value, stock.name.value, press.name.value
    );
    let sheets = stock.sheets.iter().map(|s| s.value.to_string());
    let reels = stock.reels.iter().map(|r| format!("reels of {}", r.width));
    let sheets: Vec<String> = sheets.chain(reels).collect();
    let hint = format!(
        "make the product or its bleed smaller by that, or use a stock on a larger sheet; this one is on {}, and grippers and edges take part of each",
        sheets.join(", ")
    );
    Notice::error(FileRole::Job, codes::PIECE_FITS_NO_PRESS, message)
        .at(job.product.trim.place)
        .hint(hint)
}

fn no_sheet_for_a_press(part: &Part, stock: &Stock) -> Notice {
    let message = format!(
        "no sheet of `{}`, whole, halved or quartered, goes through a press that takes its weight",
        stock.name.value
    );
    Notice::error(FileRole::Job, codes::SHEET_FITS_NO_PRESS, message)
        .at(part.stock.place)
        .hint("use another stock, or check `largest_sheet` and `smallest_sheet` of the presses")
}

fn no_sheeter(part: &Part, stock: &Stock) -> Notice {
    let message = format!(
        "stock `{}` comes on reels, and nothing on the rate card cuts them to sheets",
        stock.name.value
    );
    Notice::error(FileRole::Job, codes::SHEETER_MISSING, message)
        .at(part.stock.place)
        .hint("add `[sheeter]` to the rate card, or `sheeter = true` to a press that has one")
}

fn no_sheet_with_grain(job: &Job, part: &Part, stock: &Stock) -> Notice {
    let has = stock.grain.value;
    let (has, other) = (has.word(), has.other().word());
    let message = format!(
        "part `{}`: no sheet of `{}` can be printed with the grain asked for; its sheets have {has} grain",
        part.name.value, stock.name.value
    );
    let hint = format!(
        "a stock with `grain = \"{other}\"` or on larger sheets can, or write `grain = \"any\"` under `[product]`"
    );
    Notice::error(FileRole::Job, codes::NO_SHEET_WITH_GRAIN, message)
        .at(job.product.grain.place.or(part.stock.place))
        .hint(hint)
}

/// What a thickness rests on, and whether the binding takes it.
fn binding(job: &Job, card: &RateCard) -> Vec<Notice> {
    let kind = job.product.kind.value;
    let Some(spine) = spine_mm(job, card).filter(|_| kind.is_bound()) else {
        return Vec::new();
    };
    let unknown =
        |stock: &&Stock| stock.bulk.is_none() && job.parts.iter().any(|part| is_stock(stock, part));
    let assumed = card.stocks.iter().filter(unknown).map(|stock| {
        let message = format!(
            "no bulk of stock `{}` given; taking {} cm³/g for the thickness (common practice, no source)",
            stock.name.value,
            stock.specific_volume()
        );
        Notice::assumption(FileRole::Rates, codes::ASSUMED_BULK, message).at(stock.name.place)
    });
    let mut notices: Vec<Notice> = assumed.collect();
    match kind {
        ProductKind::SaddleStitched => notices.extend(too_thick(job, card, spine)),
        ProductKind::PerfectBound => notices.extend(too_thin(job, card, spine)),
        _ => {}
    }
    notices
}

fn too_thick(job: &Job, card: &RateCard, spine: f64) -> Option<Notice> {
    let most = card.finishing.stitch_thickest.mm();
    if spine <= most {
        return None;
    }
    let pages: u32 = job.parts.iter().map(|part| part.pages.value).sum();
    // Of as many pages as at this mean thickness stay below the limit, the next multiple of four down.
    let possible = (f64::from(pages) * most / spine / 4.0).floor() as u32 * 4;
    let message = format!(
        "{pages} pages of these papers are {spine:.1} mm thick; at most {most} mm can be saddle-stitched"
    );
    let hint = format!(
        "up to {possible} pages on these papers can, or use thinner paper or `kind = \"perfect-bound\"`; `stitch_thickest` under `[finishing]` sets the limit"
    );
    let notice = Notice::error(FileRole::Job, codes::TOO_THICK_TO_STITCH, message);
    Some(notice.at(job.product.kind.place).hint(hint))
}

fn too_thin(job: &Job, card: &RateCard, spine: f64) -> Option<Notice> {
    let least = card.finishing.bind_thinnest.mm();
    if spine >= least {
        return None;
    }
    let bound = |part: &&Part| !matches!(part.role.value, Role::Cover | Role::LooseInsert);
    let pages: u32 = job.parts.iter().filter(bound).map(|p| p.pages.value).sum();
    let possible = (f64::from(pages) * least / spine / 2.0).ceil() as u32 * 2;
    let message = format!(
        "{pages} pages of these papers make a spine of {spine:.1} mm; at least {least} mm can be perfect-bound"
    );
    let hint = format!(
        "from {possible} pages on these papers on can, or use bulkier paper or `kind = \"saddle-stitched\"`; `bind_thinnest` under `[finishing]` sets the limit"
    );
    let notice = Notice::error(FileRole::Job, codes::SPINE_TOO_THIN, message);
    Some(notice.at(job.product.kind.place).hint(hint))
}

/// Told only where a job asks for a direction.
fn grain(job: &Job, card: &RateCard) -> Vec<Notice> {
    if job.product.grain_along_height().is_none() {
        return Vec::new();
    }
    let unknown = |stock: &&Stock| {
        stock.grain.place.is_none() && job.parts.iter().any(|part| is_stock(stock, part))
    };
    let stocks = card.stocks.iter().filter(unknown);
    stocks
        .map(|stock| {
            let message = format!(
                "grain of stock `{}` not given; taking long grain, along the long edge of the sheet (common practice, no source)",
                stock.name.value
            );
            Notice::assumption(FileRole::Rates, codes::ASSUMED_GRAIN, message).at(stock.name.place)
        })
        .collect()
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
    let gather = ("gather", finishing.gather.is_some());
    let bind = ("bind", finishing.bind.is_some());
    let collate = ("collate", finishing.collate.is_some());
    let pad = ("pad", finishing.pad.is_some());
    let mut needed = match job.product.kind.value {
        ProductKind::Flat => vec![cut],
        ProductKind::Pad => vec![cut, pad],
        ProductKind::Set if job.is_in_books() => vec![cut, collate, pad],
        ProductKind::Set => vec![cut, collate],
        ProductKind::Folded => vec![cut, fold],
        ProductKind::SaddleStitched => vec![cut, fold, ("stitch", finishing.stitch.is_some())],
        ProductKind::PerfectBound => vec![cut, fold, gather, bind],
        ProductKind::SectionSewn => {
            vec![cut, fold, gather, ("sew", finishing.sew.is_some()), bind]
        }
    };
    if job.parts.iter().any(|p| p.role.value == Role::LooseInsert) {
        needed.push(("insert", finishing.insert.is_some()));
    }
    if !is_cut(job, card) {
        needed.retain(|(word, _)| *word != "cut");
    }
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

/// Whether a product that needs the operation of this name goes through it without being asked.
pub fn is_built_in(operation: &str) -> bool {
    BUILT_IN.contains(&operation)
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
        None if is_built_in(&finish.operation) => None,
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
