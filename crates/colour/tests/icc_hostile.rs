//! Profiles that are damaged, of another kind, or lie about their sizes.

mod common;
#[path = "common/profiles.rs"]
mod profiles;

use inkset_colour::{ProfileProblem, read_output_profile};
use profiles::{Kind, pieces, plain_table, profile};
use proptest::prelude::*;

const KIND: Kind = Kind {
    major: 4,
    connection: *b"Lab ",
};

fn sound() -> Vec<u8> {
    profile(KIND, &[(*b"A2B1", pieces(1))])
}

/// A sound profile with some bytes replaced.
fn with(at: usize, bytes: &[u8]) -> Vec<u8> {
    let mut profile = sound();
    profile[at..at + bytes.len()].copy_from_slice(bytes);
    profile
}

fn problem(bytes: &[u8]) -> ProfileProblem {
    match read_output_profile("press.icc", bytes) {
        Ok(_) => panic!("the profile should have been refused"),
        Err(problem) => problem,
    }
}

/// Where the contents of the table start: the second tag's entry says so.
fn table_at(profile: &[u8]) -> usize {
    u32::from_be_bytes([profile[148], profile[149], profile[150], profile[151]]) as usize
}

#[test]
fn each_fault_is_told_with_its_byte() {
    let at = table_at(&sound());
    let clut = at + u32::from_be_bytes(sound()[at + 24..at + 28].try_into().unwrap()) as usize;
    let cases: [(Vec<u8>, &str, usize); 19] = [
        (Vec::new(), "profile-cut-off", 0),
        (sound()[..100].to_vec(), "profile-cut-off", 0),
        (sound()[..sound().len() - 40].to_vec(), "profile-cut-off", 0),
        (vec![0x5a; 5000], "profile-not-one", 36),
        (with(8, &[5]), "profile-wrong-version", 8),
        (with(12, b"mntr"), "profile-wrong-class", 12),
        (with(12, b"link"), "profile-wrong-class", 12),
        (with(16, b"RGB "), "profile-wrong-class", 16),
        (with(20, b"Luv "), "profile-wrong-class", 20),
        (with(128, &[0xff; 4]), "profile-too-large", 128),
        (with(132, b"wxyz"), "profile-no-white", 128),
        (with(136, &[0xff; 4]), "profile-cut-off", 136),
        (with(152, &[0x7f; 4]), "profile-cut-off", 148),
        (with(144, b"A2B9"), "profile-no-table", 128),
        (with(at, b"zzzz"), "profile-unknown-form", at),
        (with(at + 8, &[3]), "profile-wrong-channels", at + 8),
        (with(at + 24, &[0; 4]), "profile-table-size", at + 24),
        (with(clut, &[255; 4]), "profile-too-large", clut),
        (with(clut, &[1]), "profile-table-size", clut),
    ];
    for (bytes, code, offset) in cases {
        let found = problem(&bytes);
        assert_eq!((found.code, found.offset), (code, offset), "{found}");
        assert!(found.to_string().contains("press.icc, byte"), "{found}");
    }
}

#[test]
fn device_link_and_rgb_are_named() {
    assert!(problem(&with(12, b"link")).message.contains("device link"));
    assert!(problem(&with(16, b"RGB ")).message.contains("`RGB`"));
    assert!(problem(&with(12, b"mntr")).message.contains("display"));
}

#[test]
fn table_larger_than_its_file_is_refused() {
    let bytes = profile(KIND, &[(*b"A2B1", plain_table(16))]);
    let at = table_at(&bytes);
    let mut lying = bytes.clone();
    lying[at + 10] = 17;
    assert_eq!(problem(&lying).code, "profile-cut-off");
    lying[at + 10] = 255;
    assert_eq!(problem(&lying).code, "profile-too-large");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn no_bytes_upset_the_reader(
        table in 0_usize..4,
        changes in prop::collection::vec((0_usize..6000, any::<u8>()), 0..12),
        cut in prop::option::of(0_usize..6000),
    ) {
        let table = [pieces(1), pieces(2), plain_table(8), plain_table(16)][table].clone();
        let mut bytes = profile(KIND, &[(*b"A2B0", table)]);
        for (at, byte) in changes {
            let length = bytes.len();
            // Half of the changes hit the header, the tags and the head of the table.
            let at = if byte % 2 == 0 { at % 260 } else { at % length };
            bytes[at] = byte;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut);
        }
        if let Ok(profile) = read_output_profile("mutated.icc", &bytes) {
            for tones in [[0.0; 4], [100.0; 4], [33.3, f64::NAN, 1e9, -5.0], [7.0, 64.0, 99.9, 0.1]] {
                prop_assert!(profile.lab(tones).is_finite());
            }
        }
    }
}
