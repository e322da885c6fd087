//! Files with mistakes: everything told, exit code 1, nothing on standard output.

use crate::run::{empty_folder, inkset, inkset_in, root};

#[test]
fn every_invalid_job_is_refused_with_its_place() {
    let mut seen = 0;
    for entry in std::fs::read_dir(root().join("tests/jobs/invalid")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "toml") {
            continue;
        }
        let run = inkset(&[
            "price",
            path.to_str().unwrap(),
            "--rates",
            "rates/metric.toml",
        ]);
        assert_eq!(run.code, 1, "{}\n{}", path.display(), run.shown());
        assert!(
            run.stdout.is_empty() && run.stderr.contains("error["),
            "{}",
            run.shown()
        );
        seen += 1;
    }
    assert!(seen >= 15, "{seen}");
}

#[test]
fn a_missing_file_is_machine_trouble() {
    let run = inkset(&["price", "jobs/no-such.toml"]);
    assert_eq!(run.code, 2, "{}", run.shown());
    assert!(run.stderr.contains("no-such.toml"), "{}", run.shown());
}

#[test]
fn wrong_arguments_are_usage_trouble() {
    for arguments in [
        &["price"][..],
        &["prise"],
        &["price", "x.toml", "--quantity", "0"],
        &["reach", "x.csv", "--condition", "y", "--format", "xml"],
    ] {
        assert_eq!(inkset(arguments).code, 2, "{arguments:?}");
    }
}

#[test]
fn a_job_without_rate_card_says_how_to_give_one() {
    let folder = empty_folder("no-rates");
    let job = std::fs::read_to_string(root().join("jobs/minimal.toml"))
        .unwrap()
        .replace("rates = \"../rates/metric.toml\"\n", "");
    std::fs::write(folder.join("job.toml"), job).unwrap();
    let run = inkset_in(&folder, &["price", "job.toml"]);
    assert_eq!(run.code, 2, "{}", run.shown());
    assert!(run.stderr.contains("--rates"), "{}", run.shown());
}

#[test]
fn both_files_are_told_in_one_go() {
    let folder = empty_folder("both-bad");
    std::fs::write(folder.join("job.toml"), "title = 1\n[produkt]\n").unwrap();
    std::fs::write(folder.join("rates.toml"), "currency = \"XXQ\"\n").unwrap();
    let run = inkset_in(&folder, &["check", "job.toml", "--rates", "rates.toml"]);
    assert_eq!(run.code, 1);
    assert!(
        run.stderr.contains("job.toml:1:9") && run.stderr.contains("rates.toml:1:12"),
        "{}",
        run.shown()
    );
}

#[test]
fn a_condition_whose_file_is_not_there_is_told_with_its_place() {
    let folder = empty_folder("no-condition");
    for (of, file) in [
        ("job", "jobs/flyer-orange.toml"),
        ("rates", "rates/metric.toml"),
    ] {
        let text = std::fs::read_to_string(root().join(file)).unwrap();
        let text = text.replace("\"coated-fogra39\"", "\"no-such.txt\"");
        let path = folder.join(format!("{of}.toml"));
        std::fs::write(&path, &text).unwrap();
        let path = path.to_str().unwrap();
        let run = match of {
            "job" => inkset(&["price", path, "--rates", "rates/metric.toml"]),
            _ => inkset(&["price", "jobs/minimal.toml", "--rates", path]),
        };
        assert_eq!(run.code, 1, "{}", run.shown());
        let said = "names printing condition `no-such.txt`, and there is no such file";
        let place = format!("{of}.toml:");
        assert!(
            run.stderr.contains(said) && run.stderr.contains(&place),
            "{}",
            run.shown()
        );
    }
}
