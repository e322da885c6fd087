//! Artwork against general-purpose references, side by side in one run.
//!
//! A hundred A4 pages of text and vectors through Ghostscript's `tiffsep`, once at our resolution and once at the one
//! that the tests compare with; a picture of 12 million pixels separated and counted here, and only transformed by
//! lcms2; the memory that a CMYK TIFF of 400 million pixels takes. Each is repeated in turns and the fastest run counts:
//! other work on the machine only ever slows a run down.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark prints its figures, and a failure has to be loud"
)]

use std::fmt::Write as _;
use std::io::{Cursor, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use inkset_artwork::{Artwork, PageBox, Photographs, Separator, Settings, measure};
use inkset_colour::shipped;
use lcms2::{Flags, Intent, PixelFormat, Profile, Transform};

const PAGES: usize = 100;
const RESOLUTION: u16 = 150;
/// Turns that everything is given.
const TURNS: usize = 3;

fn main() {
    let condition = shipped("coated-tr006").unwrap();
    let separator = Separator::new(condition);
    let settings = Settings {
        separator: &separator,
        ink_limit: condition.ink_limit(),
        page_box: PageBox::Media,
        resolution: f64::from(RESOLUTION),
        pages: None,
        photographs: Photographs::Counted,
    };
    // First, before anything else can have raised the high-water mark.
    huge(&settings);
    picture(&settings);
    let folder = std::env::temp_dir().join(format!("inkset-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    pages(&settings, &folder);
    std::fs::remove_dir_all(&folder).unwrap();
}

/// Seconds of the clock and of the processors.
#[derive(Clone, Copy)]
struct Spent {
    clock: f64,
    user: f64,
}

/// User time of this process, or of the children that it has waited for, in seconds; Linux only, else nothing.
fn user_time(field: usize) -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after = stat.rsplit(')').next().unwrap_or("");
    let ticks: f64 = after
        .split_whitespace()
        .nth(field)
        .and_then(|ticks| ticks.parse().ok())
        .unwrap_or(0.0);
    ticks / 100.0
}

/// Place of a process's own user time, and of its children's, after its name.
const OWN: usize = 11;
const CHILDREN: usize = 13;

fn timed(field: usize, work: impl FnOnce()) -> Spent {
    let (clock, user) = (Instant::now(), user_time(field));
    work();
    Spent {
        clock: clock.elapsed().as_secs_f64(),
        user: user_time(field) - user,
    }
}

/// The fastest of several turns, for each of several works.
fn in_turns<const N: usize>(mut work: impl FnMut(usize) -> Spent) -> [Spent; N] {
    let none = Spent {
        clock: f64::MAX,
        user: f64::MAX,
    };
    let mut best = [none; N];
    for _ in 0..TURNS {
        for (at, best) in best.iter_mut().enumerate() {
            let spent = work(at);
            best.clock = best.clock.min(spent.clock);
            best.user = best.user.min(spent.user);
        }
    }
    best
}

fn on_cores(cores: usize, work: impl FnOnce() + Send) {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(cores).build();
    pool.unwrap().install(work);
}

/// A CMYK TIFF of 20,000 x 20,000 pixels that is made as it is read.
struct Endless {
    header: Vec<u8>,
    at: u64,
}

const SIDE: u32 = 20_000;

impl Read for Endless {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let end = self.header.len() as u64 + 4 * u64::from(SIDE) * u64::from(SIDE);
        let want = (buffer.len() as u64).min(end - self.at.min(end)) as usize;
        for (i, byte) in buffer[..want].iter_mut().enumerate() {
            let at = self.at + i as u64;
            let known = self.header.get(at as usize).copied();
            *byte = known.unwrap_or((at >> 4 ^ at) as u8 & 0x7f);
        }
        self.at += want as u64;
        Ok(want)
    }
}

impl Seek for Endless {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        let SeekFrom::Start(at) = to else {
            return Err(std::io::ErrorKind::Unsupported.into());
        };
        self.at = at;
        Ok(at)
    }
}

/// Header of a plain TIFF of 8 bits in strips of one row each.
fn tiff_header((width, height): (u32, u32), samples: u32, photometric: u32) -> Vec<u8> {
    let strips = 8 + 2 + 9 * 12 + 4;
    let pixels = strips + 8 * height;
    let tags: [(u16, u16, u32, u32); 9] = [
        (256, 4, 1, width),
        (257, 4, 1, height),
        (258, 3, 1, 8),
        (259, 3, 1, 1),
        (262, 3, 1, photometric),
        (273, 4, height, strips),
        (277, 3, 1, samples),
        (278, 4, 1, 1),
        (279, 4, height, strips + 4 * height),
    ];
    let mut out = b"II\x2a\0\x08\0\0\0\x09\0".to_vec();
    for (tag, kind, count, value) in tags {
        out.extend(tag.to_le_bytes());
        out.extend(kind.to_le_bytes());
        out.extend(count.to_le_bytes());
        out.extend(value.to_le_bytes());
    }
    out.extend([0; 4]);
    out.extend((0..height).flat_map(|y| (pixels + y * width * samples).to_le_bytes()));
    out.extend((0..height).flat_map(|_| (width * samples).to_le_bytes()));
    out
}

fn huge(settings: &Settings<'_>) {
    let source = Endless {
        header: tiff_header((SIDE, SIDE), 4, 5),
        at: 0,
    };
    let spent = timed(OWN, || {
        let artwork = measure(source, settings, &mut |_| {}).unwrap();
        assert!(artwork.pages.iter().all(Result::is_ok));
    });
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes: f64 = peak
        .and_then(|peak| peak.split_whitespace().next()?.parse().ok())
        .unwrap_or(f64::NAN);
    println!(
        "CMYK TIFF of 400 million pixels: {:.1} s, {:.0} MB of memory at most",
        spent.clock,
        kilobytes / 1024.0
    );
}

/// Smooth areas with the grain of a photograph, so that no two neighbours are alike.
fn photograph((width, height): (u32, u32)) -> Vec<u8> {
    let mut grain = 1u32;
    let pixels = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
    pixels
        .flat_map(|(x, y)| {
            grain = grain.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let soft = [
                x * 255 / width,
                y * 255 / height,
                (x + y) * 255 / (width + height),
            ];
            let grain = grain.to_le_bytes();
            [0, 1, 2].map(|i| (soft[i] as u8).saturating_add(grain[i + 1] >> 3))
        })
        .collect()
}

fn picture(settings: &Settings<'_>) {
    let size = (4000, 3000);
    let pixels = photograph(size);
    let mut file = tiff_header(size, 3, 2);
    file.extend(&pixels);
    let making = timed(OWN, || drop(settings.separator.srgb()));
    let bytes = std::fs::read(
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../../target/test-data/ISOcoated_v2_300_bas.icc"),
    );
    let bytes = bytes.expect("run `cargo xtask test-data` first");
    let (rgb, cmyk) = (Profile::new_srgb(), Profile::new_icc(&bytes).unwrap());
    let transform: Transform<[u8; 3], [u8; 4]> = Transform::new_flags(
        &rgb,
        PixelFormat::RGB_8,
        &cmyk,
        PixelFormat::CMYK_8,
        Intent::RelativeColorimetric,
        Flags::BLACKPOINT_COMPENSATION,
    )
    .unwrap();
    let source = pixels.as_chunks::<3>().0;
    let mut target = vec![[0; 4]; source.len()];
    let counted = |cores: usize| {
        let file = &file;
        on_cores(cores, move || {
            measure(Cursor::new(file), settings, &mut |_| {}).unwrap();
        });
    };
    let [one, two, theirs] = in_turns(|at| {
        timed(OWN, || match at {
            0 => counted(1),
            1 => counted(2),
            _ => transform.transform_pixels(source, &mut target),
        })
    });
    println!(
        "RGB of 12 million pixels, separated and counted: {:.3} s on one core, {:.3} s on two; lcms2, transformed only: {:.3} s\n  {:.1} and {:.1} times as fast by the clock, {:.1} by user time; solving the separation once: {:.2} s",
        one.clock,
        two.clock,
        theirs.clock,
        theirs.clock / one.clock,
        theirs.clock / two.clock,
        theirs.user / one.user,
        making.clock
    );
}

fn pages(settings: &Settings<'_>, folder: &Path) {
    let bytes = document(PAGES);
    let file = folder.join("pages.pdf");
    std::fs::write(&file, &bytes).unwrap();
    let few = folder.join("few.pdf");
    std::fs::write(&few, document(PAGES / 10)).unwrap();
    let ours = |pages: usize, resolution: f64| {
        let settings = Settings {
            resolution,
            ..*settings
        };
        let artwork = measure(Cursor::new(document(pages)), &settings, &mut |_| {}).unwrap();
        assert!(artwork.pages.iter().all(Result::is_ok));
        artwork
    };
    let [here, same, fine] = in_turns(|at| match at {
        0 => timed(OWN, || {
            on_cores(1, || drop(ours(PAGES, f64::from(RESOLUTION))));
        }),
        1 => timed(CHILDREN, || ghostscript(&file, folder, RESOLUTION)),
        _ => timed(CHILDREN, || ghostscript(&few, folder, 4 * RESOLUTION)),
    });
    println!(
        "{PAGES} pages: {:.2} s here at {RESOLUTION} dpi; reference {:.2} s at {RESOLUTION} dpi, {:.2} s at {} dpi (from {} pages)\n  {:.1} and {:.1} times as fast by user time",
        here.user,
        same.user,
        fine.user * 10.0,
        4 * RESOLUTION,
        PAGES / 10,
        same.user / here.user,
        fine.user * 10.0 / here.user,
    );
    accuracy(settings, folder, &ours);
}

/// How far black is off at each resolution, on the first page, from ours at the finest.
fn accuracy(settings: &Settings<'_>, folder: &Path, ours: &dyn Fn(usize, f64) -> Artwork) {
    let black = |artwork: &Artwork| artwork.pages[0].as_ref().unwrap().inks[3].mean * 100.0;
    let truth = black(&ours(1, 600.0));
    let one = folder.join("one.pdf");
    std::fs::write(&one, document(1)).unwrap();
    let theirs = |resolution: u16| {
        ghostscript(&one, folder, resolution);
        let plate = std::fs::File::open(folder.join("page1(Black).tif")).unwrap();
        black(&measure(plate, settings, &mut |_| {}).unwrap())
    };
    println!(
        "  mean of black: {:.3} % here at {RESOLUTION} dpi, {truth:.3} % at 600 dpi; reference {:.3} % at {RESOLUTION} dpi, {:.3} % at {} dpi",
        black(&ours(1, f64::from(RESOLUTION))),
        theirs(RESOLUTION),
        theirs(4 * RESOLUTION),
        4 * RESOLUTION
    );
}

fn ghostscript(file: &Path, folder: &Path, resolution: u16) {
    let pages: PathBuf = folder.join("page%d.tif");
    let run = Command::new("gs")
        .args(["-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=tiffsep"])
        .arg(format!("-r{resolution}"))
        .arg(format!("-sOutputFile={}", pages.display()))
        .arg(file)
        .status();
    assert!(run.unwrap().success());
}

/// Sixty lines of text, a chart of bars and a curve on each page.
fn document(pages: usize) -> Vec<u8> {
    let mut content = String::from("BT /F 9 Tf 0 0 0 1 k 50 780 Td 11 TL\n");
    for line in 0..60 {
        let _ = writeln!(
            content,
            "(Line {line}: the coverage of a page decides ink, drying and price; measure it, nobody knows it) Tj T*"
        );
    }
    content += "ET\n";
    for bar in 0..40 {
        let _ = writeln!(
            content,
            "{:.2} 0.3 0 0 k {} 20 10 {} re f",
            f64::from(bar) / 40.0,
            50 + bar * 12,
            10 + bar * 2
        );
    }
    content += "0 1 1 0 K 0.5 w 50 20 m 200 200 300 0 545 100 c S\n";
    let mut objects = vec![
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        String::new(),
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>".to_owned(),
    ];
    let mut kids = String::new();
    for page in 0..pages {
        let own = format!("{content} % {page}\n");
        objects.push(format!(
            "<< /Length {} >>\nstream\n{own}\nendstream",
            own.len() + 1
        ));
        let stream = objects.len();
        objects.push(format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595.276 841.89] /Contents {stream} 0 R /Resources << /Font << /F 3 0 R >> >> >>"
        ));
        let _ = write!(kids, "{} 0 R ", objects.len());
    }
    objects[1] = format!("<< /Type /Pages /Count {pages} /Kids [{kids}] >>");
    let mut out = String::from("%PDF-1.4\n");
    for (at, body) in objects.iter().enumerate() {
        let _ = write!(out, "{} 0 obj\n{body}\nendobj\n", at + 1);
    }
    let _ = write!(
        out,
        "trailer << /Root 1 0 R /Size {} >>\n%%EOF\n",
        objects.len() + 1
    );
    out.into_bytes()
}
