//! Every way to print a part: press, parent sheet, cut, division into sections, work style of each.
//!
//! None of it depends on the inks or on the quantity, so it is worked out once.

use inkset_layout::{
    CountCache, LayoutError, PressSheet, Scheme, SectionClass, WorkStyle, press_sheets, printable,
    schemes, shortfall_mm,
};
use inkset_spec::{Job, Part, Press, ProductKind, RateCard, Stock};
use inkset_units::Size;

use crate::error::CannotPrint;

/// How a class of sections lies on the press sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Placement {
    pub(crate) style: WorkStyle,
    /// Sections from one printed press sheet.
    pub(crate) up: u32,
}

/// One way to print a part.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Way {
    pub(crate) press: usize,
    pub(crate) parent: Size,
    pub(crate) sheet: PressSheet,
    pub(crate) scheme: usize,
    /// One per class of the scheme.
    pub(crate) placements: Vec<Placement>,
}

/// All ways to print a part.
#[derive(Debug)]
pub(crate) struct Ways {
    pub(crate) stock: usize,
    pub(crate) schemes: Vec<Scheme>,
    pub(crate) all: Vec<Way>,
}

/// Finds all ways to print a part, in the order of the card.
pub(crate) fn ways(
    job: &Job,
    card: &RateCard,
    part: &Part,
    counts: &mut CountCache,
) -> Result<Ways, CannotPrint> {
    let (stock_index, stock) = find_stock(card, part)?;
    let schemes = schemes(&job.product, part);
    let mut search = Search {
        card,
        schemes: &schemes,
        may_cut: card.finishing.cut.is_some(),
        stitched: job.product.kind.value == ProductKind::SaddleStitched,
        counts,
        found: Vec::new(),
    };
    let candidates = sheets(card, stock);
    for (press, parent, sheet) in &candidates {
        search
            .try_sheet(*press, *parent, *sheet)
            .map_err(|cause| CannotPrint::Layout {
                part: part.name.value.clone(),
                cause,
            })?;
    }
    let ways = search.found;
    if ways.is_empty() {
        return Err(why_none(card, stock, part, (&schemes, &candidates)));
    }
    Ok(Ways {
        stock: stock_index,
        schemes,
        all: ways,
    })
}

fn find_stock<'c>(card: &'c RateCard, part: &Part) -> Result<(usize, &'c Stock), CannotPrint> {
    let same = |(_, stock): &(usize, &Stock)| stock.name.value == part.stock.value;
    let found = card.stocks.iter().enumerate().find(same);
    found.ok_or_else(|| CannotPrint::UnknownStock {
        part: part.name.value.clone(),
        stock: part.stock.value.clone(),
    })
}

fn takes_weight(press: &Press, stock: &Stock) -> bool {
    (press.lightest.value..=press.heaviest.value).contains(&stock.gsm.value)
}

fn sheets(card: &RateCard, stock: &Stock) -> Vec<(usize, Size, PressSheet)> {
    let presses = card.presses.iter().enumerate();
    presses
        .filter(|(_, press)| takes_weight(press, stock))
        .flat_map(|(n, press)| {
            stock.sheets.iter().flat_map(move |parent| {
                let cut = press_sheets(parent.value, press).into_iter();
                cut.map(move |sheet| (n, parent.value, sheet))
            })
        })
        .collect()
}

struct Search<'a> {
    card: &'a RateCard,
    schemes: &'a [Scheme],
    may_cut: bool,
    stitched: bool,
    counts: &'a mut CountCache,
    found: Vec<Way>,
}

impl Search<'_> {
    fn try_sheet(
        &mut self,
        press: usize,
        parent: Size,
        sheet: PressSheet,
    ) -> Result<(), LayoutError> {
        if sheet.per_parent > 1 && !self.may_cut {
            return Ok(());
        }
        for (scheme, division) in self.schemes.iter().enumerate() {
            let mut combinations = vec![Vec::new()];
            for class in &division.classes {
                let placements = self.placements(class, &self.card.presses[press], sheet.size)?;
                combinations = extend_each(&combinations, &placements);
            }
            let ways = combinations.into_iter().map(|placements| Way {
                press,
                parent,
                sheet,
                scheme,
                placements,
            });
            self.found.extend(ways);
        }
        Ok(())
    }

    /// Styles in which the class fits the sheet. Tumbling as many as turning costs the same; fewer may save ink in make-ready.
    fn placements(
        &mut self,
        class: &SectionClass,
        press: &Press,
        sheet: Size,
    ) -> Result<Vec<Placement>, LayoutError> {
        let mut all: Vec<Placement> = Vec::new();
        for style in [
            WorkStyle::Sheetwise,
            WorkStyle::WorkAndTurn,
            WorkStyle::WorkAndTumble,
            WorkStyle::Perfecting,
        ] {
            if style == WorkStyle::Perfecting && !press.perfecting.value {
                continue;
            }
            let up = self.up(class, printable(sheet, press, style))?;
            let up = if style.is_half_sheet() { 2 * up } else { up };
            let no_gain = style == WorkStyle::WorkAndTumble
                && all
                    .iter()
                    .any(|p| p.style == WorkStyle::WorkAndTurn && p.up == up);
            if up > 0 && !no_gain && self.can_separate(up) {
                all.push(Placement { style, up });
            }
        }
        Ok(all)
    }

    /// Several signatures on a sheet have to be cut apart before folding; flat pieces always are.
    fn can_separate(&self, up: u32) -> bool {
        self.may_cut || (self.stitched && up == 1)
    }

    fn up(&mut self, class: &SectionClass, area: Option<Size>) -> Result<u32, LayoutError> {
        let Some(area) = area else { return Ok(0) };
        let mut best = 0;
        for shape in &class.shapes {
            best = best.max(self.counts.count(area, *shape)?);
        }
        Ok(best)
    }
}

fn extend_each(rows: &[Vec<Placement>], next: &[Placement]) -> Vec<Vec<Placement>> {
    let longer = |row: &Vec<Placement>, last: &Placement| {
        let mut row = row.clone();
        row.push(*last);
        row
    };
    rows.iter()
        .flat_map(|row| next.iter().map(move |last| longer(row, last)))
        .collect()
}

fn why_none(
    card: &RateCard,
    stock: &Stock,
    part: &Part,
    (schemes, candidates): (&[Scheme], &[(usize, Size, PressSheet)]),
) -> CannotPrint {
    if !card.presses.iter().any(|press| takes_weight(press, stock)) {
        return CannotPrint::PaperWeight {
            stock: stock.name.value.clone(),
            gsm: stock.gsm.value.value(),
        };
    }
    let last_class = |scheme: &Scheme| scheme.classes.last().map(|class| class.shapes.clone());
    let smallest = schemes
        .iter()
        .rev()
        .find_map(last_class)
        .unwrap_or_default();
    let shortfalls = candidates.iter().flat_map(|(press, _, sheet)| {
        let area = printable(sheet.size, &card.presses[*press], WorkStyle::Sheetwise);
        smallest
            .iter()
            .filter_map(move |piece| area.map(|area| (shortfall_mm(*piece, area), *press, *piece)))
    });
    let least = shortfalls.min_by(|a, b| a.0.total_cmp(&b.0));
    match least {
        Some((shortfall_mm, press, piece)) if shortfall_mm > 0.0 => CannotPrint::TooBig {
            part: part.name.value.clone(),
            piece,
            press: card.presses[press].name.value.clone(),
            shortfall_mm,
        },
        _ if !candidates.is_empty() => CannotPrint::NoOperation { operation: "cut" },
        _ => CannotPrint::NoSheetFitsPress {
            stock: stock.name.value.clone(),
        },
    }
}
