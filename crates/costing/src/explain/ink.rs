//! Kilograms of an ink.

use inkset_layout::Section;
use inkset_spec::PaperKind;

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
                self.coverage_inputs(part.part, ink, work);
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
            let ready = section.runs.iter();
            let ready = ready.filter(|run| run.makes_ready && !run.kept);
            let plates = ready.flat_map(|run| &run.inks);
            hung += plates.filter(|id| usize::from(id.0) == ink).count();
        }
        self.kept_inputs(part, work);
        let each = self.inks[ink].given.fixed_loss_kg.value;
        let lost = hung as f64 * each;
        let stays = match &part.kept {
            Some(kept) => format!("plates of {} stay on, ", kept.name),
            None => String::new(),
        };
        work.step(format!(
            "{name}, lost: {stays}hung {hung} × {} kg = {} kg",
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
        let at = if section.count > 1 {
            format!(", section {}", n + 1)
        } else {
            String::new()
        };
        let of_section = format!("{name}, {} pp{at}", section.pages);
        if let Some(sum) = self.ink_origins((part.part, pages, ink), covered) {
            work.step(format!("{of_section}, pages covered: {sum}"));
        }
        let area = covered * page_m2 * f64::from(section.up) * printed as f64;
        let kilograms = area * film / 1_000.0;
        work.step(format!(
            "{of_section}: {} pages covered × {} m² × {} up × {} × {} g/m² ÷ 1000 = {} kg",
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
