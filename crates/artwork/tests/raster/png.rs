//! PNG files written by the `png` crate.

use inkset_artwork::Finding;
use png::{BitDepth, ColorType, Encoder};

use crate::{means, near, only_page};

fn png(colour: ColorType, depth: BitDepth, samples: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, 10, 10);
    encoder.set_color(colour);
    encoder.set_depth(depth);
    encoder
        .write_header()
        .unwrap()
        .write_image_data(samples)
        .unwrap();
    bytes
}

#[test]
fn grey_becomes_black() {
    let samples: Vec<u8> = (0..100).map(|i| if i < 20 { 0 } else { 255 }).collect();
    let page = only_page(png(ColorType::Grayscale, BitDepth::Eight, &samples));
    near(&means(&page), &[0.0, 0.0, 0.0, 20.0], 1e-9);
    assert_eq!(page.flats.len(), 1);
    assert!((page.flats[0].share - 0.2).abs() < 1e-9);
}

#[test]
fn white_takes_no_ink_and_rgb_is_told() {
    let page = only_page(png(ColorType::Rgb, BitDepth::Eight, &[255; 300]));
    near(&means(&page), &[0.0; 4], 1e-9);
    assert!(matches!(&page.findings[0], Finding::Separated { what } if what == "RGB image"));
}

#[test]
fn transparent_pixels_take_no_ink() {
    let samples: Vec<u8> = (0..100)
        .flat_map(|i| [0, 0, 0, if i < 50 { 255 } else { 0 }])
        .collect();
    let whole = only_page(png(ColorType::Rgb, BitDepth::Eight, &[0; 300]));
    let half = only_page(png(ColorType::Rgba, BitDepth::Eight, &samples));
    let wanted: Vec<f64> = means(&whole).iter().map(|mean| mean / 2.0).collect();
    near(&means(&half), &wanted, 1e-3);
}

#[test]
fn sixteen_bits_are_read_high_byte_first() {
    let samples: Vec<u8> = (0..100).flat_map(|_| [0xbf, 0xff]).collect();
    let page = only_page(png(ColorType::Grayscale, BitDepth::Sixteen, &samples));
    near(&means(&page), &[0.0, 0.0, 0.0, 25.0], 0.01);
}
