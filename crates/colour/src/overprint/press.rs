//! What a run does to a build with further inks.

use super::{Films, MOST_INKS_AT_ONCE, Overprints};
use crate::press::{DRAWS, PressSpread, Response, Term, moved_tone, spread};
use crate::variation::Variation;
use crate::{LabD50, delta_e00};

/// One ink of a build: a process ink by its place, or a further ink.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Slot {
    Process(usize),
    Further(usize),
}

impl Overprints<'_> {
    /// Returns how far the sheets of a run are from the target when this build is printed.
    ///
    /// Tones in percent; at most [`MOST_INKS_AT_ONCE`] of them above zero, others stand still. Each ink varies with its
    /// own film and tone value; a further ink varies as solids do. Seeded, so the same question has the same answer.
    pub fn on_press(
        &self,
        build: ([f64; 4], &[f64]),
        target: LabD50,
        variation: &Variation,
    ) -> PressSpread {
        let response = self.response(build, variation);
        let differences = DRAWS
            .iter()
            .map(|draw| delta_e00(target, response.lab(draw)));
        spread(differences.collect())
    }

    /// Returns how far 95 of 100 sheets keep from the aim when only one ink varies: C M Y K, then the further inks.
    pub fn drifts(&self, build: ([f64; 4], &[f64]), variation: &Variation) -> Vec<f64> {
        let response = self.response(build, variation);
        let printed = self.slots(build);
        let drift = |slot: Slot| {
            let Some(at) = printed.iter().position(|known| *known == slot) else {
                return 0.0;
            };
            let one = response.only(at);
            let differences = DRAWS.iter().map(|draw| delta_e00(one.aim, one.lab(draw)));
            spread(differences.collect()).p95
        };
        let process = (0..4).map(Slot::Process);
        let all = process.chain((0..self.further()).map(Slot::Further));
        all.map(drift).collect()
    }

    /// Inks with a tone, process inks first, as many as vary.
    fn slots(&self, (process, further): ([f64; 4], &[f64])) -> Vec<Slot> {
        let own = (0..4).filter(|ink| process[*ink] > 0.0).map(Slot::Process);
        let others = (0..self.further())
            .filter(|ink| further.get(*ink).is_some_and(|tone| *tone > 0.0))
            .map(Slot::Further);
        own.chain(others).take(MOST_INKS_AT_ONCE).collect()
    }

    fn response(&self, build: ([f64; 4], &[f64]), variation: &Variation) -> Response {
        let (process, further) = build;
        let areas = self.further_areas(further);
        let aim = self.lab_with(process, &areas, &Films::default());
        let mut response = Response::still(aim);
        for (at, slot) in self.slots(build).into_iter().enumerate() {
            let deviation = match slot {
                Slot::Process(ink) => variation.inks[ink],
                Slot::Further(_) => variation.solid,
            };
            let film = |sign: f64| {
                let mut films = Films::default();
                let density = sign * 0.5 * deviation.density_two_sd;
                match slot {
                    Slot::Process(ink) => films.process[ink] = density,
                    Slot::Further(ink) => films.further[ink] = density,
                }
                self.lab_with(process, &areas, &films)
            };
            let tone = |sign: f64| {
                let points = sign * 0.5 * deviation.tone_two_sd;
                let (mut process, mut further) = (process, further.to_vec());
                match slot {
                    Slot::Process(ink) => process[ink] = moved_tone(process[ink], points),
                    Slot::Further(ink) => further[ink] = moved_tone(further[ink], points),
                }
                self.lab(process, &further).lab
            };
            let terms = [
                Term::between(aim, film(-1.0), film(1.0)),
                Term::between(aim, tone(-1.0), tone(1.0)),
            ];
            response.set(at, terms, deviation.correlation);
        }
        response
    }
}
