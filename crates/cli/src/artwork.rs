//! Measures the artwork that a job names, and puts what was measured in the place of what the job says.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{BufReader, Cursor};
use std::path::{Path, PathBuf};

use inkset_artwork::{
    Artwork, ArtworkError, Finding, Ink, NamedSolid, PageBox, PageCoverage, Photographs, Separator,
    Settings, Source, USUAL_RESOLUTION, measure,
};
use inkset_colour::{PrintingCondition, shipped};
use inkset_plan::{MeasuredFlat, MeasuredPage, PlanNote, StrangeSolid, measured_job};
use inkset_spec::{FileRole, NamedArtwork, Notice, Sources, codes, page_runs};

use crate::CliError;
use crate::conditions::JobConditions;
use crate::files::{Loaded, tell};
use crate::output::Output;
use crate::progress::Progress;

/// Farthest that a page of the artwork may be from the size of the product's, mm, before it is told.
const SIZE_SLACK: f64 = 1.0;

/// What the artwork of a job shows.
pub(crate) struct Gathered {
    pub(crate) pages: Vec<MeasuredPage>,
    /// Solids that the files name.
    pub(crate) solids: Vec<NamedSolid>,
    /// What the reader should look at.
    pub(crate) notes: Vec<PlanNote>,
    /// What was assumed and what was measured, a sentence each.
    said: Vec<String>,
}

/// Measures every page that the job's artwork lies on; the job then has the measured coverage.
///
/// Returns what the reader should look at.
pub(crate) fn measure_named(
    loaded: &mut Loaded,
    conditions: &JobConditions,
    out: &mut Output,
) -> Result<Vec<PlanNote>, CliError> {
    if loaded.job.artwork.is_empty() {
        return Ok(Vec::new());
    }
    let gathered = gather(loaded, conditions, out)?;
    let measured = measured_job(&loaded.job, &conditions.borrowed(), &gathered.pages);
    let strange: Vec<Notice> = measured
        .strange
        .iter()
        .map(|s| strange(loaded, s))
        .collect();
    tell_artwork(&strange, loaded, out)?;
    let mut notes = gathered.notes;
    notes.extend(measured.notes);
    for note in &notes {
        out.message(&format!("warning: {}\n", note.text));
    }
    loaded.assumptions.extend(gathered.said);
    loaded.job = measured.job;
    Ok(notes)
}

/// Measures every page that the job's artwork lies on, and tells what stood in the way.
pub(crate) fn gather(
    loaded: &Loaded,
    conditions: &JobConditions,
    out: &mut Output,
) -> Result<Gathered, CliError> {
    let mut reader = Reader {
        loaded,
        conditions,
        files: BTreeMap::new(),
        pages: Vec::new(),
        notices: Vec::new(),
        said: Vec::new(),
        assumptions: Vec::new(),
        notes: Vec::new(),
    };
    for named in &loaded.job.artwork {
        reader.read(named, out);
    }
    tell_artwork(&reader.notices, loaded, out)?;
    for sentence in &reader.said {
        out.message(&format!("{sentence}\n"));
    }
    let mut said = reader.assumptions;
    said.extend(reader.said);
    let files = reader.files.into_values().flatten();
    Ok(Gathered {
        solids: files.flat_map(|artwork| artwork.solids).collect(),
        pages: reader.pages,
        notes: reader.notes,
        said,
    })
}

/// Tells notices about the job's artwork; errors end the command.
pub(crate) fn tell_artwork(
    notices: &[Notice],
    loaded: &Loaded,
    out: &mut Output,
) -> Result<(), CliError> {
    let name = loaded.job_path.display().to_string();
    let sources = Sources {
        job: Some((&name, &loaded.job_text)),
        ..Sources::default()
    };
    tell(notices, &sources, out).map(|_| ())
}

/// Pages of a file, without counting them.
pub(crate) fn page_count(path: &Path) -> Result<usize, CliError> {
    let condition = shipped("coated-tr006").ok_or(CliError::Told)?;
    match measured((path, None), &Separator::new(condition), &BTreeSet::new()) {
        Ok(artwork) => Ok(artwork.page_count),
        Err(error) => Err(CliError::Usage(format!("`{}`: {error}", path.display()))),
    }
}

/// Opens the artwork and measures it; what stands in its way is told by the caller.
///
/// A library that gives up on a damaged page is told as damage, not as its own words.
pub(crate) fn measure_file(path: &Path, settings: &Settings<'_>) -> Result<Artwork, ArtworkError> {
    let source = File::open(path)?;
    let metadata = source.metadata()?;
    if metadata.is_dir() {
        return Err(std::io::Error::from(std::io::ErrorKind::IsADirectory).into());
    }
    measure_source((path, metadata.len()), BufReader::new(source), settings)
}

fn measure_source(
    (path, length): (&Path, u64),
    source: impl Source,
    settings: &Settings<'_>,
) -> Result<Artwork, ArtworkError> {
    let mut progress = Progress::new(&path.display().to_string(), length);
    let hook = std::panic::take_hook();
    std::panic::set_hook(Box::new(|_| {}));
    let done = measure(source, settings, &mut |share| {
        progress.at(share);
    });
    std::panic::set_hook(hook);
    progress.clear();
    done
}

/// A solid that the job does not have.
pub(crate) fn strange(loaded: &Loaded, solid: &StrangeSolid) -> Notice {
    let name = &solid.name;
    let message = format!(
        "{} of `{}` {} the ink `{name}`, which no colour of the job is named after",
        page_runs(&solid.pages),
        loaded.job.parts[solid.part].name.value,
        if solid.pages.len() == 1 {
            "prints"
        } else {
            "print"
        }
    );
    Notice::error(FileRole::Job, codes::ARTWORK_INK, message)
        .at(solid.place)
        .hint(format!(
            "name a `[[colour]]` `{name}`; or, if it is not printed, write `unprinted = [\"{name}\"]`; or convert it in the file"
        ))
}

/// Gathers the pages of all artwork.
struct Reader<'a> {
    loaded: &'a Loaded,
    conditions: &'a JobConditions,
    /// What was measured, by the file and the name of the condition.
    files: BTreeMap<(PathBuf, String), Result<Artwork, ArtworkError>>,
    pages: Vec<MeasuredPage>,
    notices: Vec<Notice>,
    said: Vec<String>,
    assumptions: Vec<String>,
    notes: Vec<PlanNote>,
}

impl Reader<'_> {
    fn read(&mut self, named: &NamedArtwork, out: &mut Output) {
        let folder = self.loaded.job_path.parent().unwrap_or(Path::new(""));
        // A file of the command line is named from where the user is, one of the job from where the job is.
        let path = match named.file.place {
            Some(_) => folder.join(&named.file.value),
            None => PathBuf::from(&named.file.value),
        };
        if let Some(notice) = self.outside(named, folder, &path) {
            self.notices.push(notice);
            return;
        }
        let condition = self.conditions.of_part(named.part);
        let key = (path.clone(), condition.as_ref().name().to_owned());
        if !self.files.contains_key(&key) {
            let wanted = self.wanted(named, condition.as_ref());
            let kept = kept(&path, out);
            let measured =
                kept.and_then(|kept| measured((&path, kept), &condition.separator(), &wanted));
            for assumption in measured.iter().flat_map(|artwork| &artwork.assumptions) {
                let assumption = format!("{}: {assumption}", named.file.value);
                out.message(&format!("assumed: {assumption}\n"));
                self.assumptions.push(assumption);
            }
            self.files.insert(key.clone(), measured);
        }
        let refused = match &self.files[&key] {
            Ok(artwork) => self.taken(named, artwork),
            Err(error) => Err(vec![unread(named, None, error)]),
        };
        match refused {
            Ok(pages) => {
                self.said.push(self.sentence(named, &pages));
                self.notes.extend(self.sizes(named, &pages));
                let taken = named.pages.iter().zip(&pages);
                let taken = taken.map(|(&page, seen)| measured_page(named, page, seen));
                let taken: Vec<MeasuredPage> = taken.collect();
                self.pages.extend(taken);
            }
            Err(notices) => self.notices.extend(notices),
        }
    }

    /// An error for a file that does not lie in the folder of the job, links followed.
    fn outside(&self, named: &NamedArtwork, folder: &Path, path: &Path) -> Option<Notice> {
        if self.loaded.outside_artwork || named.file.place.is_none() {
            return None;
        }
        let here = if folder.as_os_str().is_empty() {
            Path::new(".")
        } else {
            folder
        };
        // A file that is not there cannot be followed; it is told as unreadable, unless its very name points out.
        let points_out = Path::new(&named.file.value).components().any(|part| {
            !matches!(
                part,
                std::path::Component::Normal(_) | std::path::Component::CurDir
            )
        });
        let is_inside = match (here.canonicalize(), path.canonicalize()) {
            (Ok(here), Ok(path)) => path.starts_with(here),
            _ => !points_out,
        };
        (!is_inside).then(|| {
            let message = format!(
                "artwork `{}` lies outside the folder of the job",
                named.file.value
            );
            Notice::error(FileRole::Job, codes::ARTWORK_OUTSIDE, message)
                .at(named.file.place)
                .hint("copy it into the folder of the job, or allow it with `--outside-artwork`")
        })
    }

    /// Pages of the file that any artwork of this condition needs.
    fn wanted(&self, named: &NamedArtwork, condition: &PrintingCondition) -> BTreeSet<usize> {
        let all = self.loaded.job.artwork.iter();
        let same = all.filter(|other| {
            other.file.value == named.file.value
                && self.conditions.of_part(other.part).as_ref().name() == condition.name()
        });
        same.flat_map(|other| (0..other.pages.len()).map(|at| page_of_file(other, at)))
            .collect()
    }

    /// The pages of the file that lie on the pages of the job, in their order.
    fn taken<'p>(
        &self,
        named: &NamedArtwork,
        artwork: &'p Artwork,
    ) -> Result<Vec<&'p PageCoverage>, Vec<Notice>> {
        let last = page_of_file(named, named.pages.len() - 1);
        if last > artwork.page_count {
            let message = format!(
                "artwork `{}` has {}; {} of `{}` needs its pages {} to {last}",
                named.file.value,
                counted(artwork.page_count),
                page_runs(&named.pages),
                self.loaded.job.parts[named.part].name.value,
                named.first.value
            );
            let notice = Notice::error(FileRole::Job, codes::ARTWORK_PAGES, message)
                .at(named.file.place)
                .hint("mend `first` or `pages`, or name another file for the other pages");
            return Err(vec![notice]);
        }
        let mut pages = Vec::new();
        let mut notices = Vec::new();
        for at in 0..named.pages.len() {
            let number = page_of_file(named, at);
            for page in &artwork.pages {
                match page {
                    Ok(page) if page.page == number => pages.push(page),
                    Err(failed) if failed.page == number => {
                        notices.push(unread(named, Some(number), &failed.error));
                    }
                    _ => {}
                }
            }
        }
        if notices.is_empty() {
            Ok(pages)
        } else {
            Err(notices)
        }
    }

    /// `coverage measured: pages 1-4 of `text` from pages 3-6 of brochure.pdf`, and through what RGB was separated.
    fn sentence(&self, named: &NamedArtwork, pages: &[&PageCoverage]) -> String {
        let first = named.first.value as u32;
        let of_file: Vec<u32> = (first..).take(named.pages.len()).collect();
        let mut findings = pages.iter().flat_map(|page| &page.findings);
        let separated = if findings.any(|found| matches!(found, Finding::Separated { .. })) {
            let through = self.conditions.of_part(named.part).as_ref().name();
            format!("; RGB and Lab separated through `{through}`")
        } else {
            String::new()
        };
        format!(
            "coverage measured: {} of `{}` from {} of {}{separated}",
            page_runs(&named.pages),
            self.loaded.job.parts[named.part].name.value,
            page_runs(&of_file),
            named.file.value,
        )
    }

    /// What differs from the size of the product's page.
    fn sizes(&self, named: &NamedArtwork, pages: &[&PageCoverage]) -> Vec<PlanNote> {
        let trim = self.loaded.job.product.trim.value;
        let off = |page: &PageCoverage| {
            let (width, height) = page.size.millimetres?;
            let fits = (width - trim.width.mm()).abs() <= SIZE_SLACK
                && (height - trim.height.mm()).abs() <= SIZE_SLACK;
            (!fits).then_some((width, height))
        };
        let pages = named.pages.iter().zip(pages);
        let different = pages.filter_map(|(&page, seen)| Some((page, off(seen)?)));
        let mut by_size: Vec<((f64, f64), Vec<u32>)> = Vec::new();
        for (page, size) in different {
            match by_size.iter_mut().find(|(known, _)| *known == size) {
                Some((_, pages)) => pages.push(page),
                None => by_size.push((size, vec![page])),
            }
        }
        by_size
            .into_iter()
            .map(|((width, height), pages)| {
                PlanNote::caution(format!(
                    "{}: {width:.1} × {height:.1} mm lie on {} of {trim}; the coverage is taken as a share of the page all the same",
                    named.file.value,
                    page_runs(&pages)
                ))
            })
            .collect()
    }
}

fn counted(pages: usize) -> String {
    let word = if pages == 1 { "page" } else { "pages" };
    format!("{pages} {word}")
}

/// Number of the file's page that lies on the page at this index.
fn page_of_file(named: &NamedArtwork, at: usize) -> usize {
    named.first.value as usize + at
}

fn unread(named: &NamedArtwork, page: Option<usize>, error: &ArtworkError) -> Notice {
    let page = page.map_or(String::new(), |page| format!(", page {page}"));
    let message = format!("artwork `{}`{page}: {error}", named.file.value);
    Notice::error(FileRole::Job, codes::ARTWORK_UNREAD, message)
        .at(named.file.place)
        .hint(format!("`{}`: see docs/coverage.md", error.code()))
}

/// The bytes of a file that goes into a record, or comes from one; else it is read piece by piece, however long it is.
fn kept(path: &Path, out: &mut Output) -> Result<Option<Vec<u8>>, ArtworkError> {
    if !out.has_to_do_with_a_record() {
        return Ok(None);
    }
    match out.read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(CliError::File(_, error)) => Err(error.into()),
        Err(_) => Err(std::io::Error::other("it is too long for a record").into()),
    }
}

fn measured(
    (path, kept): (&Path, Option<Vec<u8>>),
    separator: &Separator<'_>,
    pages: &BTreeSet<usize>,
) -> Result<Artwork, ArtworkError> {
    let settings = Settings {
        separator,
        // A job is not held against the limit here; `coverage` does that.
        ink_limit: 400.0,
        page_box: PageBox::Trim,
        resolution: USUAL_RESOLUTION,
        pages: Some(pages),
        photographs: Photographs::Counted,
    };
    match kept {
        Some(bytes) => {
            let length = bytes.len() as u64;
            measure_source((path, length), Cursor::new(bytes), &settings)
        }
        None => measure_file(path, &settings),
    }
}

/// A page of the file as the plan takes it, without the inks that are not printed.
fn measured_page(named: &NamedArtwork, page: u32, seen: &PageCoverage) -> MeasuredPage {
    let mean = |ink: &Ink| {
        let known = seen.inks.iter().find(|known| known.ink == *ink);
        known.map_or(0.0, |known| known.mean)
    };
    let is_printed = |name: &str| named.unprinted.iter().all(|u| u.value != name);
    let inks = seen.inks.iter().filter(|ink| ink.largest > 0.0);
    let solids = inks.filter_map(|ink| match &ink.ink {
        Ink::Solid(name) if is_printed(name) => Some((name.clone(), ink.mean)),
        _ => None,
    });
    let flats = seen.flats.iter().filter_map(|flat| {
        let mut tones = [0.0; 4];
        for (ink, tone) in &flat.tones {
            match ink {
                Ink::Process(process) => tones[*process as usize] = tone * 100.0,
                Ink::Solid(name) if is_printed(name) => return None,
                Ink::Solid(_) => {}
            }
        }
        tones
            .iter()
            .any(|tone| *tone > 0.0)
            .then_some(MeasuredFlat {
                tones,
                share: flat.share,
            })
    });
    MeasuredPage {
        part: named.part,
        page,
        place: named.file.place,
        process: [0, 1, 2, 3].map(|ink: usize| mean(&Ink::PROCESS[ink])),
        solids: solids.collect(),
        flats: flats.collect(),
    }
}
