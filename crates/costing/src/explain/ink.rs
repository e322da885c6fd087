//! Kilograms of an ink.

use inkset_layout::Section;
use inkset_spec::{Given, Job, NamedArtwork, PaperKind};
use inkset_units::Coverage;

use super::{Work, sheets};
use crate::estimate::{Estimate, PartChoice, RunChoice, SectionChoice};
use crate::line::{CostLine, Input};
use crate::pricer::PricedPlan;
use crate::rate::{decimal, thousandths};
use crate::words::{figure, number};

impl PricedPlan<'_> {
    pub(super) fn ink_steps(&self, estimate: &Estimate, line: &CostLine, work: &mut Work) {
        let Some(ink) = self.ink_of(line) else {
            return;
        };
        let mut used = 0;
        for part in &estimate.parts {
            if line.part.is_none_or(|only| only == part.part) && self.runs[part.part].prints(ink) {
                used += self.part_steps(part, ink, work);
                coverage_inputs(self.pricer.job, part.part, work);
            }
        }
        let used = figure(decimal(used));
        work.step(format!("used: {used} kg"));
        let smallest = self.inks[ink].smallest_order;
        if smallest > 0 {
            work.step(format!(
                "bought: the larger of {} kg and the smallest order of {} kg",
                used,
                figure(decimal(smallest))
            ));
        }
    }

    /// The ink that a line is for: its item is the name, or begins with it.
    fn ink_of(&self, line: &CostLine) -> Option<usize> {
        let names = self.plan.inks.iter().enumerate();
        let begins = |name: &str| {
            let rest = line.item.strip_prefix(name);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(": "))
        };
        names
            .filter(|(_, ink)| begins(&ink.name))
            .max_by_key(|(_, ink)| ink.name.len())
            .map(|(n, _)| n)
    }

    fn part_steps(&self, part: &PartChoice, ink: usize, work: &mut Work) -> i64 {
        let name = &self.pricer.job.parts[part.part].name.value;
        let scheme = self.scheme(part.part, part.way);
        let mut kilograms = 0.0;
        let mut hung = 0;
        for (class, section) in scheme.classes.iter().zip(&part.sections) {
            for (n, pages) in class.sections.iter().enumerate() {
                kilograms += self.section_ink((name, part, section), (n, pages, ink), work);
            }
            // A perfecting run hangs an ink once for each side.
            let ready = section.runs.iter().filter(|run| run.makes_ready);
            let plates = ready.flat_map(|run| &run.inks);
            hung += plates.filter(|id| usize::from(id.0) == ink).count();
        }
        let each = self.inks[ink].given.fixed_loss_kg.value;
        let lost = hung as f64 * each;
        work.step(format!(
            "{name}, lost: hung {hung} × {} kg = {} kg",
            number(each),
            number(lost)
        ));
        // Each part is weighed to the gram, as it is charged.
        let grams = thousandths(kilograms + lost).unwrap_or(i64::MAX);
        work.step(format!(
            "{name}, together: {} kg, rounded to {} kg",
            number(kilograms + lost),
            figure(decimal(grams))
        ));
        grams
    }

    /// The page and the film, which the weight of an ink rests on.
    fn ink_inputs(&self, part: &PartChoice, ink: usize, work: &mut Work) {
        let trim = &self.pricer.job.product.trim;
        work.input(Input::of("page", trim, trim.value));
        let given = self.inks[ink].given;
        let stock = &self.pricer.card.stocks[self.pricer.parts[part.part].0.stock];
        let film = match stock.kind.value {
            PaperKind::Coated => &given.film_coated,
            PaperKind::Uncoated => &given.film_uncoated,
            PaperKind::Newsprint => &given.film_newsprint,
        };
        work.input(Input::number("film, g/m²", film));
    }

    fn section_ink(
        &self,
        (name, part, section): (&str, &PartChoice, &SectionChoice),
        (n, pages, ink): (usize, &Section, usize),
        work: &mut Work,
    ) -> f64 {
        let own = |page: &u32| {
            let on_page = self.plan.parts[part.part].on_page(*page).iter();
            let shares = on_page.filter(|(id, _)| usize::from(id.0) == ink);
            shares.map(|(_, share)| *share).sum::<f64>()
        };
        let covered: f64 = pages.outer.iter().chain(&pages.inner).map(own).sum();
        let first = section.runs.iter().find(|run| run.section == n);
        let printed = first.map_or(0, RunChoice::sheets_in);
        if covered <= 0.0 || printed == 0 {
            return 0.0;
        }
        let page_m2 = self.pricer.job.product.trim.value.area_m2();
        let film = self.runs[part.part].films[ink];
        self.ink_inputs(part, ink, work);
        let area = covered * page_m2 * f64::from(section.up) * printed as f64;
        let kilograms = area * film / 1_000.0;
        let at = if section.count > 1 {
            format!(", section {}", n + 1)
        } else {
            String::new()
        };
        work.step(format!(
            "{name}, {} pp{at}: {} pages covered × {} m² × {} up × {} × {} g/m² ÷ 1000 = {} kg",
            section.pages,
            number(covered),
            number(page_m2),
            section.up,
            sheets(printed),
            number(film),
            number(kilograms)
        ));
        kilograms
    }
}

/// What colours and pictures cover on a part, by the job or by its artwork.
fn coverage_inputs(job: &Job, part: usize, work: &mut Work) {
    let is_measured = |share: &Given<Coverage>| {
        let of_artwork = |artwork: &NamedArtwork| artwork.file.place == share.place;
        share.place.is_some() && job.artwork.iter().any(of_artwork)
    };
    for colour in &job.colours {
        let on_part = colour.uses.iter().filter(|place| place.part == part);
        let (measured, told): (Vec<_>, Vec<_>) =
            on_part.partition(|place| is_measured(&place.coverage));
        for place in told {
            let label = format!("coverage of {}", colour.name.value);
            let share = number(place.coverage.fraction());
            work.input(Input::of(label, &place.coverage, share));
        }
        let measured = measured.iter().map(|place| (&place.coverage, 1.0));
        let name = format!("measured coverage of {}", colour.name.value);
        measured_inputs(&name, measured, work);
    }
    let on_part = job.pictures.iter().filter(|picture| picture.part == part);
    let (measured, told): (Vec<_>, Vec<_>) =
        on_part.partition(|picture| is_measured(&picture.area));
    for picture in told {
        let share = number(picture.area.fraction());
        work.input(Input::of("area of pictures", &picture.area, share));
    }
    for (ink, name) in ["C", "M", "Y", "K"].into_iter().enumerate() {
        let measured = measured
            .iter()
            .map(|picture| (&picture.area, picture.inks.value[ink]));
        measured_inputs(
            &format!("measured {name} beside the colours"),
            measured,
            work,
        );
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
