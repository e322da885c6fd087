//! Plates of Ghostscript's `tiffsep` device.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

/// Separates a PDF into the folder; returns the bytes of every plate by its name, the number of the page that was
/// rendered with the ink behind it, such as `1(Cyan)`.
pub(crate) fn plates(folder: &Path, pdf: &[u8], arguments: &[&str]) -> BTreeMap<String, Vec<u8>> {
    let _ = fs::remove_dir_all(folder);
    fs::create_dir_all(folder).unwrap();
    let file = folder.join("pages.pdf");
    fs::write(&file, pdf).unwrap();
    let run = Command::new("gs")
        .args(["-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=tiffsep"])
        .args(arguments)
        .arg(format!("-sOutputFile={}", folder.join("%d.tif").display()))
        .arg(&file)
        .output();
    let run = run.expect("Ghostscript is missing; `cargo xtask test-data` installs it");
    assert!(
        run.status.success(),
        "{}",
        String::from_utf8_lossy(&run.stderr)
    );
    let plates = fs::read_dir(folder).unwrap().filter_map(|entry| {
        let path = entry.unwrap().path();
        let name = path.file_stem()?.to_str()?.to_owned();
        // The file without an ink in its name shows all plates together.
        name.contains('(').then(|| (name, fs::read(&path).unwrap()))
    });
    plates.collect()
}
