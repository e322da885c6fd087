//! `inkset quote`: the estimator's quotation, as a draft or issued with a sealed record.

use std::path::{Path, PathBuf};

use inkset_page::{Format as Sheet, paper_page, paper_pdf};
use inkset_report::{
    Issued, PriceReport, Quotation, paper_document, quotation_csv, quotation_json, quotation_paper,
};
use jiff::ToSpan;
use jiff::civil::Date;

use super::issue::{self, Issue};
use super::priced::on_prices;
use super::sheets::chosen;
use crate::CliError;
use crate::args::{Format, JobArgs, QuoteArgs, SheetArg};
use crate::files::{replace, write_new};
use crate::output::Output;

pub(crate) fn quote(args: &QuoteArgs, out: &mut Output) -> Result<(), CliError> {
    if let Some(record) = &args.verify {
        return issue::verify(record, out);
    }
    if let Some(folder) = &args.list {
        return issue::list(folder, args.format, out);
    }
    // The parser asks for a job unless a record or a folder is given.
    let job = args.job.clone().unwrap_or_default();
    for path in &args.output {
        kind_of(path)?;
    }
    if args.issue.is_some() {
        out.keep_what_is_read();
    }
    let asked = Asked {
        files: JobArgs {
            job,
            rates: args.rates.clone(),
            outside_artwork: args.outside_artwork,
        },
        option: args.option.clone().unwrap_or_default(),
        quantities: args.quantities.clone(),
        number: args.number.clone(),
        date: args.date.unwrap_or_else(|| today(out)),
    };
    let issue = match &args.issue {
        None => None,
        Some(folder) => Some(Issue::new(folder, args)?),
    };
    quoted(&asked, out, |quotation, out| {
        keeps_inputs(
            &args.output,
            [0, 1].map(|at| Path::new(&quotation.price.files[at])),
        )?;
        if let Some(issue) = &issue {
            none_is_there(&args.output)?;
            let digest = issue.seal(&asked, quotation, out)?;
            quotation.issued = Some(Issued {
                by: issue.by.clone(),
                digest,
            });
        }
        written(quotation, args, out)
    })
}

/// What is to be quoted.
pub(super) struct Asked {
    pub(super) files: JobArgs,
    pub(super) option: String,
    pub(super) quantities: Vec<u64>,
    pub(super) number: Option<String>,
    pub(super) date: Date,
}

/// Plans and prices the job, and hands the quotation to `then`.
pub(super) fn quoted<T>(
    asked: &Asked,
    out: &mut Output,
    then: impl FnOnce(&mut Quotation<'_>, &mut Output) -> Result<T, CliError>,
) -> Result<T, CliError> {
    on_prices(&asked.files, &asked.quantities, out, |on, out| {
        let price = on.price;
        let option = chosen(price, Some(&asked.option))?;
        let mut quotation = Quotation {
            set: (price.options[option].set, on.conditions),
            option,
            assumed: on.of_job.to_vec(),
            number: asked.number.clone(),
            date: asked.date.to_string(),
            valid_until: valid_until(price, asked.date),
            issued: None,
            price,
        };
        then(&mut quotation, out)
    })
}

fn valid_until(price: &PriceReport<'_>, date: Date) -> Option<String> {
    let days = price.card.supplier.valid_days?.value;
    let last = date.checked_add(days.cast_signed().days()).ok()?;
    Some(last.to_string())
}

/// The day by the machine's clock; nothing but a paper that goes out needs one.
pub(super) fn today(out: &mut Output) -> Date {
    let now = jiff::Timestamp::now();
    let today = jiff::tz::TimeZone::UTC.to_datetime(now).date();
    out.message(&format!(
        "assumed: dated {today}, today by the machine's clock (UTC); `--date` sets another\n"
    ));
    today
}

/// What a file is to be, by the end of its name.
pub(super) enum Kind {
    Html,
    Pdf,
}

pub(super) fn kind_of(path: &Path) -> Result<Kind, CliError> {
    let end = path.extension().and_then(|end| end.to_str()).unwrap_or("");
    match end.to_ascii_lowercase().as_str() {
        "html" => Ok(Kind::Html),
        "pdf" => Ok(Kind::Pdf),
        _ => Err(CliError::Usage(format!(
            "`{}`: it is written as `.html` or `.pdf`",
            path.display()
        ))),
    }
}

/// The sheets of a PDF.
pub(super) fn sheet(asked: SheetArg) -> Sheet {
    match asked {
        SheetArg::A4 => Sheet::A4,
        SheetArg::Letter => Sheet::Letter,
    }
}

/// To the files that were named, else to the terminal. A draft may be replaced, what is issued never.
fn written(quotation: &Quotation<'_>, args: &QuoteArgs, out: &mut Output) -> Result<(), CliError> {
    let paper = quotation_paper(quotation);
    for path in &args.output {
        let bytes = match kind_of(path)? {
            Kind::Html => paper_page(&paper).into_bytes(),
            Kind::Pdf => paper_pdf(&paper, sheet(args.sheet)).map_err(CliError::Usage)?,
        };
        let done = if quotation.issued.is_some() {
            write_new(path, &bytes)
        } else {
            replace(path, &bytes)
        };
        done.map_err(|error| CliError::File(path.clone(), error))?;
    }
    if !args.output.is_empty() {
        return Ok(());
    }
    match args.format {
        Format::Table => out.document(&paper_document(&paper)),
        Format::Json => out.data(&quotation_json(quotation)),
        Format::Csv => out.data(&quotation_csv(quotation)),
    }
}

/// What is issued never takes the place of another file; that is seen to before the record is written.
fn none_is_there(outputs: &[PathBuf]) -> Result<(), CliError> {
    match outputs.iter().find(|path| path.exists()) {
        None => Ok(()),
        Some(path) => Err(CliError::Usage(format!(
            "`{}` is there already, and what is issued overwrites nothing; name another file",
            path.display()
        ))),
    }
}

/// An output in the place of an input would destroy it.
pub(super) fn keeps_inputs(outputs: &[PathBuf], inputs: [&Path; 2]) -> Result<(), CliError> {
    let whole = |path: &Path| path.canonicalize().ok();
    let inputs = inputs.map(whole);
    for output in outputs {
        let target = whole(output);
        if target.is_some() && inputs.contains(&target) {
            return Err(CliError::Usage(format!(
                "`{}` is read by the command and would be lost; name another file",
                output.display()
            )));
        }
    }
    Ok(())
}
