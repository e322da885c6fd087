//! A hundred A4 pages of text and vectors, here and through Ghostscript's `tiffsep`, side by side on one core each.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark prints its figures, and a failure has to be loud"
)]

use std::fmt::Write as _;
use std::io::Cursor;
use std::process::Command;
use std::time::Instant;

use inkset_artwork::{PageBox, Separator, Settings, measure};
use inkset_colour::shipped;

const PAGES: usize = 100;
const RESOLUTION: u16 = 150;

fn main() {
    let bytes = document();
    let folder = std::env::temp_dir().join(format!("inkset-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let file = folder.join("pages.pdf");
    std::fs::write(&file, &bytes).unwrap();

    let condition = shipped("coated-tr006").unwrap();
    let separator = Separator::new(condition);
    let settings = Settings {
        separator: &separator,
        ink_limit: condition.ink_limit(),
        page_box: PageBox::Media,
        resolution: f64::from(RESOLUTION),
    };
    let started = Instant::now();
    let artwork = measure(Cursor::new(bytes), &settings, &mut |_| {}).unwrap();
    let ours = started.elapsed().as_secs_f64();
    assert_eq!(
        artwork.pages.iter().filter(|page| page.is_ok()).count(),
        PAGES
    );

    let started = Instant::now();
    let run = Command::new("gs")
        .args(["-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=tiffsep"])
        .arg(format!("-r{RESOLUTION}"))
        .arg(format!(
            "-sOutputFile={}",
            folder.join("page%d.tif").display()
        ))
        .arg(&file)
        .status();
    let theirs = started.elapsed().as_secs_f64();
    assert!(run.unwrap().success());
    std::fs::remove_dir_all(&folder).unwrap();
    println!(
        "{PAGES} pages at {RESOLUTION} dpi: {ours:.2} s here, {theirs:.2} s reference, {:.1} times as fast",
        theirs / ours
    );
}

/// Sixty lines of text, a chart of bars and a curve on each page.
fn document() -> Vec<u8> {
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
    for page in 0..PAGES {
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
    objects[1] = format!("<< /Type /Pages /Count {PAGES} /Kids [{kids}] >>");
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
