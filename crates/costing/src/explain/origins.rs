//! Which colours and pictures the ink on a part comes from.

use inkset_layout::{InkKind, InkOrigin, InkShare, Section};
use inkset_spec::{Given, NamedArtwork};
use inkset_units::Coverage;

use super::Work;
use crate::line::Input;
use crate::pricer::PricedPlan;
use crate::words::number;

impl PricedPlan<'_> {
    /// How many pages a section of a part carries of an ink: `Leaf green 0.08 × 75 % + pictures 0.35 × 61 % = 0.2735`.
    ///
    /// `None` where it is not known.
    pub(super) fn ink_origins(
        &self,
        (part, section, ink): (usize, &Section, usize),
        covered: f64,
    ) -> Option<String> {
        let mut origins: Vec<Origin> = Vec::new();
        let is_here = |share: &&InkShare| {
            share.part == part
                && usize::from(share.ink.0) == ink
                && (section.outer.contains(&share.page) || section.inner.contains(&share.page))
        };
        for share in self.ink_shares.iter().filter(is_here) {
            let name = self.origin_name(share.origin);
            match origins.iter_mut().find(|known| known.name == name) {
                Some(known) => known.add(share),
                None => origins.push(Origin::of(name, share)),
            }
        }
        let texts: Vec<String> = origins.iter().map(Origin::text).collect();
        let sum: f64 = origins.iter().map(|origin| origin.covered).sum();
        let full = if (sum - covered).abs() < 1e-9 {
            String::new()
        } else {
            format!("{}, at most 1 for each page: ", number(sum))
        };
        let text = format!("{} = {full}{}", texts.join(" + "), number(covered));
        (!texts.is_empty()).then_some(text)
    }

    fn origin_name(&self, origin: InkOrigin) -> &str {
        match origin {
            InkOrigin::Use(colour, _) => &self.pricer.job.colours[colour].name.value,
            InkOrigin::Picture(_) => "pictures",
        }
    }

    /// What the colours and pictures that hold an ink cover on a part, by the job or by its artwork.
    pub(super) fn coverage_inputs(&self, part: usize, ink: usize, work: &mut Work) {
        let job = self.pricer.job;
        for (n, colour) in job.colours.iter().enumerate() {
            let uses = colour.uses.iter().enumerate();
            let on_part = uses.filter(|(at, place)| {
                place.part == part && self.holds(InkOrigin::Use(n, *at), part, ink)
            });
            let (measured, told): (Vec<_>, Vec<_>) = on_part
                .map(|(_, place)| place)
                .partition(|place| self.is_measured(&place.coverage));
            for place in told {
                let label = format!("coverage of {}", colour.name.value);
                let share = number(place.coverage.fraction());
                work.input(Input::of(label, &place.coverage, share));
            }
            let measured = measured.iter().map(|place| (&place.coverage, 1.0));
            let name = format!("measured coverage of {}", colour.name.value);
            measured_inputs(&name, measured, work);
        }
        self.picture_inputs(part, ink, work);
    }

    fn picture_inputs(&self, part: usize, ink: usize, work: &mut Work) {
        let InkKind::Process(process) = self.plan.inks[ink].kind else {
            return;
        };
        let pictures = self.pricer.job.pictures.iter().enumerate();
        let on_part = pictures.filter(|(at, picture)| {
            picture.part == part && self.holds(InkOrigin::Picture(*at), part, ink)
        });
        let (measured, told): (Vec<_>, Vec<_>) = on_part
            .map(|(_, picture)| picture)
            .partition(|picture| self.is_measured(&picture.area));
        for picture in told {
            let share = number(picture.area.fraction());
            work.input(Input::of("area of pictures", &picture.area, share));
        }
        let name = format!("measured {} beside the colours", self.plan.inks[ink].name);
        let measured = measured
            .iter()
            .map(|picture| (&picture.area, picture.inks.value[usize::from(process)]));
        measured_inputs(&name, measured, work);
    }

    /// Whether a colour or picture puts any of an ink on a part; where that is not known, it may.
    fn holds(&self, origin: InkOrigin, part: usize, ink: usize) -> bool {
        let same = |share: &InkShare| {
            share.origin == origin && share.part == part && usize::from(share.ink.0) == ink
        };
        self.ink_shares.is_empty() || self.ink_shares.iter().any(same)
    }

    /// Whether a share comes from the artwork that the job names.
    fn is_measured(&self, share: &Given<Coverage>) -> bool {
        let of_artwork = |artwork: &NamedArtwork| artwork.file.place == share.place;
        share.place.is_some() && self.pricer.job.artwork.iter().any(of_artwork)
    }
}

/// What one colour, or all pictures, put of an ink on the pages of a section.
struct Origin<'a> {
    name: &'a str,
    /// Area and tone, where all pages have the same.
    same: Option<(f64, f64)>,
    places: u32,
    covered: f64,
}

impl<'a> Origin<'a> {
    fn of(name: &'a str, share: &InkShare) -> Self {
        Self {
            name,
            same: Some((share.area, share.tone)),
            places: 1,
            covered: share.area * share.tone,
        }
    }

    fn add(&mut self, share: &InkShare) {
        self.same = self.same.filter(|same| *same == (share.area, share.tone));
        self.places += 1;
        self.covered += share.area * share.tone;
    }

    fn text(&self) -> String {
        let Some((area, tone)) = self.same else {
            let covered = number(self.covered);
            return format!("{} {covered} in {} places", self.name, self.places);
        };
        let places = match self.places {
            1 => String::new(),
            places => format!("{places} places × "),
        };
        let (area, tone) = (number(area), number(tone * 100.0));
        format!("{} {places}{area} × {tone} %", self.name)
    }
}

/// One input for each file: the mean over the pages that show anything of it.
fn measured_inputs<'a>(
    name: &str,
    shares: impl Iterator<Item = (&'a Given<Coverage>, f64)>,
    work: &mut Work,
) {
    let mut files: Vec<(&Given<Coverage>, f64, u32)> = Vec::new();
    for (share, tone) in shares {
        let covered = share.fraction() * tone;
        if covered <= 0.0 {
            continue;
        }
        match files
            .iter_mut()
            .find(|(known, ..)| known.place == share.place)
        {
            Some((_, sum, pages)) => {
                *sum += covered;
                *pages += 1;
            }
            None => files.push((share, covered, 1)),
        }
    }
    for (given, sum, pages) in files {
        let mean = number(sum / f64::from(pages));
        let value = if pages == 1 {
            mean
        } else {
            format!("{mean}, mean of {pages} places")
        };
        work.input(Input::of(name.to_owned(), given, value));
    }
}
