//! Pictures: TIFF, JPEG, PNG.

mod chunk;
mod jpeg;
mod loss;
mod pixels;
mod png;
mod rows;
mod tags;
mod tiff;

pub(crate) use jpeg::jpeg;
pub(crate) use loss::{Losses, Pixel, pixel as loss_pixel};
pub(crate) use png::png;
pub(crate) use tiff::tiff;

/// Most pixels of one picture: a file of more costs minutes.
const MOST_PIXELS: u64 = 4_000_000_000;

/// Millimetres of so many pixels at a resolution in pixels for an inch.
fn millimetres(pixels: (u32, u32), per_inch: (f64, f64)) -> Option<(f64, f64)> {
    let sound = |v: f64| v.is_finite() && (1.0..=20_000.0).contains(&v);
    (sound(per_inch.0) && sound(per_inch.1)).then(|| {
        (
            f64::from(pixels.0) / per_inch.0 * 25.4,
            f64::from(pixels.1) / per_inch.1 * 25.4,
        )
    })
}
