//! `inkset compare`: suppliers' offers like for like, beside the should-cost.

use std::path::Path;

use inkset_costing::{Estimate, Pricer, PrintPlan, Stage};
use inkset_layout::{InkId, PageInks, PartInks};
use inkset_offers::{Basis, BasisOption, ColourStanding, Comparison, award, splits};
use inkset_plan::{Plan, PlannedSet, Verdict};
use inkset_report::{
    CompareReport, compare_csv, compare_document, compare_json, compare_xlsx, price_cautions,
};
use inkset_spec::{Buyer, Job, MOST_OFFERS, Offer, Sources, check_offers, read_buyer, read_offers};
use inkset_units::Money;
use rust_decimal::Decimal;

use crate::CliError;
use crate::args::{CompareArgs, Format};
use crate::conditions::conditions_of;
use crate::files::{Loaded, load, read, tell};
use crate::output::Output;

pub(crate) fn compare(args: &CompareArgs, out: &mut Output) -> Result<(), CliError> {
    let mut loaded = load(&args.files, out)?;
    let buyer = buyer(args, out)?;
    let offers = offers(args, &loaded.job, out)?;
    let conditions = conditions_of(&mut loaded, out)?;
    let plan = inkset_plan::plan(&loaded.job, &conditions.borrowed());
    loaded.assumptions.extend(super::assumed(&plan.notes, out));
    let quantities = quantities(&loaded.job, &buyer);
    let options = should_costs(&loaded, &plan, (&offers, &quantities), out)?;
    let basis = Basis {
        currency: loaded.job.currency.value,
        options,
        stocks: Basis::stocks_of(&loaded.job),
        size: loaded.job.product.trim.value,
        usual_overs: usual_overs(&loaded.job),
        buyer: &buyer,
        quantities,
    };
    let comparison = inkset_offers::compare(&basis, &offers);
    let mut cautions = price_cautions(&loaded.card);
    cautions.extend(super::cautions(&plan.notes));
    let report = CompareReport {
        job: &loaded.job,
        card: &loaded.card,
        quantities: &basis.quantities,
        offers: &offers,
        buyer: &buyer,
        by_price: by_price(&basis, &comparison),
        by_weights: by_weights(&basis, &comparison),
        splits: splits(&comparison, buyer.orders_every_option),
        comparison: &comparison,
        assumptions: loaded.assumptions,
        cautions,
    };
    if let Some(path) = &args.xlsx {
        workbook(&report, path)?;
    }
    match args.format {
        Format::Table => out.document(&compare_document(&report, args.lines)),
        Format::Json => out.data(&compare_json(&report)),
        Format::Csv => out.data(&compare_csv(&report)),
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
    let file = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(path);
    std::io::Write::write_all(&mut file.map_err(trouble)?, &bytes).map_err(trouble)
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

fn buyer(args: &CompareArgs, out: &mut Output) -> Result<Buyer, CliError> {
    let Some(path) = &args.buyer else {
        return Ok(Buyer::default());
    };
    let bytes = read(path)?;
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
fn offers(args: &CompareArgs, job: &Job, out: &mut Output) -> Result<Vec<Offer>, CliError> {
    if args.offers.len() > MOST_OFFERS {
        let n = args.offers.len();
        let message =
            format!("{n} offer files are given; at most {MOST_OFFERS} offers are compared");
        return Err(CliError::Usage(message));
    }
    let mut offers = Vec::new();
    let mut files = Vec::new();
    let mut failed = None;
    for path in &args.offers {
        let bytes = read(path)?;
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
    for (at, notice) in check_offers(job, &offers) {
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

/// The ink sets that are both offered and worth pricing, with what they should cost.
fn should_costs(
    loaded: &Loaded,
    plan: &Plan,
    (offers, quantities): (&[Offer], &[u64]),
    out: &mut Output,
) -> Result<Vec<BasisOption>, CliError> {
    let told = |why, out: &mut Output| {
        out.message(&format!("error: the job cannot be priced: {why}\n"));
        CliError::Told
    };
    let pricer = Pricer::new(&loaded.job, &loaded.card).map_err(|why| told(why, out))?;
    let mut options: Vec<BasisOption> = Vec::new();
    for set in &plan.sets {
        let (process, solids) = (process(set), solids(&loaded.job, set));
        let wanted = (process, sorted(&solids));
        let offered = offers.iter().flat_map(|offer| &offer.options);
        let known = options
            .iter()
            .any(|o| (o.process, sorted(&o.solids)) == wanted);
        if known || !set.extended.is_empty() || !offered.clone().any(|o| o.inks() == wanted) {
            continue;
        }
        let totals = pricer.prepare(&set.print).and_then(|prepared| {
            let totals = quantities.iter().map(|copies| prepared.total(*copies));
            totals.collect::<Result<Vec<Money>, _>>()
        });
        match totals {
            Ok(should_cost) => options.push(BasisOption {
                name: set.name.clone(),
                second_pass: second_passes(&pricer, set, (&solids, quantities)),
                process,
                solids,
                should_cost,
                colour: Some(standing(set)),
            }),
            Err(why) => out.message(&format!(
                "warning: no should-cost for {}: {why}\n",
                set.name
            )),
        }
    }
    Ok(options)
}

fn sorted(solids: &[String]) -> Vec<String> {
    let mut names: Vec<String> = solids.iter().map(|s| s.to_lowercase()).collect();
    names.sort();
    names
}

fn process(set: &PlannedSet) -> [bool; 4] {
    inkset_colour::ProcessInk::ALL.map(|ink| set.process.contains(ink))
}

fn solids(job: &Job, set: &PlannedSet) -> Vec<String> {
    let names = set
        .solids
        .iter()
        .map(|&colour| &job.colours[colour].name.value);
    names.cloned().collect()
}

fn standing(set: &PlannedSet) -> ColourStanding {
    ColourStanding {
        holds: set.count(Verdict::Holds),
        drifts: set.count(Verdict::Drifts),
        misses: set.count(Verdict::Misses),
        worst_delta_e: set.worst_delta_e(),
    }
}

/// For each solid of a set, what printing it alone costs on top of the sheets that are printed anyway.
fn second_passes(
    pricer: &Pricer<'_>,
    set: &PlannedSet,
    (solids, quantities): (&[String], &[u64]),
) -> Vec<Vec<Money>> {
    let pass = |solid: &String| {
        let ink = set.print.inks.iter().position(|ink| ink.name == *solid)?;
        let alone = alone(&set.print, ink);
        let costs = quantities.iter().map(|copies| {
            let estimate = pricer.estimate(&alone, *copies).ok()?;
            pass_cost(&estimate)
        });
        costs.collect::<Option<Vec<Money>>>()
    };
    let passes = solids.iter().map(pass);
    passes.map(Option::unwrap_or_default).collect()
}

/// The same pages with one ink only.
fn alone(print: &PrintPlan, ink: usize) -> PrintPlan {
    let pages = |part: &PartInks| PartInks {
        pages: part
            .pages
            .iter()
            .map(|page| PageInks {
                page: page.page,
                inks: page
                    .inks
                    .iter()
                    .filter(|(id, _)| usize::from(id.0) == ink)
                    .map(|(_, coverage)| (InkId(0), *coverage))
                    .collect(),
            })
            .collect(),
    };
    PrintPlan {
        inks: vec![print.inks[ink].clone()],
        parts: print.parts.iter().map(pages).collect(),
    }
}

/// Plates, make-ready, wash-up, run and ink of an estimate, with their share of the profit.
fn pass_cost(estimate: &Estimate) -> Option<Money> {
    let sum = |wanted: fn(Stage) -> bool| -> Money {
        let lines = estimate.lines.iter().filter(|line| wanted(line.stage));
        lines.map(|line| line.amount).sum()
    };
    let pass = sum(|stage| {
        matches!(
            stage,
            Stage::Plates | Stage::MakeReady | Stage::WashUp | Stage::Press | Stage::Ink
        )
    });
    let profit = sum(|stage| stage == Stage::Profit);
    let cost = sum(|stage| !matches!(stage, Stage::Profit | Stage::Rounding));
    let share = profit.amount().checked_div(cost.amount())?;
    pass.times(Decimal::ONE + share)
}
