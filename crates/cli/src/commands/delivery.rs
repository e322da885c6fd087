//! `inkset delivery`: what to look at when the copies arrive.

use std::path::Path;

use inkset_page::{LoupeViews, arrival_page, paper_pdf};
use inkset_report::{Arrival, arrival_paper, paper_document};

use super::priced::on_prices;
use super::quote::{Kind, keeps_inputs, kind_of, sheet};
use super::sheets::chosen;
use crate::CliError;
use crate::args::DeliveryArgs;
use crate::files::replace;
use crate::output::Output;

pub(crate) fn delivery(args: &DeliveryArgs, out: &mut Output) -> Result<(), CliError> {
    for path in &args.output {
        kind_of(path)?;
    }
    on_prices(&args.files, &args.quantities, out, |on, out| {
        let price = on.price;
        keeps_inputs(&args.output, [0, 1].map(|at| Path::new(&price.files[at])))?;
        let option = chosen(price, Some(&args.option))?;
        let paper = arrival_paper(&Arrival { price, option });
        let views = LoupeViews {
            job: price.plan.job,
            plan: price.plan.plan,
            conditions: on.conditions,
            set: price.options[option].set,
        };
        for path in &args.output {
            let bytes = match kind_of(path)? {
                Kind::Html => arrival_page(&paper, &views).into_bytes(),
                Kind::Pdf => paper_pdf(&paper, sheet(args.sheet)).map_err(CliError::Usage)?,
            };
            replace(path, &bytes).map_err(|error| CliError::File(path.clone(), error))?;
        }
        if args.output.is_empty() {
            out.document(&paper_document(&paper))?;
        }
        Ok(())
    })
}
