//! What photographs lose, against lcms2's own way to the press and back.

use std::io::Cursor;

use inkset_artwork::{
    PageBox, Photograph, Photographs, Separator, Settings, USUAL_RESOLUTION, measure,
};
use inkset_colour::{
    D50_WHITE, LabD50, OutputProfile, PrintingCondition, Xyz, delta_e00, lab_from_xyz, xyz_from_lab,
};

use crate::{Reference, fetched, opened};

/// Photographs of scikit-image, out of Debian's package `python3-skimage`; the package tells where each comes from and
/// that it is free to use.
const PHOTOGRAPHS: [&str; 4] = ["astronaut.png", "chelsea.png", "coffee.png", "rocket.jpg"];

const PROFILE: &str = "FOGRA39L_coated.icc";

fn judged(name: &str, condition: (&OutputProfile, &PrintingCondition)) -> Photograph {
    judged_bytes(fetched(name), condition).remove(0)
}

fn judged_bytes(
    bytes: Vec<u8>,
    (profile, condition): (&OutputProfile, &PrintingCondition),
) -> Vec<Photograph> {
    let own = profile.separation().unwrap();
    let settings = Settings {
        separator: &Separator::of_profile(condition, own),
        ink_limit: condition.ink_limit(),
        page_box: PageBox::Trim,
        resolution: USUAL_RESOLUTION,
        pages: None,
        photographs: Photographs::Judged,
    };
    let mut artwork = measure(Cursor::new(bytes), &settings, &mut |_| {}).unwrap();
    artwork.pages.remove(0).unwrap().photographs
}

/// The pixels of a photograph, 16 bits wide.
fn pixels(name: &str) -> Vec<[u16; 3]> {
    let bytes = fetched(name);
    let samples = if bytes.starts_with(&[0xff, 0xd8]) {
        jpeg_decoder::Decoder::new(&bytes[..]).decode().unwrap()
    } else {
        let mut reader = png::Decoder::new(Cursor::new(bytes)).read_info().unwrap();
        let mut samples = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut samples).unwrap();
        samples
    };
    let (pixels, rest) = samples.as_chunks::<3>();
    assert!(rest.is_empty(), "{name} is no RGB of 8 bits");
    pixels
        .iter()
        .map(|pixel| pixel.map(|v| u16::from(v) * 257))
        .collect()
}

/// Black-point compensation by the black that lcms2 found, then the paper.
fn on_paper(relative: LabD50, black: f64, paper: Xyz) -> LabD50 {
    let xyz = xyz_from_lab(relative);
    let raised = |value: f64, white: f64| white * black + value * (1.0 - black);
    lab_from_xyz(Xyz::new(
        raised(xyz.x, D50_WHITE.x) * paper.x / D50_WHITE.x,
        raised(xyz.y, D50_WHITE.y) * paper.y / D50_WHITE.y,
        raised(xyz.z, D50_WHITE.z) * paper.z / D50_WHITE.z,
    ))
}

#[test]
fn losses_agree_with_the_round_trip_of_lcms2() {
    let (profile, condition) = opened(PROFILE);
    let reference = Reference::of(&fetched(PROFILE));
    let paper = profile.white();
    for name in PHOTOGRAPHS {
        let ours = judged(name, (&profile, &condition));
        let rgb = pixels(name);
        let seen = reference.seen(&rgb).into_iter();
        let printed = reference.printed(&rgb).into_iter();
        let losses = seen.zip(printed).map(|(seen, printed)| {
            let aim = on_paper(seen, reference.black, paper);
            delta_e00(aim, on_paper(printed, 0.0, paper))
        });
        let mut lost: Vec<f64> = losses.filter(|loss| *loss > 2.0).collect();
        lost.sort_by(f64::total_cmp);
        let share = lost.len() as f64 / rgb.len() as f64;
        let mean = lost.iter().sum::<f64>() / lost.len().max(1) as f64;
        let p95 = lost.get(lost.len() * 95 / 100).copied().unwrap_or(0.0);
        let told = format!(
            "{name}: {:.2} % out of reach, mean {:.2}, 95 % {:.2}; lcms2 {:.2} %, {mean:.2}, {p95:.2}",
            ours.outside * 100.0,
            ours.mean,
            ours.p95,
            share * 100.0
        );
        println!("{told}");
        assert!((ours.outside - share).abs() < 0.01, "{told}");
        assert!(
            (ours.mean - mean).abs() < 0.3 && (ours.p95 - p95).abs() < 0.4,
            "{told}"
        );
        let picture = ours.picture.unwrap();
        assert_eq!(
            u64::from(picture.width) * u64::from(picture.height),
            rgb.len() as u64
        );
    }
}

/// A page of 200 x 100 mm with one image, 40 mm wide and high, 20 mm from the left and 10 mm from the top, and once more
/// beside it; `ICC` among its entries stands for the profile.
fn placed(entries: &str, data: &[u8], profile: &[u8]) -> Vec<u8> {
    let point = 72.0 / 25.4;
    let (side, bottom) = (40.0 * point, 50.0 * point);
    let shown = |left: f64| format!("q {side} 0 0 {side} {} {bottom} cm /I Do Q ", left * point);
    let content = shown(20.0) + &shown(120.0);
    let entries = entries.replace("ICC", "[/ICCBased 6 0 R]");
    let (width, height) = (200.0 * point, 100.0 * point);
    let stream = |number: usize, entries: &str, data: &[u8]| {
        let head = format!(
            "{number} 0 obj << {entries} /Length {} >> stream\n",
            data.len()
        );
        [head.as_bytes(), data, b"\nendstream endobj\n"].concat()
    };
    let head = format!(
        "%PDF-1.7\n1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj\n\
         2 0 obj << /Type /Pages /Kids [3 0 R] /Count 1 >> endobj\n\
         3 0 obj << /Type /Page /MediaBox [0 0 {width} {height}] /Contents 4 0 R /Resources << /XObject << /I 5 0 R >> >> >> endobj\n"
    );
    [
        head.into_bytes(),
        stream(4, "", content.as_bytes()),
        stream(
            5,
            &format!("/Subtype /Image /BitsPerComponent 8 {entries}"),
            data,
        ),
        stream(6, "/N 3", profile),
        b"trailer << /Root 1 0 R >>\n".to_vec(),
    ]
    .concat()
}

#[test]
fn photographs_on_a_page_lose_as_much() {
    let (profile, condition) = opened(PROFILE);
    let condition = (&profile, &condition);
    let rgb = pixels("astronaut.png");
    let samples: Vec<u8> = rgb.iter().flat_map(|p| p.map(|v| (v >> 8) as u8)).collect();
    let plain = "/Width 512 /Height 512 /ColorSpace /DeviceRGB";
    let jpeg = fetched("rocket.jpg");
    let mut decoder = jpeg_decoder::Decoder::new(&jpeg[..]);
    decoder.read_info().unwrap();
    let own = decoder.icc_profile().unwrap();
    let packed = "/Width 640 /Height 427 /ColorSpace ICC /Filter /DCTDecode";
    for (name, bytes) in [
        ("astronaut.png", placed(plain, &samples, &[])),
        ("rocket.jpg", placed(packed, &jpeg, &own)),
    ] {
        let alone = judged(name, condition);
        let found = judged_bytes(bytes, condition);
        assert_eq!(found.len(), 1, "{name}");
        let inside = &found[0];
        assert_eq!((inside.pixels, inside.uses), (alone.pixels, 2));
        let place = inside.place.unwrap();
        let sides = [place.left, place.top, place.width, place.height];
        for (found, wanted) in sides.iter().zip([20.0, 10.0, 40.0, 40.0]) {
            assert!((found - wanted).abs() < 1e-3, "{place:?}");
        }
        // A PNG that brings sRGB as a profile, and another reader of JPEG, round a few pixels otherwise.
        assert!(
            (inside.outside - alone.outside).abs() <= 5e-4
                && (inside.mean - alone.mean).abs() <= 0.05
                && (inside.p95 - alone.p95).abs() <= 0.1,
            "{name}: {} {} {}, alone {} {} {}",
            inside.outside,
            inside.mean,
            inside.p95,
            alone.outside,
            alone.mean,
            alone.p95
        );
    }
}

#[test]
fn hidden_pixels_and_small_marks_are_not_judged() {
    let (profile, condition) = opened(PROFILE);
    let condition = (&profile, &condition);
    // Pure blue, which no press reaches, and a grey; then the blue is masked out by its own numbers.
    let pixel = |at: usize| if at % 200 < 50 { [0, 0, 255] } else { [128; 3] };
    let samples: Vec<u8> = (0..200 * 100).flat_map(pixel).collect();
    let entries = "/Width 200 /Height 100 /ColorSpace /DeviceRGB";
    let shown = judged_bytes(placed(entries, &samples, &[]), condition);
    assert!(
        (shown[0].outside - 0.25).abs() < 1e-9,
        "{}",
        shown[0].outside
    );
    let keyed = format!("{entries} /Mask [0 0 0 0 255 255]");
    let hidden = judged_bytes(placed(&keyed, &samples, &[]), condition);
    assert!(hidden[0].outside.abs() < 1e-9, "{}", hidden[0].outside);
    // The same by index: the share of the blue stays.
    let indexed: Vec<u8> = (0..200 * 100).map(|at| u8::from(at % 200 < 50)).collect();
    let entries = "/Width 200 /Height 100 /ColorSpace [/Indexed /DeviceRGB 1 <8080800000ff>]";
    let found = judged_bytes(placed(entries, &indexed, &[]), condition);
    assert!(
        (found[0].outside - 0.25).abs() < 1e-9,
        "{}",
        found[0].outside
    );
    let small = placed(
        "/Width 20 /Height 10 /ColorSpace /DeviceRGB",
        &samples[..600],
        &[],
    );
    assert!(judged_bytes(small, condition).is_empty());
}
