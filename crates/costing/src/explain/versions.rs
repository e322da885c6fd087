//! Versions: copies of each, layouts, plates changed between them.

use super::press::{run_name, runs_on};
use super::{Work, count, sheets};
use crate::estimate::{Estimate, PartChoice, RunChoice, SectionChoice};
use crate::line::Input;
use crate::pricer::PricedPlan;
use crate::versions::{VersionUp, delivered};
use crate::words::{counted, figure, number};

impl PricedPlan<'_> {
    fn version_name(&self, version: usize) -> &str {
        &self.pricer.job.versions[version].name.value
    }

    /// Copies of each version; without versions nothing, and `false`.
    pub(super) fn version_copy_steps(&self, estimate: &Estimate, work: &mut Work) -> bool {
        let job = self.pricer.job;
        if job.versions.is_empty() {
            return false;
        }
        let ordered = inkset_spec::copies_of_versions(&job.versions, estimate.quantity);
        let overs = number(job.overs.value.percent());
        let all = delivered(job, estimate.quantity);
        for ((version, ordered), copies) in job.versions.iter().zip(ordered).zip(all) {
            work.step(format!(
                "delivered of version {}: {} × (1 + {overs} %) = {}",
                version.name.value,
                count(ordered),
                count(copies)
            ));
            match &version.portion {
                inkset_spec::VersionPortion::Alike => {}
                inkset_spec::VersionPortion::Copies(copies) => {
                    work.input(Input::of("copies of a version", copies, copies.value));
                }
                inkset_spec::VersionPortion::Share(share) => {
                    work.input(Input::of("share of a version", share, share.fraction()));
                }
            }
        }
        work.step(format!(
            "delivered: {} in all versions",
            count(estimate.delivered)
        ));
        true
    }

    /// The layouts of sections that change with the versions, and their good sheets.
    pub(super) fn layout_steps(&self, section: &SectionChoice, work: &mut Work) {
        if section.layouts.is_empty() {
            return;
        }
        let pages = section.pages;
        let up = |own: &VersionUp| {
            format!(
                "{} {} ÷ {} up",
                self.version_name(own.version),
                count(own.pieces),
                own.up
            )
        };
        work.step(format!(
            "{pages} pp, pieces of a version: its copies and its share of what finishing spoils, rounded up"
        ));
        for (n, layout) in section.layouts.iter().enumerate() {
            let own: Vec<String> = layout.versions.iter().map(up).collect();
            let more = layout.surplus().filter(|(_, more)| *more > 0);
            let more: Vec<String> = more
                .map(|(version, more)| format!("{} {}", self.version_name(version), count(more)))
                .collect();
            let more = if more.is_empty() {
                String::new()
            } else {
                format!("; beyond the need: {}", more.join(", "))
            };
            let sheets = sheets(layout.sheets);
            work.step(format!(
                "{pages} pp, layout {}: {}: {sheets}{more}",
                n + 1,
                own.join(", ")
            ));
        }
        let all: Vec<String> = section.layouts.iter().map(|l| count(l.sheets)).collect();
        let sum: u64 = section.layouts.iter().map(|l| l.sheets).sum();
        work.step(format!(
            "{pages} pp, good sheets: {} = {}",
            all.join(" + "),
            count(sum)
        ));
    }

    /// Pieces cut where the versions of a part lie on layouts.
    pub(super) fn cut_layout_steps(&self, part: &PartChoice, work: &mut Work) {
        for section in &part.sections {
            self.layout_steps(section, work);
            if section.changing > 0 {
                let sheets: u64 = section.layouts.iter().map(|l| l.sheets).sum();
                let up = u64::from(section.up);
                work.step(format!(
                    "{} pp, pieces cut, those beyond the need with them: {} × {up} up = {}",
                    section.pages,
                    count(sheets),
                    count(sheets * up)
                ));
            }
        }
    }

    pub(super) fn plate_change_steps(&self, (part, at): (&PartChoice, usize), work: &mut Work) {
        let press = &self.pricer.card.presses[at];
        let each = press.plate_change_minutes.value;
        let mut minutes = 0.0;
        for (section, run) in runs_on(part, at).filter(|(_, run)| run.stops > 0) {
            let own = f64::from(run.stops) * f64::from(run.changes) * each;
            minutes += own;
            work.step(format!(
                "{}: {} × {} × {} min = {} min",
                run_name(section, run),
                counted(u64::from(run.stops), "stop"),
                counted(u64::from(run.changes), "plate"),
                number(each),
                number(own)
            ));
        }
        let minutes = self.harder(minutes, "min", work);
        work.step(super::press::hours_step(minutes));
    }
}

/// Plates that further layouts take.
pub(super) fn version_plate_steps<'p>(
    runs: impl Iterator<Item = (&'p SectionChoice, &'p RunChoice)>,
    work: &mut Work,
) {
    for (section, run) in runs.filter(|(_, run)| run.makes_ready && run.stops > 0) {
        work.step(format!(
            "{}, for versions: {} × {} = {}",
            run_name(section, run),
            counted(u64::from(run.stops), "stop"),
            counted(u64::from(run.changes), "plate"),
            run.stops * run.changes
        ));
    }
}

/// What the job costs with the versions on fewer or more layouts.
pub(super) fn layout_total_steps(part: &PartChoice, work: &mut Work) {
    let chosen = part.version_layouts().len();
    for (layouts, total) in &part.layout_totals {
        let chosen = if *layouts as usize == chosen {
            ", as chosen"
        } else {
            ""
        };
        work.step(format!(
            "versions on {}: the job would cost {}{chosen}",
            counted(u64::from(*layouts), "layout"),
            figure(total.amount())
        ));
    }
}
