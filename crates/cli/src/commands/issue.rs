//! Issued quotations: sealing a record, verifying it, listing a folder of them.

use std::io;
use std::path::{Path, PathBuf};

use inkset_report::{
    Broken, ListedRecord, Quotation, Record, RecordedFile, quoted_result, records_csv,
    records_document, records_json, result_differences,
};

use super::quote::{Asked, quoted};
use crate::CliError;
use crate::args::{Format, JobArgs, QuoteArgs};
use crate::files::{read, write_new};
use crate::output::Output;

/// Longest number of a quotation, characters; it becomes the name of a file.
const LONGEST_NUMBER: usize = 60;

/// Most that the files of a record may be together, bytes.
const MOST_BYTES: usize = 64 << 20;

/// A quotation that a person has checked and issues.
pub(super) struct Issue {
    folder: PathBuf,
    number: String,
    pub(super) by: String,
}

impl Issue {
    /// Errors: no number or no name, or a number that no file may have.
    pub(super) fn new(folder: &Path, args: &QuoteArgs) -> Result<Self, CliError> {
        // The parser asks for both beside `--issue`.
        let number = args.number.clone().unwrap_or_default();
        let by = args.checked_by.clone().unwrap_or_default();
        let fits = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
        let short = (1..=LONGEST_NUMBER).contains(&number.chars().count());
        if !short || number.starts_with('.') || !number.chars().all(fits) {
            return Err(CliError::Usage(format!(
                "`--number {}`: the number of an issued quotation names its record; use up to {LONGEST_NUMBER} letters, digits, `-`, `_` and `.`",
                inkset_report::printable(&number)
            )));
        }
        if by.trim().is_empty() {
            let message = "`--checked-by` is empty; say who has checked the quotation";
            return Err(CliError::Usage(message.to_owned()));
        }
        Ok(Self {
            folder: folder.to_owned(),
            number,
            by,
        })
    }

    /// Writes the record and returns its digest.
    pub(super) fn seal(
        &self,
        asked: &Asked,
        quotation: &Quotation<'_>,
        out: &mut Output,
    ) -> Result<String, CliError> {
        let lacks = missing(quotation);
        if !lacks.is_empty() {
            for lack in lacks {
                out.message(&format!("error: the quotation cannot be issued: {lack}\n"));
            }
            return Err(CliError::Told);
        }
        let record = self.record(asked, quotation, out)?;
        let path = self.folder.join(format!("{}.json", self.number));
        write_new(&path, record.sealed().as_bytes()).map_err(|error| {
            if error.kind() == io::ErrorKind::AlreadyExists {
                let name = path.display();
                CliError::Usage(format!(
                    "`{name}` has been issued and is never overwritten; give the next number"
                ))
            } else {
                CliError::File(path.clone(), error)
            }
        })?;
        out.message(&format!("issued: {}\n", path.display()));
        Ok(record.digest())
    }

    fn record(
        &self,
        asked: &Asked,
        quotation: &Quotation<'_>,
        out: &mut Output,
    ) -> Result<Record, CliError> {
        let price = quotation.price;
        let files = out.what_was_read();
        let bytes: usize = files.values().map(Vec::len).sum();
        if bytes > MOST_BYTES {
            return Err(CliError::Usage(format!(
                "the files of the job are {} MB together, and a record holds {} MB; shrink the artwork's pictures",
                bytes >> 20,
                MOST_BYTES >> 20
            )));
        }
        Ok(Record {
            number: self.number.clone(),
            date: quotation.date.clone(),
            valid_until: quotation.valid_until.clone().unwrap_or_default(),
            issued_by: self.by.clone(),
            inkset: env!("CARGO_PKG_VERSION").to_owned(),
            title: price.plan.job.title.clone(),
            conditions: price.plan.conditions.to_vec(),
            quantities: price.quantities.clone(),
            job: asked.files.job.display().to_string(),
            rates: price.files[1].clone(),
            files: files
                .iter()
                .map(|(path, bytes)| RecordedFile::of(path.display().to_string(), bytes))
                .collect(),
            result: quoted_result(quotation),
        })
    }
}

/// What a quotation needs before anybody may take it for an offer.
fn missing(quotation: &Quotation<'_>) -> Vec<String> {
    let card = quotation.price.card;
    let supplier = &card.supplier;
    let file = &quotation.price.files[1];
    let mut missing = Vec::new();
    if card.example {
        missing.push(format!(
            "`{file}` holds example rates; put in those of the plant and take `example = true` out"
        ));
    }
    for (key, is_there) in [
        ("name", supplier.name.is_some()),
        ("valid_days", supplier.valid_days.is_some()),
        ("payment", supplier.payment.is_some()),
    ] {
        if !is_there {
            missing.push(format!("`{file}` does not say `{key}` in `[supplier]`"));
        }
    }
    missing
}

fn record_at(path: &Path) -> Result<Result<Record, Broken>, CliError> {
    let bytes = read(path)?;
    Ok(match String::from_utf8(bytes) {
        Ok(text) => Record::unsealed(&text),
        Err(error) => Err(Broken::Unread(error.to_string())),
    })
}

/// Computes a record's quotation again from the files in it.
pub(super) fn verify(path: &Path, out: &mut Output) -> Result<(), CliError> {
    let name = path.display();
    let record = record_at(path)?.map_err(|why| {
        out.message(&format!("error: `{name}`: {}\n", why.text()));
        CliError::Told
    })?;
    let Ok(date) = record.date.parse() else {
        out.message(&format!("error: `{name}`: `{}` is no date\n", record.date));
        return Err(CliError::Told);
    };
    out.read_instead(
        record
            .files
            .iter()
            .filter_map(|file| Some((PathBuf::from(&file.name), file.contents()?)))
            .collect(),
    );
    let asked = Asked {
        files: JobArgs {
            job: PathBuf::from(&record.job),
            rates: Some(PathBuf::from(&record.rates)),
            // Where it lay was seen to when the quotation was issued.
            outside_artwork: true,
        },
        option: record.result.option.clone(),
        quantities: record.quantities.clone(),
        number: Some(record.number.clone()),
        date,
    };
    out.quiet();
    let now = quoted(&asked, out, |quotation, _| Ok(quoted_result(quotation)));
    out.speak();
    let differences = result_differences(&record.result, &now?);
    let version = env!("CARGO_PKG_VERSION");
    let (was, by) = (&record.inkset, &record.issued_by);
    if differences.is_empty() {
        return out.data(&format!(
            "{name}: quotation {} of {}, issued by {by}\nunaltered, SHA-256 {}\ncomputed again by inkset {version} (issued by {was}): the same\n",
            record.number,
            record.date,
            record.digest()
        ));
    }
    out.message(&format!(
        "error: `{name}` is unaltered, but inkset {version} computes another result than {was} did:\n"
    ));
    for difference in differences {
        out.message(&format!("  {difference}\n"));
    }
    Err(CliError::Told)
}

/// The records of a folder, by name.
pub(super) fn list(folder: &Path, format: Format, out: &mut Output) -> Result<(), CliError> {
    let trouble = |error| CliError::File(folder.to_owned(), error);
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(trouble)? {
        let path = entry.map_err(trouble)?.path();
        if path.extension().is_some_and(|end| end == "json") && path.is_file() {
            paths.push(path);
        }
    }
    paths.sort();
    let mut records = Vec::new();
    for path in paths {
        records.push(ListedRecord {
            file: path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned(),
            record: record_at(&path)?,
        });
    }
    let name = folder.display().to_string();
    match format {
        Format::Table => out.document(&records_document(&name, &records)),
        Format::Json => out.data(&records_json(&records)),
        Format::Csv => out.data(&records_csv(&records)),
    }
}
