//! Reads job files, rate cards and palettes, and tells what is wrong with them.

use std::fs::File;
use std::io::{self, Read, Write as _};
use std::path::{Component, Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use inkset_plan::Look;
use inkset_spec::{
    CardRanges, FileRole, Job, Notice, RateCard, Reading, Severity, Sources, check_against,
    read_card_ranges, read_job_bytes, read_rate_card_bytes, render_notices,
};

use crate::CliError;
use crate::args::JobArgs;
use crate::conditions::{known_names, missing_files};
use crate::output::Output;
use crate::palettes::{self, SolidLooks};

/// Longest file that is read at all, bytes; readers have tighter limits of their own.
const LONGEST: u64 = 256 << 20;

/// A job with its rate card, checked alone and together.
pub(crate) struct Loaded {
    pub(crate) job: Job,
    pub(crate) card: RateCard,
    /// Text of the job file, for messages.
    pub(crate) job_text: String,
    /// The rates that the card gives as ranges.
    pub(crate) ranges: Option<CardRanges>,
    /// Where the job and the rate card were read.
    pub(crate) job_path: PathBuf,
    pub(crate) rates_path: PathBuf,
    /// What was assumed, a sentence each.
    pub(crate) assumptions: Vec<String>,
    /// Those of them that are about the job and not about the rate card.
    pub(crate) of_job: Vec<String>,
    /// What each colour of the job looks like.
    pub(crate) looks: Vec<Look>,
    /// What the extended process inks of the card look like.
    pub(crate) extended: SolidLooks,
    /// Whether artwork may lie outside the folder of the job.
    pub(crate) outside_artwork: bool,
}

/// Reads both files and tells every notice; errors end the command.
pub(crate) fn load(args: &JobArgs, out: &mut Output) -> Result<Loaded, CliError> {
    let job_bytes = out.read(&args.job)?;
    let job_text = String::from_utf8_lossy(&job_bytes).into_owned();
    let job = read_job_bytes(&job_bytes);
    let Some(rates_path) = rates_path(args, job.value.as_ref()) else {
        return Err(no_rates(args, &job, &job_text, out));
    };
    let rates_bytes = out.read(&rates_path)?;
    let rates_text = String::from_utf8_lossy(&rates_bytes).into_owned();
    let card = read_rate_card_bytes(&rates_bytes);
    let mut notices = job.notices;
    notices.extend(card.notices);
    if let (Some(job), Some(card)) = (&job.value, &card.value) {
        notices.extend(check_against(
            job,
            card,
            &known(&known_names(card, &rates_path, out)),
        ));
        notices.extend(missing_files((job, &args.job), (card, &rates_path), out));
    }
    let mut looks = None;
    if let Some(job) = &job.value {
        let (found, missing) = palettes::looks(job, &args.job, out);
        looks = found;
        notices.extend(missing);
    }
    let mut extended = None;
    if let Some(card) = &card.value {
        let (found, missing) = palettes::solid_looks(card, &rates_path, out);
        extended = found;
        notices.extend(missing);
    }
    let names = [
        args.job.display().to_string(),
        rates_path.display().to_string(),
    ];
    let sources = Sources {
        job: Some((&names[0], &job_text)),
        rates: Some((&names[1], &rates_text)),
        ..Sources::default()
    };
    let assumptions = tell(&notices, &sources, out)?;
    let is_of_job = |n: &&Notice| n.severity == Severity::Assumption && n.file == FileRole::Job;
    let of_job = notices.iter().filter(is_of_job);
    let of_job = of_job.map(|notice| notice.message.clone()).collect();
    match (job.value, card.value, looks, extended) {
        (Some(job), Some(card), Some(looks), Some(extended)) => Ok(Loaded {
            job,
            ranges: read_card_ranges(&rates_bytes),
            job_text,
            card,
            job_path: args.job.clone(),
            rates_path,
            assumptions,
            of_job,
            looks,
            extended,
            outside_artwork: args.outside_artwork,
        }),
        _ => Err(CliError::Told),
    }
}

fn known(names: &[String]) -> Vec<&str> {
    names.iter().map(String::as_str).collect()
}

/// The rate card on the command line, or the one that the job names, beside the job.
fn rates_path(args: &JobArgs, job: Option<&Job>) -> Option<PathBuf> {
    let beside = |name: &str| args.job.parent().unwrap_or(Path::new("")).join(name);
    args.rates.clone().or_else(|| {
        job?.rates
            .as_ref()
            .map(|rates| straight(beside(&rates.value)))
    })
}

/// `jobs/../rates/metric.toml` as `rates/metric.toml`, where that is the same file: a folder may be a link.
pub(crate) fn straight(path: PathBuf) -> PathBuf {
    let mut short = PathBuf::new();
    for part in path.components() {
        let is_folder = matches!(short.components().next_back(), Some(Component::Normal(_)));
        if part == Component::ParentDir && is_folder {
            short.pop();
        } else {
            short.push(part);
        }
    }
    let same =
        |one: &Path, other: &Path| Some(one.canonicalize().ok()? == other.canonicalize().ok()?);
    if same(&short, &path) == Some(true) {
        short
    } else {
        path
    }
}

fn no_rates(args: &JobArgs, job: &Reading<Job>, text: &str, out: &mut Output) -> CliError {
    let name = args.job.display().to_string();
    let sources = Sources {
        job: Some((&name, text)),
        ..Sources::default()
    };
    if let Err(told) = tell(&job.notices, &sources, out) {
        return told;
    }
    CliError::Usage(format!(
        "`{name}` names no rate card; add `rates = \"rates.toml\"` to it or give one with `--rates FILE`"
    ))
}

/// Prints errors and warnings in full and assumptions a line each; returns the assumptions.
pub(crate) fn tell(
    notices: &[Notice],
    sources: &Sources<'_>,
    out: &mut Output,
) -> Result<Vec<String>, CliError> {
    let (assumed, grave): (Vec<Notice>, Vec<Notice>) = notices
        .iter()
        .cloned()
        .partition(|notice| notice.severity == Severity::Assumption);
    out.message(&render_notices(&grave, sources));
    if grave
        .iter()
        .any(|notice| notice.severity == Severity::Error)
    {
        return Err(CliError::Told);
    }
    let assumptions: Vec<String> = assumed.into_iter().map(|notice| notice.message).collect();
    for assumption in &assumptions {
        out.assumption(assumption);
    }
    Ok(assumptions)
}

/// The bytes of a file, up to a limit that keeps endless devices from filling the memory.
pub(crate) fn read(path: &Path) -> Result<Vec<u8>, CliError> {
    let trouble = |error| CliError::File(path.to_owned(), error);
    let mut bytes = Vec::new();
    File::open(path)
        .map_err(trouble)?
        .take(LONGEST + 1)
        .read_to_end(&mut bytes)
        .map_err(trouble)?;
    if bytes.len() as u64 > LONGEST {
        return Err(CliError::Usage(format!(
            "`{}` is longer than {} MB",
            path.display(),
            LONGEST >> 20
        )));
    }
    Ok(bytes)
}

/// Writes a file that is not there yet; one that is there is never overwritten, even when it appears at the last moment.
pub(crate) fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    if path.symlink_metadata().is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    written(path, bytes, |part| match std::fs::hard_link(part, path) {
        Ok(()) => std::fs::remove_file(part),
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Err(error),
        // Some file systems know no second name of a file.
        Err(_) => std::fs::rename(part, path),
    })
}

/// Writes beside the file, then renames: nobody ever meets half of it, and a failure leaves the old one as it was.
pub(crate) fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    written(path, bytes, |part| std::fs::rename(part, path))
}

/// Files that are being written beside those that they will become; whoever ends the program takes them away.
static UNFINISHED: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

fn unfinished() -> MutexGuard<'static, Vec<PathBuf>> {
    UNFINISHED.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Exit code of a program that was interrupted, as shells count: 128 and the number of the signal.
const INTERRUPTED: i32 = 130;

/// Sees to it that Ctrl-C, and being told to end, leave nothing half-written behind.
pub(crate) fn leave_nothing_behind() {
    // Without a handler the program ends as it always did, only less tidily.
    let _ = ctrlc::set_handler(|| {
        // Nothing is begun or finished while this is held.
        let parts = unfinished();
        for part in parts.iter() {
            let _ = std::fs::remove_file(part);
        }
        crate::progress::clear_line();
        std::process::exit(INTERRUPTED);
    });
}

/// Writes all of a part beside the file, and makes it the file by `finish`.
fn written(
    path: &Path,
    bytes: &[u8],
    finish: impl FnOnce(&Path) -> io::Result<()>,
) -> io::Result<()> {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(format!(".{}.part", std::process::id()));
    let part = path.with_file_name(name);
    let opened = {
        let mut parts = unfinished();
        let opened = File::options().write(true).create_new(true).open(&part)?;
        parts.push(part.clone());
        opened
    };
    let mut file = opened;
    let filled = file.write_all(bytes).and_then(|()| file.sync_all());
    let mut parts = unfinished();
    let done = filled.and_then(|()| finish(&part));
    if done.is_err() {
        let _ = std::fs::remove_file(&part);
    }
    parts.retain(|known| *known != part);
    done
}
