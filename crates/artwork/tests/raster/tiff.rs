//! TIFF files, written by the `tiff` crate where it can and byte by byte where it cannot.

use std::io::Cursor;

use inkset_artwork::{ArtworkError, Ink};
use tiff::encoder::{Compression, DeflateLevel, TiffEncoder, colortype};

use crate::{means, measured, near, only_page};

/// 40 x 30 pixels whose sums are easy: cyan rises along the row, magenta half, yellow none, black on every tenth.
fn samples() -> Vec<u8> {
    let pixel = |i: usize| {
        [
            (i % 40 * 5) as u8,
            128,
            0,
            if i.is_multiple_of(10) { 255 } else { 0 },
        ]
    };
    (0..1200).flat_map(pixel).collect()
}

const WANTED: [f64; 4] = [97.5 / 2.55, 128.0 / 2.55, 0.0, 10.0];

#[test]
fn every_packing_gives_the_same_means() {
    for packing in [
        Compression::Uncompressed,
        Compression::Lzw,
        Compression::Deflate(DeflateLevel::default()),
    ] {
        for predictor in [
            tiff::tags::Predictor::None,
            tiff::tags::Predictor::Horizontal,
        ] {
            let mut bytes = Cursor::new(Vec::new());
            let encoder = TiffEncoder::new(&mut bytes).unwrap();
            let mut encoder = encoder.with_compression(packing).with_predictor(predictor);
            encoder
                .write_image::<colortype::CMYK8>(40, 30, &samples())
                .unwrap();
            near(&means(&only_page(bytes.into_inner())), &WANTED, 1e-3);
        }
    }
}

#[test]
fn sixteen_bits_keep_their_precision() {
    let samples: Vec<u16> = (0..400).flat_map(|_| [1000, 2000, 3000, 4000]).collect();
    let mut bytes = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut bytes).unwrap();
    encoder
        .write_image::<colortype::CMYK16>(20, 20, &samples)
        .unwrap();
    let wanted = [1000.0, 2000.0, 3000.0, 4000.0].map(|v| v / 655.35);
    near(&means(&only_page(bytes.into_inner())), &wanted, 1e-6);
}

/// A file with the tags given, the pixel bytes after the directory.
fn tiff(tags: &[(u16, u16, Vec<u8>)], pixels: &[u8]) -> Vec<u8> {
    let mut tags = tags.to_vec();
    tags.push((273, 4, vec![0; 4]));
    tags.sort_by_key(|tag| tag.0);
    let after = 8 + 2 + 12 * tags.len() + 4;
    let long: usize = tags
        .iter()
        .map(|tag| if tag.2.len() > 4 { tag.2.len() } else { 0 })
        .sum();
    let mut values: Vec<u8> = Vec::new();
    let mut out = b"II\x2a\0\x08\0\0\0".to_vec();
    out.extend((tags.len() as u16).to_le_bytes());
    for (tag, kind, bytes) in &tags {
        let width = [0, 1, 1, 2, 4][usize::from(*kind)];
        out.extend(tag.to_le_bytes());
        out.extend(kind.to_le_bytes());
        out.extend(((bytes.len() / width) as u32).to_le_bytes());
        let place = match *tag {
            273 => ((after + long) as u32).to_le_bytes().to_vec(),
            _ if bytes.len() > 4 => {
                let place = ((after + values.len()) as u32).to_le_bytes().to_vec();
                values.extend(bytes);
                place
            }
            _ => bytes.clone(),
        };
        out.extend(&place);
        out.resize(out.len() + 4 - place.len(), 0);
    }
    out.extend([0; 4]);
    out.extend(values);
    out.extend(pixels);
    out
}

fn short(tag: u16, values: &[u16]) -> (u16, u16, Vec<u8>) {
    (
        tag,
        3,
        values
            .iter()
            .flat_map(|value| value.to_le_bytes())
            .collect(),
    )
}

fn separated(samples: u16) -> Vec<(u16, u16, Vec<u8>)> {
    vec![
        short(256, &[10]),
        short(257, &[10]),
        short(258, &vec![8; usize::from(samples)]),
        short(259, &[1]),
        short(262, &[5]),
        short(277, &[samples]),
    ]
}

#[test]
fn fifth_ink_marked_as_extra_is_counted() {
    let mut tags = separated(5);
    tags.push(short(338, &[0]));
    tags.push((333, 2, b"Harbour blue\0".to_vec()));
    let pixels: Vec<u8> = (0..100).flat_map(|_| [255, 0, 0, 0, 51]).collect();
    let page = only_page(tiff(&tags, &pixels));
    near(&means(&page), &[100.0, 0.0, 0.0, 0.0, 20.0], 1e-6);
    assert_eq!(page.inks[4].ink, Ink::Solid("Harbour blue".to_owned()));
    assert!((page.peak.percent - 120.0).abs() < 1e-6);
}

#[test]
fn named_inks_need_not_be_the_four() {
    let mut tags = separated(2);
    tags.push(short(332, &[2]));
    tags.push((333, 2, b"Black\0Copper\0".to_vec()));
    let pixels: Vec<u8> = (0..100).flat_map(|_| [51, 102]).collect();
    let artwork = measured(tiff(&tags, &pixels)).unwrap();
    let page = artwork.pages[0].as_ref().unwrap();
    near(&means(page), &[0.0, 0.0, 0.0, 20.0, 40.0], 1e-6);
    assert_eq!(artwork.solids[0].name, "Copper");
    assert_eq!(artwork.solids[0].pages, [1]);
}

#[test]
fn planes_are_read_side_by_side() {
    let mut tags = separated(4);
    tags.push(short(284, &[2]));
    tags.push(short(278, &[10]));
    let pixels: Vec<u8> = [255, 51, 0, 102]
        .iter()
        .flat_map(|&v| vec![v; 100])
        .collect();
    // One strip a plane: the places are written by hand, behind the pixels' start.
    let mut bytes = tiff(&tags, &pixels);
    let start = bytes.len() - 400;
    let places: Vec<u8> = (0..4)
        .flat_map(|plane| ((start + 100 * plane) as u32).to_le_bytes())
        .collect();
    let entry = (10..)
        .step_by(12)
        .find(|&at| bytes[at..at + 2] == 273u16.to_le_bytes())
        .unwrap();
    let end = bytes.len() as u32;
    bytes[entry + 4..entry + 8].copy_from_slice(&4u32.to_le_bytes());
    bytes[entry + 8..entry + 12].copy_from_slice(&end.to_le_bytes());
    bytes.extend(places);
    let page = only_page(bytes);
    near(&means(&page), &[100.0, 20.0, 0.0, 40.0], 1e-6);
    assert!((page.peak.percent - 160.0).abs() < 1e-6);
}

#[test]
fn alpha_thins_the_ink() {
    let mut tags = separated(5);
    tags.push(short(338, &[2]));
    let pixels: Vec<u8> = (0..100).flat_map(|_| [255, 0, 0, 255, 51]).collect();
    near(
        &means(&only_page(tiff(&tags, &pixels))),
        &[20.0, 0.0, 0.0, 20.0],
        1e-3,
    );
}

#[test]
fn truncated_picture_is_told() {
    let mut bytes = tiff(&separated(4), &[7; 400]);
    bytes.truncate(bytes.len() - 100);
    let artwork = measured(bytes).unwrap();
    let failed = artwork.pages[0].as_ref().unwrap_err();
    assert!(
        matches!(failed.error, ArtworkError::Damaged(_)),
        "{:?}",
        failed.error
    );
}

#[test]
fn damaged_directories_never_panic() {
    let mut tags = separated(5);
    tags.push(short(338, &[0]));
    tags.push((333, 2, b"Harbour blue\0".to_vec()));
    let sound = tiff(&tags, &[9; 500]);
    for at in 0..sound.len() - 500 {
        for value in [0, 1, 0x7f, 0xff] {
            let mut bytes = sound.clone();
            bytes[at] = value;
            // Any answer will do, as long as there is one.
            let _ = measured(bytes);
        }
    }
}

#[test]
fn claimed_size_costs_no_memory() {
    let mut tags = separated(4);
    tags[0] = (256, 4, u32::MAX.to_le_bytes().to_vec());
    tags[1] = (257, 4, u32::MAX.to_le_bytes().to_vec());
    let artwork = measured(tiff(&tags, &[])).unwrap();
    let failed = artwork.pages[0].as_ref().unwrap_err();
    assert!(matches!(failed.error, ArtworkError::TooLarge { .. }));
}
