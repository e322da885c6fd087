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
    Hue,
    Saturation,
    Color,
    Luminosity,
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
            b"Hue" => Self::Hue,
            b"Saturation" => Self::Saturation,
            b"Color" => Self::Color,
            b"Luminosity" => Self::Luminosity,
            _ => return None,
        })
    }

    /// The mode in effect on a solid.
    pub(super) fn on_solids(self) -> Self {
        match self {
            Self::Difference | Self::Exclusion => Self::Normal,
            mixing if mixing.mixes_inks() => Self::Normal,
            other => other,
        }
    }

    /// Whether the process inks are blended together, not each by itself.
    pub(super) fn mixes_inks(self) -> bool {
        matches!(
            self,
            Self::Hue | Self::Saturation | Self::Color | Self::Luminosity
        )
    }

    /// The tones of the four process inks that result where both are opaque, for a mode that mixes them.
    ///
    /// Cyan, magenta and yellow are blended as the light that they leave of red, green and blue; black is that of the
    /// paint for Luminosity, else that beneath (11.3.5.3).
    pub(super) fn process(self, under: [u16; 4], over: [u16; 4]) -> [u16; 4] {
        let light = |tones: [u16; 4]| {
            let [c, m, y, _] = tones.map(|tone| 1.0 - f32::from(tone) / f32::from(FULL));
            [c, m, y]
        };
        let (b, s) = (light(under), light(over));
        let mixed = match self {
            Self::Hue => with_luminosity(with_saturation(s, saturation(b)), luminosity(b)),
            Self::Saturation => with_luminosity(with_saturation(b, saturation(s)), luminosity(b)),
            Self::Color => with_luminosity(s, luminosity(b)),
            Self::Luminosity => with_luminosity(b, luminosity(s)),
            _ => s,
        };
        let [c, m, y] = mixed.map(tone_of);
        let black = if self == Self::Luminosity {
            over
        } else {
            under
        };
        [c, m, y, black[3]]
    }

    /// The tone that results where both are opaque.
    pub(super) fn tone(self, under: u16, over: u16) -> u16 {
        let light = |tone: u16| 1.0 - f32::from(tone) / f32::from(FULL);
        tone_of(self.light(light(under), light(over)))
    }

    /// `b` is the light of what is beneath, `s` of the paint.
    fn light(self, b: f32, s: f32) -> f32 {
        match self {
            Self::Normal | Self::Hue | Self::Saturation | Self::Color | Self::Luminosity => s,
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

/// The tone that leaves so much light.
fn tone_of(light: f32) -> u16 {
    ((1.0 - light.clamp(0.0, 1.0)) * f32::from(FULL) + 0.5) as u16
}

fn luminosity([red, green, blue]: [f32; 3]) -> f32 {
    0.3 * red + 0.59 * green + 0.11 * blue
}

fn extremes(colour: [f32; 3]) -> (f32, f32) {
    let [r, g, b] = colour;
    (r.min(g).min(b), r.max(g).max(b))
}

fn saturation(colour: [f32; 3]) -> f32 {
    let (least, most) = extremes(colour);
    most - least
}

/// The same hue, spread from 0 to a saturation.
fn with_saturation(colour: [f32; 3], saturation: f32) -> [f32; 3] {
    let (least, most) = extremes(colour);
    if most <= least {
        return [0.0; 3];
    }
    colour.map(|light| (light - least) * saturation / (most - least))
}

/// The same colour moved to a luminosity, and drawn towards it as far as it has left the range.
fn with_luminosity(colour: [f32; 3], wanted: f32) -> [f32; 3] {
    let by = wanted - luminosity(colour);
    let moved = colour.map(|light| light + by);
    let (least, most) = extremes(moved);
    let middle = luminosity(moved);
    let mut share = 1.0;
    if least < 0.0 {
        share = middle / (middle - least);
    }
    if most > 1.0 {
        share = share.min((1.0 - middle) / (most - middle));
    }
    moved.map(|light| middle + (light - middle) * share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mixed_inks_are_those_of_the_formulas() {
        let tones = |shares: [f32; 4]| shares.map(|share| (share * f32::from(FULL)) as u16);
        let (cyan, magenta) = (tones([1.0, 0.0, 0.0, 0.3]), tones([0.0, 1.0, 0.0, 0.1]));
        let check = |blend: Blend, wanted: [f32; 4]| {
            let found = blend.process(cyan, magenta);
            for (found, wanted) in found.iter().zip(wanted) {
                let found = f32::from(*found) / f32::from(FULL);
                assert!((found - wanted).abs() < 1e-3, "{blend:?} {found} {wanted}");
            }
        };
        // Light of cyan is 0.70, of magenta 0.41; what leaves the range is drawn in to where it just fits.
        check(
            Blend::Luminosity,
            [1.0, 1.0 - 0.41 / 0.7, 1.0 - 0.41 / 0.7, 0.1],
        );
        check(Blend::Color, [0.0, 0.3 / 0.59, 0.0, 0.3]);
        check(Blend::Hue, [0.0, 0.3 / 0.59, 0.0, 0.3]);
        // Both are wholly saturated.
        check(Blend::Saturation, [1.0, 0.0, 0.0, 0.3]);
    }

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
