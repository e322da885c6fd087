//! `inkset coverage`: artwork to coverage per ink and page.

use std::fs::File;
use std::path::Path;

use inkset_artwork::{PageBox, Separator, Settings};
use inkset_report::{MeasuredFile, coverage_csv, coverage_document, coverage_json};

use crate::CliError;
use crate::args::{BoxArg, CoverageArgs, Format};
use crate::artwork::measure_file;
use crate::conditions::condition_named;
use crate::output::Output;

/// Condition through which RGB is separated when none is named.
const USUAL: &str = "coated-tr006";

pub(crate) fn coverage(args: &CoverageArgs, out: &mut Output) -> Result<(), CliError> {
    let name = args.condition.as_deref().unwrap_or(USUAL);
    let condition = condition_named(name, out)?;
    let condition = condition.as_ref();
    if args.condition.is_none() {
        out.message(&format!(
            "assumed: printing condition `{USUAL}`, for its ink limit and for separating RGB; `--condition` names another\n"
        ));
    }
    let separator = Separator::new(condition);
    let settings = Settings {
        separator: &separator,
        ink_limit: args.ink_limit.unwrap_or_else(|| condition.ink_limit()),
        page_box: match args.page_box {
            BoxArg::Trim => PageBox::Trim,
            BoxArg::Bleed => PageBox::Bleed,
            BoxArg::Crop => PageBox::Crop,
            BoxArg::Media => PageBox::Media,
        },
        resolution: f64::from(args.resolution),
        pages: None,
    };
    let mut measured = Vec::new();
    let mut is_whole = true;
    for path in &args.files {
        match one(path, &settings, out)? {
            Some(file) => {
                is_whole &= file.artwork.pages.iter().all(Result::is_ok);
                measured.push(file);
            }
            None => is_whole = false,
        }
    }
    if !measured.is_empty() {
        let limit = settings.ink_limit;
        match args.format {
            Format::Table => out.document(&coverage_document(&measured, limit)),
            Format::Json => out.data(&coverage_json(&measured, limit)),
            Format::Csv => out.data(&coverage_csv(&measured)),
        }?;
    }
    if is_whole {
        Ok(())
    } else {
        Err(CliError::Told)
    }
}

/// Measures one file and tells what stood in the way; other files are measured all the same.
fn one(
    path: &Path,
    settings: &Settings<'_>,
    out: &mut Output,
) -> Result<Option<MeasuredFile>, CliError> {
    let trouble = |error| CliError::File(path.to_owned(), error);
    let source = File::open(path).map_err(trouble)?;
    if source.metadata().map_err(trouble)?.is_dir() {
        return Err(CliError::Usage(format!(
            "`{}` is a folder; name the artwork in it",
            path.display()
        )));
    }
    let name = path.display().to_string();
    let done = measure_file(path, settings);
    match done {
        Ok(artwork) => {
            for assumption in &artwork.assumptions {
                out.message(&format!("assumed: {name}: {assumption}\n"));
            }
            for failed in artwork.pages.iter().filter_map(|page| page.as_ref().err()) {
                out.message(&format!(
                    "error[{}]: {name}, page {}: {}\n",
                    failed.error.code(),
                    failed.page,
                    failed.error
                ));
            }
            Ok(Some(MeasuredFile { name, artwork }))
        }
        Err(error) => {
            out.message(&format!("error[{}]: {name}: {error}\n", error.code()));
            Ok(None)
        }
    }
}
