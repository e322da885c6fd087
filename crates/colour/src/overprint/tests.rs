//! Predicted overprints against measured ones.

use super::*;
use crate::neugebauer::Neugebauer;
use crate::table::Patch;
use crate::{ProcessSet, Variation, shipped, shipped_names};

fn conditions() -> impl Iterator<Item = &'static PrintingCondition> {
    shipped_names()
        .iter()
        .map(|info| shipped(&info.name).expect("a shipped condition opens"))
}

fn orange() -> FurtherInk {
    FurtherInk::of(SolidInk::new(LabD50::new(65.0, 58.0, 85.0)))
}

fn green() -> FurtherInk {
    FurtherInk::of(SolidInk::new(LabD50::new(55.0, -68.0, 30.0)))
}

#[test]
fn error_on_published_overprints_is_known() {
    // Published characterisation data, named in each file of rates/conditions.
    for condition in conditions() {
        let error = overprint_error(condition);
        println!("{} {error:?}", condition.name());
        assert_eq!(error.count, 11);
        assert!((1.0..6.0).contains(&error.mean), "{error:?}");
        assert!((error.mean..9.0).contains(&error.largest), "{error:?}");
    }
}

#[test]
fn without_further_ink_the_condition_stands() {
    let condition = conditions().next().expect("a condition is shipped");
    let overprints = Overprints::new(condition, &[orange(), green()]);
    for tones in [[0.0; 4], [30.0, 5.0, 77.0, 0.0], [60.0, 50.0, 40.0, 90.0]] {
        let seen = overprints.lab(tones, &[]);
        assert!(delta_e00(seen.lab, condition.lab(tones)) < 1e-9);
        assert!(seen.share.abs() < 1e-12);
    }
}

#[test]
fn alone_on_paper_tints_follow_the_standard() {
    for condition in conditions() {
        let ink = orange();
        let overprints = Overprints::new(condition, std::slice::from_ref(&ink));
        for tone in [0.0, 2.0, 25.0, 50.0, 75.0, 100.0] {
            let seen = overprints.lab([0.0; 4], &[tone]);
            let wanted = ink.solid.tint(condition.paper(), tone);
            assert!(delta_e00(seen.lab, wanted) < 0.02, "{tone} {seen:?}");
            assert!(seen.share.abs() < 1e-12);
        }
    }
}

#[test]
fn an_opaque_ink_hides_what_lies_below() {
    let condition = conditions().next().expect("a condition is shipped");
    let opaque = FurtherInk {
        opacity: 1.0,
        ..orange()
    };
    let over = Overprints::new(condition, std::slice::from_ref(&opaque));
    let black = [0.0, 0.0, 0.0, 100.0];
    assert!(delta_e00(over.lab(black, &[100.0]).lab, opaque.solid.lab) < 1e-2);
    let first = FurtherInk {
        order: PrintOrder::BeforeProcess,
        ..opaque
    };
    let under = Overprints::new(condition, &[first]);
    assert!(under.lab(black, &[100.0]).lab.l < condition.lab(black).l + 1.0);
}

#[test]
fn less_trapping_leaves_an_overprint_lighter() {
    let condition = conditions().next().expect("a condition is shipped");
    let lightness = |trapping: f64| {
        let ink = FurtherInk {
            trapping,
            ..green()
        };
        let overprints = Overprints::new(condition, &[ink]);
        overprints.lab([0.0, 100.0, 0.0, 0.0], &[100.0]).lab.l
    };
    assert!(lightness(0.5) > lightness(0.9) && lightness(0.9) > lightness(1.0));
}

#[test]
fn an_orange_reaches_what_four_inks_miss() {
    let condition = conditions().next().expect("a condition is shipped");
    let overprints = Overprints::new(condition, &[orange()]);
    let target = orange().solid.tint(condition.paper(), 85.0);
    let limits = FurtherLimits {
        process: ProcessSet::of_tones([0.0, 1.0, 1.0, 1.0]),
        further: [true, false],
        ink_limit: condition.ink_limit(),
        smallest_dot: condition.smallest_dot(),
    };
    let found = overprints.best(target, &limits);
    assert_eq!((found.process, found.further), ([0; 4], [85, 0]));
    let four = crate::best_build(condition, target, &crate::BuildLimits::of(condition));
    assert!(four.delta_e > 3.0 && found.delta_e < 0.1, "{found:?}");
}

#[test]
fn search_matches_every_build_tried() {
    let condition = conditions().next().expect("a condition is shipped");
    let overprints = Overprints::new(condition, &[orange()]);
    let limits = FurtherLimits {
        process: ProcessSet::BLACK,
        further: [true, false],
        ink_limit: 180.0,
        smallest_dot: 3.0,
    };
    for target in [
        LabD50::new(40.0, 30.0, 40.0),
        LabD50::new(75.0, 20.0, 30.0),
        LabD50::new(25.0, 10.0, 12.0),
        LabD50::new(60.0, 0.0, 0.0),
    ] {
        let found = overprints.best(target, &limits);
        let mut least = f64::INFINITY;
        for (k, o) in (0..=100_u8).flat_map(|k| (0..=100_u8).map(move |o| (k, o))) {
            let small = |tone: u8| tone > 0 && f64::from(tone) < limits.smallest_dot;
            if !small(k) && !small(o) && u32::from(k) + u32::from(o) <= 180 {
                let seen = overprints.lab([0.0, 0.0, 0.0, f64::from(k)], &[f64::from(o)]);
                least = least.min(delta_e00(target, seen.lab));
            }
        }
        assert!(found.delta_e <= least + PREFERRED, "{found:?} {least}");
        assert!(found.delta_e >= least - 1e-9);
    }
}

const PREFERRED: f64 = crate::PREFERENCE_SLACK + 1e-9;

#[test]
fn press_moves_every_ink_of_the_build() {
    let condition = conditions().next().expect("a condition is shipped");
    let overprints = Overprints::new(condition, &[orange(), green()]);
    let build = ([0.0, 0.0, 30.0, 20.0], [60.0, 0.0]);
    let aim = overprints.lab(build.0, &build.1).lab;
    let spread = overprints.on_press((build.0, &build.1), aim, &Variation::CONTROLLED);
    assert!(spread.p95 > spread.median && spread.median > 0.0);
    let drifts = overprints.drifts((build.0, &build.1), &Variation::CONTROLLED);
    assert_eq!(drifts.len(), 6);
    let moved: Vec<bool> = drifts.iter().map(|d| *d > 0.05).collect();
    assert_eq!(moved, [false, false, true, true, true, false], "{drifts:?}");
    assert!(drifts.iter().all(|d| *d < spread.p95 + 0.05));
}

/// The 2,376 patches with spectra of 36 bands that the profile `cmyk.icm` of Debian's krita-data carries as its source.
fn measured_spectra() -> Vec<([f64; 4], Bands)> {
    let path =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/test-data/cmyk.icm");
    let bytes = std::fs::read(&path)
        .unwrap_or_else(|error| panic!("{}: {error}; see DEVELOPERS.md", path.display()));
    let text = String::from_utf8_lossy(&bytes);
    let from = text
        .find("NUMBER_OF_SETS 2376")
        .expect("the table is in it");
    let rows = text[from..].split(['\r', '\n']).filter_map(|line| {
        let figures: Vec<f64> = line
            .split_whitespace()
            .filter_map(|word| word.parse().ok())
            .collect();
        (figures.len() == 44).then(|| {
            let tones = std::array::from_fn(|i| figures[1 + i]);
            (tones, std::array::from_fn(|i| figures[8 + i] / 100.0))
        })
    });
    rows.collect()
}

#[test]
fn measured_spectra_are_predicted_overprint_of_solids_and_ramps() {
    let measured = measured_spectra();
    assert_eq!(measured.len(), 2376);
    let inks = |tones: &[f64; 4]| tones.iter().filter(|tone| **tone > 0.0).count();
    let mut spectra = [[0.0; bands::BANDS]; 16];
    for mask in [0, 1, 2, 4, 8_usize] {
        let is_primary = |tones: &[f64; 4]| {
            (0..4).all(|i| {
                let wanted = if mask >> i & 1 == 1 { 100.0 } else { 0.0 };
                (tones[i] - wanted).abs() < 1e-9
            })
        };
        let same: Vec<&Bands> = measured
            .iter()
            .filter(|(tones, _)| is_primary(tones))
            .map(|(_, bands)| bands)
            .collect();
        spectra[mask] =
            std::array::from_fn(|b| same.iter().map(|s| s[b]).sum::<f64>() / same.len() as f64);
    }
    let ground = Ground::of_solids(&spectra);
    let primaries =
        std::array::from_fn(|mask| bands::xyz(&ground.overprint_of_solids(mask)).to_array());
    let patch = |(tones, bands): &([f64; 4], Bands)| Patch {
        tones: *tones,
        lab: lab_from_xyz(bands::xyz(bands)),
    };
    let ramps: Vec<Patch> = measured
        .iter()
        .filter(|m| inks(&m.0) <= 1)
        .map(patch)
        .collect();
    let model = Neugebauer::fit_curves(&primaries, &ramps);
    let mut differences: Vec<f64> = measured
        .iter()
        .filter(|m| inks(&m.0) > 1)
        .map(|m| delta_e00(patch(m).lab, model.lab(m.0)))
        .collect();
    differences.sort_by(f64::total_cmp);
    let mean = differences.iter().sum::<f64>() / differences.len() as f64;
    let p95 = differences[differences.len() * 95 / 100];
    println!(
        "{} patches: mean {mean:.2}, p95 {p95:.2}",
        differences.len()
    );
    assert_eq!(differences.len(), 2341);
    assert!(
        (1.0..6.5).contains(&mean) && (mean..11.0).contains(&p95),
        "{mean} {p95}"
    );
}
