//! `inkset enquire`: the request for quotation to suppliers.

use std::path::{Path, PathBuf};

use inkset_page::{paper_page, paper_pdf};
use inkset_report::{Enquiry, PriceReport, enquiry_offer, enquiry_paper, paper_document};

use super::priced::on_prices;
use super::quote::{keeps_inputs, sheet, today};
use super::sheets::chosen;
use crate::CliError;
use crate::args::EnquireArgs;
use crate::files::{replace, write_new};
use crate::output::Output;

pub(crate) fn enquire(args: &EnquireArgs, out: &mut Output) -> Result<(), CliError> {
    for path in &args.output {
        Kind::of(path)?;
    }
    let date = args.date.unwrap_or_else(|| today(out));
    if args.reply_by.is_some_and(|day| day < date) {
        let message = "`--reply-by` is before the day of the enquiry; mend one of the two";
        return Err(CliError::Usage(message.to_owned()));
    }
    on_prices(&args.files, &args.quantities, out, |on, out| {
        let price = on.price;
        keeps_inputs(&args.output, [0, 1].map(|at| Path::new(&price.files[at])))?;
        let enquiry = Enquiry {
            price,
            options: wanted(price, &args.options)?,
            assumed: on.of_job.to_vec(),
            date: date.to_string(),
            reply_by: args.reply_by.map(|day| day.to_string()),
        };
        written(&enquiry, args, out)
    })
}

/// The options of these names, else those worth showing: of several that hang the same inks, the one of best colour, as a
/// supplier prices the inks.
fn wanted(price: &PriceReport<'_>, names: &[String]) -> Result<Vec<usize>, CliError> {
    if names.is_empty() {
        let mut wanted: Vec<usize> = Vec::new();
        for (at, _) in price.shown() {
            let set = price.options[at].set;
            let same = wanted
                .iter_mut()
                .find(|other| price.options[**other].set.hangs_the_same(set));
            match same {
                None => wanted.push(at),
                Some(other) => {
                    if set.colour_rank() < price.options[*other].set.colour_rank() {
                        *other = at;
                    }
                }
            }
        }
        return Ok(wanted);
    }
    let mut all: Vec<usize> = names
        .iter()
        .map(|name| chosen(price, Some(name)))
        .collect::<Result<_, _>>()?;
    all.sort_unstable();
    all.dedup();
    Ok(all)
}

enum Kind {
    Html,
    Pdf,
    Offer,
}

impl Kind {
    fn of(path: &Path) -> Result<Self, CliError> {
        let end = path.extension().and_then(|end| end.to_str()).unwrap_or("");
        match end.to_ascii_lowercase().as_str() {
            "html" => Ok(Self::Html),
            "pdf" => Ok(Self::Pdf),
            "toml" => Ok(Self::Offer),
            _ => Err(CliError::Usage(format!(
                "`{}`: an enquiry is written as `.html` or `.pdf`, its offer file as `.toml`",
                path.display()
            ))),
        }
    }
}

/// To the files that were named, else to the terminal. An offer file may hold somebody's prices: it is never replaced.
fn written(enquiry: &Enquiry<'_>, args: &EnquireArgs, out: &mut Output) -> Result<(), CliError> {
    let paper = enquiry_paper(enquiry);
    for path in &args.output {
        let trouble = |error| CliError::File(PathBuf::from(path), error);
        match Kind::of(path)? {
            Kind::Html => replace(path, paper_page(&paper).as_bytes()).map_err(trouble)?,
            Kind::Pdf => {
                let bytes = paper_pdf(&paper, sheet(args.sheet)).map_err(CliError::Usage)?;
                replace(path, &bytes).map_err(trouble)?;
            }
            Kind::Offer => write_new(path, enquiry_offer(enquiry).as_bytes()).map_err(trouble)?,
        }
    }
    if args.output.is_empty() {
        out.document(&paper_document(&paper))?;
    }
    Ok(())
}
