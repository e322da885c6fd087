//! Finds printing conditions: shipped ones by name, others in the user's files, computed once and cached.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use inkset_artwork::Separator;
use inkset_colour::{
    CharacterisationTable, ConditionError, FurtherInk, OutputProfile, PrintOrder,
    PrintingCondition, ProfileSeparation, SolidInk, TableProblem, Variation, grid_from_profile,
    grid_from_table, is_icc_profile, read_characterisation, read_output_profile, shipped,
    shipped_names, shipped_table,
};
use inkset_plan::{Conditions, ExtendedInk, Look, LookTarget};
use inkset_spec::{
    FileRole, Job, Notice, PaperKind, Part, Place, RateCard, Sources, Target, codes,
};
use sha2::{Digest, Sha256};

use crate::CliError;
use crate::files::{Loaded, replace, tell};
use crate::output::Output;
use crate::plant::variation_of;

/// A printing condition that is shipped or was read from a file.
pub(crate) enum Condition {
    Shipped(&'static PrintingCondition),
    Own(Box<PrintingCondition>, Option<Box<ProfileSeparation>>),
}

impl Condition {
    /// Separates RGB and Lab as the profile does that the condition comes from, else by what the condition prints.
    pub(crate) fn separator(&self) -> Separator<'_> {
        match self {
            Self::Own(condition, Some(own)) => Separator::of_profile(condition, own),
            _ => Separator::new(self.as_ref()),
        }
    }
}

impl AsRef<PrintingCondition> for Condition {
    fn as_ref(&self) -> &PrintingCondition {
        match self {
            Self::Shipped(condition) => condition,
            Self::Own(condition, _) => condition,
        }
    }
}

/// The conditions of a job.
pub(crate) struct JobConditions {
    /// Each once.
    found: Vec<(String, Condition)>,
    /// Index into `found` for each part.
    of_parts: Vec<usize>,
    /// The plant's own press variation.
    plant: Option<Variation>,
    /// What was assumed for them.
    assumptions: Vec<String>,
    extended: Vec<ExtendedInk>,
    looks: Vec<Look>,
}

impl JobConditions {
    /// As the plan takes them.
    pub(crate) fn borrowed(&self) -> Conditions<'_> {
        Conditions {
            of_parts: self
                .of_parts
                .iter()
                .map(|&at| self.found[at].1.as_ref())
                .collect(),
            named: self
                .found
                .iter()
                .map(|(name, condition)| (name.clone(), condition.as_ref()))
                .collect(),
            plant: self.plant.clone(),
            extended: self.extended.clone(),
            looks: self.looks.clone(),
        }
    }

    /// The condition of a part.
    pub(crate) fn of_part(&self, part: usize) -> &Condition {
        &self.found[self.of_parts[part]].1
    }

    /// Name of each part's condition.
    pub(crate) fn names(&self) -> Vec<String> {
        self.of_parts
            .iter()
            .map(|&at| self.found[at].1.as_ref().name().to_owned())
            .collect()
    }
}

/// Finds the condition of every part's stock and every one that a colour names; what they assume joins the assumptions.
pub(crate) fn conditions_of(
    loaded: &mut Loaded,
    out: &mut Output,
) -> Result<JobConditions, CliError> {
    let mut conditions = JobConditions {
        found: Vec::new(),
        of_parts: Vec::new(),
        plant: variation_of(loaded, out)?,
        assumptions: Vec::new(),
        extended: extended_inks(loaded),
        looks: loaded.looks.clone(),
    };
    for part in &loaded.job.parts {
        let stock = loaded
            .card
            .stocks
            .iter()
            .find(|stock| stock.name.value == part.stock.value)
            .ok_or(CliError::Told)?;
        let at = conditions.add(&stock.condition.value, &loaded.rates_path, out)?;
        conditions.of_parts.push(at);
    }
    for colour in &loaded.job.colours {
        if let Target::Cmyk {
            condition: Some(name),
            ..
        } = &colour.target.value
        {
            conditions.add(name, &loaded.job_path, out)?;
        }
    }
    loaded.assumptions.append(&mut conditions.assumptions);
    Ok(conditions)
}

/// The plant's extended process inks on the paper of each part.
fn extended_inks(loaded: &Loaded) -> Vec<ExtendedInk> {
    let papers: Vec<Option<PaperKind>> = loaded
        .job
        .parts
        .iter()
        .map(|part| {
            let mut stocks = loaded.card.stocks.iter();
            stocks
                .find(|stock| stock.name.value == part.stock.value)
                .map(|stock| stock.kind.value)
        })
        .collect();
    let inks = loaded.card.inks.extended.iter().zip(&loaded.extended);
    inks.map(|(ink, looks)| ExtendedInk {
        name: ink.name.value.clone(),
        of_parts: papers
            .iter()
            .map(|kind| further_ink(ink, looks, (*kind)?))
            .collect(),
    })
    .collect()
}

/// An extended process ink on such paper, if the card tells its solid there.
pub(crate) fn further_ink(
    ink: &inkset_spec::ExtendedInk,
    looks: &[(PaperKind, Look)],
    kind: PaperKind,
) -> Option<FurtherInk> {
    let (_, look) = looks.iter().find(|(known, _)| *known == kind)?;
    let LookTarget::Lab(lab) = look.target else {
        return None;
    };
    // It is a process ink: its aim is its standard, as with the four.
    let solid = SolidInk {
        lab,
        match_delta_e: 0.0,
        tints: look.tints.clone(),
    };
    let opacity = ink.opacity.as_ref().map(|opacity| opacity.value);
    Some(FurtherInk {
        spectrum: look.spectrum.clone(),
        opacity: opacity.or(look.opacity).unwrap_or(0.0),
        trapping: ink.trapping.value,
        order: if ink.first {
            PrintOrder::BeforeProcess
        } else {
            PrintOrder::AfterProcess
        },
        ..FurtherInk::of(solid)
    })
}

impl JobConditions {
    fn add(&mut self, name: &str, beside: &Path, out: &mut Output) -> Result<usize, CliError> {
        if let Some(at) = self.found.iter().position(|(known, _)| known == name) {
            return Ok(at);
        }
        let condition = if let Some(condition) = shipped(name) {
            Condition::Shipped(condition)
        } else {
            let (condition, assumed) = from_file(&beside_file(name, beside), out)?;
            self.assumptions.extend(assumed);
            condition
        };
        self.found.push((name.to_owned(), condition));
        Ok(self.found.len() - 1)
    }
}

/// Files that a colour of the job, or the stock of a part, names as its printing condition and that are not there.
pub(crate) fn missing_files(
    (job, job_path): (&Job, &Path),
    (card, rates_path): (&RateCard, &Path),
    out: &Output,
) -> Vec<Notice> {
    let is_missing = |name: &str, beside: &Path| {
        name.contains(['.', '/', '\\'])
            && shipped(name).is_none()
            && !out.is_file(&beside_file(name, beside))
    };
    let of_card = card.stocks.iter().filter_map(|stock| {
        let is_used = |part: &Part| part.stock.value == stock.name.value;
        let name = &stock.condition;
        if !job.parts.iter().any(is_used) || !is_missing(name, rates_path) {
            return None;
        }
        let who = format!("stock `{}`", stock.name.value);
        Some(missing_file(FileRole::Rates, (&who, name), name.place))
    });
    let of_job = job.colours.iter().filter_map(|colour| {
        let Target::Cmyk {
            condition: Some(name),
            ..
        } = &colour.target.value
        else {
            return None;
        };
        let who = format!("colour `{}`", colour.name.value);
        let place = colour.target.place;
        is_missing(name, job_path).then(|| missing_file(FileRole::Job, (&who, name), place))
    });
    of_card.chain(of_job).collect()
}

fn missing_file(role: FileRole, (who, name): (&str, &str), place: Option<Place>) -> Notice {
    let message = format!("{who} names printing condition `{name}`, and there is no such file");
    let known: Vec<String> = shipped_names()
        .iter()
        .map(|info| format!("`{}`", info.name))
        .collect();
    Notice::error(role, codes::UNKNOWN_CONDITION, message)
        .at(place)
        .hint(format!(
            "a name with a point or slash is a file, relative to the file that names it; shipped are {}",
            known.join(", ")
        ))
}

fn beside_file(name: &str, file: &Path) -> PathBuf {
    file.parent().unwrap_or(Path::new("")).join(name)
}

/// Names that a stock may give: shipped ones with their aliases, and files that exist beside the rate card.
pub(crate) fn known_names(card: &RateCard, rates_path: &Path, out: &Output) -> Vec<String> {
    let files = card
        .stocks
        .iter()
        .map(|stock| &stock.condition.value)
        .filter(|name| out.is_file(&beside_file(name, rates_path)));
    let named = card
        .stocks
        .iter()
        .map(|stock| &stock.condition.value)
        .filter(|name| shipped(name).is_some());
    shipped_names()
        .iter()
        .map(|info| info.name.clone())
        .chain(files.chain(named).cloned())
        .collect()
}

/// A condition named on the command line.
pub(crate) fn condition_named(name: &str, out: &mut Output) -> Result<Condition, CliError> {
    if let Some(condition) = shipped(name) {
        return Ok(Condition::Shipped(condition));
    }
    let path = Path::new(name);
    if path.is_file() {
        return from_file(path, out).map(|(condition, _)| condition);
    }
    let known: Vec<&str> = shipped_names()
        .iter()
        .map(|info| info.name.as_str())
        .collect();
    Err(CliError::Usage(format!(
        "`{name}` is neither a shipped printing condition nor a file; shipped are {}",
        known.join(", ")
    )))
}

/// What a condition was made from.
pub(crate) enum Basis {
    Table(Box<CharacterisationTable>),
    Profile(Box<OutputProfile>),
}

impl Basis {
    fn grid(&self) -> Result<Vec<u8>, ConditionError> {
        match self {
            Self::Table(table) => grid_from_table(table),
            Self::Profile(profile) => grid_from_profile(profile),
        }
    }
}

/// What the condition of this name or file was made from; the same that [`condition_named`] finds.
pub(crate) fn basis_named(name: &str, out: &mut Output) -> Result<Basis, CliError> {
    match shipped_table(name) {
        Some(table) => Ok(Basis::Table(Box::new(table))),
        None => basis(name, &out.read(Path::new(name))?, out),
    }
}

/// Reads a characterisation table or a profile.
fn basis(name: &str, bytes: &[u8], out: &mut Output) -> Result<Basis, CliError> {
    let is_named_profile = Path::new(name)
        .extension()
        .is_some_and(|ext| ext.eq_ignore_ascii_case("icc") || ext.eq_ignore_ascii_case("icm"));
    if is_named_profile || is_icc_profile(bytes) {
        let profile = read_output_profile(name, bytes).map_err(|problem| {
            out.message(&format!("{problem}\n"));
            CliError::Told
        })?;
        return Ok(Basis::Profile(Box::new(profile)));
    }
    read_characterisation(name, bytes)
        .map(|table| Basis::Table(Box::new(table)))
        .map_err(|problems| tell_problems(problems, name, bytes, out))
}

/// Reads a table or a profile; its dense grid is taken from the cache, or computed and put there.
///
/// Also returns what was assumed, which has been told.
fn from_file(path: &Path, out: &mut Output) -> Result<(Condition, Option<String>), CliError> {
    let bytes = out.read(path)?;
    let name = path.display().to_string();
    let cached = cache_file(&name, &bytes);
    let kept = cached.as_deref().and_then(|file| std::fs::read(file).ok());
    if let Some(condition) = kept.and_then(|grid| PrintingCondition::from_bytes(&grid).ok()) {
        let assumed = assumed_ink_limit(&name, &condition, &bytes, out);
        return Ok((own(&name, condition, &bytes), assumed));
    }
    let made = basis(&name, &bytes, out)?.grid().and_then(|grid| {
        let condition = PrintingCondition::from_bytes(&grid)?;
        Ok((grid, condition))
    });
    let (grid, condition) = made.map_err(|error| {
        out.message(&format!("error: {name}: {error}\n"));
        CliError::Told
    })?;
    if let Some(file) = cached {
        keep(&file, &grid);
    }
    let assumed = assumed_ink_limit(&name, &condition, &bytes, out);
    Ok((own(&name, condition, &bytes), assumed))
}

/// A condition out of these bytes, with the separations of a profile.
fn own(name: &str, condition: PrintingCondition, bytes: &[u8]) -> Condition {
    let profile = is_icc_profile(bytes).then(|| read_output_profile(name, bytes));
    let separation = profile.and_then(|profile| profile.ok()?.separation().cloned());
    Condition::Own(Box::new(condition), separation.map(Box::new))
}

/// A profile states no ink limit; what is used instead is an assumption, which is told.
fn assumed_ink_limit(
    name: &str,
    condition: &PrintingCondition,
    bytes: &[u8],
    out: &mut Output,
) -> Option<String> {
    if !is_icc_profile(bytes) {
        return None;
    }
    let assumption = format!(
        "ink limit {} % for `{name}` ({})",
        condition.ink_limit(),
        condition.source()
    );
    out.message(&format!("assumed: {assumption}\n"));
    Some(assumption)
}

fn tell_problems(
    problems: Vec<TableProblem>,
    name: &str,
    bytes: &[u8],
    out: &mut Output,
) -> CliError {
    let text = String::from_utf8_lossy(bytes);
    let notices: Vec<Notice> = problems
        .into_iter()
        .map(|problem| Notice {
            hint: problem.hint,
            ..Notice::error(FileRole::Table, problem.code, problem.message).at(Some(
                Place::in_text(FileRole::Table, &text, problem.line, problem.column),
            ))
        })
        .collect();
    let sources = Sources {
        table: Some((name, &text)),
        ..Sources::default()
    };
    // A table whose only notices are errors always ends the command.
    tell(&notices, &sources, out)
        .err()
        .unwrap_or(CliError::Told)
}

/// `INKSET_CACHE`, else the user's cache folder; named after the file's name and content and the program's version.
fn cache_file(name: &str, contents: &[u8]) -> Option<PathBuf> {
    let variable = |name: &str| {
        std::env::var_os(name)
            .filter(|value| !value.is_empty())
            .map(PathBuf::from)
    };
    let folder = variable("INKSET_CACHE")
        .or_else(|| variable("XDG_CACHE_HOME").map(|folder| folder.join("inkset")))
        .or_else(|| variable("HOME").map(|home| home.join(".cache/inkset")))?;
    let mut hash = Sha256::new();
    hash.update(env!("CARGO_PKG_VERSION"));
    // The file's name becomes the condition's; its folder does not matter.
    let file_name = Path::new(name).file_name().unwrap_or_default();
    hash.update(file_name.as_encoded_bytes());
    hash.update([0]);
    hash.update(contents);
    let mut digest = String::new();
    for byte in hash.finalize() {
        // Writing to a string never fails.
        let _ = write!(digest, "{byte:02x}");
    }
    Some(folder.join(format!("{digest}.grid")))
}

/// Another run never sees half a file. A cache that cannot be written costs time only.
fn keep(file: &Path, grid: &[u8]) {
    if let Some(folder) = file.parent()
        && std::fs::create_dir_all(folder).is_ok()
    {
        let _ = replace(file, grid);
    }
}
