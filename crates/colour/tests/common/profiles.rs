//! Real profiles fetched by `cargo xtask test-data`, and small ones made in memory.

#![allow(dead_code, reason = "every test file uses its own part")]

#[path = "../../../../tests/support/fetched.rs"]
mod fetched;

#[allow(unused_imports, reason = "every test file uses its own part")]
pub(crate) use fetched::{FETCHED, fetched};

/// A packaged CMYK profile of version 4: plain arithmetic in light, down to a perfect black, which no press prints.
pub(crate) const ARITHMETIC: &str = "ps_cmyk.icc";

/// Major version and connection space of a profile made in memory.
#[derive(Clone, Copy)]
pub(crate) struct Kind {
    pub(crate) major: u8,
    pub(crate) connection: [u8; 4],
}

/// A whole profile of these tags, with a tinted paper.
pub(crate) fn profile(kind: Kind, tags: &[([u8; 4], Vec<u8>)]) -> Vec<u8> {
    let mut white = b"XYZ \0\0\0\0".to_vec();
    white.extend([0.81, 0.85, 0.68].iter().flat_map(|v| fixed(*v)));
    let mut all = vec![(*b"wtpt", white)];
    all.extend_from_slice(tags);
    let mut bytes = vec![0; 128 + 4 + 12 * all.len()];
    bytes[128..132].copy_from_slice(&be(all.len()));
    for (i, (name, content)) in all.iter().enumerate() {
        bytes.resize(bytes.len().next_multiple_of(4), 0);
        let entry = [*name, be(bytes.len()), be(content.len())].concat();
        bytes[132 + 12 * i..144 + 12 * i].copy_from_slice(&entry);
        bytes.extend(content);
    }
    bytes.resize(bytes.len().next_multiple_of(4), 0);
    let length = be(bytes.len());
    for (at, field) in [
        (0, length),
        (8, [kind.major, 0x20, 0, 0]),
        (12, *b"prtr"),
        (16, *b"CMYK"),
        (20, kind.connection),
        (36, *b"acsp"),
        (68, fixed(0.9642)),
        (72, fixed(1.0)),
        (76, fixed(0.8249)),
    ] {
        bytes[at..at + 4].copy_from_slice(&field);
    }
    bytes
}

/// An `mAB ` table of four inks with every piece: parametric and table curves, uneven nodes, a matrix with offsets.
///
/// `bytes_a_value` is 1 or 2.
pub(crate) fn pieces(bytes_a_value: u8) -> Vec<u8> {
    let sizes = [5_u8, 7, 4, 6];
    let nodes = node_values(&sizes.map(usize::from), bytes_a_value);
    let mut clut: Vec<u8> = sizes.to_vec();
    clut.resize(16, 0);
    clut.extend([bytes_a_value, 0, 0, 0]);
    clut.extend(nodes);
    let a = [
        para(0, &[1.3]),
        table(&[0.0, 0.3, 0.8, 1.0]),
        para(0, &[0.8]),
        gamma(1.1),
    ]
    .concat();
    let m = [
        para(3, &[1.2, 0.9, 0.1, 0.5, 0.1]),
        para(1, &[1.1, 0.95, 0.05]),
        table(&[]),
    ]
    .concat();
    let b = [
        table(&[0.0, 0.4, 1.0]),
        table(&[]),
        para(4, &[1.0, 0.9, 0.0, 0.8, 0.1, 0.05, 0.02]),
    ]
    .concat();
    let matrix: Vec<u8> = [
        0.9, 0.04, 0.02, 0.03, 0.88, 0.05, 0.01, 0.02, 0.92, 0.01, 0.02, 0.015,
    ]
    .iter()
    .flat_map(|v| fixed(*v))
    .collect();
    let mut out = b"mAB \0\0\0\0\x04\x03\0\0".to_vec();
    let mut offset = 32;
    let parts = [b, matrix, m, clut, a];
    for part in &parts {
        out.extend(be(offset));
        offset += part.len().next_multiple_of(4);
    }
    for part in parts {
        out.extend(part);
        out.resize(out.len().next_multiple_of(4), 0);
    }
    out
}

/// A small `mft1` or `mft2` table of four inks, with curves that are not straight.
pub(crate) fn plain_table(bits: u8) -> Vec<u8> {
    let (bytes_a_value, entries) = if bits == 8 { (1, 256_u16) } else { (2, 33) };
    let mut out = if bits == 8 { b"mft1" } else { b"mft2" }.to_vec();
    out.extend([0, 0, 0, 0, 4, 3, 5, 0]);
    for i in 0..9 {
        out.extend(fixed(f64::from(u8::from(i % 4 == 0))));
    }
    if bits == 16 {
        out.extend([0, entries as u8, 0, entries as u8]);
    }
    let curve = |bend: f64| {
        (0..entries).flat_map(move |i| {
            let x = f64::from(i) / f64::from(entries - 1);
            value(x + bend * x * (1.0 - x), bytes_a_value)
        })
    };
    for ink in 0..4_u8 {
        out.extend(curve(0.3 - 0.15 * f64::from(ink)));
    }
    out.extend(node_values(&[5; 4], bytes_a_value));
    for _ in 0..3 {
        out.extend(curve(0.05));
    }
    out
}

/// Colours of a made-up press: light falls with every ink.
fn node_values(sizes: &[usize; 4], bytes_a_value: u8) -> Vec<u8> {
    let mut out = Vec::new();
    for at in 0..sizes.iter().product() {
        let mut rest: usize = at;
        let mut tones = [0.0; 4];
        for ink in (0..4).rev() {
            tones[ink] = (rest % sizes[ink]) as f64 / (sizes[ink] - 1) as f64;
            rest /= sizes[ink];
        }
        let [c, m, y, k] = tones;
        let light = 1.0 - 0.25 * c - 0.2 * m - 0.04 * y - 0.45 * k;
        let a = 0.5 + (0.28 * m - 0.16 * c) * (1.0 - 0.8 * k);
        let b = 0.5 + (0.35 * y - 0.2 * c * (1.0 - y)) * (1.0 - 0.8 * k);
        for v in [light, a, b] {
            out.extend(value(v, bytes_a_value));
        }
    }
    out
}

fn value(v: f64, bytes_a_value: u8) -> Vec<u8> {
    let v = v.clamp(0.0, 1.0);
    if bytes_a_value == 1 {
        vec![(v * 255.0).round() as u8]
    } else {
        ((v * 65535.0).round() as u16).to_be_bytes().to_vec()
    }
}

fn be(number: usize) -> [u8; 4] {
    (number as u32).to_be_bytes()
}

fn fixed(v: f64) -> [u8; 4] {
    ((v * 65536.0).round() as i32).to_be_bytes()
}

fn para(form: u8, parameters: &[f64]) -> Vec<u8> {
    let mut out = b"para\0\0\0\0".to_vec();
    out.extend([0, form, 0, 0]);
    out.extend(parameters.iter().flat_map(|v| fixed(*v)));
    out
}

fn table(entries: &[f64]) -> Vec<u8> {
    let mut out = b"curv\0\0\0\0".to_vec();
    out.extend(be(entries.len()));
    out.extend(entries.iter().flat_map(|v| value(*v, 2)));
    out.resize(out.len().next_multiple_of(4), 0);
    out
}

fn gamma(exponent: f64) -> Vec<u8> {
    let mut out = b"curv\0\0\0\0\0\0\0\x01".to_vec();
    out.extend(((exponent * 256.0).round() as u16).to_be_bytes());
    out.extend([0, 0]);
    out
}
