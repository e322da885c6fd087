//! What is known of a file once it is measured.

use inkset_colour::{LabD50, ProcessInk};

/// The whole of a tone: an ink that covers everything.
pub(crate) const FULL: u16 = u16::MAX;

/// An ink of the artwork.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ink {
    /// One of the four process inks.
    Process(ProcessInk),
    /// Any other, by the name in the file.
    Solid(String),
}

impl Ink {
    /// The four process inks, in their usual order.
    pub const PROCESS: [Self; 4] = [
        Self::Process(ProcessInk::Cyan),
        Self::Process(ProcessInk::Magenta),
        Self::Process(ProcessInk::Yellow),
        Self::Process(ProcessInk::Black),
    ];

    /// The ink of this name in a file; the four process names are known in English only.
    pub fn named(name: &str) -> Self {
        let process = Self::PROCESS.into_iter().find(|ink| ink.name() == name);
        process.unwrap_or_else(|| Self::Solid(name.to_owned()))
    }

    /// The name that a file gives to the ink: `Cyan`, `Magenta`, `Yellow`, `Black`, or the solid's.
    pub fn name(&self) -> &str {
        match self {
            Self::Process(ProcessInk::Cyan) => "Cyan",
            Self::Process(ProcessInk::Magenta) => "Magenta",
            Self::Process(ProcessInk::Yellow) => "Yellow",
            Self::Process(ProcessInk::Black) => "Black",
            Self::Solid(name) => name,
        }
    }

    /// Short name for builds: `C`, `M`, `Y`, `K`, or the solid's name.
    pub fn short(&self) -> String {
        match self {
            Self::Process(ink) => ink.letter().to_string(),
            Self::Solid(name) => name.clone(),
        }
    }

    /// Whether it is none of the four process inks.
    pub fn is_solid(&self) -> bool {
        matches!(self, Self::Solid(_))
    }
}

/// A file's kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// Portable Document Format (ISO 32000).
    Pdf,
    /// Tag Image File Format.
    Tiff,
    /// JPEG (ITU-T T.81).
    Jpeg,
    /// Portable Network Graphics.
    Png,
}

impl FileKind {
    /// As the trade writes it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Pdf => "PDF",
            Self::Tiff => "TIFF",
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
        }
    }
}

/// A measured file.
#[derive(Debug)]
pub struct Artwork {
    /// Kind of the file.
    pub kind: FileKind,
    /// Number of pages of the file, counted or not.
    pub page_count: usize,
    /// Counted pages in their order; a page that could not be measured says why.
    pub pages: Vec<Result<PageCoverage, ArtworkPageError>>,
    /// What was assumed, a sentence each.
    pub assumptions: Vec<String>,
    /// Solids that the file names, in the order of their names.
    pub solids: Vec<NamedSolid>,
}

impl Artwork {
    /// Lists every solid that leaves ink on a page, and says on which.
    pub(crate) fn find_solids(&mut self) {
        for page in self.pages.iter().flatten() {
            for ink in page.inks.iter().filter(|ink| ink.ink.is_solid()) {
                let name = ink.ink.name();
                let known = self.solids.iter().position(|solid| solid.name == name);
                let at = known.unwrap_or_else(|| {
                    self.solids.push(NamedSolid {
                        name: name.to_owned(),
                        alternate: None,
                        pages: Vec::new(),
                    });
                    self.solids.len() - 1
                });
                if ink.largest > 0.0 {
                    self.solids[at].pages.push(page.page);
                }
            }
        }
        self.solids.sort_by(|a, b| a.name.cmp(&b.name));
    }
}

/// A page that could not be measured.
#[derive(Debug)]
pub struct ArtworkPageError {
    /// Number of the page, from 1.
    pub page: usize,
    /// Why.
    pub error: crate::ArtworkError,
}

/// A solid that a file names.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedSolid {
    /// Its name as written.
    pub name: String,
    /// What the file prints instead where the solid is not there.
    pub alternate: Option<Alternate>,
    /// Pages on which it leaves ink; empty if only declared.
    pub pages: Vec<usize>,
}

/// The colour that stands for a solid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Alternate {
    /// Absolute or media-relative Lab, as the file states it.
    Lab(LabD50),
    /// Tones of cyan, magenta, yellow and black in percent.
    Cmyk([f64; 4]),
    /// Red, green and blue, 0 to 1.
    Rgb([f64; 3]),
    /// Grey, 0 (black) to 1.
    Gray(f64),
}

/// One measured page.
#[derive(Debug, Clone, PartialEq)]
pub struct PageCoverage {
    /// Number of the page, from 1.
    pub page: usize,
    /// Its size.
    pub size: PageSize,
    /// The four process inks and every solid of the page.
    pub inks: Vec<InkCoverage>,
    /// The largest sum of tones.
    pub peak: Peak,
    /// Share of the page whose sum of tones is above the condition's ink limit, 0 to 1.
    pub above_limit: f64,
    /// Flat colours, the largest area first.
    pub flats: Vec<FlatColour>,
    /// What somebody should look at.
    pub findings: Vec<Finding>,
    /// What RGB photographs lose on press, if that was asked for, in the order in which they are painted.
    pub photographs: Vec<Photograph>,
}

/// What an RGB photograph loses on press.
#[derive(Debug, Clone, PartialEq)]
pub struct Photograph {
    /// Share of the pixels that lose more than 2 ΔE00 on the way to paper, 0 to 1.
    pub outside: f64,
    /// What these lose on the mean, ΔE00.
    pub mean: f64,
    /// What 95 % of these stay within, ΔE00.
    pub p95: f64,
    /// Pixels across and down.
    pub pixels: (u32, u32),
    /// Where it lies on its page, the first time; `None` if the photograph is the whole of the page.
    pub place: Option<Place>,
    /// How often it lies on the page.
    pub uses: usize,
    /// Where it loses; only of the first two hundred photographs of a document.
    pub picture: Option<LossPicture>,
}

/// The rectangle around something on a page, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// From the left edge of the counted box.
    pub left: f64,
    /// From its top edge.
    pub top: f64,
    /// From left to right.
    pub width: f64,
    /// From top to bottom.
    pub height: f64,
}

/// A grey picture with lost areas marked in magenta, the stronger the more is lost.
#[derive(Debug, Clone, PartialEq)]
pub struct LossPicture {
    /// Pixels across; fewer than the photograph has where that is large.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Red, green and blue of each pixel, row by row.
    pub rgb: Vec<u8>,
}

/// How large a page is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PageSize {
    /// Pixels that were counted, across and down.
    pub pixels: (u32, u32),
    /// Millimetres, if the file states them.
    pub millimetres: Option<(f64, f64)>,
}

/// One ink of a page.
#[derive(Debug, Clone, PartialEq)]
pub struct InkCoverage {
    /// The ink.
    pub ink: Ink,
    /// Mean tone over the page, 0 to 1.
    pub mean: f64,
    /// Largest tone, 0 to 1.
    pub largest: f64,
}

/// The largest sum of tones of a page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Percent, at most 100 for each ink.
    pub percent: f64,
    /// Where it is first, in pixels from the left and the top.
    pub pixel: (u32, u32),
}

/// A colour that covers an area evenly.
#[derive(Debug, Clone, PartialEq)]
pub struct FlatColour {
    /// Inks with their tones, 0 to 1; empty is the bare paper and is never listed.
    pub tones: Vec<(Ink, f64)>,
    /// Share of the page, 0 to 1.
    pub share: f64,
}

/// Something that somebody should look at.
#[derive(Debug, Clone, PartialEq)]
pub enum Finding {
    /// Colours without inks of their own; they were separated.
    Separated {
        /// `RGB` or `Lab`, and what it was: `image`, `text`, `shapes`.
        what: String,
    },
    /// Something of the page that is not counted, or only nearly so.
    NotCounted(String),
    /// Type or rules out of two or more inks.
    ThinInTwoInks {
        /// What it is: `type` or `rule`.
        what: &'static str,
        /// Size of the type in points, or the width of the rule in millimetres.
        size: f64,
        /// Its inks.
        inks: Vec<Ink>,
    },
    /// Black with other inks beneath it.
    RichBlack {
        /// The largest share, with its inks.
        tones: Vec<(Ink, f64)>,
        /// Share of the page, 0 to 1.
        share: f64,
    },
    /// White that overprints, and so disappears on press.
    VanishingWhite {
        /// What it is: `text`, `shapes`.
        what: &'static str,
    },
}
