//! `inkset layout`: equal pieces on a sheet; of a job, its sheets with the pages in place.

use inkset_layout::{Turning, guillotine_turning};
use inkset_report::{SheetReport, sheet_csv, sheet_document, sheet_json};
use inkset_units::{Millimetres, Size};

use crate::CliError;
use crate::args::{Format, LayoutArgs};
use crate::output::Output;

pub(crate) fn layout(args: &LayoutArgs, out: &mut Output) -> Result<(), CliError> {
    let Some(piece) = &args.piece else {
        return super::sheets::sheets(args, out);
    };
    let report = laid_out(args, piece)?;
    match args.format {
        Format::Table => out.document(&sheet_document(&report)),
        Format::Json => out.data(&sheet_json(&report)),
        Format::Csv => out.data(&sheet_csv(&report)),
    }
}

fn laid_out(args: &LayoutArgs, piece: &str) -> Result<SheetReport, CliError> {
    let sheet = size(&args.sheet)?;
    let piece = size(piece)?;
    let margins = margins(args.margins.as_deref())?;
    let gap = args.gap.as_deref().map_or(Ok(Millimetres::ZERO), length)?;
    let [left, right, bottom, top] = margins;
    let usable = Size::from_mm(
        sheet.width.mm() - left.mm() - right.mm(),
        sheet.height.mm() - bottom.mm() - top.mm(),
    )
    .ok_or_else(|| CliError::Usage(format!("the margins leave nothing of the sheet of {sheet}")))?;
    let turning = if args.upright {
        Turning::Fixed
    } else {
        Turning::Free
    };
    let cut = guillotine_turning(usable, piece, gap, turning)
        .map_err(|error| CliError::Usage(error.to_string()))?;
    Ok(SheetReport {
        sheet,
        margins,
        piece,
        gap,
        cut,
    })
}

fn size(text: &str) -> Result<Size, CliError> {
    Size::parse(text).map_err(|error| CliError::Usage(error.to_string()))
}

/// One length for all four edges, or four.
fn margins(text: Option<&str>) -> Result<[Millimetres; 4], CliError> {
    let Some(text) = text else {
        return Ok([Millimetres::ZERO; 4]);
    };
    let lengths: Vec<Millimetres> = text.split(',').map(length).collect::<Result<_, _>>()?;
    match lengths[..] {
        [all] => Ok([all; 4]),
        [left, right, bottom, top] => Ok([left, right, bottom, top]),
        _ => Err(CliError::Usage(format!(
            "`--margins {text}`: write one length, or four as left,right,bottom,top"
        ))),
    }
}

/// A length; without a unit, millimetres.
fn length(text: &str) -> Result<Millimetres, CliError> {
    Millimetres::parse(text)
        .or_else(|error| Millimetres::parse(&format!("{text} mm")).map_err(|_| error))
        .map_err(|error| CliError::Usage(error.to_string()))
}
