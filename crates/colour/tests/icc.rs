//! Output profiles against another evaluator, and against conditions made from the same table.

mod common;
#[path = "common/profiles.rs"]
mod profiles;

use common::{Stream, summary};
use inkset_colour::{
    D50_WHITE, LabD50, OutputProfile, PrintingCondition, delta_e00, grid_from_profile,
    read_output_profile, shipped, xyz_from_lab,
};
use lcms2::{CIExyY, GlobalContext, Intent, PixelFormat, Profile, Transform};
use profiles::{ARITHMETIC, FETCHED, Kind, fetched, pieces, plain_table, profile};

const LAB: [u8; 4] = *b"Lab ";
const XYZ: [u8; 4] = *b"XYZ ";

/// The float path of lcms2, with tones in percent.
fn reference(bytes: &[u8], intent: Intent, tones: &[[f64; 4]]) -> Vec<LabD50> {
    let context = GlobalContext::new();
    let input = Profile::new_icc_context(&context, bytes).expect("lcms2 reads the profile");
    let sum = D50_WHITE.x + D50_WHITE.y + D50_WHITE.z;
    let white = CIExyY {
        x: D50_WHITE.x / sum,
        y: D50_WHITE.y / sum,
        Y: 1.0,
    };
    let lab = Profile::new_lab4_context(&context, &white).expect("lcms2 makes a Lab profile");
    let transform: Transform<[f64; 4], [f64; 3]> = Transform::new_context(
        &context,
        &input,
        PixelFormat::CMYK_DBL,
        &lab,
        PixelFormat::Lab_DBL,
        intent,
    )
    .expect("lcms2 makes the transform");
    let mut out = vec![[0.0; 3]; tones.len()];
    transform.transform_pixels(tones, &mut out);
    out.iter()
        .map(|[l, a, b]| LabD50::new(*l, *a, *b))
        .collect()
}

fn random_tones(n: usize) -> Vec<[f64; 4]> {
    let mut stream = Stream(11);
    let mut tones: Vec<[f64; 4]> = (0..n)
        .map(|_| [(); 4].map(|()| stream.between(0.0, 100.0)))
        .collect();
    // Corners and edges, where a reader counts past its end first.
    tones.extend((0..81_usize).map(|i| [27, 9, 3, 1].map(|step| 50.0 * (i / step % 3) as f64)));
    tones
}

/// Compares both intents; returns the largest difference and a line about each.
fn worst(name: &str, bytes: &[u8]) -> (f64, String) {
    let ours = read_output_profile(name, bytes).unwrap_or_else(|problem| panic!("{problem}"));
    let tones = random_tones(20_000);
    let relative: fn(&OutputProfile, [f64; 4]) -> LabD50 = OutputProfile::lab_relative;
    let both = [
        (Intent::RelativeColorimetric, relative),
        (Intent::AbsoluteColorimetric, OutputProfile::lab),
    ];
    let mut lines = name.to_owned();
    let mut worst: f64 = 0.0;
    for (intent, evaluate) in both {
        let theirs = reference(bytes, intent, &tones);
        let pairs = tones.iter().zip(&theirs);
        let (mean, p95, max) = summary(
            pairs
                .map(|(t, lab)| delta_e00(evaluate(&ours, *t), *lab))
                .collect(),
        );
        let line = format!(
            "
  {intent:?}: mean {mean:.4}, p95 {p95:.4}, max {max:.4}"
        );
        lines.push_str(&line);
        worst = worst.max(max);
    }
    (worst, lines)
}

#[test]
fn real_profiles_agree_with_lcms2() {
    for name in FETCHED {
        let (worst, lines) = worst(name, &fetched(name));
        println!("{lines}");
        assert!(worst <= 0.02, "{lines}");
    }
}

/// No packaged profile of a press has an `mAB` table, so these are made here.
#[test]
fn every_form_of_table_agrees_with_lcms2() {
    let made = [
        ("mAB 16 bits, version 4, Lab", 4, LAB, pieces(2)),
        ("mAB 8 bits, version 4, Lab", 4, LAB, pieces(1)),
        ("mft2, version 4, Lab", 4, LAB, plain_table(16)),
        ("mft1, version 4, Lab", 4, LAB, plain_table(8)),
        ("mft1, version 2, Lab", 2, LAB, plain_table(8)),
        ("mft2, version 2, XYZ", 2, XYZ, plain_table(16)),
        ("mAB 16 bits, version 4, XYZ", 4, XYZ, pieces(2)),
    ];
    for (name, major, connection, table) in made {
        let bytes = profile(Kind { major, connection }, &[(*b"A2B1", table)]);
        let (worst, lines) = worst(name, &bytes);
        println!("{lines}");
        assert!(worst <= 0.02, "{lines}");
    }
}

/// Near its black, one 16-bit step of lcms2's own arithmetic is up to 0.2 ΔE00, so that steps are compared.
#[test]
fn packaged_version_four_agrees_within_two_steps() {
    let bytes = fetched(ARITHMETIC);
    let ours = read_output_profile(ARITHMETIC, &bytes).expect("a sound profile");
    assert_eq!(ours.version().0, 4);
    let tones = random_tones(20_000);
    for (tones, theirs) in tones
        .iter()
        .zip(reference(&bytes, Intent::AbsoluteColorimetric, &tones))
    {
        let (ours, theirs) = (xyz_from_lab(ours.lab(*tones)), xyz_from_lab(theirs));
        let off = [ours.x - theirs.x, ours.y - theirs.y, ours.z - theirs.z];
        let step = 100.0 / 32768.0;
        assert!(
            off.iter().all(|d| d.abs() <= 2.0 * step),
            "{tones:?}: {ours:?}, {theirs:?}"
        );
    }
}

#[test]
fn absolute_paper_is_the_media_white() {
    for name in FETCHED {
        let ours = read_output_profile(name, &fetched(name)).expect("it was read before");
        let paper = ours.lab([0.0; 4]);
        let white = inkset_colour::lab_from_xyz(ours.white());
        assert!(
            delta_e00(paper, white) < 0.1,
            "{name}: {paper:?}, {white:?}"
        );
        assert!(ours.lab_relative([0.0; 4]).l > 99.9, "{name}");
    }
}

#[test]
fn ink_limit_is_read_off_the_separations() {
    for (name, low, high) in [
        ("ISOcoated_v2_300_bas.icc", 298.0, 302.0),
        ("FOGRA39L_coated.icc", 250.0, 400.0),
    ] {
        let ours = read_output_profile(name, &fetched(name)).expect("it was read before");
        let limit = ours.ink_limit().expect("it has separations");
        println!("{name}: ink limit {limit}");
        assert!((low..=high).contains(&limit), "{name}: {limit}");
    }
    let one_way = profile(
        Kind {
            major: 4,
            connection: LAB,
        },
        &[(*b"A2B1", pieces(2))],
    );
    let ours = read_output_profile("one way", &one_way).expect("it has what is needed");
    assert_eq!(ours.ink_limit(), None);
    assert!((ours.info().ink_limit - 300.0).abs() < 1e-9);
}

#[test]
fn condition_from_table_meets_profiles_of_others() {
    let condition = shipped("coated-fogra39").expect("a shipped condition");
    for (name, allowed) in [
        ("ISOcoated_v2_300_bas.icc", 0.2),
        ("FOGRA39L_coated.icc", 0.6),
    ] {
        let theirs = read_output_profile(name, &fetched(name)).expect("it was read before");
        let mut stream = Stream(5);
        let differences = (0..20_000).map(|_| {
            let tones = stream.tones(condition.ink_limit());
            delta_e00(condition.lab(tones), theirs.lab(tones))
        });
        let (mean, p95, max) = summary(differences.collect());
        println!("coated-fogra39 to {name}: mean {mean:.3}, p95 {p95:.3}, max {max:.3}");
        assert!(mean <= allowed, "{name}: mean {mean}");
    }
}

#[test]
fn grid_follows_the_profile() {
    for name in FETCHED {
        let profile = read_output_profile(name, &fetched(name)).expect("it was read before");
        let grid = grid_from_profile(&profile).expect("paper and solids are there");
        let condition = PrintingCondition::from_bytes(&grid).expect("a fresh grid opens");
        let mut stream = Stream(9);
        let differences = (0..5000).map(|_| {
            let tones = stream.tones(condition.ink_limit());
            delta_e00(condition.lab(tones), profile.lab(tones))
        });
        let (mean, p95, max) = summary(differences.collect());
        println!("{name}: grid mean {mean:.3}, p95 {p95:.3}, max {max:.3}");
        assert!(mean <= 0.25, "{name}: mean {mean}");
    }
}
