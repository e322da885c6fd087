//! No bytes make the readers panic, hang or fill the memory.

#![expect(
    clippy::expect_used,
    reason = "a test may stop at the first thing that is missing"
)]

mod support;

use inkset_spec::{
    Notice, Reading, Severity, Sources, read_job, read_job_bytes, read_rate_card_bytes,
    render_notices,
};
use proptest::prelude::*;
use support::files;

/// Reads bytes as either file and renders what is told.
fn read_both(bytes: &[u8]) {
    told(bytes, &read_job_bytes(bytes));
    told(bytes, &read_rate_card_bytes(bytes));
}

fn told<T>(bytes: &[u8], reading: &Reading<T>) {
    let failed = reading
        .notices
        .iter()
        .any(|n| n.severity == Severity::Error);
    assert_eq!(reading.value.is_none(), failed);
    let text = String::from_utf8_lossy(bytes);
    assert!(reading.notices.iter().all(|n| place_is_inside(n, bytes)));
    let sources = Sources {
        job: Some(("a.toml", &text)),
        rates: Some(("a.toml", &text)),
        ..Sources::default()
    };
    assert!(!render_notices(&reading.notices, &sources).is_empty() || reading.notices.is_empty());
}

fn place_is_inside(notice: &Notice, bytes: &[u8]) -> bool {
    notice
        .place
        .is_none_or(|p| p.start <= p.end && p.end <= bytes.len() && p.line >= 1 && p.column >= 1)
}

#[test]
fn deep_nesting_is_refused() {
    for open in [
        "[", "{a=", "a.", "x=[", "[a.", "x={a=[", "[[", "\"", "'''", "\\",
    ] {
        read_both(open.repeat(100_000).as_bytes());
        read_both(format!("a = {}", open.repeat(100_000)).as_bytes());
    }
}

#[test]
fn odd_characters_are_refused() {
    for text in [
        "\0",
        "\0=\0",
        "\u{feff}",
        "\u{feff}\u{feff}a=1",
        "a=\"\u{202e}\"",
        "\r",
        "a=1\rb=2",
        "é=\"é\"",
        "\u{1b}[31m",
    ] {
        read_both(text.as_bytes());
    }
}

#[test]
fn one_long_line_takes_no_longer_than_many() {
    let many = format!("quantities = [{}]", "0,".repeat(1_900_000));
    assert!(read_job(&many).value.is_none());
    read_both(format!("uses = [{}]", "{x=1},".repeat(300_000)).as_bytes());
    read_both(format!("{}=1", "k".repeat(3_000_000)).as_bytes());
    read_both("[[colour]]\n".repeat(300_000).as_bytes());
    read_both("é".repeat(1_900_000).as_bytes());
}

fn demo_texts() -> Vec<String> {
    let mut texts: Vec<String> = files("jobs").into_iter().map(|(_, text)| text).collect();
    texts.extend(files("rates").into_iter().map(|(_, text)| text));
    texts
}

/// One change of a text: bytes cut out at a share of its length, others put there.
fn changed(text: &str, at: f64, cut: usize, put: &[u8]) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    let from = ((bytes.len() as f64) * at) as usize;
    let to = (from + cut).min(bytes.len());
    bytes.splice(from..to, put.iter().copied());
    bytes
}

fn pieces() -> impl Strategy<Value = Vec<u8>> {
    let known = prop::sample::select(vec![
        "-1",
        "0",
        "1e999",
        "nan",
        "inf",
        "99999999999999999999",
        "\"",
        "[",
        "]",
        "{",
        "}",
        "=",
        "\n",
        "\"x\"",
        "[]",
        "{}",
        "2026-01-01",
        "true",
        "0.0000001",
        "-0",
        "0x10",
        "'''",
        "é",
        "\u{feff}",
        "\0",
    ]);
    prop_oneof![
        known.prop_map(|text: &str| text.as_bytes().to_vec()),
        prop::collection::vec(any::<u8>(), 0..12),
    ]
}

proptest! {
    #[test]
    fn any_bytes_are_read(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        read_both(&bytes);
    }

    #[test]
    fn any_text_is_read(text in "\\PC{0,200}") {
        read_both(text.as_bytes());
    }

    #[test]
    fn changed_demo_files_are_read(
        which in 0_usize..64, at in 0.0..1.0, cut in 0_usize..30, put in pieces(),
    ) {
        let texts = demo_texts();
        let text = texts.get(which % texts.len()).expect("some demos");
        read_both(&changed(text, at, cut, &put));
    }
}
