//! Volume of the reachable colours, and how many real colours lie near them, against outside figures.

mod common;
#[path = "common/profiles.rs"]
mod profiles;

use common::{Row, reference};
use inkset_colour::{
    BuildLimits, Gamut, LabD50, PrintingCondition, best_build, condition_from_table,
    read_characterisation, shipped,
};
use profiles::fetched;
use rayon::prelude::*;

#[test]
fn volumes_are_those_of_the_reference() {
    for row in reference("gamut_volume") {
        let condition = named(row.text(0));
        let gamut = Gamut::of(condition, row.number(1));
        for (found, wanted) in [
            (gamut.convex_volume(), row.number(2)),
            (gamut.volume(), row.number(3)),
        ] {
            println!("{}: {found:.0}, reference {wanted:.0}", row.text(0));
            assert!(
                (found / wanted - 1.0).abs() <= 0.03,
                "{}: {found}",
                row.line
            );
        }
    }
}

/// A shipped condition, or one made from a table that the test command fetches.
fn named(name: &str) -> &'static PrintingCondition {
    if let Some(condition) = shipped(name) {
        return condition;
    }
    let table = read_characterisation(name, &fetched(name)).expect("a sound table");
    Box::leak(Box::new(
        condition_from_table(&table).expect("paper and solids are there"),
    ))
}

#[test]
fn counts_of_real_colours_are_those_of_the_reference() {
    let colours: Vec<LabD50> = reference("munsell_real_lab_d50")
        .iter()
        .map(|row| LabD50::new(row.number(3), row.number(4), row.number(5)))
        .collect();
    assert_eq!(colours.len(), 2734);
    for row in reference("munsell_counts") {
        let found = counts(&row, &colours);
        let wanted: [f64; 5] = std::array::from_fn(|i| row.number(2 + i));
        println!("{}: {found:?}, reference {wanted:?}", row.text(0));
        for (found, wanted) in found.into_iter().zip(wanted) {
            let off = (found as f64 - wanted).abs();
            assert!(
                off <= (0.03 * wanted).max(1.0),
                "{}: found {found}",
                row.line
            );
        }
    }
}

/// Colours inside, and within 1, 2, 3 and 5 ΔE00 of a build.
fn counts(row: &Row, colours: &[LabD50]) -> [usize; 5] {
    let condition = named(row.text(0));
    let limits = BuildLimits {
        ink_limit: row.number(1),
        smallest_dot: 0.0,
        ..BuildLimits::of(condition)
    };
    let gamut = Gamut::of(condition, row.number(1));
    let off: Vec<f64> = colours
        .par_iter()
        .map(|lab| best_build(condition, *lab, &limits).unrounded_delta_e)
        .collect();
    let within = |limit: f64| off.iter().filter(|d| **d <= limit).count();
    let inside = colours.iter().filter(|lab| gamut.holds(**lab)).count();
    [inside, within(1.0), within(2.0), within(3.0), within(5.0)]
}

#[test]
fn more_ink_never_shrinks_the_body() {
    let condition = shipped("newsprint-tr002").expect("a shipped condition");
    let volumes = [200.0, 260.0, 400.0].map(|limit| Gamut::of(condition, limit).volume());
    assert!(
        volumes[0] < volumes[1] * 1.001 && volumes[1] < volumes[2] * 1.001,
        "{volumes:?}"
    );
}

#[test]
fn paper_and_tints_are_inside_and_light_beyond_is_not() {
    let condition = shipped("coated-fogra39").expect("a shipped condition");
    let gamut = Gamut::of(condition, 300.0);
    assert!(gamut.holds(condition.lab([30.0, 30.0, 30.0, 10.0])));
    assert!(!gamut.holds(LabD50::new(99.0, 0.0, 0.0)));
    assert!(!gamut.holds(LabD50::new(60.0, -90.0, 40.0)));
    assert!(!gamut.holds(LabD50::new(f64::NAN, 0.0, 0.0)));
}
