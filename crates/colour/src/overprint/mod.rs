//! Inks printed over each other that were never measured so: an estimate.
//!
//! A printing condition knows its four process inks over each other. What a further ink looks like with them is predicted:
//! the further ink filters the light of what lies below it, band by band, and the sixteen primaries of the area model become
//! 32 or 64. Where the further ink prints nothing, the condition's own figures stand, and alone on paper its tints are those
//! of ISO 20654. Method and figures: `docs/colour.md`. How far the same prediction misses the overprints that a
//! condition does know is [`overprint_error`].

mod bands;
mod layer;
mod press;
mod search;

pub use search::{FurtherBuild, FurtherLimits};

use std::sync::OnceLock;

use crate::condition::PrintingCondition;
use crate::lab::{lab_from_xyz, xyz_from_lab};
use crate::neugebauer::mix;
use crate::solid::{Absorption, SolidInk};
use crate::{LabD50, Spectrum, Xyz, delta_e00};
pub(crate) use bands::Bands;
use layer::{Film, Ground};

/// Share of its film that an ink lays on ink, of what it lays on paper. Our own choice: near the best for the published
/// overprints of all shipped conditions.
pub const TRAPPING: f64 = 0.9;

/// Most further inks of one build.
pub const MOST_FURTHER: usize = 2;

/// Most inks of one build with further inks, process inks counted.
pub const MOST_INKS_AT_ONCE: usize = 4;

/// Whether a further ink is printed before or after the process inks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PrintOrder {
    /// The process inks lie on it.
    BeforeProcess,
    /// It lies on the process inks.
    AfterProcess,
}

/// An ink that the printing condition was not measured with.
#[derive(Debug, Clone, PartialEq)]
pub struct FurtherInk {
    /// Full solid on this paper, and how closely it is mixed.
    pub solid: SolidInk,
    /// Reflectance of the full solid, where it was measured; otherwise the smoothest with its colour is taken.
    pub spectrum: Option<Spectrum>,
    /// 0 (transparent, as process inks nearly are) to 1 (hides what lies below).
    pub opacity: f64,
    /// Share of its film that it lays on ink, of what it lays on paper, 0 to 1.
    pub trapping: f64,
    /// When it is printed.
    pub order: PrintOrder,
}

impl FurtherInk {
    /// A transparent ink, printed last, of which nothing but the solid is known.
    pub fn of(solid: SolidInk) -> Self {
        Self {
            solid,
            spectrum: None,
            opacity: 0.0,
            trapping: TRAPPING,
            order: PrintOrder::AfterProcess,
        }
    }
}

/// A colour that rests in part on predicted overprints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Predicted {
    /// The colour.
    pub lab: LabD50,
    /// Share of the area, 0 to 1, on which a further ink lies with another ink: that part is predicted.
    pub share: f64,
}

/// How far predicted overprints are from measured ones, ΔE00.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverprintError {
    /// Mean.
    pub mean: f64,
    /// Largest.
    pub largest: f64,
    /// Number of overprints compared.
    pub count: usize,
}

/// A printing condition with one or two further inks.
#[derive(Debug)]
pub struct Overprints<'a> {
    condition: &'a PrintingCondition,
    inks: Vec<FurtherInk>,
    /// What each further ink's film does to X, Y, Z per unit of density.
    films: Vec<Absorption>,
    /// XYZ to the power of 1/n of each primary: process inks in bits 0 to 3 of the index, further inks from bit 4.
    roots: Vec<[[f64; 3]; 16]>,
    /// Areas of each further ink at whole percents, worked out when first asked for: searches ask for little else.
    whole_tones: Vec<OnceLock<Vec<[f64; 3]>>>,
}

/// Deviations of film and nothing else: densities of C M Y K and of the further inks.
#[derive(Debug, Clone, Copy, Default)]
struct Films {
    process: [f64; 4],
    further: [f64; MOST_FURTHER],
}

impl<'a> Overprints<'a> {
    /// Predicts the overprints of one or two further inks, which are printed in the order given.
    ///
    /// # Panics
    ///
    /// With no further ink or with more than [`MOST_FURTHER`].
    pub fn new(condition: &'a PrintingCondition, inks: &[FurtherInk]) -> Self {
        assert!(
            (1..=MOST_FURTHER).contains(&inks.len()),
            "{} further inks at once",
            inks.len()
        );
        let ground = Ground::of(condition);
        let solids: Vec<Film> = inks.iter().map(Film::of).collect();
        let exponent = condition.area_model().exponent;
        let primary = |further: usize, process: usize| {
            let chosen = || (0..inks.len()).filter(move |ink| further >> ink & 1 == 1);
            let bare = process == 0 && chosen().count() == 1;
            let xyz = match chosen().next() {
                None => Xyz::from_array(condition.area_model().primaries[process]),
                Some(only) if bare => xyz_from_lab(inks[only].solid.lab),
                Some(_) => bands::xyz(
                    &ground.printed(process, chosen().map(|at| (&inks[at], &solids[at]))),
                ),
            };
            xyz.to_array()
                .map(|v| libm::pow(v.max(0.0), 1.0 / exponent))
        };
        let roots = (0..1 << inks.len())
            .map(|further| std::array::from_fn(|process| primary(further, process)));
        let paper = condition.paper();
        Self {
            condition,
            films: inks
                .iter()
                .map(|ink| Absorption::of(paper, ink.solid.lab))
                .collect(),
            roots: roots.collect(),
            whole_tones: inks.iter().map(|_| OnceLock::new()).collect(),
            inks: inks.to_vec(),
        }
    }

    /// Returns the colour of tones in percent of C M Y K and of the further inks; further tones left out are 0.
    pub fn lab(&self, process: [f64; 4], further: &[f64]) -> Predicted {
        let areas = self.further_areas(further);
        Predicted {
            lab: self.lab_with(process, &areas, &Films::default()),
            share: self.predicted_share(process, &areas),
        }
    }

    /// The further inks, in printing order.
    pub fn inks(&self) -> &[FurtherInk] {
        &self.inks
    }

    /// Number of further inks.
    pub fn further(&self) -> usize {
        self.inks.len()
    }

    /// Area that each further ink covers, channel by channel, so that its tints on bare paper are those of ISO 20654.
    fn further_areas(&self, tones: &[f64]) -> Vec<[f64; 3]> {
        let inks = self.whole_tones.iter().enumerate();
        inks.map(|(at, whole)| {
            let tone = tones.get(at).copied().unwrap_or(0.0).clamp(0.0, 100.0);
            if tone.fract() != 0.0 {
                return self.further_area(at, tone);
            }
            let every = || (0..=100).map(|tone| self.further_area(at, f64::from(tone)));
            whole.get_or_init(|| every().collect())[tone as usize]
        })
        .collect()
    }

    fn further_area(&self, ink: usize, tone: f64) -> [f64; 3] {
        let exponent = self.condition.area_model().exponent;
        let (paper, solid) = (self.roots[0][0], self.roots[1 << ink][0]);
        let tint = self.inks[ink].solid.tint(self.condition.paper(), tone);
        let tint = xyz_from_lab(tint).to_array();
        std::array::from_fn(|i| {
            let whole = paper[i] - solid[i];
            if whole.abs() < 1e-6 * paper[i] {
                return tone / 100.0;
            }
            let root = libm::pow(tint[i].max(0.0), 1.0 / exponent);
            ((paper[i] - root) / whole).clamp(0.0, 1.0)
        })
    }

    /// The colour from areas: the area model of all inks, and what the condition knows better where no further ink lies.
    fn lab_with(&self, process: [f64; 4], further: &[[f64; 3]], films: &Films) -> LabD50 {
        let model = self.condition.area_model();
        let areas = model.areas(process);
        let mut levels: Vec<[f64; 3]> = Vec::with_capacity(self.roots.len());
        for (mask, roots) in self.roots.iter().enumerate() {
            let mixed = if films.process.iter().any(|d| *d != 0.0) {
                mix(&model.with_films(roots, films.process), areas)
            } else {
                mix(roots, areas)
            };
            levels.push(self.with_further_films(mixed, mask, films));
        }
        let power = |root: [f64; 3]| {
            let xyz = root.map(|v| libm::pow(v, model.exponent));
            lab_from_xyz(Xyz::from_array(xyz)).to_array()
        };
        let modelled = power(mix(&self.roots[0], areas));
        let known = self.condition.lab(process).to_array();
        let mut free = 1.0;
        for (ink, area) in further.iter().enumerate().rev() {
            let half = 1 << ink;
            for low in 0..half {
                let (without, with) = (levels[low], levels[low + half]);
                levels[low] =
                    std::array::from_fn(|i| without[i] + (with[i] - without[i]) * area[i]);
            }
            free *= 1.0 - mean(area);
        }
        let all = power(levels[0]);
        LabD50::from_array(std::array::from_fn(|i| {
            all[i] + free * (known[i] - modelled[i])
        }))
    }

    fn with_further_films(&self, root: [f64; 3], mask: usize, films: &Films) -> [f64; 3] {
        let exponent = self.condition.area_model().exponent;
        let mut root = root;
        for (ink, film) in self.films.iter().enumerate() {
            let density = films.further[ink];
            if mask >> ink & 1 == 1 && density != 0.0 {
                let gains = film.gains(density / exponent);
                root = std::array::from_fn(|i| root[i] * gains[i]);
            }
        }
        root
    }

    /// Share of the area on which a further ink lies together with any other ink.
    fn predicted_share(&self, process: [f64; 4], further: &[[f64; 3]]) -> f64 {
        let areas = self.condition.area_model().areas(process);
        let bare: f64 = areas.iter().map(|a| 1.0 - a).product();
        let further: Vec<f64> = further.iter().map(mean).collect();
        let none: f64 = further.iter().map(|a| 1.0 - a).product();
        let alone = |ink: usize| {
            let others = (0..further.len()).filter(|at| *at != ink);
            further[ink] * others.map(|at| 1.0 - further[at]).product::<f64>()
        };
        let one: f64 = (0..further.len()).map(alone).sum();
        (1.0 - none - bare * one).clamp(0.0, 1.0)
    }
}

fn mean(area: &[f64; 3]) -> f64 {
    area.iter().sum::<f64>() / 3.0
}

/// How far the prediction misses the overprints of two to four process solids that the condition knows.
///
/// Each is predicted from the four single solids on this paper as a further ink is: the others serve for nothing but the
/// light that the surface sends back.
pub fn overprint_error(condition: &PrintingCondition) -> OverprintError {
    let ground = Ground::of(condition);
    let known = condition.area_model().primaries;
    let differences: Vec<f64> = (1..16_usize)
        .filter(|mask| mask.count_ones() > 1)
        .map(|mask| {
            let predicted = lab_from_xyz(bands::xyz(&ground.overprint_of_solids(mask)));
            delta_e00(lab_from_xyz(Xyz::from_array(known[mask])), predicted)
        })
        .collect();
    OverprintError {
        mean: differences.iter().sum::<f64>() / differences.len() as f64,
        largest: differences.iter().copied().fold(0.0, f64::max),
        count: differences.len(),
    }
}

/// The sixteen primaries where only paper and single solids (masks 0, 1, 2, 4, 8) were measured.
pub(crate) fn predicted_primaries(measured: &[[f64; 3]; 16]) -> [[f64; 3]; 16] {
    let mut spectra = [[0.0; bands::BANDS]; 16];
    for mask in [0, 1, 2, 4, 8] {
        spectra[mask] = bands::smoothest(Xyz::from_array(measured[mask]));
    }
    let ground = Ground::of_solids(&spectra);
    std::array::from_fn(|mask: usize| {
        if mask.count_ones() <= 1 {
            measured[mask]
        } else {
            bands::xyz(&ground.overprint_of_solids(mask)).to_array()
        }
    })
}

/// Spectra of a condition's sixteen primaries, worked out when first asked for.
#[derive(Debug, Default)]
pub(crate) struct PrimarySpectra(OnceLock<Box<[Bands; 16]>>);

impl PrimarySpectra {
    pub(crate) fn of(&self, primaries: &[[f64; 3]; 16]) -> &[Bands; 16] {
        self.0
            .get_or_init(|| Box::new(primaries.map(|xyz| bands::smoothest(Xyz::from_array(xyz)))))
    }
}

#[cfg(test)]
mod tests;
