//! Figures that a job sets by hand.

use crate::run::{Run, empty_folder, inkset, root};

fn price(folder: &str, overrides: &str, more: &[&str]) -> Run {
    let job = std::fs::read_to_string(root().join("jobs/flyer-orange.toml")).unwrap();
    let path = empty_folder(folder).join("job.toml");
    std::fs::write(&path, format!("{job}\n{overrides}")).unwrap();
    let mut arguments = vec![
        "price",
        path.to_str().unwrap(),
        "--rates",
        "rates/metric.toml",
    ];
    arguments.extend(more);
    inkset(&arguments)
}

const KEPT: &str = "[[override]]\nline = \"plates\"\namount = 0\nwhy = \"plates kept from May\"\n";

#[test]
fn both_figures_are_shown() {
    let run = price("hand-table", KEPT, &[]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let words = run.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "Set by hand",
        "× 5 inks; by hand,",
        "): plates kept from May",
    ] {
        assert!(words.contains(said), "{said}\n{}", run.stdout);
    }
    let json = price("hand-json", KEPT, &["--format", "json"]).json();
    let mut seen = 0;
    for option in json["options"].as_array().unwrap() {
        for quantity in option["quantities"].as_array().unwrap() {
            let lines = quantity["lines"].as_array().unwrap();
            let plates = lines.iter().find(|l| l["stage"] == "plates").unwrap();
            assert_eq!(plates["amount"], "0.00");
            let computed: f64 = plates["by_hand"]["amount"]
                .as_str()
                .unwrap()
                .parse()
                .unwrap();
            assert!(computed > 0.0, "{plates}");
            seen += 1;
        }
    }
    assert!(seen > 0);
    let csv = price("hand-csv", KEPT, &["--format", "csv", "--lines"]).stdout;
    assert!(
        csv.lines().next().unwrap().ends_with("set_by_hand"),
        "{csv}"
    );
}

#[test]
fn a_total_may_be_set_for_one_option_and_quantity() {
    let total =
        "[[override]]\nline = \"total\"\noption = \"CMYK\"\ncopies = 5000\namount = 999.00\n";
    let json = price("hand-total", total, &["--format", "json"]).json();
    let mut set = 0;
    for option in json["options"].as_array().unwrap() {
        for quantity in option["quantities"].as_array().unwrap() {
            if quantity["total"] == "999.00" {
                assert_eq!(
                    (&option["name"], &quantity["quantity"]),
                    (&"CMYK".into(), &5000.into())
                );
                set += 1;
            }
        }
    }
    assert_eq!(set, 1);
}

#[test]
fn an_override_of_nothing_lists_the_lines() {
    let run = price(
        "hand-none",
        "[[override]]\nline = \"plate\"\namount = 0\n",
        &[],
    );
    assert_eq!(run.code, 1, "{}", run.shown());
    assert!(run.stdout.is_empty());
    for said in [
        "error[override-unused]",
        "line = \"plates\"",
        "line = \"total\"",
        "option = \"CMYK\"",
    ] {
        assert!(run.stderr.contains(said), "{said}\n{}", run.stderr);
    }
}

#[test]
fn computed_and_set_figures_are_explained() {
    let run = price("hand-explained", KEPT, &["--explain", "plates"]);
    assert_eq!(run.code, 0, "{}", run.shown());
    assert!(
        run.stdout.contains("set by hand: plates kept from May"),
        "{}",
        run.stdout
    );
}

#[test]
fn ways_set_by_hand_are_shown_beside_the_computed_ones() {
    let asked = "[[printing]]\nstyle = \"sheetwise\"\nup = 2\nmake_ready_sheets = 333\nwhy = \"the die exists\"\n";
    let run = price("printing-table", asked, &[]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let words = run.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "sheetwise, 2 up, 333 sheets of make-ready a run",
        "the die exists",
        "Without ways to print set by hand:",
        "at 5 000 copies",
    ] {
        assert!(words.contains(said), "{said}\n{}", run.stdout);
    }
    let json = price("printing-json", asked, &["--format", "json"]).json();
    let plain = price("printing-none", "", &["--format", "json"]).json();
    let alone = json["printing"][0]["by_price_alone"].as_array().unwrap();
    assert_eq!(alone.len(), 4);
    for (at, by_price) in alone.iter().enumerate() {
        let options = plain["options"].as_array().unwrap();
        let mut totals = options.iter().map(|o| &o["quantities"][at]["total"]);
        assert!(
            totals.any(|total| *total == by_price["total"]),
            "{by_price}"
        );
    }
    let explained = price("printing-explain", asked, &["--explain", "paper"]);
    let words = explained
        .stdout
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(
        words.contains("333 of make-ready, set by hand"),
        "{}",
        explained.stdout
    );
}

#[test]
fn impossible_ways_are_refused_with_the_nearest() {
    let asked = "[[printing]]\nstyle = \"work-and-turn\"\nup = 3\n";
    let run = price("printing-odd", asked, &[]);
    assert_eq!(run.code, 1, "{}", run.shown());
    let words = run.stderr.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("error[printing-impossible]: part `flyer` cannot be printed as `[[printing]]` sets it (work-and-turn, 3 up) -->"),
        "{words}"
    );
    assert!(words.contains("[[printing]] | ^^^^^^^^^^^^"), "{words}");
    assert!(words.contains("= hint: nearest: "), "{words}");
    assert!(words.contains("work-and-turn, "), "{words}");
}

#[test]
fn an_override_of_several_lines_is_told_with_its_place() {
    let asked = "[[override]]\nline = \"ink\"\namount = 3\n";
    let run = price("hand-several", asked, &[]);
    assert_eq!(run.code, 1, "{}", run.shown());
    let words = run.stderr.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "error[override-unused]: the override of `ink` fits several lines -->",
        "[[override]] | ^^^^^^^^^^^^",
        "= hint: say which: line = \"ink\", item = \"cyan\"",
    ] {
        assert!(words.contains(said), "{said}\n{words}");
    }
}

#[test]
fn a_way_by_hand_that_price_takes_too_costs_the_same() {
    let plain = price("printing-plain", "", &["--format", "json"]).json();
    let best = plain["best"][0]["name"].as_str().unwrap();
    let options = plain["options"].as_array().unwrap();
    let option = options.iter().find(|o| o["name"] == best).unwrap();
    let press = &option["quantities"][0]["press"];
    let asked = format!("[[printing]]\npress = {press}\n");
    let run = price("printing-same", &asked, &["--quantity", "2000"]);
    assert_eq!(run.code, 0, "{}", run.shown());
    let words = run.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    let total = format!(
        "; total {}, the same",
        option["quantities"][0]["total"].as_str().unwrap()
    );
    assert!(words.contains(&total), "{total}\n{words}");
}
