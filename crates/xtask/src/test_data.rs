//! Fetches the profiles, tables, photographs and PDFs that tests compare with, from Debian's packages.
//!
//! Each package is downloaded, which holds it against the checksum that Debian signs, the wanted files are taken out,
//! and the rest is thrown away; only the programs that tests run are installed.

use std::path::{Path, PathBuf};
use std::process::Command;

/// Packages, each with the files that tests read from it.
const WANTED: &[(&str, &[&str])] = &[
    (
        "texlive-base",
        &["usr/share/texlive/texmf-dist/tex/generic/colorprofiles/FOGRA39L_coated.icc"],
    ),
    (
        "libgs-common",
        &[
            "usr/share/color/icc/ghostscript/default_cmyk.icc",
            "usr/share/color/icc/ghostscript/ps_cmyk.icc",
        ],
    ),
    ("krita-data", &["usr/share/color/icc/krita/cmyk.icm"]),
    (
        "scribus-data",
        &["usr/share/scribus/profiles/ISOcoated_v2_300_bas.icc"],
    ),
    (
        "python3-skimage",
        &[
            "usr/lib/python3/dist-packages/skimage/data/astronaut.png",
            "usr/lib/python3/dist-packages/skimage/data/chelsea.png",
            "usr/lib/python3/dist-packages/skimage/data/coffee.png",
            "usr/lib/python3/dist-packages/skimage/data/rocket.jpg",
        ],
    ),
    (
        "icc-profiles-free",
        &[
            "usr/share/color/icc/FOGRA28L.ti3",
            "usr/share/color/icc/FOGRA30L.ti3",
            "usr/share/color/icc/FOGRA40L.ti3",
            "usr/share/color/icc/TR005.ti3",
        ],
    ),
    // PDFs of many makers.
    (
        "ghostscript-doc",
        &["usr/share/doc/ghostscript/GS9_Color_Management.pdf"],
    ),
    (
        "python-reportlab-doc",
        &["usr/share/doc/python-reportlab-doc/reportlab-userguide.pdf"],
    ),
    ("gnuplot-doc", &["usr/share/doc/gnuplot/gnuplot.pdf"]),
    (
        "texlive-fonts-recommended-doc",
        &[
            "usr/share/doc/texlive-doc/fonts/eurosym/testeuro.pdf",
            "usr/share/doc/texlive-doc/fonts/txfonts/txfontsdocA4.pdf",
        ],
    ),
    (
        "fonts-sil-charis",
        &["usr/share/doc/fonts-sil-charis/documentation/pdf/features.pdf.gz"],
    ),
    (
        "fonts-sil-scheherazade",
        &["usr/share/doc/fonts-sil-scheherazade/documentation/Scheherazade-features.pdf.gz"],
    ),
    (
        "cups-filters",
        &["usr/share/cups/data/default-testpage.pdf"],
    ),
    (
        "python-matplotlib-data",
        &["usr/share/matplotlib/mpl-data/images/matplotlib.pdf"],
    ),
];

/// Puts every file that is missing into `target/test-data`.
pub(crate) fn run() -> Result<(), String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/test-data");
    crate::tools::run()?;
    WANTED
        .iter()
        .filter(|(_, files)| files.iter().any(|file| !kept(&folder, file).is_file()))
        .try_for_each(|(package, files)| fetch(&folder, package, files))
}

/// Where a file of a package is kept, unpacked.
fn kept(folder: &Path, file: &str) -> PathBuf {
    let name = file.rsplit('/').next().unwrap_or(file);
    folder.join(name.strip_suffix(".gz").unwrap_or(name))
}

fn fetch(folder: &Path, package: &str, files: &[&str]) -> Result<(), String> {
    let unpacked = folder.join("unpacked").join(package);
    let at = |error: std::io::Error| format!("{}: {error}\n", unpacked.display());
    let _ = std::fs::remove_dir_all(&unpacked);
    std::fs::create_dir_all(&unpacked).map_err(at)?;
    download(&unpacked, package)?;
    let archive = archive(&unpacked).ok_or_else(|| missing(package, "nothing was downloaded"))?;
    let mut unpack = Command::new("dpkg-deb");
    unpack.arg("-x").arg(archive).arg(&unpacked);
    quietly(&mut unpack).map_err(|why| missing(package, &why))?;
    for file in files {
        let plain = file.strip_suffix(".gz");
        if plain.is_some() {
            quietly(
                Command::new("gzip")
                    .arg("--decompress")
                    .arg(unpacked.join(file)),
            )
            .map_err(|why| missing(package, &why))?;
        }
        std::fs::copy(unpacked.join(plain.unwrap_or(file)), kept(folder, file))
            .map_err(|error| missing(package, &format!("{file}: {error}")))?;
    }
    std::fs::remove_dir_all(&unpacked).map_err(at)
}

/// A machine that never listed its packages has to do so first.
fn download(folder: &Path, package: &str) -> Result<(), String> {
    let attempt = || {
        quietly(
            Command::new("apt-get")
                .args(["download", package])
                .current_dir(folder),
        )
    };
    attempt()
        .or_else(|_| quietly(Command::new("apt-get").arg("update")).and_then(|()| attempt()))
        .map_err(|why| missing(package, &why))
}

fn archive(folder: &Path) -> Option<PathBuf> {
    let mut files = std::fs::read_dir(folder)
        .ok()?
        .filter_map(|entry| Some(entry.ok()?.path()));
    files.find(|path| path.extension().is_some_and(|ext| ext == "deb"))
}

fn missing(package: &str, why: &str) -> String {
    format!("tests need files of Debian's package `{package}`, which could not be fetched: {why}\n")
}

pub(crate) fn quietly(command: &mut Command) -> Result<(), String> {
    let shown = format!("{command:?}");
    let output = command
        .output()
        .map_err(|error| format!("cannot run {shown}: {error}"))?;
    if output.status.success() {
        return Ok(());
    }
    let said = String::from_utf8_lossy(&output.stderr);
    Err(format!("{shown}: {}", said.trim()))
}
