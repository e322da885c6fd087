//! What an RGB photograph loses on press, pixel by pixel, and where.

use std::io::Cursor;

use ::png::{BitDepth, ColorType, Encoder};

use crate::coverage::{LossPicture, Photograph};
use crate::separate::LossTable;

/// Loss from which a pixel counts as out of reach, ΔE00: the usual tolerance of a brand's colour (common practice, no
/// source). It is well above what profiles lose by their own rounding on the way there and back.
pub(crate) const OUT_OF_REACH: f32 = 2.0;

/// Steps of a ΔE00 in which losses are counted.
const STEPS: f32 = 50.0;
/// Largest loss that is told apart, ΔE00.
const LARGEST: f32 = 100.0;
/// Most pixels of the picture that shows where; larger photographs are shown smaller.
const MOST_SHOWN: f64 = 4_000_000.0;
/// Loss that is marked at full strength, ΔE00.
const FULL_MARK: f32 = 10.0;

/// A pixel: its grey and its loss in [`STEPS`].
pub(crate) type Pixel = (u8, u16);

/// Grey and loss of pixels with three samples of light first.
pub(crate) fn pixels(table: &LossTable, samples: &[u16], per_pixel: usize) -> Vec<Pixel> {
    let of = |samples: &[u16]| pixel(table, [samples[0], samples[1], samples[2]]);
    samples.chunks_exact(per_pixel).map(of).collect()
}

/// Grey and loss of one pixel.
pub(crate) fn pixel(table: &LossTable, rgb: [u16; 3]) -> Pixel {
    let [r, g, b] = rgb.map(u32::from);
    // Weights of red, green and blue in the luma of ITU-R BT.709.
    let grey = (r * 2126 + g * 7152 + b * 722) / 10_000 / 257;
    let loss = table.loss(rgb).min(LARGEST);
    (grey as u8, (loss * STEPS) as u16)
}

/// Losses of one photograph.
pub(crate) struct Losses {
    histogram: Vec<u64>,
    count: u64,
    size: (u32, u32),
    shown: Shown,
}

/// The picture that shows where.
struct Shown {
    step: u32,
    size: (u32, u32),
    grey: Vec<u32>,
    count: Vec<u32>,
    loss: Vec<u16>,
}

impl Losses {
    /// The picture of where has about four million pixels at most.
    pub(crate) fn new(size: (u32, u32)) -> Self {
        Self::within(size, MOST_SHOWN)
    }

    /// The picture of where has so many pixels at most, about.
    pub(crate) fn within((width, height): (u32, u32), most: f64) -> Self {
        let all = f64::from(width) * f64::from(height);
        let step = (all / most).sqrt().ceil().max(1.0) as u32;
        let size = (width.div_ceil(step), height.div_ceil(step));
        let cells = size.0 as usize * size.1 as usize;
        Self {
            histogram: vec![0; (LARGEST * STEPS) as usize + 1],
            count: 0,
            size: (width, height),
            shown: Shown {
                step,
                size,
                grey: vec![0; cells],
                count: vec![0; cells],
                loss: vec![0; cells],
            },
        }
    }

    /// Adds neighbouring pixels from a column of a line.
    pub(crate) fn add(&mut self, place: (u32, u32), pixels: &[Pixel]) {
        self.place(place, pixels.iter().map(|&pixel| Some(pixel)));
    }

    /// Adds neighbouring pixels of which some are not there.
    pub(crate) fn add_some(&mut self, place: (u32, u32), pixels: &[Option<Pixel>]) {
        self.place(place, pixels.iter().copied());
    }

    fn place(&mut self, (x, y): (u32, u32), pixels: impl Iterator<Item = Option<Pixel>>) {
        let shown = &mut self.shown;
        let row = (y / shown.step) as usize * shown.size.0 as usize;
        for (at, pixel) in (x..).zip(pixels) {
            let Some((grey, loss)) = pixel else { continue };
            self.count += 1;
            self.histogram[usize::from(loss)] += 1;
            let cell = row + (at / shown.step) as usize;
            shown.grey[cell] += u32::from(grey);
            shown.count[cell] += 1;
            shown.loss[cell] = shown.loss[cell].max(loss);
        }
    }

    pub(crate) fn finish(self) -> Photograph {
        let first = (OUT_OF_REACH * STEPS) as usize + 1;
        let outside = &self.histogram[first..];
        let lost: u64 = outside.iter().sum();
        let value = |at: usize| (at as f64 + 0.5) / f64::from(STEPS);
        let sum: f64 = (first..)
            .zip(outside)
            .map(|(at, &n)| value(at) * n as f64)
            .sum();
        let mut left = lost - lost / 20;
        let p95 = (first..).zip(outside).find_map(|(at, &n)| {
            let reached = n >= left;
            left = left.saturating_sub(n);
            (reached && n > 0).then(|| value(at))
        });
        Photograph {
            outside: lost as f64 / self.count.max(1) as f64,
            mean: if lost == 0 { 0.0 } else { sum / lost as f64 },
            p95: p95.unwrap_or(0.0),
            pixels: self.size,
            place: None,
            uses: 1,
            picture: Some(self.shown.finish()),
        }
    }
}

impl Shown {
    fn finish(self) -> LossPicture {
        let cells = self.grey.iter().zip(&self.count).zip(&self.loss);
        let rgb = cells.flat_map(|((grey, count), &loss)| {
            // Where nothing is, the picture is white.
            let grey = grey.checked_div(*count).unwrap_or(255);
            marked(grey as u8, f32::from(loss) / STEPS)
        });
        LossPicture {
            width: self.size.0,
            height: self.size.1,
            rgb: rgb.collect(),
        }
    }
}

/// Grey, or magenta the stronger the more is lost; light enough to stand out of dark photographs too.
fn marked(grey: u8, loss: f32) -> [u8; 3] {
    if loss <= OUT_OF_REACH {
        return [grey; 3];
    }
    let strength = 0.35 + 0.65 * (loss / FULL_MARK).min(1.0);
    [255.0, 0.0, 150.0].map(|mark: f32| {
        let grey = f32::from(grey);
        (grey + (mark - grey) * strength) as u8
    })
}

impl LossPicture {
    /// Returns the bytes of a PNG file.
    ///
    /// # Panics
    ///
    /// Never: the memory that is written to takes all of it.
    pub fn png(&self) -> Vec<u8> {
        let mut bytes = Cursor::new(Vec::new());
        let mut encoder = Encoder::new(&mut bytes, self.width, self.height);
        encoder.set_color(ColorType::Rgb);
        encoder.set_depth(BitDepth::Eight);
        let mut writer = encoder.write_header().expect("memory takes a header");
        writer
            .write_image_data(&self.rgb)
            .expect("memory takes all");
        writer.finish().expect("memory takes the end");
        bytes.into_inner()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn losses_are_counted_and_marked() {
        let mut losses = Losses::new((20, 5));
        // 95 sound pixels, and five that lose 3, 5, 7, 9 and 11.
        for y in 0..5_u16 {
            let mut row = vec![(128, 0); 20];
            row[19].1 = ((y + 1) * 2 + 1) * STEPS as u16;
            losses.add((0, u32::from(y)), &row);
        }
        let photograph = losses.finish();
        assert!((photograph.outside - 0.05).abs() < 1e-12);
        assert!((photograph.mean - 7.0).abs() < 0.02, "{}", photograph.mean);
        assert!((photograph.p95 - 11.0).abs() < 0.02, "{}", photograph.p95);
        let picture = photograph.picture.unwrap();
        let pixel = |x: usize, y: usize| &picture.rgb[(y * 20 + x) * 3..][..3];
        assert_eq!(pixel(0, 0), [128; 3]);
        assert_eq!(pixel(19, 4), [255, 0, 150]);
    }

    #[test]
    fn large_photographs_are_shown_smaller() {
        let losses = Losses::new((10_000, 2_000));
        assert_eq!(losses.shown.size, (3_334, 667));
    }
}
