//! Files that other programs make: every number of a picture comes back, whatever it is packed in.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::{means, only_page};

const WIDTH: usize = 64;
const HEIGHT: usize = 48;

/// Sums of whole numbers come back to the last digits of the arithmetic.
const EXACT: f64 = 1e-12;
/// The writer of JPEG turns the inks into luminance, chroma and black in whole steps before it packs them, which moves a
/// pixel by a step of 8 bits (0.39 points) at most, and the mean by an eighth of one.
const NEAR: f64 = 5e-4;
/// At quality 85 with halved chroma the writer rounds more coarsely; up to a fifth of a point.
const HALVED: f64 = 2e-3;
/// Between two readers of such a file: each rounds its inverse transform, and ours more coarsely.
const BETWEEN: f64 = 3e-4;
/// Between a file and the same file on a page, whose tones are rounded to 16 bits once more.
const IN_PDF: f64 = 1e-5;

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

/// Mean of each channel as `convert`, which reads JPEG by libjpeg, unpacks the file.
fn unpacked(folder: &Path, file: &str) -> [f64; 4] {
    run("convert", &[file, "-depth", "8", "cmyk:out.raw"], folder);
    wanted(&fs::read(folder.join("out.raw")).unwrap())
}

/// Smooth waves of all four inks, as a photograph has them.
fn waves() -> Vec<u8> {
    let wave = |at: usize, ink: usize| {
        let (x, y) = ((at % WIDTH) as f64, (at / WIDTH) as f64);
        let phase = x * (0.11 + 0.05 * ink as f64) + y * (0.23 - 0.04 * ink as f64);
        (127.5 + 100.0 * phase.sin()) as u8
    };
    (0..WIDTH * HEIGHT)
        .flat_map(|at| [0, 1, 2, 3].map(|ink| wave(at, ink)))
        .collect()
}

/// A page that a JPEG with Adobe's marker fills, a pixel of the page for each of its own.
fn placed(jpeg: &[u8]) -> Vec<u8> {
    // A hair less, for the pages to have as many pixels and not one more.
    let side = |pixels: usize| pixels as f64 * 72.0 / 150.0 - 1e-6;
    let (width, height) = (side(WIDTH), side(HEIGHT));
    let content = format!("{width} 0 0 {height} 0 0 cm /I Do");
    let head = format!(
        "%PDF-1.7\n1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj\n\
         2 0 obj << /Type /Pages /Kids [3 0 R] /Count 1 >> endobj\n\
         3 0 obj << /Type /Page /MediaBox [0 0 {width} {height}] /Contents 4 0 R /Resources << /XObject << /I 5 0 R >> >> >> endobj\n\
         4 0 obj << /Length {} >> stream\n{content}\nendstream endobj\n\
         5 0 obj << /Subtype /Image /Width {WIDTH} /Height {HEIGHT} /BitsPerComponent 8 /ColorSpace /DeviceCMYK \
         /Decode [1 0 1 0 1 0 1 0] /Filter /DCTDecode /Length {} >> stream\n",
        content.len(),
        jpeg.len()
    );
    let tail = b"\nendstream endobj\ntrailer << /Root 1 0 R >>\n";
    [head.as_bytes(), jpeg, tail].concat()
}

/// Holds a JPEG of four inks against what was packed into it and what libjpeg takes out of it; the same in a PDF.
fn check_jpeg(file: &Path, folder: &Path, (source, within): ([f64; 4], f64), decoders: f64) {
    check(file, source, within);
    let name = file.file_name().unwrap().to_str().unwrap();
    check(file, unpacked(folder, name), decoders);
    let page = folder.join("page.pdf");
    fs::write(&page, placed(&fs::read(file).unwrap())).unwrap();
    let alone = means(&only_page(fs::read(file).unwrap()));
    let alone = [0, 1, 2, 3].map(|ink: usize| alone[ink] / 100.0);
    check(&page, alone, IN_PDF);
}

#[test]
fn four_inks_in_jpeg_are_near() {
    let folder = folder("made-jpeg");
    let best = ["-quality", "100", "-sampling-factor", "1x1"];
    let lines = [&best[..], &["-interlace", "line"]].concat();
    let halved = ["-quality", "85", "-sampling-factor", "2x2"];
    for (pixels, decoders) in [(squares(), EXACT), (waves(), 1e-4)] {
        let input = raw(&folder, &pixels);
        let source = wanted(&pixels);
        for (settings, output) in [(&best[..], "plain.jpg"), (&lines, "progressive.jpg")] {
            let file = converted(&folder, &input, settings, output);
            check_jpeg(&file, &folder, (source, NEAR), decoders);
        }
        let file = converted(&folder, &input, &halved, "halved.jpg");
        check_jpeg(&file, &folder, (source, HALVED), BETWEEN);
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
