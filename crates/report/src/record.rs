//! The sealed record of an issued quotation: everything that it was made from, what came out, and a digest over all of it.
//!
//! A digest tells whether a record is still the one that was issued. It is no signature: whoever may write the folder could
//! seal another one, which is why the quotation itself carries the digest.

use std::fmt::Write as _;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::document::{Cell, Column, Document, Table};
use crate::paper::QuotedResult;

/// What is kept of an issued quotation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Number of the quotation.
    pub number: String,
    /// Its day, ISO 8601.
    pub date: String,
    /// Last day on which it holds, ISO 8601.
    pub valid_until: String,
    /// Who checked and issued it.
    pub issued_by: String,
    /// Version of the program.
    pub inkset: String,
    /// Title of the job.
    pub title: String,
    /// Printing condition of each part.
    pub conditions: Vec<String>,
    /// Copies that were priced.
    pub quantities: Vec<u64>,
    /// Name of the job file, as it was given.
    pub job: String,
    /// Name of the rate card, as it was given or named by the job.
    pub rates: String,
    /// Every file that was read.
    pub files: Vec<RecordedFile>,
    /// What was quoted.
    pub result: QuotedResult,
}

/// A file that a quotation was made from: its name and all of its bytes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordedFile {
    /// As it was opened.
    pub name: String,
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub sha256: String,
    /// Its text, when it is UTF-8.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub text: Option<String>,
    /// Its bytes in hexadecimal digits, when it is not.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub bytes: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Sealed {
    record: Record,
    sha256: String,
}

/// Why a record cannot be trusted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Broken {
    /// It is no record at all, or not whole.
    Unread(String),
    /// The digest that it carries, and the one that follows from what stands in it.
    Altered {
        /// Carried.
        carried: String,
        /// Computed.
        computed: String,
    },
}

/// SHA-256 in hexadecimal digits.
pub fn sha256(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut digits, byte| {
        // Writing to a string never fails.
        let _ = write!(digits, "{byte:02x}");
        digits
    })
}

impl RecordedFile {
    /// Keeps a file.
    pub fn of(name: String, bytes: &[u8]) -> Self {
        let text = std::str::from_utf8(bytes).ok().map(str::to_owned);
        Self {
            name,
            sha256: sha256(bytes),
            bytes: text.is_none().then(|| hexadecimal(bytes)),
            text,
        }
    }

    /// The bytes that were kept; `None` when they are not those that were read.
    pub fn contents(&self) -> Option<Vec<u8>> {
        let bytes = match (&self.text, &self.bytes) {
            (Some(text), None) => text.clone().into_bytes(),
            (None, Some(digits)) => from_hexadecimal(digits)?,
            _ => return None,
        };
        (sha256(&bytes) == self.sha256).then_some(bytes)
    }
}

fn from_hexadecimal(digits: &str) -> Option<Vec<u8>> {
    let digits: Vec<u8> = digits
        .chars()
        .map(|c| c.to_digit(16).map(|d| d as u8))
        .collect::<Option<_>>()?;
    let (pairs, rest) = digits.as_chunks::<2>();
    rest.is_empty()
        .then(|| pairs.iter().map(|[high, low]| high << 4 | low).collect())
}

impl Record {
    /// SHA-256 of all of it.
    pub fn digest(&self) -> String {
        // A record holds texts and whole numbers only, which always can be written.
        sha256(serde_json::to_string(self).unwrap_or_default().as_bytes())
    }

    /// The file: the record with its digest.
    pub fn sealed(&self) -> String {
        crate::json::pretty(&Sealed {
            record: self.clone(),
            sha256: self.digest(),
        })
    }

    /// Reads a sealed record.
    ///
    /// Errors: the text is no record, or something in it is not as it was sealed.
    pub fn unsealed(text: &str) -> Result<Self, Broken> {
        let sealed: Sealed =
            serde_json::from_str(text).map_err(|error| Broken::Unread(error.to_string()))?;
        let computed = sealed.record.digest();
        if computed != sealed.sha256 {
            return Err(Broken::Altered {
                carried: sealed.sha256,
                computed,
            });
        }
        match sealed.record.files.iter().find(|f| f.contents().is_none()) {
            Some(file) => Err(Broken::Unread(format!("`{}` is not whole", file.name))),
            None => Ok(sealed.record),
        }
    }
}

/// What differs between the result that was sealed and the one that is computed now; nothing when all is the same.
pub fn result_differences(sealed: &QuotedResult, now: &QuotedResult) -> Vec<String> {
    let mut all = Vec::new();
    let mut differs = |what: String, was: &str, is: &str| {
        if was != is {
            all.push(format!("{what}: {was} was sealed, {is} is computed now"));
        }
    };
    differs("ink set".to_owned(), &sealed.option, &now.option);
    differs("currency".to_owned(), &sealed.currency, &now.currency);
    for (was, is) in sealed.prices.iter().zip(&now.prices) {
        let of = format!("{} copies", was.copies);
        differs(of.clone(), &was.copies.to_string(), &is.copies.to_string());
        differs(format!("{of}, total"), &was.total, &is.total);
        differs(format!("{of}, 1 000 more"), &was.run_on, &is.run_on);
        for ((stage, was), (_, is)) in was.stages.iter().zip(&is.stages) {
            differs(format!("{of}, {stage}"), was, is);
        }
    }
    for (was, is) in sealed.colours.iter().zip(&now.colours) {
        differs(was.name.clone(), &was.printed_as, &is.printed_as);
        differs(format!("{}, ΔE00", was.name), &was.delta_e, &is.delta_e);
        differs(
            format!("{}, ΔE00 on press", was.name),
            &was.on_press,
            &is.on_press,
        );
    }
    if all.is_empty() && sealed != now {
        all.push("quantities, colours or stages are not the same ones".to_owned());
    }
    all
}

/// A record as a list shows it.
pub struct ListedRecord {
    /// Name of its file.
    pub file: String,
    /// The record, or why it cannot be trusted.
    pub record: Result<Record, Broken>,
}

/// Issued quotations, for people.
pub fn records_document(folder: &str, records: &[ListedRecord]) -> Document {
    let mut document = Document::default();
    document.heading(format!("Issued quotations in {folder}"));
    let mut table = Table::new(vec![
        Column::words("Number"),
        Column::words("Date"),
        Column::words("Valid until"),
        Column::words("Job"),
        Column::words("Ink set"),
        Column::figures("Price from"),
    ]);
    for listed in records {
        if let Ok(record) = &listed.record {
            table.row(vec![
                Cell::text(&record.number),
                Cell::text(&record.date),
                Cell::text(&record.valid_until),
                Cell::text(&record.title),
                Cell::text(&record.result.option),
                Cell::text(least(record)),
            ]);
        }
    }
    if table.rows.is_empty() {
        document.text("None.");
    }
    document.table(table);
    document.list(records.iter().filter_map(broken_text).collect());
    document
}

/// `1 234.00 EUR` of the smallest quantity.
fn least(record: &Record) -> String {
    let price = record.result.prices.first();
    price.map_or(String::new(), |price| {
        format!(
            "{}\u{a0}{}",
            crate::figures::grouped(&price.total),
            record.result.currency
        )
    })
}

fn broken_text(listed: &ListedRecord) -> Option<String> {
    let why = listed.record.as_ref().err()?;
    Some(format!("{}: {}", listed.file, why.text()))
}

impl Broken {
    /// One sentence.
    pub fn text(&self) -> String {
        match self {
            Self::Unread(why) => format!("no whole record ({why})"),
            Self::Altered { carried, computed } => format!(
                "altered since it was issued: it carries the digest {carried}, its contents have {computed}"
            ),
        }
    }
}

/// For programs: what a list shows.
pub fn records_json(records: &[ListedRecord]) -> String {
    #[derive(Serialize)]
    struct Row<'a> {
        file: &'a str,
        number: Option<&'a str>,
        date: Option<&'a str>,
        valid_until: Option<&'a str>,
        title: Option<&'a str>,
        option: Option<&'a str>,
        sha256: Option<String>,
        broken: Option<String>,
    }
    let rows: Vec<Row<'_>> = records
        .iter()
        .map(|listed| {
            let record = listed.record.as_ref().ok();
            Row {
                file: &listed.file,
                number: record.map(|r| r.number.as_str()),
                date: record.map(|r| r.date.as_str()),
                valid_until: record.map(|r| r.valid_until.as_str()),
                title: record.map(|r| r.title.as_str()),
                option: record.map(|r| r.result.option.as_str()),
                sha256: record.map(Record::digest),
                broken: listed.record.as_ref().err().map(Broken::text),
            }
        })
        .collect();
    crate::json::pretty(&rows)
}

/// For spreadsheets.
pub fn records_csv(records: &[ListedRecord]) -> String {
    let header = [
        "file",
        "number",
        "date",
        "valid_until",
        "title",
        "option",
        "copies",
        "total",
        "currency",
        "broken",
    ];
    let mut rows = Vec::new();
    for listed in records {
        match &listed.record {
            Err(why) => rows.push(vec![
                listed.file.clone(),
                String::new(),
                String::new(),
                String::new(),
                String::new(),
                String::new(),
                String::new(),
                String::new(),
                String::new(),
                why.text(),
            ]),
            Ok(record) => rows.extend(record.result.prices.iter().map(|price| {
                vec![
                    listed.file.clone(),
                    record.number.clone(),
                    record.date.clone(),
                    record.valid_until.clone(),
                    record.title.clone(),
                    record.result.option.clone(),
                    price.copies.to_string(),
                    price.total.clone(),
                    record.result.currency.clone(),
                    String::new(),
                ]
            })),
        }
    }
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}
