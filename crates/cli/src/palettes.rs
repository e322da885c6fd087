//! Palettes for commands: colours as Lab, and the palette colours of a job.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use inkset_colour::{
    D50_WHITE, LabD50, Spectrum, TintCurve, Xyz, lab_from_xyz, opacity_over_black, xyz_from_lab,
};
use inkset_plan::Look;
use inkset_spec::{
    Coordinates, FileRole, Given, Ground, InkTint, Job, MeasuredSpectrum, Notice, PaletteColour,
    PaperKind, RateCard, Sources, Target, codes, name_hint, read_palette,
};

use crate::CliError;
use crate::files::tell;
use crate::output::Output;

/// A colour of a palette, as it looks.
pub(crate) struct NamedLab {
    pub(crate) name: String,
    pub(crate) lab: LabD50,
    pub(crate) spectrum: Option<Spectrum>,
    pub(crate) tint: Option<InkTint>,
}

/// Reads a palette and tells what is wrong with it.
pub(crate) fn palette(path: &Path, out: &mut Output) -> Result<Vec<NamedLab>, CliError> {
    let bytes = out.read(path)?;
    let mut reading = read_palette(&bytes);
    let seen = reading.value.map(seen);
    let colours = match seen {
        Some(Ok(colours)) => Some(colours),
        Some(Err(notices)) => {
            reading.notices.extend(notices);
            None
        }
        None => None,
    };
    let name = path.display().to_string();
    let text = String::from_utf8_lossy(&bytes);
    let sources = Sources {
        palette: Some((&name, &text)),
        ..Sources::default()
    };
    tell(&reading.notices, &sources, out)?;
    colours.ok_or(CliError::Told)
}

/// The colours as Lab, or what makes that impossible.
fn seen(colours: Vec<PaletteColour>) -> Result<Vec<NamedLab>, Vec<Notice>> {
    let mut seen = Vec::with_capacity(colours.len());
    let mut problems = Vec::new();
    for colour in colours {
        match lab(&colour) {
            Ok((lab, spectrum)) => seen.push(NamedLab {
                name: colour.name,
                lab,
                spectrum,
                tint: colour.tint,
            }),
            Err(why) => {
                let message = format!("`{}`: {why}", colour.name);
                let notice = Notice::error(FileRole::Palette, codes::WRONG_SPECTRUM, message);
                problems.push(notice.at(colour.place));
            }
        }
    }
    if problems.is_empty() {
        Ok(seen)
    } else {
        Err(problems)
    }
}

/// The Lab that the file states, else the one that follows from its spectrum; and the spectrum.
fn lab(colour: &PaletteColour) -> Result<(LabD50, Option<Spectrum>), String> {
    let spectrum = colour.spectrum.as_ref().map(spectrum).transpose()?;
    match (colour.coordinates, spectrum) {
        (Some(coordinates), spectrum) => Ok((lab_of(coordinates), spectrum)),
        (None, Some(spectrum)) => Ok((spectrum.lab(), Some(spectrum))),
        (None, None) => Err("the palette gives no values".to_owned()),
    }
}

fn spectrum(measured: &MeasuredSpectrum) -> Result<Spectrum, String> {
    let MeasuredSpectrum {
        start_nm,
        interval_nm,
        factors,
    } = measured;
    Spectrum::new(*start_nm, *interval_nm, factors).map_err(|problem| problem.to_string())
}

fn lab_of(coordinates: Coordinates) -> LabD50 {
    match coordinates {
        Coordinates::Lab([l, a, b]) => LabD50::new(l, a, b),
        Coordinates::Xyz([x, y, z]) => lab_from_xyz(Xyz::new(x, y, z)),
        Coordinates::LabOnPaper { lab, paper } => {
            let [l, a, b] = lab;
            let on_white = xyz_from_lab(LabD50::new(l, a, b));
            lab_from_xyz(Xyz {
                x: on_white.x * paper[0] * 100.0 / D50_WHITE.x,
                y: on_white.y * paper[1],
                z: on_white.z * paper[2] * 100.0 / D50_WHITE.z,
            })
        }
    }
}

/// What the colours of a job look like, those of palettes looked up.
///
/// What cannot be found is returned as notices about the job; then there are no looks.
pub(crate) fn looks(
    job: &Job,
    job_path: &Path,
    out: &mut Output,
) -> (Option<Vec<Look>>, Vec<Notice>) {
    let mut finder = Finder::beside(job_path, FileRole::Job);
    // Every colour is looked up, so that every fault is told.
    let targets = job.colours.iter().map(|colour| &colour.target);
    let looks: Vec<Option<Look>> = targets.map(|target| finder.look(target, out)).collect();
    (looks.into_iter().collect(), finder.notices)
}

/// Full solids of extended process inks: for each ink of a card, by kind of paper.
pub(crate) type SolidLooks = Vec<Vec<(PaperKind, Look)>>;

/// What the extended process inks of a card look like, in its order; as [`looks`] for the card.
pub(crate) fn solid_looks(
    card: &RateCard,
    card_path: &Path,
    out: &mut Output,
) -> (Option<SolidLooks>, Vec<Notice>) {
    let mut finder = Finder::beside(card_path, FileRole::Rates);
    let mut looks = Vec::new();
    for ink in &card.inks.extended {
        let solids = ink.solids.iter();
        let of_ink: Vec<Option<(PaperKind, Look)>> = solids
            .map(|(kind, target)| Some((*kind, finder.look(target, out)?)))
            .collect();
        looks.push(of_ink.into_iter().collect());
    }
    (looks.into_iter().collect(), finder.notices)
}

/// Looks colours up in the palettes that a file names, each read once.
struct Finder<'p> {
    folder: &'p Path,
    role: FileRole,
    palettes: BTreeMap<String, Option<Vec<NamedLab>>>,
    notices: Vec<Notice>,
}

impl<'p> Finder<'p> {
    fn beside(file: &'p Path, role: FileRole) -> Self {
        Self {
            folder: file.parent().unwrap_or(Path::new("")),
            role,
            palettes: BTreeMap::new(),
            notices: Vec::new(),
        }
    }

    fn look(&mut self, target: &Given<Target>, out: &mut Output) -> Option<Look> {
        let Target::Palette { file, name } = &target.value else {
            return Look::of(&target.value);
        };
        if !self.palettes.contains_key(file) {
            let read = palette(&self.folder.join(file), out);
            let unread = read.as_ref().err().map(|why| self.unread(target, why));
            self.notices.extend(unread);
            self.palettes.insert(file.clone(), read.ok());
        }
        let known = self.palettes.get(file)?.as_ref()?;
        let found = find(known, name).map(|colour| look_of(colour, known));
        if found.is_none() {
            let notice = self.unknown(target, (file, name), known);
            self.notices.push(notice);
        }
        found
    }

    fn unread(&self, target: &Given<Target>, why: &CliError) -> Notice {
        let message = match why {
            CliError::File(path, error) => format!("cannot read `{}`: {error}", path.display()),
            _ => "the palette has errors, told above".to_owned(),
        };
        Notice::error(self.role, codes::PALETTE_UNREAD, message).at(target.place)
    }

    fn unknown(
        &self,
        target: &Given<Target>,
        (file, name): (&str, &str),
        known: &[NamedLab],
    ) -> Notice {
        let message = format!("`{file}` has no colour `{name}`");
        let hint = name_hint(name, known.iter().map(|colour| colour.name.as_str()));
        Notice::error(self.role, codes::UNKNOWN_PALETTE_COLOUR, message)
            .at(target.place)
            .hint(hint)
    }
}

/// A colour of a palette as an ink: with its tints and its opacity, where the palette characterises the ink.
fn look_of(colour: &NamedLab, palette: &[NamedLab]) -> Look {
    let plain = Look {
        spectrum: colour.spectrum.clone(),
        ..Look::of_lab(colour.lab)
    };
    let is_solid = |tint: &&InkTint| tint.tone >= 100.0 && tint.ground == Ground::Substrate;
    let Some(solid) = colour.tint.as_ref().filter(is_solid) else {
        return plain;
    };
    let on = |ground: Ground| -> Vec<(f64, LabD50)> {
        let all = palette.iter().filter_map(|other| {
            let tint = other.tint.as_ref()?;
            let same = tint.ink == solid.ink && tint.ground == ground;
            same.then_some((tint.tone, other.lab))
        });
        all.collect()
    };
    let (on_paper, on_black) = (on(Ground::Substrate), on(Ground::Black));
    let at = |tints: &[(f64, LabD50)], tone: f64| {
        let found = tints.iter().find(|(known, _)| (known - tone).abs() < 1e-9);
        found.map(|(_, lab)| *lab)
    };
    let tints = at(&on_paper, 0.0)
        .and_then(|paper| TintCurve::measured(paper, colour.lab, &on_paper))
        .map(Arc::new);
    let opacity = at(&on_black, 100.0)
        .zip(at(&on_black, 0.0))
        .map(|(covered, black)| opacity_over_black(colour.lab, covered, black));
    Look {
        tints,
        opacity,
        ..plain
    }
}

/// The colour of a name, whatever its case.
fn find<'k>(known: &'k [NamedLab], name: &str) -> Option<&'k NamedLab> {
    let wanted = name.to_lowercase();
    known
        .iter()
        .find(|colour| colour.name.to_lowercase() == wanted)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_relative_to_paper_become_absolute() {
        let on_paper = |lab, paper| lab_of(Coordinates::LabOnPaper { lab, paper });
        let white = on_paper([100.0, 0.0, 0.0], [0.70, 0.73, 0.58]);
        let paper = lab_from_xyz(Xyz::new(70.0, 73.0, 58.0));
        assert!((white.l - paper.l).abs() < 1e-9 && (white.b - paper.b).abs() < 1e-9);
        let same = on_paper([50.0, 20.0, -30.0], [0.9642, 1.0, 0.8249]);
        assert!((same.a - 20.0).abs() < 1e-9 && (same.b + 30.0).abs() < 1e-9);
    }
}
