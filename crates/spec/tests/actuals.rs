//! Files of actuals: what is read, what is refused, what is told.

use inkset_spec::{check_actuals, codes, read_actuals, read_rate_card};

fn codes_of(text: &str) -> Vec<&'static str> {
    let reading = read_actuals(text.as_bytes());
    assert!(reading.value.is_none(), "{text}");
    reading.notices.iter().map(|notice| notice.code).collect()
}

const TYPED: &str = "[[job]]\nname = '1'\n[[job.press]]\npress = 'B2, four units'\n";
const RUN: &str = "runs = [ { inks = 4, good_sheets = 2500 } ]\n";

#[test]
fn typed_and_filed_jobs_are_read() {
    let text = format!(
        "rates = 'r.toml'\n{TYPED}{RUN}sheets = 2700\n\
         [[job]]\nname = '2'\nfile = 'a.toml'\nquantity = 5000\n[[job.ink]]\nink = 'process'\nkg = 1.25\n"
    );
    let reading = read_actuals(text.as_bytes());
    let actuals = reading.value.expect("right");
    assert_eq!(actuals.jobs.len(), 2);
    let press = &actuals.jobs[0].presses[0];
    assert_eq!((press.runs[0].inks, press.runs[0].good_sheets), (4, 2500));
    assert_eq!(press.sheets.expect("given").value, 2700);
    assert_eq!(press.running_minutes, None, "not measured is not zero");
    let order = actuals.jobs[1].file.as_ref().expect("given");
    assert_eq!(order.quantity.value, 5000);
}

#[test]
fn every_mistake_is_told_at_once() {
    let cases = [
        (String::new(), vec![codes::MISSING_KEY]),
        (format!("{TYPED}{RUN}"), vec![codes::NO_ACTUAL]),
        (format!("{TYPED}sheets = 10\n"), vec![codes::MISSING_KEY]),
        (
            format!("{TYPED}{RUN}sheets = 10\nmake_ready_sheets = 11\n"),
            vec![codes::OUT_OF_RANGE],
        ),
        ("[[job]]\nname = '1'\n".to_owned(), vec![codes::NO_ACTUAL]),
        (
            "[[job]]\nname = '1'\nquantity = 5\n[[job.ink]]\nink = 'cyan'\nkg = -1\n".to_owned(),
            vec![codes::UNFIT_KEY, codes::OUT_OF_RANGE],
        ),
        (
            format!("{TYPED}{RUN}sheets = 10\n{TYPED}{RUN}sheets = 10\n"),
            vec![codes::DUPLICATE_NAME],
        ),
        (
            format!(
                "{TYPED}{RUN}sheets = 10\nfile = 'x'\n[[job.operation]]\noperation = 'fold'\nspoiled = 4\n"
            ),
            vec![codes::UNKNOWN_KEY, codes::MISSING_KEY],
        ),
        (
            "[[job]]\nname = '1'\nfile = 'x'\n[[job.press]]\npress = 'P'\nruns = []\nsheets = 1\n"
                .to_owned(),
            vec![codes::MISSING_KEY, codes::UNFIT_KEY],
        ),
    ];
    for (text, wanted) in cases {
        assert_eq!(codes_of(&text), wanted, "{text}");
    }
}

#[test]
fn presses_and_operations_must_be_on_the_card() {
    let card = read_rate_card(include_str!("../../../rates/metric.toml"));
    let card = card.value.expect("right");
    let text = "[[job]]\nname = '1'\n[[job.press]]\npress = 'b2, FOUR units'\nruns = [ { inks = 4, good_sheets = 9 } ]\n\
        sheets = 20\n[[job.press]]\npress = 'B2, four unit'\nruns = [ { inks = 4, good_sheets = 9 } ]\nsheets = 20\n\
        [[job.operation]]\noperation = 'die cut'\npieces = 4\nrunning_minutes = 4\n";
    let actuals = read_actuals(text.as_bytes())
        .value
        .expect("right in itself");
    let told = check_actuals(&actuals, &card);
    let codes: Vec<&str> = told.iter().map(|notice| notice.code).collect();
    assert_eq!(codes, [codes::UNKNOWN_PRESS, codes::UNKNOWN_OPERATION]);
    assert!(
        told[0]
            .hint
            .as_ref()
            .expect("hint")
            .contains("B2, four units")
    );
}

#[test]
fn broken_bytes_never_panic() {
    let whole =
        format!("{TYPED}{RUN}sheets = 2700\n[[job.operation]]\noperation = 'cut'\npieces = 3\n");
    for end in 0..whole.len() {
        read_actuals(&whole.as_bytes()[..end]);
        let mut bytes = whole.clone().into_bytes();
        bytes[end] = b"\xFF[]\"=1"[end % 6];
        read_actuals(&bytes);
    }
}
