//! The four process inks and sets of them.

/// One of the four process inks, in the order in which tones are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ProcessInk {
    /// Cyan, the first tone.
    Cyan,
    /// Magenta, the second tone.
    Magenta,
    /// Yellow, the third tone.
    Yellow,
    /// Black, the fourth tone.
    Black,
}

impl ProcessInk {
    /// All four, in the order of the tones.
    pub const ALL: [Self; 4] = [Self::Cyan, Self::Magenta, Self::Yellow, Self::Black];

    /// Returns the place of this ink among the four tones, 0 to 3.
    pub const fn index(self) -> usize {
        self as usize
    }

    /// Returns the trade's letter: C, M, Y or K.
    pub const fn letter(self) -> char {
        match self {
            Self::Cyan => 'C',
            Self::Magenta => 'M',
            Self::Yellow => 'Y',
            Self::Black => 'K',
        }
    }

    /// Returns the ink's name in lower case.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Cyan => "cyan",
            Self::Magenta => "magenta",
            Self::Yellow => "yellow",
            Self::Black => "black",
        }
    }
}

/// A set of process inks, possibly empty.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct ProcessSet(u8);

impl ProcessSet {
    /// All four process inks.
    pub const ALL: Self = Self(0b1111);
    /// No process ink.
    pub const NONE: Self = Self(0);
    /// Black alone.
    pub const BLACK: Self = Self(0b1000);

    /// Returns the set of the inks that carry a tone above zero.
    pub fn of_tones(tones: [f64; 4]) -> Self {
        ProcessInk::ALL
            .into_iter()
            .filter(|ink| tones[ink.index()] > 0.0)
            .collect()
    }

    /// Returns all sixteen sets, the empty one first.
    pub fn every() -> impl Iterator<Item = Self> {
        (0..16).map(Self)
    }

    /// Returns whether the set has this ink.
    pub const fn contains(self, ink: ProcessInk) -> bool {
        self.0 >> ink.index() & 1 == 1
    }

    /// Returns whether every ink of `other` is in this set too.
    pub const fn contains_all(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }

    /// Returns this set and one ink more.
    #[must_use]
    pub const fn with(self, ink: ProcessInk) -> Self {
        Self(self.0 | 1 << ink.index())
    }

    /// Returns this set without one ink.
    #[must_use]
    pub const fn without(self, ink: ProcessInk) -> Self {
        Self(self.0 & !(1 << ink.index()))
    }

    /// Returns the inks of either set.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Returns how many inks the set has, 0 to 4.
    pub const fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Returns whether the set has no ink.
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Returns the inks in the order of the tones.
    pub fn iter(self) -> impl Iterator<Item = ProcessInk> {
        ProcessInk::ALL
            .into_iter()
            .filter(move |ink| self.contains(*ink))
    }

    pub(crate) const fn bits(self) -> usize {
        self.0 as usize
    }
}

impl FromIterator<ProcessInk> for ProcessSet {
    fn from_iter<I: IntoIterator<Item = ProcessInk>>(inks: I) -> Self {
        inks.into_iter().fold(Self::NONE, Self::with)
    }
}
