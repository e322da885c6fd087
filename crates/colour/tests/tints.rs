//! Tints of a solid, held against the published ramps of the process inks.

use std::sync::Arc;

use inkset_colour::{
    CharacterisationTable, LabD50, ProcessInk, SolidInk, TintCurve, delta_e00, shipped_names,
    shipped_table,
};

/// A ramp of one ink: tones in percent, ascending, with the paper first and the solid last.
fn ramp(table: &CharacterisationTable, ink: ProcessInk) -> Vec<(f64, LabD50)> {
    let alone = |tones: [f64; 4]| (0..4).all(|i| i == ink.index() || tones[i] <= 0.0);
    let mut patches: Vec<(f64, LabD50)> = table
        .patches
        .iter()
        .filter(|patch| alone(patch.tones))
        .map(|patch| (patch.tones[ink.index()], patch.lab))
        .collect();
    patches.sort_by(|p, q| p.0.total_cmp(&q.0));
    let repeats = patches.chunk_by(|p, q| p.0.total_cmp(&q.0).is_eq());
    repeats.map(|same| (same[0].0, mean(same))).collect()
}

fn mean(same: &[(f64, LabD50)]) -> LabD50 {
    let sum = |i: usize| {
        same.iter()
            .map(|(_, lab)| [lab.l, lab.a, lab.b][i])
            .sum::<f64>()
    };
    let n = same.len() as f64;
    LabD50::new(sum(0) / n, sum(1) / n, sum(2) / n)
}

/// ΔE00 of the straight line at its best and of tints measured at 25, 50 and 75 % for every other tone of the ramp.
fn errors(ramp: &[(f64, LabD50)]) -> Vec<[f64; 2]> {
    let (paper, lab) = (ramp[0].1, ramp[ramp.len() - 1].1);
    let known = |tone: f64| [25.0, 50.0, 75.0].iter().any(|k| (k - tone).abs() < 6.0);
    // The nearest tone of the ramp stands in where a table has no 25 or 75 %.
    let given: Vec<(f64, LabD50)> = [25.0, 50.0, 75.0]
        .iter()
        .filter_map(|wanted: &f64| {
            let near = |p: &&(f64, LabD50)| known(p.0) && (p.0 - wanted).abs() < 6.0;
            ramp.iter()
                .filter(near)
                .min_by(|p, q| (p.0 - wanted).abs().total_cmp(&(q.0 - wanted).abs()))
                .copied()
        })
        .collect();
    let straight = SolidInk::new(lab);
    let shaped = SolidInk {
        tints: TintCurve::measured(paper, lab, &given).map(Arc::new),
        ..straight.clone()
    };
    let left_out = ramp[1..ramp.len() - 1]
        .iter()
        .filter(|(tone, _)| given.iter().all(|g| g.0.total_cmp(tone).is_ne()));
    left_out
        .map(|(tone, wanted)| {
            let on_line = (0..=1000).map(|t| straight.tint(paper, f64::from(t) / 10.0));
            let best = on_line
                .map(|lab| delta_e00(lab, *wanted))
                .fold(f64::INFINITY, f64::min);
            [best, delta_e00(shaped.tint(paper, *tone), *wanted)]
        })
        .collect()
}

#[test]
fn three_measured_tints_beat_the_straight_line() {
    let (mut all, mut count) = ([0.0_f64; 2], 0.0);
    for info in shipped_names() {
        let table = shipped_table(&info.name).expect("shipped");
        let mut of_table = Vec::new();
        for ink in ProcessInk::ALL {
            of_table.extend(errors(&ramp(&table, ink)));
        }
        let n = of_table.len() as f64;
        let mean = |at: usize| of_table.iter().map(|e| e[at]).sum::<f64>() / n;
        let most = |at: usize| of_table.iter().map(|e| e[at]).fold(0.0, f64::max);
        println!(
            "{}: {n} tints; line at its best {:.2} / {:.2}, three tints {:.2} / {:.2}",
            info.name,
            mean(0),
            most(0),
            mean(1),
            most(1)
        );
        assert!(n >= 12.0, "{}: {n}", info.name);
        assert!(mean(1) < 0.8 * mean(0), "{}: {}", info.name, mean(1));
        all = [all[0] + n * mean(0), all[1] + n * mean(1)];
        count += n;
    }
    println!(
        "all: line {:.2}, three tints {:.2}",
        all[0] / count,
        all[1] / count
    );
    assert!(all[1] / count < 0.2 && all[0] / count < 0.9);
}
