//! One ink on top of another, band by band.

use super::bands::{self, BANDS, Bands};
use super::{FurtherInk, PrintOrder, TRAPPING};
use crate::condition::PrintingCondition;
use crate::lab::xyz_from_lab;

/// Least of what light passes through any film, so that a power of it is defined.
const LEAST_LIGHT: f64 = 1e-5;

/// The solid of a further ink on paper.
pub(super) struct Film {
    solid: Bands,
}

impl Film {
    pub(super) fn of(ink: &FurtherInk) -> Self {
        let measured = ink.spectrum.as_ref().map(bands::of_spectrum);
        Self {
            solid: measured.unwrap_or_else(|| bands::smoothest(xyz_from_lab(ink.solid.lab))),
        }
    }
}

/// A paper with its process inks as spectra.
pub(super) struct Ground<'a> {
    primaries: &'a [Bands; 16],
    /// What comes back from the surface whatever lies below.
    surface: f64,
}

/// Light from the surface, of what the darkest solid sends back in its darkest band, where no overprint is known. Our own
/// choice: near the best for the published overprints of the shipped conditions taken together.
const SURFACE_OF_DARKEST_SOLID: f64 = 0.4;

impl<'a> Ground<'a> {
    /// All overprints of the process inks are known: the darkest, in its darkest band, is little but surface.
    pub(super) fn of(condition: &'a PrintingCondition) -> Self {
        let primaries = condition.primary_spectra();
        Self {
            primaries,
            surface: darkest(primaries.iter()),
        }
    }

    /// Only the paper and the four single solids are known; the other primaries are not looked at.
    pub(super) fn of_solids(primaries: &'a [Bands; 16]) -> Self {
        let solids = [1, 2, 4, 8].map(|mask| &primaries[mask]);
        Self {
            primaries,
            surface: SURFACE_OF_DARKEST_SOLID * darkest(solids.into_iter()),
        }
    }

    /// The overprint of these process solids (a mask) as predicted from each alone: transparent, black first and then
    /// cyan, magenta, yellow (dark to light, common practice).
    pub(super) fn overprint_of_solids(&self, mask: usize) -> Bands {
        let order = [3, 0, 1, 2].into_iter().filter(|ink| mask >> ink & 1 == 1);
        let mut printed: Option<Bands> = None;
        for ink in order {
            let solid = &self.primaries[1 << ink];
            printed = Some(printed.map_or(*solid, |below| self.filtered(&below, solid, TRAPPING)));
        }
        printed.unwrap_or(self.primaries[0])
    }

    /// Process solids (a mask) with further solids, in printing order.
    pub(super) fn printed<'f>(
        &self,
        process: usize,
        further: impl Iterator<Item = (&'f FurtherInk, &'f Film)>,
    ) -> Bands {
        let (mut first, mut last): (Vec<_>, Vec<_>) = (Vec::new(), Vec::new());
        for (ink, film) in further {
            match ink.order {
                PrintOrder::BeforeProcess => first.push((ink, film)),
                PrintOrder::AfterProcess => last.push((ink, film)),
            }
        }
        let mut printed = self.primaries[0];
        let mut inked = false;
        for (ink, film) in first {
            printed = self.covered(&printed, (ink, film), inked);
            inked = true;
        }
        if process != 0 {
            let own = &self.primaries[process];
            printed = if inked {
                self.filtered(&printed, own, TRAPPING)
            } else {
                *own
            };
            inked = true;
        }
        for (ink, film) in last {
            printed = self.covered(&printed, (ink, film), inked);
            inked = true;
        }
        printed
    }

    /// What a transparent film, which adds no light, lets through of the light below it; `solid` is the film on paper.
    fn filtered(&self, below: &Bands, solid: &Bands, trapping: f64) -> Bands {
        let paper = &self.primaries[0];
        std::array::from_fn(|band| {
            let light = (paper[band] - self.surface).max(LEAST_LIGHT);
            let through = ((solid[band] - self.surface) / light).clamp(LEAST_LIGHT, 1.0);
            let below = (below[band] - self.surface).max(0.0);
            self.surface + below * libm::pow(through, trapping)
        })
    }

    /// The same for a film that hides some of what lies below.
    fn covered(&self, below: &Bands, (ink, film): (&FurtherInk, &Film), inked: bool) -> Bands {
        let trapping = if inked { ink.trapping } else { 1.0 };
        let seen = self.filtered(below, &film.solid, trapping);
        let hidden = ink.opacity.clamp(0.0, 1.0);
        let mut covered = [0.0; BANDS];
        for (band, value) in covered.iter_mut().enumerate() {
            *value = (1.0 - hidden) * seen[band] + hidden * film.solid[band];
        }
        covered
    }
}

fn darkest<'b>(spectra: impl Iterator<Item = &'b Bands>) -> f64 {
    spectra.flatten().copied().fold(f64::INFINITY, f64::min)
}
