//! `inkset compare`: suppliers' offers like for like, beside the should-cost.

use std::path::{Path, PathBuf};

use inkset_offers::{Basis, Comparison, award, splits};
use inkset_plan::Plan;
use inkset_report::{
    CompareReport, compare_csv, compare_document, compare_json, compare_xlsx, price_cautions,
};
use inkset_spec::{Buyer, Job, MOST_OFFERS, Offer, Sources, check_offers, read_buyer, read_offers};
use rust_decimal::Decimal;

use super::rates_of::{Ground, rates_of};
use super::should_cost::{printed_otherwise, should_costs};
use crate::CliError;
use crate::args::{CompareArgs, Format};
use crate::files::{Loaded, load, tell, write_new};
use crate::output::Output;

pub(crate) fn compare(args: &CompareArgs, out: &mut Output) -> Result<(), CliError> {
    let mut loaded = load(&args.files, out)?;
    let offered = Offered::read((&args.offers, args.buyer.as_deref()), &loaded, out)?;
    let (_, plan) = super::planned(&mut loaded, out)?;
    if let Some(supplier) = &args.rates_of {
        let ground = Ground {
            loaded: &loaded,
            plan: &plan,
            buyer: &offered.buyer,
            quantities: &quantities(&loaded.job, &offered.buyer),
        };
        return rates_of(&ground, (supplier, &offered.offers), out);
    }
    let show = |report: &CompareReport<'_>, out: &mut Output| {
        if let Some(path) = &args.xlsx {
            workbook(report, path)?;
        }
        match args.format {
            Format::Table => out.document(&compare_document(report, args.lines)),
            Format::Json => out.data(&compare_json(report)),
            Format::Csv => out.data(&compare_csv(report)),
        }
    };
    offered.compared((&loaded, &plan), out, show)
}

/// What suppliers offered and what the buyer adds.
pub(super) struct Offered {
    offers: Vec<Offer>,
    buyer: Buyer,
}

impl Offered {
    /// Reads and checks all offers and the buyer's file.
    pub(super) fn read(
        (offer_paths, buyer_path): (&[PathBuf], Option<&Path>),
        loaded: &Loaded,
        out: &mut Output,
    ) -> Result<Self, CliError> {
        let buyer = buyer(buyer_path, out)?;
        let offers = offers(offer_paths, loaded, out)?;
        Ok(Self { offers, buyer })
    }

    /// Compares the offers at the job's quantities and hands the comparison on.
    pub(super) fn compared<T>(
        &self,
        (loaded, plan): (&Loaded, &Plan),
        out: &mut Output,
        show: impl FnOnce(&CompareReport<'_>, &mut Output) -> Result<T, CliError>,
    ) -> Result<T, CliError> {
        let quantities = quantities(&loaded.job, &self.buyer);
        let options = should_costs(loaded, plan, (&self.offers, &quantities), out)?;
        let basis = Basis {
            currency: loaded.job.currency.value,
            options,
            stocks: Basis::stocks_of(&loaded.job),
            size: loaded.job.product.trim.value,
            usual_overs: usual_overs(&loaded.job),
            buyer: &self.buyer,
            quantities,
        };
        let comparison = inkset_offers::compare(&basis, &self.offers);
        let mut cautions = price_cautions(&loaded.card);
        cautions.extend(super::cautions(&plan.notes));
        cautions.extend(printed_otherwise(&loaded.job, plan, &self.offers));
        let report = CompareReport {
            job: &loaded.job,
            card: &loaded.card,
            quantities: &basis.quantities,
            offers: &self.offers,
            buyer: &self.buyer,
            by_price: by_price(&basis, &comparison),
            by_weights: by_weights(&basis, &comparison),
            splits: splits(&comparison, self.buyer.orders_every_option),
            comparison: &comparison,
            assumptions: loaded.assumptions.clone(),
            cautions,
        };
        show(&report, out)
    }
}

fn by_price(basis: &Basis<'_>, comparison: &Comparison) -> Vec<Option<inkset_offers::Award>> {
    let price_alone = (Decimal::ONE_HUNDRED, Decimal::ZERO);
    (0..comparison.options.len())
        .map(|option| award(comparison, Some(option), price_alone, basis.currency))
        .collect()
}

fn by_weights(basis: &Basis<'_>, comparison: &Comparison) -> Option<inkset_offers::Award> {
    let weights = (basis.buyer.price_weight, basis.buyer.colour_weight);
    let by_colour = !weights.1.is_zero();
    by_colour
        .then(|| award(comparison, None, weights, basis.currency))
        .flatten()
}

/// Writes the workbook; an existing file is never overwritten.
fn workbook(report: &CompareReport<'_>, path: &Path) -> Result<(), CliError> {
    let trouble = |error| CliError::File(path.to_owned(), error);
    let bytes = compare_xlsx(report).map_err(|why| trouble(std::io::Error::other(why)))?;
    write_new(path, &bytes).map_err(trouble)
}

fn usual_overs(job: &Job) -> Decimal {
    inkset_units::quantity(job.delivery_tolerance.value.percent(), 3).unwrap_or_default()
}

/// The job's quantities and those of the basket, ascending, each once.
fn quantities(job: &Job, buyer: &Buyer) -> Vec<u64> {
    let ordered = buyer.basket.iter().map(|lot| lot.copies);
    let mut all: Vec<u64> = job
        .quantities
        .iter()
        .map(|q| q.value)
        .chain(ordered)
        .collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn buyer(path: Option<&Path>, out: &mut Output) -> Result<Buyer, CliError> {
    let Some(path) = path else {
        return Ok(Buyer::default());
    };
    let bytes = out.read(path)?;
    let text = String::from_utf8_lossy(&bytes);
    let name = path.display().to_string();
    let reading = read_buyer(&bytes);
    let sources = Sources {
        buyer: Some((&name, &text)),
        ..Sources::default()
    };
    tell(&reading.notices, &sources, out)?;
    reading.value.ok_or(CliError::Told)
}

/// A file of offers with its text, for messages.
struct OfferFile {
    name: String,
    text: String,
    /// Index of its first offer.
    first: usize,
}

/// All offers of all files; whatever is wrong with any of them is told.
fn offers(paths: &[PathBuf], loaded: &Loaded, out: &mut Output) -> Result<Vec<Offer>, CliError> {
    if paths.len() > MOST_OFFERS {
        let n = paths.len();
        let message =
            format!("{n} offer files are given; at most {MOST_OFFERS} offers are compared");
        return Err(CliError::Usage(message));
    }
    let mut offers = Vec::new();
    let mut files = Vec::new();
    let mut failed = None;
    for path in paths {
        let bytes = out.read(path)?;
        let file = OfferFile {
            name: path.display().to_string(),
            text: String::from_utf8_lossy(&bytes).into_owned(),
            first: offers.len(),
        };
        let reading = read_offers(&bytes);
        failed = tell(&reading.notices, &file.sources(), out)
            .err()
            .or(failed);
        offers.extend(reading.value.unwrap_or_default());
        files.push(file);
    }
    for (at, notice) in check_offers(&loaded.job, &loaded.card, &offers) {
        let file = files.iter().rfind(|file| file.first <= at);
        let sources = file.map_or(Sources::default(), OfferFile::sources);
        failed = tell(&[notice], &sources, out).err().or(failed);
    }
    failed.map_or(Ok(offers), Err)
}

impl OfferFile {
    fn sources(&self) -> Sources<'_> {
        Sources {
            offer: Some((&self.name, &self.text)),
            ..Sources::default()
        }
    }
}
