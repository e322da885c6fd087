//! The rates of a card that actuals speak about.

use inkset_spec::PaperKind;

/// A key of the rate card, within the press, ink or operation that a group is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RateKey {
    /// `make_ready_minutes`.
    MakeReadyMinutes,
    /// `make_ready_minutes_per_ink`.
    MakeReadyMinutesPerInk,
    /// `make_ready_sheets`.
    MakeReadySheets,
    /// `make_ready_sheets_per_ink`.
    MakeReadySheetsPerInk,
    /// `sheets_per_hour` of a step of `speeds`.
    Speed(usize),
    /// `percent` of a step of `run_spoilage`.
    RunSpoilage(usize),
    /// `film_coated` and the like.
    Film(PaperKind),
    /// `fixed_loss_kg`.
    FixedLoss,
    /// `set_up_minutes`.
    SetUpMinutes,
    /// `per_hour`.
    PerHour,
    /// `belt_speed`.
    BeltSpeed,
    /// `set_up_spoilage`.
    SetUpSpoilage,
    /// `run_spoilage_percent`.
    RunSpoilagePercent,
}

impl RateKey {
    /// As it is written on the card.
    pub const fn key(self) -> &'static str {
        match self {
            Self::MakeReadyMinutes => "make_ready_minutes",
            Self::MakeReadyMinutesPerInk => "make_ready_minutes_per_ink",
            Self::MakeReadySheets => "make_ready_sheets",
            Self::MakeReadySheetsPerInk => "make_ready_sheets_per_ink",
            Self::Speed(_) => "sheets_per_hour",
            Self::RunSpoilage(_) => "percent",
            Self::Film(PaperKind::Coated) => "film_coated",
            Self::Film(PaperKind::Uncoated) => "film_uncoated",
            Self::Film(PaperKind::Newsprint) => "film_newsprint",
            Self::FixedLoss => "fixed_loss_kg",
            Self::SetUpMinutes => "set_up_minutes",
            Self::PerHour => "per_hour",
            Self::BeltSpeed => "belt_speed",
            Self::SetUpSpoilage => "set_up_spoilage",
            Self::RunSpoilagePercent => "run_spoilage_percent",
        }
    }

    /// What it counts.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::MakeReadyMinutes | Self::MakeReadyMinutesPerInk | Self::SetUpMinutes => "min",
            Self::MakeReadySheets | Self::MakeReadySheetsPerInk => "sheets",
            Self::Speed(_) => "sheets/h",
            Self::RunSpoilage(_) | Self::RunSpoilagePercent => "%",
            Self::Film(_) => "g/m²",
            Self::FixedLoss => "kg",
            Self::PerHour => "pieces/h",
            Self::BeltSpeed => "m/min",
            Self::SetUpSpoilage => "pieces",
        }
    }

    /// Whether it is a speed: a job that takes longer means a smaller rate.
    pub const fn is_speed(self) -> bool {
        matches!(self, Self::Speed(_) | Self::PerHour | Self::BeltSpeed)
    }

    /// Whether the card takes whole numbers only.
    pub const fn is_whole(self) -> bool {
        matches!(
            self,
            Self::MakeReadySheets | Self::MakeReadySheetsPerInk | Self::SetUpSpoilage
        )
    }

    /// Whether it is a share of what goes in.
    pub const fn is_share(self) -> bool {
        matches!(self, Self::RunSpoilage(_) | Self::RunSpoilagePercent)
    }

    /// The rate when work takes `factor` times what the card says.
    ///
    /// A share spoiled is turned into spoiled by good first: twice as many spoiled sheets of 50 % are 67 %, not 100 %.
    pub fn scaled(self, rate: f64, factor: f64) -> f64 {
        if self.is_speed() {
            rate / factor
        } else if self.is_share() {
            let by_good = factor * rate / (100.0 - rate);
            100.0 * by_good / (1.0 + by_good)
        } else {
            rate * factor
        }
    }

    /// Rounded as a person would write it: whole where the card wants that, else to three significant digits.
    pub fn rounded(self, value: f64) -> f64 {
        if self.is_whole() || value <= 0.0 {
            return value.round().max(0.0);
        }
        let magnitude = libm::floor(libm::log10(value)) as i32;
        let scale = libm::pow(10.0, f64::from(2 - magnitude));
        let rounded = (value * scale).round();
        // Dividing by a whole power of ten gives the double nearest to the decimal.
        if magnitude > 2 {
            rounded * libm::pow(10.0, f64::from(magnitude - 2))
        } else {
            rounded / scale
        }
    }
}
