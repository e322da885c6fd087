//! The colour formulas against published and independently computed figures.

mod common;

use common::reference;
use inkset_colour::{
    LabD50, Xyz, delta_e00, lab_from_srgb, lab_from_xyz, shipped_names, shipped_table,
    spot_tone_value, srgb_from_lab, xyz_from_lab,
};

fn assert_close(found: LabD50, wanted: LabD50, tolerance: f64, row: &str) {
    let off = [found.l - wanted.l, found.a - wanted.a, found.b - wanted.b];
    assert!(
        off.iter().all(|d| d.abs() <= tolerance),
        "{row}: found {found:?}"
    );
}

#[test]
fn ciede2000_matches_all_published_pairs() {
    let rows = reference("ciede2000");
    assert_eq!(rows.len(), 34);
    for row in rows {
        let x = LabD50::new(row.number(1), row.number(2), row.number(3));
        let y = LabD50::new(row.number(4), row.number(5), row.number(6));
        for found in [delta_e00(x, y), delta_e00(y, x)] {
            assert!(
                (found - row.number(7)).abs() <= 0.0001,
                "{}: found {found}",
                row.line
            );
        }
    }
}

#[test]
fn srgb_to_lab_matches() {
    for row in reference("srgb_lab_d50") {
        let rgb = [0, 1, 2].map(|i| row.number(i) as u8);
        let wanted = LabD50::new(row.number(3), row.number(4), row.number(5));
        assert_close(lab_from_srgb(rgb), wanted, 0.01, &row.line);
        assert_eq!(srgb_from_lab(lab_from_srgb(rgb)), rgb, "{}", row.line);
    }
}

#[test]
fn xyz_to_lab_matches_and_turns_back() {
    for row in reference("xyz_lab_d50") {
        let xyz = Xyz::new(row.number(0), row.number(1), row.number(2));
        let wanted = LabD50::new(row.number(3), row.number(4), row.number(5));
        assert_close(lab_from_xyz(xyz), wanted, 0.01, &row.line);
        let back = xyz_from_lab(lab_from_xyz(xyz));
        let off = (back.x - xyz.x).abs() + (back.y - xyz.y).abs() + (back.z - xyz.z).abs();
        assert!(off < 1e-9, "{}: {back:?}", row.line);
    }
}

#[test]
fn red_is_positive_a_and_yellow_positive_b() {
    assert!(lab_from_srgb([255, 0, 0]).a > 50.0);
    assert!(lab_from_srgb([0, 255, 0]).a < -50.0);
    assert!(lab_from_srgb([255, 255, 0]).b > 50.0);
    assert!(lab_from_srgb([0, 0, 255]).b < -50.0);
}

#[test]
fn screen_clips_what_it_cannot_show() {
    assert_eq!(srgb_from_lab(LabD50::new(120.0, 0.0, 0.0)), [255, 255, 255]);
    assert_eq!(srgb_from_lab(LabD50::new(-5.0, 0.0, 0.0)), [0, 0, 0]);
    assert_eq!(srgb_from_lab(LabD50::new(f64::NAN, 0.0, 0.0)).len(), 3);
}

#[test]
fn difference_is_a_distance_in_the_small_things() {
    let grey = LabD50::new(50.0, 0.0, 0.0);
    assert!(delta_e00(grey, grey).abs() < 1e-12);
    let opposite = (LabD50::new(50.0, 20.0, 0.0), LabD50::new(50.0, -20.0, 0.0));
    let (there, back) = (
        delta_e00(opposite.0, opposite.1),
        delta_e00(opposite.1, opposite.0),
    );
    assert!((there - back).abs() < 1e-12);
}

#[test]
fn spot_tone_value_matches_the_ramps() {
    for row in reference("spot_tone_value") {
        let ink = ["C", "M", "Y", "K"]
            .iter()
            .position(|i| *i == row.text(1))
            .expect("one of the four");
        let patches = shipped_table(row.text(0))
            .expect("a shipped condition")
            .averaged();
        let measured = |tone: f64| {
            let mut tones = [0.0; 4];
            tones[ink] = tone;
            let patch = patches
                .iter()
                .find(|p| p.is_at(tones))
                .expect("a step of the ramp");
            xyz_from_lab(patch.lab)
        };
        let found = spot_tone_value(measured(0.0), measured(100.0), measured(row.number(2)));
        assert!(
            (found - row.number(3)).abs() <= 0.3,
            "{}: found {found:.2}",
            row.line
        );
    }
    assert_eq!(shipped_names().len(), 5);
}
