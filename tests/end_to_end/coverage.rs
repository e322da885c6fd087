//! `inkset coverage`.

use std::fs;

use crate::run::{empty_folder, inkset_in};

/// A separated TIFF of 40 x 10 pixels at 254 dots an inch: 4 x 1 mm, half of it C100 M40, with a fifth ink of 20 %.
fn picture() -> Vec<u8> {
    let tags: [(u16, u16, u32, u32); 11] = [
        (256, 3, 1, 40),
        (257, 3, 1, 10),
        (258, 3, 1, 8),
        (259, 3, 1, 1),
        (262, 3, 1, 5),
        (273, 4, 1, 170),
        (277, 3, 1, 5),
        (282, 5, 1, 162),
        (283, 5, 1, 162),
        (333, 2, 7, 155),
        (338, 3, 1, 0),
    ];
    let mut out = b"II\x2a\0\x08\0\0\0\x0b\0".to_vec();
    for (tag, kind, count, value) in tags {
        out.extend(tag.to_le_bytes());
        out.extend(kind.to_le_bytes());
        out.extend(count.to_le_bytes());
        out.extend(value.to_le_bytes());
    }
    out.extend([0; 4]);
    out.resize(155, 0);
    out.extend(b"Copper\0");
    out.extend(254u32.to_le_bytes());
    out.extend(1u32.to_le_bytes());
    for pixel in 0..400 {
        let left = pixel % 40 < 20;
        out.extend(if left {
            [255, 102, 0, 0, 51]
        } else {
            [0, 0, 0, 0, 51]
        });
    }
    out
}

#[test]
fn picture_is_measured() {
    let folder = empty_folder("coverage");
    fs::write(folder.join("label.tif"), picture()).unwrap();
    let table = inkset_in(&folder, &["coverage", "label.tif"]);
    insta::assert_snapshot!("coverage table", table.shown());
    let json = inkset_in(&folder, &["coverage", "label.tif", "--format", "json"]).json();
    assert_eq!(
        json["files"][0]["pages"][0]["inks"][4]["mean_percent"],
        20.0
    );
    let csv = inkset_in(&folder, &["coverage", "label.tif", "--format", "csv"]);
    assert!(
        csv.stdout
            .contains("label.tif,1,Cyan,process,50.000,100.000,160.00,0.000"),
        "{}",
        csv.shown()
    );
}

#[test]
fn one_bad_file_leaves_the_others() {
    let folder = empty_folder("coverage-bad");
    fs::write(folder.join("label.tif"), picture()).unwrap();
    fs::write(folder.join("short.tif"), &picture()[..600]).unwrap();
    fs::write(folder.join("note.txt"), "no artwork").unwrap();
    let run = inkset_in(
        &folder,
        &[
            "coverage",
            "short.tif",
            "note.txt",
            "label.tif",
            "--format",
            "csv",
        ],
    );
    assert_eq!(run.code, 1, "{}", run.shown());
    assert!(
        run.stdout.contains("label.tif,1,Copper,solid,20.000"),
        "{}",
        run.shown()
    );
    assert!(
        run.stderr
            .contains("error[artwork-damaged]: short.tif, page 1: "),
        "{}",
        run.shown()
    );
    assert!(
        run.stderr
            .contains("error[artwork-unknown-kind]: note.txt: "),
        "{}",
        run.shown()
    );
}

/// A TIFF of 60,000 x 30,000 bytes of CMYK that are all holes in the file: long to count, and nothing on the disk.
#[cfg(target_os = "linux")]
fn endless(path: &std::path::Path) {
    let mut head = picture();
    head.truncate(170);
    // Width, height and samples of each pixel stand in the first, second and seventh tag.
    for (tag, value) in [(0, 60_000_u32), (1, 30_000), (6, 4)] {
        let at = 10 + 12 * tag + 8;
        head[at..at + 4].copy_from_slice(&value.to_le_bytes());
    }
    // No names and no extra samples: these tags become another that nobody reads.
    for tag in [9, 10] {
        let at = 10 + 12 * tag;
        head[at..at + 2].copy_from_slice(&(60_000_u16 + tag as u16).to_le_bytes());
    }
    fs::write(path, head).unwrap();
    let file = fs::File::options().write(true).open(path).unwrap();
    file.set_len(170 + 60_000 * 30_000 * 4).unwrap();
}

#[cfg(target_os = "linux")]
#[test]
fn interruption_leaves_nothing_behind() {
    let folder = empty_folder("coverage-interrupted");
    endless(&folder.join("endless.tif"));
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_inkset"))
        .args(["coverage", "endless.tif", "--lost", "."])
        .current_dir(&folder)
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let id = child.id();
    let opened = || {
        let files = fs::read_dir(format!("/proc/{id}/fd"));
        let mut links = files
            .into_iter()
            .flatten()
            .filter_map(|file| fs::read_link(file.ok()?.path()).ok());
        links.any(|link| link.ends_with("endless.tif"))
    };
    while !opened() {
        assert!(child.try_wait().unwrap().is_none(), "it ended by itself");
        std::thread::yield_now();
    }
    let kill = std::process::Command::new("kill")
        .args(["-INT", &id.to_string()])
        .status();
    assert!(kill.unwrap().success());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(130));
    assert!(output.stdout.is_empty());
    let left: Vec<_> = fs::read_dir(&folder)
        .unwrap()
        .map(|e| e.unwrap().file_name())
        .collect();
    assert_eq!(left, ["endless.tif"]);
}

#[test]
fn absent_artwork_is_trouble() {
    let run = inkset_in(&empty_folder("coverage-none"), &["coverage", "absent.tif"]);
    assert_eq!(run.code, 2, "{}", run.shown());
    assert!(run.stdout.is_empty());
}
