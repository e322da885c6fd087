//! Spectra to CIELAB against independently computed figures.

mod common;

use common::reference;
use inkset_colour::Spectrum;

#[test]
fn spectra_match_an_independent_computation() {
    let rows = reference("spectra_lab_d50");
    assert!(rows.len() >= 40, "{}", rows.len());
    let mut worst = [0.0_f64; 2];
    for row in rows {
        let factors: Vec<f64> = row.text(3).split(' ').map(|f| f.parse().unwrap()).collect();
        let spectrum = Spectrum::new(row.number(1) as u32, row.number(2) as u32, &factors).unwrap();
        let (xyz, lab) = (spectrum.xyz(), spectrum.lab());
        let off = |found: [f64; 3], from: usize| {
            let each = found.into_iter().enumerate();
            each.map(|(i, v)| (v - row.number(from + i)).abs())
                .fold(0.0, f64::max)
        };
        let off = [off([xyz.x, xyz.y, xyz.z], 4), off([lab.l, lab.a, lab.b], 7)];
        assert!(
            off[0] <= 0.005 && off[1] <= 0.02,
            "{}: {xyz:?} {lab:?}",
            row.line
        );
        worst = [worst[0].max(off[0]), worst[1].max(off[1])];
    }
    assert!(
        worst[1] > 0.0,
        "figures that agree to the last digit were not computed apart"
    );
    println!("worst XYZ {:.5}, worst Lab {:.5}", worst[0], worst[1]);
}
