//! `docs/worked-examples.md`: what a pencil reckons, the program reckons.

use serde_json::Value;

use crate::run::{inkset, root};

/// A line as the page tells it: stage, quantity and unit, rate, amount.
type Row = [String; 4];

/// One table of lines with its total, and the next cheapest way where it is told.
#[derive(Debug, Default)]
struct Priced {
    rows: Vec<Row>,
    total: String,
    next: Option<String>,
}

/// The part of the page under one heading.
#[derive(Debug)]
struct Example {
    job: String,
    card: String,
    priced: Vec<Priced>,
}

fn cells(line: &str) -> Vec<String> {
    let inner = line.trim().trim_matches('|');
    inner
        .split('|')
        .map(|cell| cell.trim().to_owned())
        .collect()
}

/// What stands in square brackets, in order.
fn bracketed(line: &str) -> Vec<String> {
    let after = line.split('[').skip(1);
    after
        .map(|rest| rest.split(']').next().unwrap().to_owned())
        .collect()
}

fn example(text: &str) -> Example {
    let files = text.lines().find(|line| line.starts_with("Files:"));
    let files = bracketed(files.unwrap_or_else(|| panic!("no files in {text}")));
    let mut priced: Vec<Priced> = Vec::new();
    let mut in_lines = false;
    for line in text.lines() {
        if line.starts_with("| stage | for |") {
            in_lines = true;
            priced.push(Priced::default());
        } else if let Some(rest) = line.strip_prefix("**Total ") {
            let total = rest.trim_end_matches("**").trim_end_matches('.');
            total.clone_into(&mut priced.last_mut().unwrap().total);
        } else if let Some(rest) = line.strip_prefix("**Next cheapest: ") {
            let next = rest.split(".**").next().unwrap();
            priced.last_mut().unwrap().next = Some(next.to_owned());
        } else if !line.starts_with('|') {
            in_lines = false;
        } else if in_lines && !line.starts_with("|---") {
            let [stage, _, quantity, rate, amount] = cells(line).try_into().unwrap();
            priced
                .last_mut()
                .unwrap()
                .rows
                .push([stage, quantity, rate, amount]);
        }
    }
    Example {
        job: files[0].clone(),
        card: files[1].clone(),
        priced,
    }
}

fn examples() -> Vec<Example> {
    let page = std::fs::read_to_string(root().join("docs/worked-examples.md")).unwrap();
    let page = page.replace("\r\n", "\n");
    page.split("\n## ").skip(1).map(example).collect()
}

/// The lines that the program prints, by quantity in the order of the job.
fn lines(job: &str) -> Vec<Vec<Row>> {
    let run = inkset(&["price", job, "--format", "json"]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let json = run.json();
    let text = |line: &Value, key: &str| line[key].as_str().unwrap().to_owned();
    let row = |line: &Value| {
        let quantity = format!("{} {}", text(line, "quantity"), text(line, "unit"));
        [
            text(line, "stage"),
            quantity,
            text(line, "rate"),
            text(line, "amount"),
        ]
    };
    let quantities = json["options"][0]["quantities"].as_array().unwrap();
    let rows = quantities
        .iter()
        .map(|priced| priced["lines"].as_array().unwrap());
    rows.map(|rows| rows.iter().map(row).collect()).collect()
}

/// The sentences on the next cheapest way, by quantity, each on one line.
fn next_cheapest(job: &str) -> Vec<String> {
    let run = inkset(&["price", job]);
    let text = run.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    let after = text.split("Next cheapest: ").skip(1);
    after
        .map(|rest| {
            let (sentence, _) = rest.split_once(" dearer").unwrap();
            format!("{sentence} dearer")
        })
        .collect()
}

fn cents(rows: &[Row]) -> i64 {
    let amounts = rows.iter().map(|row| row[3].replace('.', ""));
    amounts.map(|amount| amount.parse::<i64>().unwrap()).sum()
}

#[test]
fn pencil_and_program_agree() {
    let examples = examples();
    assert!(examples.len() >= 10, "{}", examples.len());
    let mut compared = 0;
    for example in &examples {
        let job = format!("tests/worked/{}", example.job);
        let written = std::fs::read_to_string(root().join(&job)).unwrap();
        assert!(
            written.contains(&format!("rates = \"{}\"", example.card)),
            "{job}"
        );
        let found = lines(&job);
        assert_eq!(example.priced.len(), found.len(), "{job}");
        let next = next_cheapest(&job);
        for (at, (pencil, program)) in example.priced.iter().zip(&found).enumerate() {
            assert_eq!(&pencil.rows, program, "{job}");
            let total = pencil.total.replace('.', "");
            assert_eq!(cents(program), total.parse::<i64>().unwrap(), "{job}");
            if let Some(other) = &pencil.next {
                assert!(
                    next[at].ends_with(other.as_str()),
                    "{job}: {other}: {next:?}"
                );
            }
            compared += pencil.rows.len();
        }
    }
    assert!(compared > 150, "{compared}");
}
