//! Blend modes. Source: ISO 32000-2, 11.3.5.

use crate::coverage::FULL;

/// How paint meets what is beneath it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Blend {
    Normal,
    Multiply,
    Screen,
    Overlay,
    Darken,
    Lighten,
    ColorDodge,
    ColorBurn,
    HardLight,
    SoftLight,
    Difference,
    Exclusion,
    /// Hue, Saturation, Color and Luminosity, which mix the inks; counted as Normal, and told.
    Mixing,
}

impl Blend {
    pub(super) fn named(name: &[u8]) -> Option<Self> {
        Some(match name {
            b"Normal" | b"Compatible" => Self::Normal,
            b"Multiply" => Self::Multiply,
            b"Screen" => Self::Screen,
            b"Overlay" => Self::Overlay,
            b"Darken" => Self::Darken,
            b"Lighten" => Self::Lighten,
            b"ColorDodge" => Self::ColorDodge,
            b"ColorBurn" => Self::ColorBurn,
            b"HardLight" => Self::HardLight,
            b"SoftLight" => Self::SoftLight,
            b"Difference" => Self::Difference,
            b"Exclusion" => Self::Exclusion,
            b"Hue" | b"Saturation" | b"Color" | b"Luminosity" => Self::Mixing,
            _ => return None,
        })
    }

    /// The mode in effect on a solid.
    pub(super) fn on_solids(self) -> Self {
        match self {
            Self::Difference | Self::Exclusion | Self::Mixing => Self::Normal,
            other => other,
        }
    }

    /// The tone that results where both are opaque.
    pub(super) fn tone(self, under: u16, over: u16) -> u16 {
        let light = |tone: u16| 1.0 - f32::from(tone) / f32::from(FULL);
        let result = self.light(light(under), light(over)).clamp(0.0, 1.0);
        ((1.0 - result) * f32::from(FULL) + 0.5) as u16
    }

    /// `b` is the light of what is beneath, `s` of the paint.
    fn light(self, b: f32, s: f32) -> f32 {
        match self {
            Self::Normal | Self::Mixing => s,
            Self::Multiply => b * s,
            Self::Screen => b + s - b * s,
            Self::Overlay => Self::HardLight.light(s, b),
            Self::Darken => b.min(s),
            Self::Lighten => b.max(s),
            Self::ColorDodge if b <= 0.0 => 0.0,
            Self::ColorDodge if b >= 1.0 - s => 1.0,
            Self::ColorDodge => b / (1.0 - s),
            Self::ColorBurn if b >= 1.0 => 1.0,
            Self::ColorBurn if 1.0 - b >= s => 0.0,
            Self::ColorBurn => 1.0 - (1.0 - b) / s,
            Self::HardLight if s <= 0.5 => b * 2.0 * s,
            Self::HardLight => Self::Screen.light(b, 2.0 * s - 1.0),
            Self::SoftLight if s <= 0.5 => b - (1.0 - 2.0 * s) * b * (1.0 - b),
            Self::SoftLight => {
                let d = if b <= 0.25 {
                    ((16.0 * b - 12.0) * b + 4.0) * b
                } else {
                    b.sqrt()
                };
                b + (2.0 * s - 1.0) * (d - b)
            }
            Self::Difference => (b - s).abs(),
            Self::Exclusion => b + s - 2.0 * b * s,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn multiplied_inks_add_up() {
        let half = FULL / 2 + 1;
        assert_eq!(Blend::Multiply.tone(0, half), half);
        let both = f64::from(Blend::Multiply.tone(half, half)) / f64::from(FULL);
        assert!((both - 0.75).abs() < 1e-4);
    }

    #[test]
    fn white_stays_white_where_it_should() {
        for name in [
            "Multiply",
            "Screen",
            "Overlay",
            "Darken",
            "Lighten",
            "ColorDodge",
            "HardLight",
            "SoftLight",
        ] {
            assert_eq!(
                Blend::named(name.as_bytes()).unwrap().tone(0, 0),
                0,
                "{name}"
            );
        }
    }
}
