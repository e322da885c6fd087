//! What a printer's magnifier shows: the screens of a build, dot by dot, or the even film of a solid.
//!
//! Each ink's dots lie on a square grid at the ink's angle and ruling; their area is that of the printing condition's area
//! model, increase included. Where dots lie over each other the drawing has the colour of the overprint. Light that
//! scatters in the paper darkens what lies between dots (the Yule–Nielsen effect); the drawing spreads that evenly: every
//! colour in it is scaled, channel by channel in linear light, so that its mean is the printed colour.

mod draw;
mod screen;

pub use draw::loupe_drawing;
pub use screen::{InkDots, SCREEN_ANGLES};

use inkset_colour::{
    FurtherInk, LabD50, Overprints, PrintingCondition, ProcessInk, Xyz, srgb_from_lab, xyz_from_lab,
};
use inkset_plan::{Conditions, Rendering, RenderingKind, Row, further_ink};
use inkset_spec::Job;

use screen::{coverage_of, mixed};

/// Width of what is shown, mm: a few rosettes.
pub const FIELD: f64 = 1.5;

/// Rulings by kind of paper, lines per cm. Common practice, no source.
pub const RULINGS: [(&str, f64); 3] = [("uncoated", 54.0), ("newsprint", 40.0), ("", 60.0)];

/// The ruling usual on such paper, lines per cm.
pub fn ruling(paper_kind: &str) -> f64 {
    let known = RULINGS
        .iter()
        .find(|(kind, _)| !kind.is_empty() && paper_kind.contains(kind));
    known.unwrap_or(&RULINGS[RULINGS.len() - 1]).1
}

/// One ink of a loupe view.
#[derive(Debug, Clone, PartialEq)]
pub struct LoupeInk {
    /// Name for people.
    pub name: String,
    /// Tone in the file, percent.
    pub tone: f64,
    /// Its dots.
    pub dots: InkDots,
}

/// What the magnifier shows of one rendering.
#[derive(Debug, Clone, PartialEq)]
pub struct Loupe {
    /// Lines per cm.
    pub ruling: f64,
    /// Inks with a tone, in printing order; those at 100 % are even films.
    pub inks: Vec<LoupeInk>,
    /// sRGB of every overlap of `inks`: bit `n` of an index stands for ink `n`; 0 = paper.
    pub overlaps: Vec<[u8; 3]>,
    /// What is printed.
    pub lab: LabD50,
}

/// Returns what the magnifier shows of a rendering; `None` of an effect and of nothing.
pub fn loupe(
    job: &Job,
    conditions: &Conditions<'_>,
    (row, rendering): (&Row, &Rendering),
) -> Option<Loupe> {
    if rendering.kind == RenderingKind::Effect {
        return None;
    }
    let lab = rendering.lab?;
    let part = row.parts[0];
    let printed = Printed::of(job, conditions, (part, rendering))?;
    let ruling = ruling(printed.condition.paper_kind());
    let inks = printed.inks();
    let corners = printed.corners(&inks);
    let areas: Vec<f64> = inks.iter().map(|ink| ink.dots.area).collect();
    Some(Loupe {
        ruling,
        overlaps: mixed(&corners, &areas, srgb_from_lab(lab)),
        inks,
        lab,
    })
}

/// Inks of a rendering on their paper.
struct Printed<'a> {
    condition: &'a PrintingCondition,
    process: [u8; 4],
    /// Name, ink and tone in percent.
    further: Vec<(String, FurtherInk, f64)>,
    overprints: Option<Overprints<'a>>,
}

impl<'a> Printed<'a> {
    fn of(
        job: &Job,
        conditions: &Conditions<'a>,
        (part, rendering): (usize, &Rendering),
    ) -> Option<Self> {
        let condition = conditions.of_parts[part];
        let mut further = Vec::new();
        for &(ink, tone) in &rendering.extended {
            let extended = conditions.extended.get(ink)?;
            let known = extended.of_parts[part].clone()?;
            further.push((extended.name.clone(), known, f64::from(tone)));
        }
        for (colour, tone) in [rendering.solid, rendering.second_solid]
            .into_iter()
            .flatten()
        {
            let ink = further_ink(job, colour, part, conditions);
            further.push((job.colours[colour].name.value.clone(), ink, tone));
        }
        let inks: Vec<FurtherInk> = further.iter().map(|(_, ink, _)| ink.clone()).collect();
        let allowed = 1..=inkset_colour::MOST_FURTHER;
        let overprints = allowed
            .contains(&inks.len())
            .then(|| Overprints::new(condition, &inks));
        (overprints.is_some() || inks.is_empty()).then_some(Self {
            condition,
            process: rendering.process,
            further,
            overprints,
        })
    }

    fn lab(&self, process: [f64; 4], further: &[f64]) -> LabD50 {
        match &self.overprints {
            Some(overprints) => overprints.lab(process, further).lab,
            None => self.condition.lab(process),
        }
    }

    /// Inks with a tone, each with its angle and the area of its dots.
    fn inks(&self) -> Vec<LoupeInk> {
        let areas = self.condition.dot_areas(self.process.map(f64::from));
        let process = ProcessInk::ALL.into_iter().zip(self.process);
        let process = process.filter(|(_, tone)| *tone > 0).map(|(ink, tone)| {
            let tone = f64::from(tone);
            LoupeInk {
                name: ink.name().to_owned(),
                tone,
                dots: InkDots {
                    angle: SCREEN_ANGLES[ink.index()],
                    area: areas[ink.index()],
                },
            }
        });
        let mut inks: Vec<LoupeInk> = process.collect();
        for (at, (name, _, tone)) in self.further.iter().enumerate() {
            let angle = free_angle(&inks);
            inks.push(LoupeInk {
                name: name.clone(),
                tone: *tone,
                dots: InkDots {
                    angle,
                    area: self.further_area(at, *tone),
                },
            });
        }
        inks
    }

    /// Area of a further ink's dots by the same model, in the light that the ink takes away most of.
    fn further_area(&self, at: usize, tone: f64) -> f64 {
        let only = |tone: f64| {
            let mut tones = vec![0.0; self.further.len()];
            tones[at] = tone;
            let Xyz { x, y, z } = xyz_from_lab(self.lab([0.0; 4], &tones));
            let root = 1.0 / self.condition.light_spreading();
            [x, y, z].map(|light| libm::pow(light.max(0.0), root))
        };
        coverage_of(only(0.0), only(100.0), only(tone))
    }

    /// Colour of every overlap of full tones.
    fn corners(&self, inks: &[LoupeInk]) -> Vec<LabD50> {
        let n_process = inks.len() - self.further.len();
        let letters: Vec<usize> = (0..4).filter(|&ink| self.process[ink] > 0).collect();
        let corner = |set: usize| {
            let full = |at: usize| if set >> at & 1 == 1 { 100.0 } else { 0.0 };
            let mut process = [0.0; 4];
            for (at, ink) in letters.iter().enumerate() {
                process[*ink] = full(at);
            }
            let further: Vec<f64> = (n_process..inks.len()).map(full).collect();
            self.lab(process, &further)
        };
        (0..1 << inks.len()).map(corner).collect()
    }
}

/// The first of 45, 75, 15 and 0 degrees that no ink has yet. Common practice for further inks, no source.
fn free_angle(inks: &[LoupeInk]) -> f64 {
    let taken = |angle: &f64| inks.iter().any(|ink| (ink.dots.angle - angle).abs() < 1.0);
    let free = [45.0, 75.0, 15.0, 0.0]
        .into_iter()
        .find(|angle| !taken(angle));
    free.unwrap_or(30.0)
}
