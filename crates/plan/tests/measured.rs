//! Coverage of artwork in the place of what a job says.
#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

mod support;

use inkset_layout::InkKind;
use inkset_plan::{MeasuredFlat, MeasuredJob, MeasuredPage, measured_job};
use inkset_spec::{Job, page_runs, read_job};
use proptest::prelude::*;
use support::{conditions, planned};

const GREEN: [f64; 4] = [85.0, 20.0, 60.0, 20.0];

/// A flyer whose front guesses the coverage of a solid, of its tint and of a build; its back has type.
fn flyer() -> Job {
    let text = r#"title = "Example"
currency = "EUR"
quantities = [1000]
overs = 0
variation = "controlled"
product = { kind = "flat", part = "flyer", size = "A5", pages = 2, stock = "gloss-150", bleed = "3 mm" }
picture = [ { side = "back", area = 0.2, inks = { c = 0.1, m = 0.1, y = 0.1, k = 0.1 } } ]
[[colour]]
name = "Lantern orange"
lab = [66, 58, 78]
importance = "brand"
tolerance = 2
solid_match = 1
uses = [
  { side = "front", coverage = 0.2, tint = 100, as = "panel" },
  { side = "front", coverage = 0.1, tint = 30, as = "panel" },
]
[[colour]]
name = "Seaweed"
cmyk = [85, 20, 60, 20]
condition = "coated-fogra39"
importance = "matching"
solid = "refused"
uses = [ { side = "front", coverage = 0.5, tint = 100, as = "panel" } ]
[[colour]]
name = "Text black"
cmyk = [0, 0, 0, 100]
condition = "coated-fogra39"
importance = "decorative"
solid = "refused"
uses = [ { side = "back", coverage = 0.04, tint = 100, as = "type" } ]
"#;
    let reading = read_job(text);
    reading
        .value
        .unwrap_or_else(|| panic!("{:#?}", reading.notices))
}

fn blank(page: u32) -> MeasuredPage {
    MeasuredPage {
        part: 0,
        page,
        place: None,
        process: [0.0; 4],
        solids: Vec::new(),
        flats: Vec::new(),
    }
}

fn measured(page: MeasuredPage) -> MeasuredJob {
    let job = flyer();
    measured_job(&job, &conditions(&job, Vec::new()), &[page])
}

/// Coverage of each use of a colour on a page: tint in percent and share.
fn uses(job: &Job, colour: usize, page: u32) -> Vec<(f64, f64)> {
    let uses = job.colours[colour].uses.iter();
    let on_page = uses.filter(|place| place.pages == [page]);
    let mut all: Vec<_> = on_page
        .map(|place| (place.tint.percent(), place.coverage.fraction()))
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

fn near(found: &[(f64, f64)], wanted: &[(f64, f64)]) {
    assert_eq!(found.len(), wanted.len(), "{found:?}");
    for (a, b) in found.iter().zip(wanted) {
        let apart = (a.0 - b.0).abs() + (a.1 - b.1).abs();
        assert!(apart < 1e-9, "{found:?}, wanted {wanted:?}");
    }
}

#[test]
fn a_solid_scales_its_uses() {
    let page = MeasuredPage {
        solids: vec![("LANTERN-ORANGE".to_owned(), 0.46)],
        ..blank(1)
    };
    // The job guesses 0.2 full and 0.1 of 30 %, which is 0.23 of ink.
    near(
        &uses(&measured(page).job, 0, 1),
        &[(30.0, 0.2), (100.0, 0.4)],
    );
}

#[test]
fn more_ink_than_the_tints_hold_is_full_tone() {
    let page = MeasuredPage {
        solids: vec![("Lantern orange".to_owned(), 0.9)],
        ..blank(2)
    };
    let found = measured(page);
    near(&uses(&found.job, 0, 2), &[(100.0, 0.9)]);
    let told: Vec<_> = found.notes.iter().map(|note| note.text.as_str()).collect();
    let wanted =
        "`Lantern orange`: the artwork shows it on page 2 of `flyer`, where the job has none";
    assert!(told.contains(&wanted), "{told:?}");
}

#[test]
fn a_flat_build_is_its_colour() {
    // Not quite the tones of the job, but within its tolerance.
    let tones = [85.0, 20.4, 59.8, 20.0];
    let page = MeasuredPage {
        process: tones.map(|tone| tone / 100.0 * 0.125),
        flats: vec![MeasuredFlat {
            tones,
            share: 0.124,
        }],
        ..blank(1)
    };
    let found = measured(page).job;
    let [(tint, share)] = uses(&found, 1, 1)[..] else {
        panic!("{:?}", found.colours[1].uses);
    };
    // The edges of the panel are counted to it.
    assert!(tint >= 100.0 && (share - 0.125).abs() < 2e-4, "{share}");
    assert!(found.pictures.iter().all(|picture| picture.pages == [2]));
}

#[test]
fn ink_without_a_colour_is_a_picture() {
    let page = MeasuredPage {
        process: [0.3, 0.1, 0.0, 0.0],
        flats: vec![MeasuredFlat {
            tones: [90.0, 30.0, 0.0, 0.0],
            share: 0.3,
        }],
        ..blank(2)
    };
    let found = measured(page).job;
    assert_eq!(found.pictures.len(), 1, "{:?}", found.pictures);
    let inks = found.pictures[0]
        .inks
        .value
        .map(|tone| (tone * 1e6).round() as u32);
    assert_eq!(inks, [300_000, 100_000, 0, 0]);
}

#[test]
fn type_is_as_much_as_its_ink_allows() {
    for (black, wanted) in [(0.1, 0.04), (0.01, 0.01)] {
        let page = MeasuredPage {
            process: [0.0, 0.0, 0.0, black],
            ..blank(2)
        };
        let found = measured(page).job;
        near(&uses(&found, 2, 2), &[(100.0, wanted)]);
        let rest: f64 = found.pictures.iter().map(|p| p.inks.value[3]).sum();
        assert!((rest - (black - wanted)).abs() < 1e-9, "{rest}");
    }
}

#[test]
fn a_colour_that_is_not_there_is_told() {
    let found = measured(blank(1));
    near(&uses(&found.job, 1, 1), &[(100.0, 0.0)]);
    assert_eq!(found.notes.len(), 2, "{:?}", found.notes);
    assert!(found.notes[1].text.contains("the artwork shows none there"));
}

#[test]
fn an_ink_without_a_colour_is_strange() {
    let page = MeasuredPage {
        solids: vec![("Copper".to_owned(), 0.01)],
        ..blank(2)
    };
    let strange = measured(page).strange;
    assert_eq!(strange.len(), 1);
    assert_eq!(
        (strange[0].name.as_str(), &strange[0].pages[..]),
        ("Copper", &[2][..])
    );
}

#[test]
fn page_numbers_are_drawn_together() {
    assert_eq!(page_runs(&[7]), "page 7");
    assert_eq!(page_runs(&[1, 2, 3, 9]), "pages 1-3, 9");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, ..ProptestConfig::default() })]

    /// Whatever is on the page, the option of four inks prints as much of each as was measured.
    #[test]
    fn no_ink_of_the_artwork_is_lost(
        green in 0.0..0.4_f64, black in 0.0..0.3_f64, strange in 0.0..0.1_f64,
        picture in prop::array::uniform4(0.0..0.2_f64),
    ) {
        let flats = [(GREEN, green), ([0.0, 0.0, 0.0, 100.0], black), ([20.0, 80.0, 5.0, 0.0], strange)];
        let process: [f64; 4] = std::array::from_fn(|ink| {
            let flat: f64 = flats.iter().map(|(tones, share)| tones[ink] / 100.0 * share).sum();
            flat + picture[ink]
        });
        let page = MeasuredPage {
            process,
            flats: flats.map(|(tones, share)| MeasuredFlat { tones, share }).to_vec(),
            ..blank(2)
        };
        let plan = planned(&measured(page).job);
        let print = &plan.sets[plan.four_ink].print;
        for (id, share) in print.parts[0].on_page(2) {
            if let InkKind::Process(ink) = print.ink(*id).kind {
                let wanted = process[usize::from(ink)];
                prop_assert!((share - wanted).abs() < 6e-4, "{ink}: {share}, measured {wanted}");
            }
        }
    }
}
