//! `inkset coverage`: artwork to coverage per ink and page.

use std::fs::File;
use std::path::Path;

use inkset_artwork::{PageBox, Photographs, Settings};
use inkset_report::{MeasuredFile, coverage_csv, coverage_document, coverage_json};

use crate::CliError;
use crate::args::{BoxArg, CoverageArgs, Format};
use crate::artwork::measure_file;
use crate::conditions::condition_named;
use crate::files::write_new;
use crate::output::Output;

/// Condition through which RGB is separated when none is named.
const USUAL: &str = "coated-tr006";

pub(crate) fn coverage(args: &CoverageArgs, out: &mut Output) -> Result<(), CliError> {
    if let Some(job) = &args.write {
        return super::fill::fill(args, job, out);
    }
    let name = args.condition.as_deref().unwrap_or(USUAL);
    let named = condition_named(name, out)?;
    let condition = named.as_ref();
    if args.condition.is_none() {
        out.message(&format!(
            "assumed: printing condition `{USUAL}`, for its ink limit and for separating RGB; `--condition` names another\n"
        ));
    }
    let separator = named.separator();
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
        photographs: match args.lost {
            Some(_) => Photographs::Judged,
            None => Photographs::Counted,
        },
    };
    if let Some(folder) = &args.lost {
        std::fs::create_dir_all(folder).map_err(|error| CliError::File(folder.clone(), error))?;
    }
    let mut measured = Vec::new();
    let mut is_whole = true;
    for path in &args.files {
        match one(path, &settings, out)? {
            Some(file) => {
                if let Some(folder) = &args.lost {
                    lost(path, folder, &file, out)?;
                }
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

/// Writes where each photograph of a file loses, into the folder; a picture that is there is never overwritten.
fn lost(path: &Path, folder: &Path, file: &MeasuredFile, out: &mut Output) -> Result<(), CliError> {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    for page in file.artwork.pages.iter().flatten() {
        for (at, photograph) in page.photographs.iter().enumerate() {
            let Some(picture) = &photograph.picture else {
                continue;
            };
            // The page where there may be several, and which one of the page where it lies on one.
            let number = match photograph.place {
                Some(_) => format!("-{}-{}", page.page, at + 1),
                None if file.artwork.page_count > 1 => format!("-{}", page.page),
                None => String::new(),
            };
            let to = folder.join(format!("{stem}{number}.lost.png"));
            let written = write_new(&to, &picture.png());
            written.map_err(|error| CliError::File(to.clone(), error))?;
            out.message(&format!("written: {}\n", to.display()));
        }
    }
    Ok(())
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
