//! `inkset report`: one page to look at and to print.

use std::path::Path;

use inkset_colour::{BuildLimits, neighbours};
use inkset_costing::{CannotPrint, PartChoice, Pricer, SectionChoice};
use inkset_page::{PageReport, PlacedSections, PriceCurve, SheetChoice, report_page};
use inkset_plan::{Conditions, Plan, RenderingKind, Row, alone};
use inkset_report::{CompareReport, PriceReport, compare_section, fall_warnings};
use inkset_spec::{Job, RateCard};
use inkset_units::Money;
use rayon::prelude::*;
use rust_decimal::Decimal;

use super::compare::Offered;
use super::price::{all_overrides_used, ranges};
use super::priced::{priced, quantities, told};
use super::weigh::weigh_report;
use crate::CliError;
use crate::args::ReportArgs;
use crate::files::{Loaded, load, replace};
use crate::output::Output;

/// Quantities at which curves are drawn.
const CURVE_POINTS: u32 = 33;

pub(crate) fn report(args: &ReportArgs, out: &mut Output) -> Result<(), CliError> {
    let mut loaded = load(&args.files, out)?;
    replaces_no_input(args, &loaded)?;
    let offers = (!args.offers.is_empty())
        .then(|| Offered::read((&args.offers, args.buyer.as_deref()), &loaded, out))
        .transpose()?;
    let (conditions, plan) = super::planned(&mut loaded, out)?;
    let borrowed = conditions.borrowed();
    let pricer = Pricer::new(&loaded.job, &loaded.card).map_err(|why| told(&why, &loaded, out))?;
    let names = conditions.names();
    let quantities = quantities(&args.quantities, &loaded.job);
    let price = priced((&loaded, &plan, &names), &pricer, quantities);
    let mut price = price.map_err(|why| told(&why, &loaded, out))?;
    all_overrides_used(&loaded, &price.options, out)?;
    price.ranges = ranges(&loaded, &price).map_err(|why| told(&why, &loaded, out))?;
    let warnings = fall_warnings(&price);
    price.cautions.extend(warnings);
    let weigh = weigh_report(&price, (&pricer, &borrowed), args.budget);
    let section = |report: &CompareReport<'_>, _: &mut Output| Ok(compare_section(report));
    let compared = offers.map(|offers| offers.compared((&loaded, &plan), out, section));
    let compared = compared.transpose()?;
    let page = PageReport {
        offers: compared.as_ref(),
        curves: curves(&price, &pricer).map_err(|why| told(&why, &loaded, out))?,
        alone: alone(&loaded.job, &plan, &borrowed),
        near: near(&plan, &borrowed),
        sheets: sheets(&price),
        conditions: &borrowed,
        weigh: &weigh,
    };
    let written = replace(&args.output, report_page(&page).as_bytes());
    written.map_err(|error| CliError::File(args.output.clone(), error))
}

/// A page in the place of a file that it is made from would destroy it.
fn replaces_no_input(args: &ReportArgs, loaded: &Loaded) -> Result<(), CliError> {
    let output = &args.output;
    let whole = |path: &Path| path.canonicalize().ok();
    let target = whole(output);
    let own = [&loaded.job_path, &loaded.rates_path];
    let mut inputs = own.into_iter().chain(&args.offers).chain(&args.buyer);
    if target.is_some() && inputs.any(|input| whole(input) == target) {
        return Err(CliError::Usage(format!(
            "`{}` is an input of the report and would be lost; name another file",
            output.display()
        )));
    }
    Ok(())
}

/// Price of 1,000 copies of the options shown, from half the smallest to twice the largest quantity.
fn curves(price: &PriceReport<'_>, pricer: &Pricer<'_>) -> Result<Vec<PriceCurve>, CannotPrint> {
    let asked = curve_quantities(&price.quantities);
    let shown: Vec<usize> = price.shown().map(|(at, _)| at).collect();
    let plans: Vec<_> = shown
        .iter()
        .map(|&at| price.options[at].set.print.clone())
        .collect();
    let totals = pricer.totals(&plans, &asked);
    let curve = |(option, totals): (usize, Result<Vec<Money>, CannotPrint>)| {
        let points = asked.iter().zip(totals?);
        Ok(PriceCurve {
            option,
            points: points
                .map(|(&copies, total)| (copies, per_thousand(total, copies)))
                .collect(),
        })
    };
    shown.into_iter().zip(totals).map(curve).collect()
}

fn per_thousand(total: Money, copies: u64) -> Money {
    Money::new(total.amount() / Decimal::from(copies) * Decimal::ONE_THOUSAND)
}

/// Even ratios, in whole copies, each once.
fn curve_quantities(priced: &[u64]) -> Vec<u64> {
    let least = priced.first().copied().unwrap_or(1).div_ceil(2) as f64;
    let most = (priced.last().copied().unwrap_or(1) * 2) as f64;
    let mut all: Vec<u64> = (0..CURVE_POINTS)
        .map(|n| {
            let share = f64::from(n) / f64::from(CURVE_POINTS - 1);
            (least * (most / least).powf(share)).round() as u64
        })
        .collect();
    all.extend(priced);
    all.sort_unstable();
    all.dedup();
    all
}

/// Colours within reach of process inks where these miss.
fn near(plan: &Plan, conditions: &Conditions<'_>) -> Vec<Vec<inkset_colour::Neighbour>> {
    let four = &plan.sets[plan.four_ink].renderings;
    let rows: Vec<(&Row, RenderingKind)> = plan
        .rows
        .iter()
        .zip(four.iter().map(|rendering| rendering.kind))
        .collect();
    rows.into_par_iter()
        .map(|(row, kind)| {
            if kind != RenderingKind::OutOfReach {
                return Vec::new();
            }
            let condition = conditions.of_parts[row.parts[0]];
            neighbours(condition, row.target, &BuildLimits::of(condition))
        })
        .collect()
}

/// How the recommended options are printed, each layout once.
fn sheets(price: &PriceReport<'_>) -> Vec<SheetChoice> {
    let mut all: Vec<SheetChoice> = Vec::new();
    for (at, &copies) in price.quantities.iter().enumerate() {
        for choice in &price.options[price.best[at]].estimates[at].parts {
            let text = choice.to_string();
            let known = all
                .iter_mut()
                .find(|known| known.part == choice.part && known.text == text);
            match known {
                Some(known) => known.quantities.push(copies),
                None => all.push(SheetChoice {
                    part: choice.part,
                    quantities: vec![copies],
                    placed: placed((price.plan.job, price.card), choice),
                    text,
                }),
            }
        }
    }
    all.sort_by_key(|choice| choice.part);
    all
}

/// One section of each size on its press sheet.
fn placed(files: (&Job, &RateCard), part: &PartChoice) -> Vec<PlacedSections> {
    let of_class = |class: &SectionChoice| {
        let imposition = part.impose(files, (class, class.sections.first()?));
        Some(PlacedSections {
            pages: class.pages,
            imposition: imposition.ok()?,
        })
    };
    part.sections.iter().filter_map(of_class).collect()
}
