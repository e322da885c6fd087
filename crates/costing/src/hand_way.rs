//! Ways to print that the job sets by hand.

use inkset_spec::{Job, Printing, RateCard};
use inkset_units::Size;

use crate::error::CannotPrint;
use crate::further_press::Pair;
use crate::ways::{Placement, Way, Ways};

/// How far a sheet may be from the one that is named, mm an edge.
const SAME_SHEET_MM: f64 = 0.5;
/// Most ways named where none is as asked.
const MOST_NAMED: usize = 6;

/// What the job sets by hand for a part, if anything.
pub(crate) fn printing_of(job: &Job, part: usize) -> Option<&Printing> {
    job.printing.iter().find(|printing| printing.part == part)
}

/// Keeps the ways that are as the job asks, with fewer sections on the sheet where it asks for fewer than fit.
pub(crate) fn keep(
    (job, card): (&Job, &RateCard),
    part: usize,
    ways: &mut Ways,
) -> Result<(), CannotPrint> {
    let Some(printing) = printing_of(job, part) else {
        return Ok(());
    };
    let asked = Asked { printing, card };
    let mut kept: Vec<Way> = Vec::new();
    for way in ways
        .all
        .iter()
        .filter_map(|way| asked.kept(way, &ways.pairs))
    {
        // With fewer up than fit, ways with more and with fewer become the same.
        if !kept.contains(&way) {
            kept.push(way);
        }
    }
    if kept.is_empty() {
        return Err(CannotPrint::NotByHand {
            part: job.parts[part].name.value.clone(),
            asked: printing.to_string(),
            nearest: asked.nearest(ways),
        });
    }
    ways.all = kept;
    Ok(())
}

struct Asked<'a> {
    printing: &'a Printing,
    card: &'a RateCard,
}

impl Asked<'_> {
    fn kept(&self, way: &Way, pairs: &[Pair]) -> Option<Way> {
        let mut way = way.clone();
        // Ink sets that the press prints in one pass need no further one.
        way.only_in_one_pass = self.printing.further_press.is_some() && way.further.is_none();
        let up = self.printing.up.map(|up| up.value);
        let reached = up.is_none_or(|up| way.placements.iter().any(|p| p.up >= up));
        let presses = self.press_is(&way) && self.further_press_is(&way, pairs);
        if !(presses && self.sheet_is(&way) && self.style_is(&way) && reached) {
            return None;
        }
        for placement in &mut way.placements {
            if let Some(up) = up.filter(|up| *up < placement.up) {
                placement.up = up;
            }
            let halves = !placement.style.is_half_sheet() || placement.up.is_multiple_of(2);
            if !halves {
                return None;
            }
        }
        Some(way)
    }

    fn press_is(&self, way: &Way) -> bool {
        let name = &self.card.presses[way.press].name.value;
        let asked = self.printing.press.as_ref();
        asked.is_none_or(|press| press.value == *name)
    }

    /// A press that is named alone prints alone; a further one that is named prints what the first has no units for.
    fn further_press_is(&self, way: &Way, pairs: &[Pair]) -> bool {
        let further = way.further.map(|further| pairs[further.pair].presses[1]);
        match (&self.printing.further_press, further) {
            (Some(asked), Some(further)) => self.card.presses[further].name.value == asked.value,
            (None, Some(_)) => self.printing.press.is_none(),
            (_, None) => true,
        }
    }

    fn sheet_is(&self, way: &Way) -> bool {
        let edges = |size: Size| [size.short_edge().mm(), size.long_edge().mm()];
        let same = |asked: Size| {
            let both = edges(asked).into_iter().zip(edges(way.sheet.size));
            both.into_iter()
                .all(|(a, b)| (a - b).abs() <= SAME_SHEET_MM)
        };
        self.printing.sheet.is_none_or(|sheet| same(sheet.value))
    }

    fn style_is(&self, way: &Way) -> bool {
        let is = |style: &str| way.placements.iter().all(|p| p.style.name() == style);
        self.printing.style.is_none_or(|style| is(style.value))
    }

    /// The ways with most of what is asked, in words.
    fn nearest(&self, ways: &Ways) -> Vec<String> {
        let met = |way: &Way| {
            let presses = [self.press_is(way), self.further_press_is(way, &ways.pairs)];
            let met = [self.sheet_is(way), self.style_is(way)];
            let all = presses.into_iter().chain(met);
            all.filter(|met| *met).count()
        };
        let most = ways.all.iter().map(met).max().unwrap_or(0);
        let mut named: Vec<String> = Vec::new();
        for way in ways.all.iter().filter(|way| met(way) == most) {
            let name = self.words(way, ways);
            if named.len() < MOST_NAMED && !named.contains(&name) {
                named.push(name);
            }
        }
        named
    }

    fn words(&self, way: &Way, ways: &Ways) -> String {
        let [press, further] = way
            .presses(&ways.pairs)
            .map(|press| &self.card.presses[press].name.value);
        let then = way
            .further
            .map_or(String::new(), |_| format!(" then {further}"));
        let placed = |p: &Placement| format!(", {} {} up", p.style.name(), p.up);
        let placed: String = way.placements.iter().map(placed).collect();
        format!("{press}{then}, sheet {}{placed}", way.sheet.size)
    }
}
