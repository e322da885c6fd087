//! Parts that two presses print one after the other, because the first has too few units for their inks.
//!
//! The first press prints the first inks in printing order, in one pass of each form or one perfecting pass; the further
//! press prints all others on the sheets that it leaves. An ink is printed on the same press throughout a part. Common
//! practice, no source.

use inkset_layout::{Form, FormSide, InkId, PressSheet, WorkStyle, forms, takes, with_margins_of};
use inkset_spec::{Press, RateCard, Stock};

use crate::versions::plates_changed;
use crate::ways::takes_weight;

/// Two presses that print a sheet one after the other.
#[derive(Debug, Clone)]
pub(crate) struct Pair {
    /// First and further press.
    pub(crate) presses: [usize; 2],
    /// Whether the further press prints both sides in one pass, where it has units for them.
    pub(crate) perfects: bool,
    /// The first press with the margins that both need.
    pub(crate) margins: Press,
}

/// The further press of a way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Further {
    /// Index into the pairs of the part.
    pub(crate) pair: usize,
    /// How many of the part's inks the first press prints; 0 as long as the inks are not known.
    pub(crate) first_inks: usize,
}

/// All pairs with this first press that take a stock.
pub(crate) fn pairs_of(card: &RateCard, first: usize, stock: &Stock) -> Vec<Pair> {
    let has_plates = |press: &Press| press.digital.is_none();
    let own = &card.presses[first];
    if !has_plates(own) {
        return Vec::new();
    }
    let others = card.presses.iter().enumerate();
    let others = others.filter(|(n, _)| *n != first);
    let others = others.filter(|(_, press)| has_plates(press) && takes_weight(press, stock));
    let mut all = Vec::new();
    for (further, press) in others {
        let styles: &[bool] = if press.perfecting.value {
            &[false, true]
        } else {
            &[false]
        };
        all.extend(styles.iter().map(|perfects| Pair {
            presses: [first, further],
            perfects: *perfects,
            margins: with_margins_of(own, press, *perfects),
        }));
    }
    all
}

impl Pair {
    pub(crate) fn takes(&self, card: &RateCard, sheet: PressSheet) -> bool {
        takes(&card.presses[self.presses[1]], sheet.size)
    }

    /// Work styles of the first press that go with it: a turned sheet is turned on both.
    pub(crate) fn allows(&self, style: WorkStyle) -> bool {
        !(self.perfects && style.is_half_sheet())
    }
}

/// Which inks of a part the further press of a pair prints.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Division {
    units: [u32; 2],
    perfects: bool,
    /// The first of them in printing order.
    from: InkId,
}

impl Division {
    /// The first press prints `first_inks` of the inks that are printed, which are in printing order.
    pub(crate) fn new(
        pair: &Pair,
        units: [u32; 2],
        (printed, first_inks): (&[usize], usize),
    ) -> Option<Self> {
        Some(Self {
            units,
            perfects: pair.perfects,
            from: InkId(*printed.get(first_inks)? as u16),
        })
    }

    /// Whether the first press has too few units in this style, and the further one for a pass of each side.
    pub(crate) fn lacks_units(&self, style: WorkStyle, sides: [&[InkId]; 2]) -> [bool; 2] {
        let [first, further] = self.units;
        [
            lacks_units(style, sides, first),
            lacks_units(WorkStyle::Sheetwise, sides, further),
        ]
    }

    /// Whether the first press has too few units for the inks that it gets.
    pub(crate) fn first_lacks_units(&self, style: WorkStyle, sides: [&[InkId]; 2]) -> bool {
        let own = self.inks_of(0, sides);
        lacks_units(style, [&own[0], &own[1]], self.units[0])
    }

    /// The inks of a section that one of the presses prints.
    fn inks_of(&self, at: usize, sides: [&[InkId]; 2]) -> [Vec<InkId>; 2] {
        sides.map(|side| {
            let own = side.iter().filter(|ink| (**ink >= self.from) == (at == 1));
            own.copied().collect()
        })
    }

    /// What each press prints of a section, the first one in one pass; `None` if the style cannot print it so.
    pub(crate) fn of_section(
        &self,
        style: WorkStyle,
        sides: [&[InkId]; 2],
    ) -> Option<Vec<OnPress>> {
        let [first, further] = [0, 1].map(|at| self.inks_of(at, sides));
        if style.is_half_sheet() {
            let both_inked = sides.iter().all(|side| !side.is_empty());
            let turned = |at: usize, inks: &[Vec<InkId>; 2]| OnPress {
                at,
                style,
                units: self.units[at],
                forms: turned_form(inks),
            };
            let both = both_inked.then(|| vec![turned(0, &first), turned(1, &further)]);
            return both.filter(|both| both[0].is_one_pass());
        }
        let on = |at: usize, style, inks: &[Vec<InkId>; 2]| {
            OnPress::new((at, self.units[at]), style, [&inks[0], &inks[1]])
        };
        let perfected = self
            .perfects
            .then(|| on(1, WorkStyle::Perfecting, &further));
        let further = perfected
            .flatten()
            .or_else(|| on(1, WorkStyle::Sheetwise, &further));
        let first = on(0, style, &first).filter(OnPress::is_one_pass);
        Some(vec![first?, further?])
    }
}

/// The one form of a turned sheet, unless it has no ink.
fn turned_form(sides: &[Vec<InkId>; 2]) -> Vec<Form> {
    let mut inks = sides.concat();
    inks.sort_unstable();
    inks.dedup();
    let side = FormSide::Both;
    let form = (!inks.is_empty()).then_some(Form { side, inks });
    form.into_iter().collect()
}

/// What one press prints of a section.
#[derive(Debug)]
pub(crate) struct OnPress {
    /// 0 for the press of the way, 1 for its further press.
    pub(crate) at: usize,
    pub(crate) style: WorkStyle,
    pub(crate) units: u32,
    pub(crate) forms: Vec<Form>,
}

impl OnPress {
    /// `None` if the style cannot print a section with these inks.
    fn new((at, units): (usize, u32), style: WorkStyle, sides: [&[InkId]; 2]) -> Option<Self> {
        Some(Self {
            at,
            style,
            units,
            forms: forms(style, sides, units)?,
        })
    }

    /// A section on the press of the way alone; `None` if the style cannot print it.
    pub(crate) fn alone(style: WorkStyle, sides: [&[InkId]; 2], units: u32) -> Option<Vec<Self>> {
        Self::new((0, units), style, sides).map(|press| vec![press])
    }

    fn is_one_pass(&self) -> bool {
        let mut forms = self.forms.iter();
        forms.all(|form| form.inks.len() <= self.units as usize)
    }

    /// Inks of one pass: a perfecting press has units for both forms together.
    pub(crate) fn inks_of_a_pass(&self, form: &Form) -> usize {
        if self.style == WorkStyle::Perfecting {
            form.inks.len().max(1)
        } else {
            self.units.max(1) as usize
        }
    }

    /// Plates of a form that change between versions.
    pub(crate) fn changes(&self, form: &Form, changing: &[Vec<InkId>; 2]) -> u32 {
        plates_changed(self.style, (form.side, &form.inks), changing)
    }
}

/// Which press prints each side of a section, and whether in a perfecting pass.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct SidesPrinted {
    /// By press of the way, front and back.
    pub(crate) on: [[bool; 2]; 2],
    /// By press of the way.
    pub(crate) turned: [bool; 2],
}

impl SidesPrinted {
    /// Of a digital press.
    pub(crate) fn clicked(printed: [bool; 2]) -> Self {
        Self {
            on: [printed, [false; 2]],
            turned: [false; 2],
        }
    }

    pub(crate) fn of(presses: &[OnPress]) -> Self {
        let mut all = Self::default();
        for press in presses {
            for form in &press.forms {
                all.add(press.at, form.side);
            }
            all.turned[press.at] = press.style == WorkStyle::Perfecting;
        }
        all
    }

    pub(crate) fn add(&mut self, at: usize, side: FormSide) {
        self.on[at][0] |= side != FormSide::Back;
        self.on[at][1] |= side != FormSide::Front;
    }

    /// The press of the way that prints a side last.
    pub(crate) fn last(self, side: usize) -> Option<usize> {
        [1, 0].into_iter().find(|at| self.on[*at][side])
    }
}

/// Whether a press has too few units to print a section in one pass of each form, or in one perfecting pass.
pub(crate) fn lacks_units(style: WorkStyle, [front, back]: [&[InkId]; 2], units: u32) -> bool {
    let needed = match style {
        WorkStyle::Perfecting => front.len() + back.len(),
        style if style.is_half_sheet() => {
            let shared = front.iter().filter(|ink| back.contains(ink)).count();
            front.len() + back.len() - shared
        }
        _ => front.len().max(back.len()),
    };
    needed > units as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inks(ids: &[u16]) -> Vec<InkId> {
        ids.iter().copied().map(InkId).collect()
    }

    fn on_press(from: u16, style: WorkStyle, sides: [&[u16]; 2]) -> Option<Vec<OnPress>> {
        let division = Division {
            units: [4, 2],
            perfects: style == WorkStyle::Sheetwise,
            from: InkId(from),
        };
        let [front, back] = sides.map(inks);
        division.of_section(style, [&front, &back])
    }

    fn forms_of(press: &OnPress) -> Vec<(FormSide, Vec<InkId>)> {
        let forms = press.forms.iter();
        forms.map(|form| (form.side, form.inks.clone())).collect()
    }

    #[test]
    fn later_inks_go_to_the_further_press() {
        let both = on_press(4, WorkStyle::Sheetwise, [&[0, 1, 2, 3, 4], &[3, 4]]).unwrap();
        let first = [
            (FormSide::Front, inks(&[0, 1, 2, 3])),
            (FormSide::Back, inks(&[3])),
        ];
        assert_eq!(forms_of(&both[0]), first);
        assert_eq!(
            both[1].style,
            WorkStyle::Perfecting,
            "it has two units for one ink a side"
        );
        let one_side = on_press(4, WorkStyle::Sheetwise, [&[0, 1, 2, 3, 4], &[3]]).unwrap();
        assert_eq!(one_side[1].style, WorkStyle::Sheetwise);
        assert_eq!(forms_of(&one_side[1]), [(FormSide::Front, inks(&[4]))]);
    }

    #[test]
    fn turned_sheets_are_turned_on_both() {
        let both = on_press(4, WorkStyle::WorkAndTurn, [&[0, 1, 2, 3, 4], &[3]]).unwrap();
        assert_eq!(forms_of(&both[0]), [(FormSide::Both, inks(&[0, 1, 2, 3]))]);
        assert_eq!(forms_of(&both[1]), [(FormSide::Both, inks(&[4]))]);
        assert!(on_press(4, WorkStyle::WorkAndTurn, [&[0, 4], &[]]).is_none());
        let plain = on_press(4, WorkStyle::WorkAndTurn, [&[0], &[1]]).unwrap();
        assert!(plain[1].forms.is_empty(), "no ink for the further press");
    }

    #[test]
    fn units_are_lacking_by_style() {
        let [five, two] = [inks(&[0, 1, 2, 3, 4]), inks(&[3, 5])];
        let lacks = |style, units| lacks_units(style, [&five, &two], units);
        assert!(lacks(WorkStyle::Sheetwise, 4) && !lacks(WorkStyle::Sheetwise, 5));
        assert!(lacks(WorkStyle::WorkAndTurn, 5) && !lacks(WorkStyle::WorkAndTurn, 6));
        assert!(lacks(WorkStyle::Perfecting, 6) && !lacks(WorkStyle::Perfecting, 7));
    }
}
