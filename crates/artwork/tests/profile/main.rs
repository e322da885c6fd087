//! RGB through a profile's own separations, and what photographs lose by it, against lcms2; files of other makers
//! through the same profile, against Ghostscript.
#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test fails as the test does: loudly"
)]

#[path = "../../../../tests/support/fetched.rs"]
mod fetched;
mod found;
mod photographs;
#[path = "../support/plates.rs"]
mod plates;

use fetched::{FETCHED, fetched};
use inkset_artwork::Separator;
use inkset_colour::{
    D50_WHITE, LabD50, OutputProfile, PrintingCondition, delta_e00, grid_from_profile,
    read_output_profile,
};
use lcms2::{CIExyY, Flags, Intent, PixelFormat, Profile, Transform};

/// A profile with the condition that is computed from it.
fn opened(name: &str) -> (OutputProfile, PrintingCondition) {
    let profile = read_output_profile(name, &fetched(name)).unwrap();
    let condition = PrintingCondition::from_bytes(&grid_from_profile(&profile).unwrap()).unwrap();
    (profile, condition)
}

/// lcms2's way from sRGB: relative colorimetric with black-point compensation, and back to Lab relative to the paper.
struct Reference {
    to_inks: Transform<[u16; 3], [u16; 4]>,
    to_lab: Transform<[u16; 4], [f64; 3]>,
    from_rgb: Transform<[u16; 3], [f64; 3]>,
    /// Y of the black that lcms2 finds in the profile, 0 to 1.
    black: f64,
}

impl Reference {
    fn of(profile: &[u8]) -> Self {
        let intent = Intent::RelativeColorimetric;
        let rgb = Profile::new_srgb();
        let press = Profile::new_icc(profile).unwrap();
        let sum = D50_WHITE.x + D50_WHITE.y + D50_WHITE.z;
        let white = CIExyY {
            x: D50_WHITE.x / sum,
            y: D50_WHITE.y / sum,
            Y: 1.0,
        };
        let lab = Profile::new_lab4_context(lcms2::GlobalContext::new(), &white).unwrap();
        let exact = Flags::NO_OPTIMIZE;
        let compensated = Flags::NO_OPTIMIZE | Flags::BLACKPOINT_COMPENSATION;
        let (rgb16, cmyk16) = (PixelFormat::RGB_16, PixelFormat::CMYK_16);
        Self {
            to_inks: Transform::new_flags(&rgb, rgb16, &press, cmyk16, intent, compensated)
                .unwrap(),
            to_lab: Transform::new_flags(&press, cmyk16, &lab, PixelFormat::Lab_DBL, intent, exact)
                .unwrap(),
            from_rgb: Transform::new_flags(&rgb, rgb16, &lab, PixelFormat::Lab_DBL, intent, exact)
                .unwrap(),
            black: press.detect_destination_black_point(intent).unwrap().Y,
        }
    }

    fn printed(&self, rgb: &[[u16; 3]]) -> Vec<LabD50> {
        let mut inks = vec![[0; 4]; rgb.len()];
        self.to_inks.transform_pixels(rgb, &mut inks);
        let mut lab = vec![[0.0; 3]; rgb.len()];
        self.to_lab.transform_pixels(&inks, &mut lab);
        lab.into_iter().map(lab_of).collect()
    }

    fn seen(&self, rgb: &[[u16; 3]]) -> Vec<LabD50> {
        let mut lab = vec![[0.0; 3]; rgb.len()];
        self.from_rgb.transform_pixels(rgb, &mut lab);
        lab.into_iter().map(lab_of).collect()
    }
}

fn lab_of([l, a, b]: [f64; 3]) -> LabD50 {
    LabD50::new(l, a, b)
}

/// Colours of the whole cube, of 8 bits: a lattice, and between it by a seeded stream.
fn colours() -> Vec<[u16; 3]> {
    let mut state = 7_u64;
    let mut next = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 56) as u16 * 257
    };
    let mut all: Vec<[u16; 3]> = (0..20_000).map(|_| [next(), next(), next()]).collect();
    let level = |at: usize| (at * 51) as u16 * 257;
    all.extend((0..216).map(|at| [level(at / 36), level(at / 6 % 6), level(at % 6)]));
    all
}

#[test]
fn separations_agree_with_lcms2() {
    for name in FETCHED {
        let (profile, condition) = opened(name);
        let own = profile.separation().unwrap();
        let separation = Separator::of_profile(&condition, own).srgb();
        let rgb = colours();
        let reference = Reference::of(&fetched(name));
        let mut apart: Vec<f64> = rgb
            .iter()
            .zip(reference.printed(&rgb))
            .map(|(rgb, theirs)| {
                let tones = separation.tones(*rgb).map(|tone| f64::from(tone) / 655.35);
                delta_e00(profile.lab_relative(tones), theirs)
            })
            .collect();
        apart.sort_by(f64::total_cmp);
        let mean = apart.iter().sum::<f64>() / apart.len() as f64;
        let p99 = apart[apart.len() * 99 / 100];
        let worst = apart[apart.len() - 1];
        println!("{name}: mean {mean:.3}, 99th percentile {p99:.3}, largest {worst:.3}");
        assert!(
            mean <= 0.3 && p99 <= 1.0,
            "{name}: mean {mean:.3}, 99th percentile {p99:.3}"
        );
    }
}

#[test]
fn the_darkest_print_agrees_with_lcms2() {
    for name in FETCHED {
        let (profile, _) = opened(name);
        let ours = profile.separation().unwrap().darkest();
        let y = Reference::of(&fetched(name)).black * 100.0;
        let theirs =
            inkset_colour::lab_from_xyz(inkset_colour::Xyz::new(y * 0.9642, y, y * 0.8249));
        assert!(
            (ours - theirs.l).abs() < 0.5,
            "{name}: L* {ours}, lcms2 {}",
            theirs.l
        );
    }
}

#[test]
fn separations_keep_the_ink_limit_of_the_profile() {
    for name in FETCHED {
        let (profile, condition) = opened(name);
        let separation = Separator::of_profile(&condition, profile.separation().unwrap()).srgb();
        let limit = profile.ink_limit().unwrap();
        for rgb in colours() {
            let sum: f64 = separation
                .tones(rgb)
                .iter()
                .map(|t| f64::from(*t) / 655.35)
                .sum();
            assert!(
                sum <= limit + 0.6,
                "{name}: {rgb:?} takes {sum:.1} % of {limit} %"
            );
        }
    }
}
