//! Every way to print a part: press, parent sheet, cut, division into sections, work style of each.
//!
//! None of it depends on the inks or on the quantity, so it is worked out once.

use std::collections::BTreeSet;

use inkset_layout::{
    CountCache, LayoutError, PressSheet, Scheme, SectionClass, Turning, WorkStyle, press_sheets,
    printable, printable_with_gap, reel_sheets, schemes, shortfall_mm,
};
use inkset_spec::{Finish, Job, Part, Press, RateCard, Stock, find_operation, struck_out};
use inkset_units::Size;

use crate::error::CannotPrint;
use crate::further_press::{Further, Pair, pairs_of};
use crate::route::Route;

/// Beyond so many pieces on an area, fewer than fit are not tried.
const MOST_FEWER_UP: u32 = 100;

/// How a class of sections lies on the press sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Placement {
    pub(crate) style: WorkStyle,
    /// Sections from one printed press sheet.
    pub(crate) up: u32,
    /// Index into the formats of the class.
    pub(crate) format: usize,
}

/// One way to print a part.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Way {
    pub(crate) press: usize,
    pub(crate) parent: Size,
    pub(crate) sheet: PressSheet,
    /// Index into the reels of the stock that the sheets are cut off.
    pub(crate) reel: Option<usize>,
    pub(crate) scheme: usize,
    /// One per class of the scheme.
    pub(crate) placements: Vec<Placement>,
    /// Layouts in which the versions of the part are printed; 1 where it has none.
    pub(crate) layouts: u32,
    pub(crate) plates: Plates,
    /// A further press for the inks for which the press has no units.
    pub(crate) further: Option<Further>,
    /// Whether it is open only to ink sets for which the press has units enough, because a further press is set by hand.
    pub(crate) only_in_one_pass: bool,
}

impl Way {
    /// The press and the further press, which is the same where there is none.
    pub(crate) fn presses(&self, pairs: &[Pair]) -> [usize; 2] {
        self.further
            .map_or([self.press; 2], |further| pairs[further.pair].presses)
    }
}

/// From which plates a way is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Plates {
    /// Those of the part alone.
    Own,
    /// Its own, which may stay on for parts that are printed alike: the number of the setting.
    Made(usize),
    /// Those of this setting of another part, which stay on while the paper changes.
    Kept(usize),
}

impl Plates {
    pub(crate) const fn are_kept(self) -> bool {
        matches!(self, Self::Kept(_))
    }

    /// Whether a way from these plates can stand in for one from others; `wanted` are the settings that may stay on.
    pub(crate) fn serves_for(self, other: Self, wanted: &BTreeSet<usize>) -> bool {
        let is_wanted = matches!(other, Self::Made(setting) if wanted.contains(&setting));
        self == other || !self.are_kept() && !is_wanted
    }
}

/// All ways to print a part.
#[derive(Debug)]
pub(crate) struct Ways {
    pub(crate) stock: usize,
    pub(crate) schemes: Vec<Scheme>,
    pub(crate) all: Vec<Way>,
    /// Presses that print the part one after the other.
    pub(crate) pairs: Vec<Pair>,
}

/// Finds all ways to print a part, in the order of the card.
pub(crate) fn ways(
    job: &Job,
    card: &RateCard,
    part: &Part,
    counts: &mut CountCache,
) -> Result<Ways, CannotPrint> {
    let (stock_index, stock) = find_stock(card, part)?;
    let schemes = schemes(job, card, part);
    let at = job.parts.iter().position(|own| own.name == part.name);
    let mut search = Search {
        card,
        schemes: &schemes,
        parting: Parting {
            may_cut: card.finishing.cut.is_some(),
            struck_out: at.is_some_and(|at| struck_out(job, card, at).is_some()),
            folds_uncut: Route::of(job, part).folds_uncut(),
        },
        tool_by_the_piece: at.is_some_and(|at| has_tool_by_the_piece(job, card, at))
            && schemes.iter().all(|scheme| scheme.classes.len() == 1),
        along_height: job.product.grain_along_height(),
        counts,
        found: Vec::new(),
        pairs: Vec::new(),
    };
    let refused = |cause| CannotPrint::Layout {
        part: part.name.value.clone(),
        cause,
    };
    let mut candidates = sheets(card, stock);
    candidates.extend(search.off_reels(stock).map_err(refused)?);
    for candidate in &candidates {
        search.try_sheet(*candidate).map_err(refused)?;
    }
    search.add_further(&candidates, stock).map_err(refused)?;
    let (ways, pairs) = (search.found, search.pairs);
    if ways.is_empty() {
        return Err(why_none((card, stock), part, (&schemes, &candidates)));
    }
    Ok(Ways {
        stock: stock_index,
        schemes,
        all: ways,
        pairs,
    })
}

fn has_tool_by_the_piece(job: &Job, card: &RateCard, part: usize) -> bool {
    let own = |finish: &&Finish| finish.part.is_none_or(|only| only.value == part);
    let asked = job.finishes.iter().filter(own);
    let mut operations = asked.filter_map(|finish| find_operation(card, finish));
    operations.any(|operation| operation.tool_per_up.is_some())
}

fn find_stock<'c>(card: &'c RateCard, part: &Part) -> Result<(usize, &'c Stock), CannotPrint> {
    let same = |(_, stock): &(usize, &Stock)| stock.name.value == part.stock.value;
    let found = card.stocks.iter().enumerate().find(same);
    found.ok_or_else(|| CannotPrint::UnknownStock {
        part: part.name.value.clone(),
        stock: part.stock.value.clone(),
    })
}

pub(crate) fn takes_weight(press: &Press, stock: &Stock) -> bool {
    (press.lightest.value..=press.heaviest.value).contains(&stock.gsm.value)
}

/// A press, the sheet that is bought or cut off a reel, and the sheet that is printed.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    press: usize,
    parent: Size,
    sheet: PressSheet,
    reel: Option<usize>,
}

fn sheets(card: &RateCard, stock: &Stock) -> Vec<Candidate> {
    let presses = card.presses.iter().enumerate();
    presses
        .filter(|(_, press)| takes_weight(press, stock))
        .flat_map(|(n, press)| {
            stock.sheets.iter().flat_map(move |parent| {
                let cut = press_sheets(parent.value, stock.grain.value, press).into_iter();
                cut.map(move |sheet| Candidate {
                    press: n,
                    parent: parent.value,
                    sheet,
                    reel: None,
                })
            })
        })
        .collect()
}

/// How sections come out of their sheet.
struct Parting {
    /// The card has a guillotine.
    may_cut: bool,
    /// A die takes them out.
    struck_out: bool,
    /// A section alone on its sheet is folded without being cut out.
    folds_uncut: bool,
}

impl Parting {
    /// Several signatures on a sheet have to be parted before folding; flat pieces always are.
    fn can_separate(&self, up: u32) -> bool {
        self.may_cut || self.struck_out || (self.folds_uncut && up == 1)
    }
}

struct Search<'a> {
    card: &'a RateCard,
    schemes: &'a [Scheme],
    parting: Parting,
    /// Whether a tool costs more for each piece on the sheet.
    tool_by_the_piece: bool,
    along_height: Option<bool>,
    counts: &'a mut CountCache,
    found: Vec<Way>,
    pairs: Vec<Pair>,
}

impl Search<'_> {
    /// Sheets cut off reels, for presses that do it or where the card has a sheeter.
    fn off_reels(&mut self, stock: &Stock) -> Result<Vec<Candidate>, LayoutError> {
        let mut pieces = Vec::new();
        let classes = self.schemes.iter().flat_map(|scheme| &scheme.classes);
        for format in classes.flat_map(|class| &class.formats) {
            let piece = (format.size, format.gap);
            if !pieces.contains(&piece) {
                pieces.push(piece);
            }
        }
        let mut all = Vec::new();
        for (n, press) in self.card.presses.iter().enumerate() {
            let cuts = press.sheeter.value || self.card.sheeter.is_some();
            if !cuts || !takes_weight(press, stock) {
                continue;
            }
            for (reel, on_sale) in stock.reels.iter().enumerate() {
                let wanted = (pieces.as_slice(), self.along_height);
                let width = on_sale.width.value;
                for sheet in reel_sheets(width, press, wanted, self.counts)? {
                    all.push(Candidate {
                        press: n,
                        parent: sheet.size,
                        sheet,
                        reel: Some(reel),
                    });
                }
            }
        }
        Ok(all)
    }

    /// Sheets that go through a further press after the one of the candidate.
    fn add_further(&mut self, candidates: &[Candidate], stock: &Stock) -> Result<(), LayoutError> {
        for press in 0..self.card.presses.len() {
            for pair in pairs_of(self.card, press, stock) {
                let own = candidates
                    .iter()
                    .filter(|candidate| candidate.press == press);
                for candidate in own.filter(|candidate| pair.takes(self.card, candidate.sheet)) {
                    self.try_pair(*candidate, &pair)?;
                }
                self.pairs.push(pair);
            }
        }
        Ok(())
    }

    fn try_pair(&mut self, candidate: Candidate, pair: &Pair) -> Result<(), LayoutError> {
        let further = Some(Further {
            pair: self.pairs.len(),
            first_inks: 0,
        });
        let found = self.on_sheet(candidate, &pair.margins)?;
        let allowed = |way: &Way| way.placements.iter().all(|p| pair.allows(p.style));
        let ways = found.into_iter().filter(allowed);
        self.found.extend(ways.map(|way| Way { further, ..way }));
        Ok(())
    }

    fn try_sheet(&mut self, candidate: Candidate) -> Result<(), LayoutError> {
        let card = self.card;
        let found = self.on_sheet(candidate, &card.presses[candidate.press])?;
        self.found.extend(found);
        Ok(())
    }

    /// All ways on one sheet, within the margins of `press`.
    fn on_sheet(&mut self, candidate: Candidate, press: &Press) -> Result<Vec<Way>, LayoutError> {
        let sheet = candidate.sheet;
        if sheet.per_parent > 1 && !self.parting.may_cut {
            return Ok(Vec::new());
        }
        let mut found = Vec::new();
        let mut fewest = usize::MAX;
        for (scheme, division) in self.schemes.iter().enumerate() {
            let sections = division.classes.iter().map(|c| c.sections.len()).sum();
            let mut combinations = vec![Vec::new()];
            for class in &division.classes {
                let placements = self.placements(class, press, sheet)?;
                combinations = extend_each(&combinations, &placements);
            }
            let ways = combinations.into_iter().map(|placements| Way {
                press: candidate.press,
                parent: candidate.parent,
                sheet,
                reel: candidate.reel,
                scheme,
                placements,
                layouts: 1,
                plates: Plates::Own,
                further: None,
                only_in_one_pass: false,
            });
            let before = found.len();
            found.extend(ways.map(|way| (sections, way)));
            if found.len() > before {
                fewest = fewest.min(sections);
            }
        }
        // Every section is a make-ready more: far more sections than the sheet needs are not worth pricing.
        let few = found
            .into_iter()
            .filter(|(sections, _)| *sections <= 2 * fewest);
        Ok(few.map(|(_, way)| way).collect())
    }

    /// Styles in which the class fits the sheet. Tumbling as many as turning costs the same; fewer may save ink in make-ready.
    fn placements(
        &mut self,
        class: &SectionClass,
        press: &Press,
        sheet: PressSheet,
    ) -> Result<Vec<Placement>, LayoutError> {
        let turning = sheet.turning(self.along_height);
        let mut all: Vec<Placement> = Vec::new();
        for style in [
            WorkStyle::Sheetwise,
            WorkStyle::WorkAndTurn,
            WorkStyle::WorkAndTumble,
            WorkStyle::Perfecting,
        ] {
            // A digital press prints both sides in one pass anyway.
            let has_style = match style {
                WorkStyle::Sheetwise => true,
                WorkStyle::Perfecting => press.perfecting.value,
                _ => press.digital.is_none(),
            };
            if !has_style {
                continue;
            }
            let (most, format) = self.up(class, ((sheet.size, press), style), turning)?;
            for up in self.numbers_up(most, style) {
                let no_gain = style == WorkStyle::WorkAndTumble
                    && all
                        .iter()
                        .any(|p| p.style == WorkStyle::WorkAndTurn && p.up == up);
                if up > 0 && !no_gain && self.parting.can_separate(up) {
                    all.push(Placement { style, up, format });
                }
            }
        }
        Ok(all)
    }

    /// How many sections to print on a sheet where so many fit on its area: all, or fewer where the tool costs by the piece.
    fn numbers_up(&self, most: u32, style: WorkStyle) -> impl Iterator<Item = u32> + use<> {
        let least = if self.tool_by_the_piece && most <= MOST_FEWER_UP {
            most.min(1)
        } else {
            most
        };
        let halves = if style.is_half_sheet() { 2 } else { 1 };
        (least..=most).rev().map(move |up| halves * up)
    }

    /// Most sections on a sheet, or on half of it, and the format in which they lie.
    fn up(
        &mut self,
        class: &SectionClass,
        (sheet, style): ((Size, &Press), WorkStyle),
        turning: Turning,
    ) -> Result<(u32, usize), LayoutError> {
        let mut best = (0, 0);
        for (n, format) in class.formats.iter().enumerate() {
            let Some(area) = printable_with_gap(sheet, style, format.gap) else {
                continue;
            };
            let piece = (format.size, format.gap);
            let up = self.counts.count(area, piece, turning)?;
            if up > best.0 {
                best = (up, n);
            }
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
    (card, stock): (&RateCard, &Stock),
    part: &Part,
    (schemes, candidates): (&[Scheme], &[Candidate]),
) -> CannotPrint {
    if !card.presses.iter().any(|press| takes_weight(press, stock)) {
        return CannotPrint::PaperWeight {
            stock: stock.name.value.clone(),
            gsm: stock.gsm.value.value(),
        };
    }
    let classes = schemes.iter().flat_map(|scheme| &scheme.classes);
    let smallest: Vec<Size> = classes
        .min_by_key(|class| class.pages)
        .map(|class| class.formats.iter().map(|format| format.size).collect())
        .unwrap_or_default();
    let shortfalls = candidates.iter().flat_map(|candidate| {
        let (press, sheet) = (&candidate.press, candidate.sheet);
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
        _ if !candidates.is_empty() && card.finishing.cut.is_none() => {
            CannotPrint::NoOperation { operation: "cut" }
        }
        _ if !candidates.is_empty() => CannotPrint::Grain {
            part: part.name.value.clone(),
            stock: stock.name.value.clone(),
        },
        _ => CannotPrint::NoSheetFitsPress {
            stock: stock.name.value.clone(),
        },
    }
}
