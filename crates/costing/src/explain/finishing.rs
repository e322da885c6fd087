//! Settings-up and pieces of finishing operations.

use super::{Work, count};
use crate::estimate::{Estimate, PartChoice};
use crate::line::{CostLine, Stage, Unit};
use crate::pricer::PricedPlan;
use crate::words::counted;

impl PricedPlan<'_> {
    pub(super) fn finishing_steps(
        &self,
        (estimate, line): (&Estimate, &CostLine),
        part: Option<&PartChoice>,
        work: &mut Work,
    ) {
        let sections: u32 = part.map_or(1, |p| p.sections.iter().map(|s| s.count).sum());
        if line.unit == Unit::SetUp {
            work.step(match line.stage {
                Stage::Cutting | Stage::Folding => {
                    "set up: once for each section, once for parent sheets".to_owned()
                }
                _ => "set up: once".to_owned(),
            });
            return;
        }
        if let (Stage::Cutting, Some(part), true) =
            (line.stage, part, line.item.starts_with("parent sheets"))
        {
            work.step(format!("press sheets: {}", count(part.press_sheets)));
            return;
        }
        self.copy_steps(estimate, work);
        if sections > 1 {
            work.step(format!(
                "pieces: those of {}",
                counted(u64::from(sections), "section")
            ));
        }
    }
}
