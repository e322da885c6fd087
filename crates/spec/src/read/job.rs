//! Reads a job file.

use std::collections::{BTreeMap, BTreeSet};

use inkset_units::{Currency, Percent};

use super::table::words;
use super::{
    Limits, TableReader, Value, artwork, by_hand, colour, delivery, finish, nearest, part, plates,
    product, queue, shown, version,
};
use crate::{Given, Job, Part, Use, VariationName, codes};

/// Most copies of one order.
const MOST_COPIES: u64 = 10_000_000;
/// Most overs that are believed, percent.
const MOST_OVERS: f64 = 100.0;
/// Copies more or less that a delivery may have unless given, percent. Common practice, no source.
const USUAL_DELIVERY_TOLERANCE: f64 = 5.0;
/// Coverage beyond which a page is called overfull: twice the page.
const OVERFULL: f64 = 2.0;

pub(crate) fn job(root: &TableReader<'_>) -> Option<Job> {
    let title = root.name("title", "title = \"Farm-shop flyer\"");
    let client = root.if_given("client", Value::text);
    let currency = currency(root);
    let quantities = quantities(root);
    let rates = root.if_given("rates", Value::text);
    let overs = overs(root);
    let delivery_tolerance = delivery_tolerance(root);
    let variation = variation(root);
    let product = product::product(root);
    let parts = part::parts(root, product.as_ref());
    let colours = colour::colours(root, &parts);
    let pictures = colour::pictures(root, &parts);
    let artwork = artwork::artwork(root, &parts);
    let overrides = by_hand::overrides(root, &parts);
    let printing = by_hand::printing(root, &parts);
    let difficulty = finish::difficulty(root);
    let finishes = finish::finishes(root, &parts);
    let proofs = delivery::proofs(root);
    let deliveries = delivery::deliveries(root, quantities.as_ref());
    let queue = queue::queue(root);
    let versions = version::versions(root, quantities.as_ref());
    let product = product?.complete()?;
    let job = Job {
        title: title?.value,
        client: client.ok()?.map(|c| c.value),
        currency: currency?,
        quantities: quantities?,
        rates: rates.ok()?,
        overs: overs?,
        delivery_tolerance: delivery_tolerance?,
        variation: variation?,
        product,
        parts: parts.complete()?,
        colours: colours?,
        pictures: pictures?,
        artwork: artwork?,
        overrides: overrides?,
        printing: printing?,
        difficulty: difficulty?,
        finishes: finishes?,
        proofs: proofs?,
        deliveries: deliveries?,
        queue: queue?,
        versions: versions?,
    };
    version::check_difference(root, (&job.versions, &job.parts))?;
    plates::check(root, &job)?;
    warn_of_overfull_pages(root, &job);
    Some(job)
}

/// Most copies of one order.
pub(crate) fn most_copies() -> f64 {
    MOST_COPIES as f64
}

pub(crate) fn currency(root: &TableReader<'_>) -> Option<Given<Currency>> {
    let value = root.required("currency", "currency = \"EUR\"")?;
    let code = value.raw_text()?;
    if let Ok(currency) = Currency::from_code(code) {
        return Some(value.given(currency));
    }
    let message = format!("currency `{}` is no code of ISO 4217", shown(code));
    let hint = if Currency::from_code(&code.to_uppercase()).is_ok() {
        format!("did you mean `{}`?", code.to_uppercase())
    } else {
        "write three capital letters, for instance `EUR`, `GBP` or `USD`".to_owned()
    };
    value.refuse(codes::UNKNOWN_CURRENCY, message, hint)
}

fn quantities(root: &TableReader<'_>) -> Option<Vec<Given<u64>>> {
    let value = root.required("quantities", "quantities = [2000, 5000]")?;
    let entries = value.filled_list()?;
    let read: Vec<Option<Given<u64>>> = entries.iter().map(quantity).collect();
    let mut quantities: Vec<Given<u64>> = read.into_iter().collect::<Option<_>>()?;
    let unique = report_duplicate_quantities(root, &quantities);
    quantities.sort_by_key(|q| q.value);
    unique.then_some(quantities)
}

fn quantity(entry: &Value<'_>) -> Option<Given<u64>> {
    let copies = entry.whole()?;
    if (1..=i128::from(MOST_COPIES)).contains(&copies) {
        return Some(entry.given(copies as u64));
    }
    let message = format!("quantity {copies} is out of range, must be 1 to 10,000,000");
    let hint = "a quantity is the number of finished copies";
    entry.refuse(codes::QUANTITY_OUT_OF_RANGE, message, hint)
}

fn report_duplicate_quantities(root: &TableReader<'_>, quantities: &[Given<u64>]) -> bool {
    let mut seen = BTreeSet::new();
    for quantity in quantities {
        if !seen.insert(quantity.value) {
            let message = format!("quantity {} is listed twice", quantity.value);
            let notice = root.log().error(codes::DUPLICATE_QUANTITY, message);
            root.log()
                .report(notice.at(quantity.place).hint("keep one of the two"));
        }
    }
    seen.len() == quantities.len()
}

fn overs(root: &TableReader<'_>) -> Option<Given<Percent>> {
    let sentence =
        "no overs given; delivering exactly the ordered copies (common practice, no source)";
    root.or_assume(
        "overs",
        |v| v.percent(MOST_OVERS),
        Percent::ZERO,
        (codes::ASSUMED_OVERS, sentence.to_owned()),
    )
}

fn delivery_tolerance(root: &TableReader<'_>) -> Option<Given<Percent>> {
    let sentence = format!(
        "no delivery tolerance given; {USUAL_DELIVERY_TOLERANCE} % more or fewer copies are accepted (common practice, no source)"
    );
    root.or_assume(
        "delivery_tolerance",
        |v| v.percent(MOST_OVERS),
        Percent::new(USUAL_DELIVERY_TOLERANCE)?,
        (codes::ASSUMED_DELIVERY_TOLERANCE, sentence),
    )
}

fn variation(root: &TableReader<'_>) -> Option<Given<VariationName>> {
    let choices = [
        ("controlled", VariationName::Controlled),
        ("limit", VariationName::Limit),
        ("plant", VariationName::Plant),
    ];
    let sentence =
        "no press variation given; judging colours by `controlled` (common practice, no source)";
    root.or_assume(
        "variation",
        |v| v.choice(&choices),
        VariationName::Controlled,
        (codes::ASSUMED_VARIATION, sentence.to_owned()),
    )
}

/// Reports names that differ at most in case; `what` is the plural of what they name.
pub(crate) fn report_duplicate_names(
    table: &TableReader<'_>,
    what: &str,
    names: impl IntoIterator<Item = Given<String>>,
) {
    let mut seen: BTreeMap<String, Given<String>> = BTreeMap::new();
    for name in names {
        let Some(first) = seen.insert(name.value.to_lowercase(), name.clone()) else {
            continue;
        };
        let line = first.place.map_or(0, |p| p.line);
        let message = format!(
            "two {what} are called `{}`; the first is on line {line}",
            name.value
        );
        let notice = table.log().error(codes::DUPLICATE_NAME, message);
        let hint = "give each a name of its own; upper and lower case count as the same";
        table.log().report(notice.at(name.place).hint(hint));
    }
}

/// What to write instead of an unknown name.
pub(crate) fn known_names<'n>(typed: &str, known: impl IntoIterator<Item = &'n str>) -> String {
    let known: Vec<&str> = known.into_iter().collect();
    let listed = words(known.iter().copied().take(20));
    match nearest(typed, known.iter().copied()) {
        Some(meant) => format!("did you mean `{meant}`? known: {listed}"),
        None => format!("known: {listed}"),
    }
}

fn warn_of_overfull_pages(root: &TableReader<'_>, job: &Job) {
    for (index, part) in job.parts.iter().enumerate() {
        let full = (1..=part.pages.value)
            .map(|page| (page, covered(job, index, page)))
            .find(|(_, sum)| *sum > OVERFULL);
        if let Some((page, sum)) = full {
            warn_of_overfull_page(root, part, (page, sum));
        }
    }
}

fn warn_of_overfull_page(root: &TableReader<'_>, part: &Part, (page, sum): (u32, f64)) {
    let message = format!(
        "page {page} of part `{}` is covered {:.0} % by colours and pictures together, more than twice the page",
        part.name.value,
        100.0 * sum
    );
    let notice = root.log().warning(codes::COVERAGE_SUM, message);
    let hint = "coverage is a share of the page: a panel over a third of it is `0.33`";
    root.log().report(notice.at(part.name.place).hint(hint));
}

/// Sum of all coverages on one page.
fn covered(job: &Job, part: usize, page: u32) -> f64 {
    let on_page = |of: usize, pages: &[u32]| of == part && pages.contains(&page);
    let uses = job.colours.iter().flat_map(|c| &c.uses);
    let flat: f64 = uses
        .filter(|u: &&Use| on_page(u.part, &u.pages))
        .map(|u| u.coverage.fraction())
        .sum();
    let pictures = job.pictures.iter().filter(|p| on_page(p.part, &p.pages));
    flat + pictures.map(|p| p.area.fraction()).sum::<f64>()
}

/// Limits of a number of pages in one part.
pub(crate) const PAGES: Limits = Limits::new(1.0, 1000.0, "pages", "16");
