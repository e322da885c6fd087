//! Work styles, the forms that they need and the runs through the press.

use crate::InkId;

/// How the two sides of a sheet are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WorkStyle {
    /// One form, one side.
    OneSided,
    /// A form for the front and one for the back.
    Sheetwise,
    /// One form with fronts and backs side by side; the pile is turned sideways and printed again with the same plates.
    WorkAndTurn,
    /// As work-and-turn, turned over the long edge, so that both long edges are gripped.
    WorkAndTumble,
    /// Both sides in one pass, the units split between them.
    Perfecting,
}

impl WorkStyle {
    /// The name that the trade uses.
    pub const fn name(self) -> &'static str {
        match self {
            Self::OneSided => "one-sided",
            Self::Sheetwise => "sheetwise",
            Self::WorkAndTurn => "work-and-turn",
            Self::WorkAndTumble => "work-and-tumble",
            Self::Perfecting => "perfecting",
        }
    }

    /// Whether fronts and backs share a form, so that the number up counts both halves of the sheet.
    pub const fn is_half_sheet(self) -> bool {
        matches!(self, Self::WorkAndTurn | Self::WorkAndTumble)
    }
}

/// What a form prints.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FormSide {
    /// Fronts, or outer pages.
    Front,
    /// Backs, or inner pages.
    Back,
    /// Fronts and backs in one form, or both forms in one perfecting pass.
    Both,
}

/// A set of plates: one per ink.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Form {
    /// What it prints.
    pub side: FormSide,
    /// Its inks in printing order; as many plates.
    pub inks: Vec<InkId>,
}

/// Sheets going through the press once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Run {
    /// What is printed.
    pub side: FormSide,
    /// Inks hung, each with a plate of its own.
    pub inks: Vec<InkId>,
    /// Whether plates are mounted for it; the second printing of a turned sheet uses those that hang already.
    pub makes_ready: bool,
}

/// Passes that a side with `inks` inks needs on a press with `units` units.
pub fn passes_per_side(inks: usize, units: u32) -> u32 {
    (inks as u32).div_ceil(units.max(1))
}

/// The forms of a section with these inks outside and inside; `None` if the style cannot print it on these units.
///
/// Sheetwise serves a side without ink by leaving its form out. The other two-sided styles need ink on both sides.
pub fn forms(style: WorkStyle, sides: [&[InkId]; 2], units: u32) -> Option<Vec<Form>> {
    let [outer, inner] = sides;
    let form = |side, inks: &[InkId]| Form {
        side,
        inks: inks.to_vec(),
    };
    let both_inked = !outer.is_empty() && !inner.is_empty();
    let separate = || {
        let all = [form(FormSide::Front, outer), form(FormSide::Back, inner)];
        all.into_iter().filter(|f| !f.inks.is_empty()).collect()
    };
    match style {
        WorkStyle::OneSided => inner.is_empty().then(separate),
        WorkStyle::Sheetwise => Some(separate()),
        WorkStyle::WorkAndTurn | WorkStyle::WorkAndTumble => {
            both_inked.then(|| vec![form(FormSide::Both, &union(outer, inner))])
        }
        WorkStyle::Perfecting => {
            let fits = outer.len() + inner.len() <= units as usize;
            (both_inked && fits).then(separate)
        }
    }
}

fn union(outer: &[InkId], inner: &[InkId]) -> Vec<InkId> {
    let mut inks: Vec<InkId> = outer.iter().chain(inner).copied().collect();
    inks.sort_unstable();
    inks.dedup();
    inks
}

/// The runs that print the forms, in order.
///
/// Each pass takes as many inks as the press has units; what is left takes a further pass. A turned sheet goes through
/// twice for each set of plates.
pub fn runs(style: WorkStyle, forms: &[Form], units: u32) -> Vec<Run> {
    if style == WorkStyle::Perfecting {
        return vec![Run {
            side: FormSide::Both,
            inks: forms.iter().flat_map(|f| f.inks.clone()).collect(),
            makes_ready: true,
        }];
    }
    let printings: &[bool] = if style.is_half_sheet() {
        &[true, false]
    } else {
        &[true]
    };
    let mut all = Vec::new();
    for form in forms {
        for inks in form.inks.chunks(units.max(1) as usize) {
            all.extend(printings.iter().map(|makes_ready| Run {
                side: form.side,
                inks: inks.to_vec(),
                makes_ready: *makes_ready,
            }));
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inks(n: u16) -> Vec<InkId> {
        (0..n).map(InkId).collect()
    }

    fn count(style: WorkStyle, front: u16, back: u16, units: u32) -> Option<(usize, usize)> {
        let forms = forms(style, [&inks(front), &inks(back)], units)?;
        let plates = forms.iter().map(|f| f.inks.len()).sum();
        Some((plates, runs(style, &forms, units).len()))
    }

    #[test]
    fn fifth_ink_costs_a_second_pass() {
        assert_eq!(count(WorkStyle::Sheetwise, 4, 0, 4), Some((4, 1)));
        assert_eq!(count(WorkStyle::Sheetwise, 5, 0, 4), Some((5, 2)));
        assert_eq!(count(WorkStyle::Sheetwise, 5, 0, 5), Some((5, 1)));
        assert_eq!(passes_per_side(5, 4), 2);
    }

    #[test]
    fn work_and_turn_halves_the_plates() {
        assert_eq!(count(WorkStyle::Sheetwise, 4, 4, 4), Some((8, 2)));
        assert_eq!(count(WorkStyle::WorkAndTurn, 4, 4, 4), Some((4, 2)));
        assert_eq!(count(WorkStyle::WorkAndTurn, 4, 0, 4), None);
    }

    #[test]
    fn work_and_turn_prints_the_union_of_the_inks() {
        let forms = forms(
            WorkStyle::WorkAndTurn,
            [&[InkId(3)], &[InkId(3), InkId(4)]],
            4,
        )
        .unwrap();
        assert_eq!(forms[0].inks, [InkId(3), InkId(4)]);
    }

    #[test]
    fn perfecting_splits_the_units() {
        assert_eq!(count(WorkStyle::Perfecting, 5, 5, 10), Some((10, 1)));
        assert_eq!(count(WorkStyle::Perfecting, 4, 1, 5), Some((5, 1)));
        assert_eq!(count(WorkStyle::Perfecting, 5, 4, 8), None);
    }
}
