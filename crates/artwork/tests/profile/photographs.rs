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

fn judged(name: &str, (profile, condition): (&OutputProfile, &PrintingCondition)) -> Photograph {
    let own = profile.separation().unwrap();
    let settings = Settings {
        separator: &Separator::of_profile(condition, own),
        ink_limit: condition.ink_limit(),
        page_box: PageBox::Trim,
        resolution: USUAL_RESOLUTION,
        pages: None,
        photographs: Photographs::Judged,
    };
    let mut artwork = measure(Cursor::new(fetched(name)), &settings, &mut |_| {}).unwrap();
    let page = artwork.pages.remove(0).unwrap();
    page.photograph.unwrap()
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
        assert_eq!(
            u64::from(ours.picture.width) * u64::from(ours.picture.height),
            rgb.len() as u64
        );
    }
}
