//! Turns rows of samples into tones of inks.

use std::sync::Arc;

use crate::coverage::{FULL, Ink};
use crate::{Separation, Settings};

/// What the samples of a pixel mean; every sample runs over the whole of 16 bits.
#[derive(Debug, Clone)]
pub(crate) enum Meaning {
    /// Light: 0 is black.
    Gray,
    /// Black ink: 0 is none.
    Black,
    /// Light of three primaries.
    Rgb(Arc<Separation>),
    /// One ink a sample, in this order.
    Inks(Vec<Ink>),
}

/// How a row is read.
#[derive(Debug, Clone)]
pub(crate) struct Layout {
    pub(crate) meaning: Meaning,
    /// Samples of a pixel, alpha and all.
    pub(crate) samples: usize,
    /// Which sample tells how much of the pixel is there, and whether the others were multiplied by it already.
    pub(crate) alpha: Option<(usize, bool)>,
}

impl Layout {
    /// Inks of the tones, the four process inks first.
    pub(crate) fn inks(&self) -> Vec<Ink> {
        match &self.meaning {
            Meaning::Inks(inks) => {
                let solids = inks.iter().filter(|ink| ink.is_solid()).cloned();
                Ink::PROCESS.into_iter().chain(solids).collect()
            }
            _ => Ink::PROCESS.to_vec(),
        }
    }

    /// Appends the tones of a row of samples, pixel after pixel.
    pub(crate) fn tones(&self, samples: &[u16], tones: &mut Vec<u16>) {
        let inks = self.inks();
        let from = tones.len();
        tones.resize(from + samples.len() / self.samples * inks.len(), 0);
        let out = &mut tones[from..];
        match &self.meaning {
            Meaning::Rgb(separation) if self.samples == 3 => {
                let pixels = samples.as_chunks::<3>().0;
                for (pixel, out) in pixels.iter().zip(out.as_chunks_mut::<4>().0) {
                    *out = separation.tones(*pixel);
                }
            }
            Meaning::Inks(own) if *own == inks && self.alpha.is_none() => {
                out.copy_from_slice(samples);
            }
            _ => {
                let places = self.places();
                let pixels = samples.chunks_exact(self.samples);
                for (pixel, out) in pixels.zip(out.chunks_exact_mut(inks.len())) {
                    self.pixel(pixel, &places, out);
                }
            }
        }
    }

    /// Any pixel, with its alpha.
    fn pixel(&self, pixel: &[u16], places: &[usize], out: &mut [u16]) {
        match &self.meaning {
            Meaning::Gray => out[3] = FULL - self.opaque(pixel, 0),
            Meaning::Black => out[3] = pixel[0],
            Meaning::Rgb(separation) => {
                let rgb = [0, 1, 2].map(|i| self.opaque(pixel, i));
                out[..4].copy_from_slice(&separation.tones(rgb));
            }
            Meaning::Inks(_) => {
                let alpha = self.alpha.map(|(at, _)| at);
                let inked = (0..pixel.len()).filter(|&at| Some(at) != alpha);
                for (&place, at) in places.iter().zip(inked) {
                    out[place] = pixel[at];
                }
            }
        }
        if let Some((at, _)) = self.alpha {
            let alpha = u32::from(pixel[at]);
            for tone in out {
                *tone = (u32::from(*tone) * alpha / u32::from(FULL)) as u16;
            }
        }
    }

    /// A sample of light, freed from an alpha that it was multiplied by.
    fn opaque(&self, pixel: &[u16], sample: usize) -> u16 {
        let Some((at, true)) = self.alpha else {
            return pixel[sample];
        };
        let alpha = u32::from(pixel[at]).max(1);
        (u32::from(pixel[sample]) * u32::from(FULL) / alpha).min(u32::from(FULL)) as u16
    }

    /// Where each sample's ink stands among the tones.
    fn places(&self) -> Vec<usize> {
        let Meaning::Inks(inks) = &self.meaning else {
            return Vec::new();
        };
        let order = self.inks();
        let place = |ink: &Ink| order.iter().position(|known| known == ink).unwrap_or(0);
        inks.iter().map(place).collect()
    }
}

/// RGB as its profile says, or as sRGB; says what was assumed.
pub(crate) fn rgb_meaning(
    profile: Option<&[u8]>,
    settings: &Settings<'_>,
    assumptions: &mut Vec<String>,
) -> Meaning {
    let read = profile.and_then(|profile| settings.separator.profile(profile));
    if let Some(separation) = read {
        return Meaning::Rgb(separation);
    }
    assumptions.push(match profile {
        None => "RGB without a profile is taken as sRGB".to_owned(),
        Some(_) => {
            "the embedded RGB profile has no matrix and curves, or is damaged; RGB is taken as sRGB"
                .to_owned()
        }
    });
    Meaning::Rgb(settings.separator.srgb())
}

/// Said of grey pictures.
pub(crate) const GRAY_IS_BLACK: &str =
    "grey is taken as the tone of black ink that is left when light is taken away";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_transparent_black_is_half_a_tone() {
        let layout = Layout {
            meaning: Meaning::Gray,
            samples: 2,
            alpha: Some((1, false)),
        };
        let mut tones = Vec::new();
        layout.tones(&[0, FULL / 2], &mut tones);
        assert_eq!(tones, [0, 0, 0, FULL / 2]);
    }

    #[test]
    fn inks_find_their_place() {
        let inks = ["Black", "Harbour blue", "Cyan"].map(Ink::named);
        let layout = Layout {
            meaning: Meaning::Inks(inks.to_vec()),
            samples: 3,
            alpha: None,
        };
        let mut tones = Vec::new();
        layout.tones(&[1, 2, 3], &mut tones);
        assert_eq!(tones, [3, 0, 0, 1, 2]);
    }
}
