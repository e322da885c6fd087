//! The inks of a job and where each is printed: what a colour plan hands over.

use inkset_spec::Effect;

/// Index into [`PrintPlan::inks`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct InkId(pub u16);

/// What an ink is; decides its rate, its wash-up and whether it is bought by the tin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InkKind {
    /// A process ink by its place in the printing condition (0 = cyan, 1 = magenta, 2 = yellow, 3 = black).
    Process(u8),
    /// An extended process ink by its place among those of the plant: it stays in its unit from job to job.
    Extended(u8),
    /// A solid without an effect.
    Solid,
    /// A metallic, fluorescent, white or varnish.
    Effect(Effect),
}

impl InkKind {
    /// Whether the ink is one of the process set or extends it.
    pub fn is_process(self) -> bool {
        matches!(self, Self::Process(_) | Self::Extended(_))
    }
}

/// One ink of an ink set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InkSpec {
    /// Name for people: `black`, or the name of the job's colour.
    pub name: String,
    /// What it is.
    pub kind: InkKind,
    /// Name of its entry among the rate card's named inks; `None` = the entry of its kind.
    pub named_rate: Option<String>,
}

/// Inks on one page of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct PageInks {
    /// Page number within the part, from 1.
    pub page: u32,
    /// Each ink once, with the share of the trimmed page that it covers, `0.0..=1.0`, tints counted by their tone.
    pub inks: Vec<(InkId, f64)>,
}

/// Where ink on a page comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InkOrigin {
    /// A use of a colour: the index of the colour in the job, and of the use among its own.
    Use(usize, usize),
    /// The picture with this index in the job.
    Picture(usize),
}

/// What one colour or picture puts of one ink on one page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InkShare {
    /// Index of the part in the job.
    pub part: usize,
    /// Page number within the part, from 1.
    pub page: u32,
    /// The ink.
    pub ink: InkId,
    /// Where it comes from.
    pub origin: InkOrigin,
    /// Share of the trimmed page that the colour or picture covers, `0.0..=1.0`.
    pub area: f64,
    /// Mean tone of the ink there, `0.0..=1.0`.
    pub tone: f64,
}

/// Inks of one part, page by page; a page without ink may be left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PartInks {
    /// Ascending by page.
    pub pages: Vec<PageInks>,
}

impl PartInks {
    /// Inks of a page; none if the page is not listed.
    pub fn on_page(&self, page: u32) -> &[(InkId, f64)] {
        self.pages
            .binary_search_by_key(&page, |p| p.page)
            .map_or(&[], |at| &self.pages[at].inks)
    }
}

/// One ink set with the pages that each of its inks is printed on.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PrintPlan {
    /// The inks, in printing order.
    pub inks: Vec<InkSpec>,
    /// One entry per part of the job, in the job's order.
    pub parts: Vec<PartInks>,
}

impl PrintPlan {
    /// The ink with this index. Panics when the index is not one of this plan.
    pub fn ink(&self, id: InkId) -> &InkSpec {
        &self.inks[usize::from(id.0)]
    }
}
