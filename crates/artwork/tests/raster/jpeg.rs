//! JPEG files of even blocks, written here: baseline, quantised by one, so that the answer is exact.

use std::fmt::Write as _;

use inkset_artwork::ArtworkError;

use crate::{means, measured, near, only_page};

/// Blocks of 8 x 8 pixels across and down.
const BLOCKS: u16 = 2;

/// A picture of one colour; `adobe` is the transform of Adobe's marker, if there is one.
fn jpeg(samples: &[u8], adobe: Option<u8>) -> Vec<u8> {
    let n = samples.len() as u8;
    let side = BLOCKS * 8;
    let mut out = vec![0xff, 0xd8];
    let mut segment = |kind: u8, body: &[u8]| {
        out.extend([0xff, kind]);
        out.extend((body.len() as u16 + 2).to_be_bytes());
        out.extend(body);
    };
    if let Some(transform) = adobe {
        segment(
            0xee,
            &[b"Adobe\0\x64\0\0\0\0".as_slice(), &[transform]].concat(),
        );
    }
    segment(0xdb, &[&[0][..], &[1; 64]].concat());
    let parts = |of: fn(u8) -> [u8; 3]| (1..=n).flat_map(of).collect::<Vec<u8>>();
    let [high, low] = side.to_be_bytes();
    segment(
        0xc0,
        &[
            &[8, high, low, high, low, n][..],
            &parts(|id| [id, 0x11, 0]),
        ]
        .concat(),
    );
    // Twelve sizes of four bits each, and one end-of-block of one bit.
    segment(
        0xc4,
        &[
            &[0x00, 0, 0, 0, 12, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0][..],
            &(0..12).collect::<Vec<u8>>(),
        ]
        .concat(),
    );
    segment(
        0xc4,
        &[0x10, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0],
    );
    let scan: Vec<u8> = (1..=n).flat_map(|id| [id, 0]).collect();
    segment(0xda, &[&[n][..], &scan, &[0, 63, 0]].concat());
    out.extend(scan_bits(samples));
    out.extend([0xff, 0xd9]);
    out
}

/// The first block of each component carries the difference from mid-grey, all others none.
fn scan_bits(samples: &[u8]) -> Vec<u8> {
    let mut bits = String::new();
    for block in 0..BLOCKS * BLOCKS {
        for &sample in samples {
            let difference = if block == 0 {
                8 * (i32::from(sample) - 128)
            } else {
                0
            };
            let size = 32 - difference.unsigned_abs().leading_zeros();
            write!(bits, "{size:04b}").unwrap();
            if size > 0 {
                let value = if difference < 0 {
                    difference + (1 << size) - 1
                } else {
                    difference
                };
                write!(bits, "{value:0width$b}", width = size as usize).unwrap();
            }
            bits.push('0');
        }
    }
    while !bits.len().is_multiple_of(8) {
        bits.push('1');
    }
    let byte = |at: usize| u8::from_str_radix(&bits[at..at + 8], 2).unwrap();
    let bytes = (0..bits.len()).step_by(8).map(byte);
    // A byte of ones is followed by a stuffed zero.
    bytes
        .flat_map(|byte| {
            if byte == 0xff {
                vec![0xff, 0]
            } else {
                vec![byte]
            }
        })
        .collect()
}

#[test]
fn adobe_stores_four_inks_inverted() {
    let page = only_page(jpeg(&[255 - 51, 255 - 102, 255, 0], Some(0)));
    near(&means(&page), &[20.0, 40.0, 0.0, 100.0], 1e-6);
}

#[test]
fn four_inks_without_a_marker_are_as_they_are() {
    let page = only_page(jpeg(&[51, 102, 0, 255], None));
    near(&means(&page), &[20.0, 40.0, 0.0, 100.0], 1e-6);
}

#[test]
fn luminance_and_chroma_of_inks_are_undone() {
    // Even luminance without chroma: cyan, magenta and yellow alike. Adobe's inversion applies after the matrix.
    let page = only_page(jpeg(&[51, 128, 128, 255 - 102], Some(2)));
    near(&means(&page), &[20.0, 20.0, 20.0, 40.0], 0.5);
}

#[test]
fn grey_becomes_black() {
    near(
        &means(&only_page(jpeg(&[204], None))),
        &[0.0, 0.0, 0.0, 20.0],
        1e-6,
    );
}

#[test]
fn truncated_or_damaged_files_never_panic() {
    let sound = jpeg(&[51, 102, 0, 255], Some(2));
    assert!(matches!(
        measured(sound[..40].to_vec()),
        Err(ArtworkError::Damaged(_))
    ));
    for at in 2..sound.len() {
        for value in [0, 0x11, 0xff] {
            let mut bytes = sound.clone();
            bytes[at] = value;
            let _ = measured(bytes);
        }
    }
}

#[test]
fn claimed_size_costs_no_memory() {
    let mut bytes = jpeg(&[0, 0, 0, 0], None);
    let at = bytes
        .windows(2)
        .position(|two| two == [0xff, 0xc0])
        .unwrap();
    // 65,500 x 65,500 pixels.
    bytes[at + 5..at + 9].copy_from_slice(&[0xff, 0xdc, 0xff, 0xdc]);
    let error = crate::measured(bytes).unwrap_err();
    assert!(
        matches!(error, inkset_artwork::ArtworkError::TooLarge { .. }),
        "{error}"
    );
}
