//! Files that other programs make: every number of a picture comes back, whatever it is packed in.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::{means, only_page};

const WIDTH: usize = 64;
const HEIGHT: usize = 48;

/// Sums of whole numbers come back to the last digits of the arithmetic.
const EXACT: f64 = 1e-12;
/// JPEG rounds on both ways; a twentieth of a point is an eighth of a step of 8 bits.
const NEAR: f64 = 5e-4;

/// C, M, Y, K of every pixel, all values and no order.
fn noise() -> Vec<u8> {
    let mut state = 5_u64;
    let mut next = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 56) as u8
    };
    (0..WIDTH * HEIGHT * 4).map(|_| next()).collect()
}

/// Squares of 8 x 8 pixels, which JPEG keeps all but exactly at its best quality.
fn squares() -> Vec<u8> {
    let noise = noise();
    let pixel = |at: usize| {
        let (x, y) = (at % WIDTH / 8, at / WIDTH / 8);
        let from = (y * WIDTH / 8 + x) * 4;
        noise[from..from + 4].to_vec()
    };
    (0..WIDTH * HEIGHT).flat_map(pixel).collect()
}

/// Mean of each channel, 0 to 1.
fn wanted(pixels: &[u8]) -> [f64; 4] {
    let mut sums = [0_u64; 4];
    for pixel in pixels.as_chunks::<4>().0 {
        for (sum, value) in sums.iter_mut().zip(pixel) {
            *sum += u64::from(*value);
        }
    }
    sums.map(|sum| sum as f64 / (255 * WIDTH * HEIGHT) as f64)
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn run(program: &str, arguments: &[&str], folder: &Path) {
    let run = Command::new(program)
        .args(arguments)
        .current_dir(folder)
        .output();
    let run = run
        .unwrap_or_else(|error| panic!("{program}: {error}; `cargo xtask test-data` installs it"));
    assert!(
        run.status.success(),
        "{program} {arguments:?}: {}",
        String::from_utf8_lossy(&run.stderr)
    );
}

#[track_caller]
fn check(file: &Path, wanted: [f64; 4], within: f64) {
    let page = only_page(fs::read(file).unwrap());
    for (found, wanted) in means(&page).iter().map(|mean| mean / 100.0).zip(wanted) {
        assert!(
            (found - wanted).abs() < within,
            "{}: {found}, wanted {wanted}",
            file.display()
        );
    }
}

/// A raw file, and what `convert` is told of it.
fn raw(folder: &Path, pixels: &[u8]) -> Vec<String> {
    fs::write(folder.join("in.raw"), pixels).unwrap();
    let size = format!("{WIDTH}x{HEIGHT}");
    ["-size", &size, "-depth", "8", "cmyk:in.raw"]
        .map(str::to_owned)
        .to_vec()
}

fn converted(folder: &Path, input: &[String], settings: &[&str], output: &str) -> PathBuf {
    let mut arguments: Vec<&str> = input.iter().map(String::as_str).collect();
    arguments.extend(settings);
    arguments.push(output);
    run("convert", &arguments, folder);
    folder.join(output)
}

#[test]
fn four_inks_of_imagemagick_are_exact() {
    let folder = folder("made-imagemagick");
    let pixels = noise();
    let input = raw(&folder, &pixels);
    for (settings, output) in [
        (&["-compress", "none"][..], "plain.tif"),
        (&["-compress", "lzw"], "lzw.tif"),
        (&["-compress", "zip"], "zip.tif"),
        (&["-compress", "rle"], "packbits.tif"),
        (&["-depth", "16", "-compress", "none"], "wide.tif"),
        (
            &["-depth", "16", "-compress", "zip", "-endian", "MSB"],
            "wide-zip.tif",
        ),
    ] {
        let file = converted(&folder, &input, settings, output);
        check(&file, wanted(&pixels), EXACT);
    }
}

#[test]
fn four_inks_in_jpeg_are_near() {
    let folder = folder("made-jpeg");
    let pixels = squares();
    let input = raw(&folder, &pixels);
    for (settings, output) in [
        (
            &["-quality", "100", "-sampling-factor", "1x1"][..],
            "plain.jpg",
        ),
        (
            &[
                "-quality",
                "100",
                "-sampling-factor",
                "1x1",
                "-interlace",
                "line",
            ],
            "progressive.jpg",
        ),
    ] {
        let file = converted(&folder, &input, settings, output);
        check(&file, wanted(&pixels), NEAR);
    }
}

#[test]
fn four_inks_of_libtiff_are_exact() {
    let folder = folder("made-libtiff");
    let pixels = noise();
    let input = raw(&folder, &pixels);
    converted(&folder, &input, &["-compress", "none"], "in.tif");
    for (settings, output) in [
        (&["-c", "lzw:2"][..], "lzw.tif"),
        (&["-c", "zip:2"], "zip.tif"),
        (&["-c", "packbits"], "packbits.tif"),
        (&["-p", "separate"], "planes.tif"),
        (&["-p", "separate", "-c", "lzw"], "planes-lzw.tif"),
        (&["-t", "-w", "16", "-l", "16"], "tiles.tif"),
        (
            &["-t", "-w", "32", "-l", "16", "-c", "zip:2"],
            "tiles-zip.tif",
        ),
        (
            &["-t", "-w", "16", "-l", "16", "-p", "separate"],
            "tiles-planes.tif",
        ),
        (&["-B"], "big-endian.tif"),
        (&["-8"], "big.tif"),
        (&["-r", "5"], "strips.tif"),
    ] {
        let mut arguments = settings.to_vec();
        arguments.extend(["in.tif", output]);
        run("tiffcp", &arguments, &folder);
        check(&folder.join(output), wanted(&pixels), EXACT);
    }
}
