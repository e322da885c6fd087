//! Palettes for commands: colours as Lab, and the palette colours of a job.

use std::collections::BTreeMap;
use std::path::Path;

use inkset_colour::{D50_WHITE, LabD50, Spectrum, Xyz, lab_from_xyz, xyz_from_lab};
use inkset_spec::{
    Coordinates, FileRole, Given, Job, MeasuredSpectrum, Notice, PaletteColour, Sources, Target,
    codes, name_hint, read_palette,
};

use crate::CliError;
use crate::files::{read, tell};
use crate::output::Output;

/// A colour of a palette, as it looks.
pub(crate) struct NamedLab {
    pub(crate) name: String,
    pub(crate) lab: LabD50,
    pub(crate) spectrum: Option<Spectrum>,
}

/// Reads a palette and tells what is wrong with it.
pub(crate) fn palette(path: &Path, out: &mut Output) -> Result<Vec<NamedLab>, CliError> {
    let bytes = read(path)?;
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

/// Puts the Lab of their palettes into the colours of a job.
///
/// Returns the spectrum of each colour that has one, and what cannot be found as notices about the job.
pub(crate) fn fill_in(
    job: &mut Job,
    job_path: &Path,
    out: &mut Output,
) -> (Vec<Option<Spectrum>>, Vec<Notice>) {
    let mut spectra = vec![None; job.colours.len()];
    let mut palettes: BTreeMap<String, Option<Vec<NamedLab>>> = BTreeMap::new();
    let mut notices = Vec::new();
    for (colour, spectrum) in job.colours.iter_mut().zip(&mut spectra) {
        let Target::Palette { file, name } = &colour.target.value else {
            continue;
        };
        if !palettes.contains_key(file) {
            let path = job_path.parent().unwrap_or(Path::new("")).join(file);
            let read = palette(&path, out);
            notices.extend(read.as_ref().err().map(|why| unread(&colour.target, why)));
            palettes.insert(file.clone(), read.ok());
        }
        let Some(Some(known)) = palettes.get(file) else {
            continue;
        };
        match find(known, name) {
            Some(found) => {
                let LabD50 { l, a, b } = found.lab;
                spectrum.clone_from(&found.spectrum);
                colour.target.value = Target::Lab { l, a, b };
            }
            None => notices.push(unknown(&colour.target, (file, name), known)),
        }
    }
    (spectra, notices)
}

/// The colour of a name, whatever its case.
fn find<'k>(known: &'k [NamedLab], name: &str) -> Option<&'k NamedLab> {
    let wanted = name.to_lowercase();
    known
        .iter()
        .find(|colour| colour.name.to_lowercase() == wanted)
}

fn unread(target: &Given<Target>, why: &CliError) -> Notice {
    let message = match why {
        CliError::File(path, error) => format!("cannot read `{}`: {error}", path.display()),
        _ => "the palette has errors, told above".to_owned(),
    };
    Notice::error(FileRole::Job, codes::PALETTE_UNREAD, message).at(target.place)
}

fn unknown(target: &Given<Target>, (file, name): (&str, &str), known: &[NamedLab]) -> Notice {
    let message = format!("`{file}` has no colour `{name}`");
    let hint = name_hint(name, known.iter().map(|colour| colour.name.as_str()));
    Notice::error(FileRole::Job, codes::UNKNOWN_PALETTE_COLOUR, message)
        .at(target.place)
        .hint(hint)
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
