//! `inkset learn`: finished jobs against their estimates, and the rates that follow.

use std::path::{Path, PathBuf};

use inkset_actuals::{Basis, Estimated, Observed, observe};
use inkset_costing::{CannotPrint, Pricer, Weighed, recommended};
use inkset_plan::{Plan, PlannedSet, Verdict};
use inkset_report::{LearnReport, Ranges, learn_csv, learn_document, learn_json, learn_toml};
use inkset_spec::{
    ActualJob, ActualOrder, Actuals, FileRole, MOST_ACTUAL_JOBS, Notice, RateCard, Sources,
    check_actuals, codes, name_hint, read_actuals, read_rate_card_bytes,
};

use crate::CliError;
use crate::args::{Format, JobArgs, LearnArgs};
use crate::files::{Loaded, load, read, straight, tell};
use crate::output::Output;

pub(crate) fn learn(args: &LearnArgs, out: &mut Output) -> Result<(), CliError> {
    let files = actual_files(args, out)?;
    let rates = rates_path(args, &files)?;
    let card = rate_card(&rates, out)?;
    let mut all = files.iter().flat_map(|file| &file.actuals.jobs);
    if all.any(|job| job.file.is_some()) {
        out.assumption("of the jobs, what `inkset check JOB` lists for each");
    }
    out.leave_assumptions_out();
    let mut jobs = JobFiles::new(args, &rates);
    let mut observed = Observed::default();
    let mut failed = None;
    for file in &files {
        let mut notices = check_actuals(&file.actuals, &card);
        if notices.is_empty() {
            for job in &file.actuals.jobs {
                let one = jobs.observe((file, job), &card, out);
                match one {
                    Ok(one) => {
                        observed.pairs.extend(one.pairs);
                        observed.unrated.extend(one.unrated);
                        notices.extend(one.notices);
                    }
                    Err(error) => failed = Some(error),
                }
            }
        }
        failed = tell(&notices, &file.sources(), out).err().or(failed);
    }
    if let Some(error) = failed {
        return Err(error);
    }
    let learned = inkset_actuals::learn(&observed.pairs, &card);
    let report = LearnReport {
        card: &card,
        card_file: rates.display().to_string(),
        jobs: files.iter().map(|file| file.actuals.jobs.len()).sum(),
        learned: &learned,
        unrated: &observed.unrated,
    };
    print(&report, args, out)
}

fn print(report: &LearnReport<'_>, args: &LearnArgs, out: &mut Output) -> Result<(), CliError> {
    if args.proposed {
        let ranges = if args.ranges { Ranges::Yes } else { Ranges::No };
        return out.data(&learn_toml(report, ranges));
    }
    match args.format {
        Format::Table => out.document(&learn_document(report)),
        Format::Json => out.data(&learn_json(report)),
        Format::Csv => out.data(&learn_csv(report)),
    }
}

/// A file of actuals with its text, for messages.
struct ActualFile {
    path: PathBuf,
    name: String,
    text: String,
    actuals: Actuals,
}

impl ActualFile {
    fn sources(&self) -> Sources<'_> {
        Sources {
            actuals: Some((&self.name, &self.text)),
            ..Sources::default()
        }
    }

    /// A path that the file gives, from where the command runs.
    fn beside(&self, name: &str) -> PathBuf {
        straight(self.path.parent().unwrap_or(Path::new("")).join(name))
    }
}

/// All files; whatever is wrong with any of them is told.
fn actual_files(args: &LearnArgs, out: &mut Output) -> Result<Vec<ActualFile>, CliError> {
    let mut files = Vec::new();
    let mut failed = None;
    for path in &args.actuals {
        let bytes = read(path)?;
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let name = path.display().to_string();
        let reading = read_actuals(&bytes);
        let sources = Sources {
            actuals: Some((&name, &text)),
            ..Sources::default()
        };
        failed = tell(&reading.notices, &sources, out).err().or(failed);
        if let Some(actuals) = reading.value {
            files.push(ActualFile {
                path: path.clone(),
                name,
                text,
                actuals,
            });
        }
    }
    let jobs: usize = files.iter().map(|file| file.actuals.jobs.len()).sum();
    if jobs > MOST_ACTUAL_JOBS {
        let message = format!("there are {jobs} jobs; at most {MOST_ACTUAL_JOBS} are compared");
        return Err(CliError::Usage(message));
    }
    failed.map_or(Ok(files), Err)
}

/// The card on the command line, or the one that all files name.
fn rates_path(args: &LearnArgs, files: &[ActualFile]) -> Result<PathBuf, CliError> {
    if let Some(path) = &args.rates {
        return Ok(path.clone());
    }
    let named = |file: &ActualFile| {
        let rates = file.actuals.rates.as_ref();
        rates.map(|rates| file.beside(&rates.value))
    };
    let missing = files.iter().find(|file| named(file).is_none());
    if let Some(file) = missing {
        return Err(CliError::Usage(format!(
            "`{}` names no rate card; add `rates = \"rates.toml\"` to it or give one with `--rates FILE`",
            file.name
        )));
    }
    let mut all = files.iter().filter_map(named);
    let first = all.next().unwrap_or_default();
    match all.find(|other| *other != first) {
        None => Ok(first),
        Some(other) => Err(CliError::Usage(format!(
            "the actuals name two rate cards, `{}` and `{}`; hold them against one with `--rates FILE`",
            first.display(),
            other.display()
        ))),
    }
}

fn rate_card(path: &Path, out: &mut Output) -> Result<RateCard, CliError> {
    let bytes = read(path)?;
    let text = String::from_utf8_lossy(&bytes);
    let name = path.display().to_string();
    let reading = read_rate_card_bytes(&bytes);
    let sources = Sources {
        rates: Some((&name, &text)),
        ..Sources::default()
    };
    tell(&reading.notices, &sources, out)?;
    reading.value.ok_or(CliError::Told)
}

/// Job files that were read and planned, each once.
struct JobFiles {
    rates: PathBuf,
    /// Whether artwork outside the folder of a job is measured.
    outside_artwork: bool,
    planned: Vec<(PathBuf, Option<(Loaded, Plan)>)>,
}

impl JobFiles {
    fn new(args: &LearnArgs, rates: &Path) -> Self {
        Self {
            rates: rates.to_owned(),
            outside_artwork: args.outside_artwork,
            planned: Vec::new(),
        }
    }

    /// Pairs the figures of a job with its estimate.
    fn observe(
        &mut self,
        (file, job): (&ActualFile, &ActualJob),
        card: &RateCard,
        out: &mut Output,
    ) -> Result<Observed, CliError> {
        let Some(order) = &job.file else {
            return Ok(observe(job, Basis::Typed(card))
                .unwrap_or_else(|why| Observed::of(cannot(job, &why))));
        };
        let Some((loaded, plan)) = self.planned(&file.beside(&order.path), out)? else {
            return Err(CliError::Told);
        };
        let observed = estimated(loaded, plan, (job, order));
        Ok(observed.unwrap_or_else(|notice| Observed::of(*notice)))
    }

    /// `None` when the file is known to be wrong, which has been told.
    fn planned(
        &mut self,
        path: &Path,
        out: &mut Output,
    ) -> Result<Option<&(Loaded, Plan)>, CliError> {
        let known = self.planned.iter().position(|(known, _)| known == path);
        let at = if let Some(at) = known {
            at
        } else {
            let files = JobArgs {
                job: path.to_owned(),
                rates: Some(self.rates.clone()),
                outside_artwork: self.outside_artwork,
            };
            let planned = load(&files, out).and_then(|mut loaded| {
                let (_, plan) = super::planned(&mut loaded, out)?;
                Ok((loaded, plan))
            });
            match planned {
                Ok(planned) => self.planned.push((path.to_owned(), Some(planned))),
                Err(CliError::Told) => self.planned.push((path.to_owned(), None)),
                Err(error) => return Err(error),
            }
            self.planned.len() - 1
        };
        Ok(self.planned[at].1.as_ref())
    }
}

/// The job priced on the presses that are named, in the ink set that was printed.
fn estimated(
    loaded: &Loaded,
    plan: &Plan,
    (actual, order): (&ActualJob, &ActualOrder),
) -> Result<Observed, Box<Notice>> {
    let told = |why: CannotPrint| Box::new(cannot(actual, &why));
    let mut card = loaded.card.clone();
    let named = |name: &str| {
        let mut presses = actual.presses.iter();
        presses.any(|press| press.press.to_lowercase() == name.to_lowercase())
    };
    if !actual.presses.is_empty() {
        card.presses.retain(|press| named(&press.name));
    }
    let pricer = Pricer::new(&loaded.job, &card).map_err(told)?;
    let set = printed_set(plan, &pricer, (actual, order))?;
    let prepared = pricer.prepare(&set.print).map_err(told)?.called(&set.name);
    let estimate = prepared.estimate(order.quantity.value).map_err(told)?;
    let inks = prepared.ink_used(&estimate);
    let basis = Basis::Estimated(Estimated {
        job: &loaded.job,
        card: &loaded.card,
        plan: &set.print,
        estimate: &estimate,
        inks: &inks,
    });
    observe(actual, basis).map_err(told)
}

/// The ink set that is named, else the recommended one.
fn printed_set<'p>(
    plan: &'p Plan,
    pricer: &Pricer<'_>,
    (actual, order): (&ActualJob, &ActualOrder),
) -> Result<&'p PlannedSet, Box<Notice>> {
    if let Some(name) = &order.option {
        let names = plan.sets.iter().map(|set| set.name.as_str());
        let found = plan.sets.iter().find(|set| set.name == name.value);
        return found.ok_or_else(|| {
            let message = format!("the job has no option `{}`", name.value);
            let notice = Notice::error(FileRole::Actuals, codes::UNKNOWN_WORD, message);
            Box::new(notice.at(name.place).hint(name_hint(name, names)))
        });
    }
    let mut sets = Vec::new();
    let mut refused = None;
    for set in &plan.sets {
        let prepared = pricer.prepare(&set.print);
        let total = prepared.and_then(|plan| {
            let plan = plan.called(&set.name);
            plan.total_by_hand(order.quantity.value)
        });
        match total {
            Ok(total) => sets.push((set, total)),
            Err(why) => refused = Some(why),
        }
    }
    let weighed: Vec<Weighed> = sets
        .iter()
        .map(|(set, total)| Weighed {
            misses: set.count(Verdict::Misses),
            drifts: set.count(Verdict::Drifts),
            total: *total,
        })
        .collect();
    match (recommended(&weighed), refused) {
        (Some(best), _) => Ok(sets[best].0),
        (None, Some(why)) => Err(Box::new(cannot(actual, &why))),
        (None, None) => unreachable!("a plan has ink sets"),
    }
}

/// The job as it was printed is none that the card can estimate.
fn cannot(actual: &ActualJob, why: &CannotPrint) -> Notice {
    let message = format!(
        "job `{}` cannot be estimated as it was printed: {why}",
        actual.name.value
    );
    Notice::error(FileRole::Actuals, codes::NOT_AS_PRINTED, message).at(actual.name.place)
}
