//! `inkset new` and `inkset check`.

use crate::run::{empty_folder, inkset, inkset_in};

#[test]
fn starter_files_price_at_once_and_are_never_overwritten() {
    let folder = empty_folder("starter");
    let made = inkset_in(&folder, &["new", "first"]);
    assert_eq!(made.code, 0, "{}", made.shown());
    let priced = inkset_in(&folder, &["price", "first/job.toml"]);
    assert_eq!(priced.code, 0, "{}", priced.shown());
    std::fs::write(folder.join("first/job.toml"), "mine").unwrap();
    let again = inkset_in(&folder, &["new", "first"]);
    assert_eq!(again.code, 2, "{}", again.shown());
    assert_eq!(
        std::fs::read_to_string(folder.join("first/job.toml")).unwrap(),
        "mine"
    );
}

#[test]
fn check_tells_what_was_assumed() {
    insta::assert_snapshot!(
        "check minimal",
        inkset(&["check", "jobs/minimal.toml"]).shown()
    );
}

#[test]
fn help_names_every_command() {
    let help = inkset(&["--help"]);
    assert_eq!(help.code, 0);
    insta::assert_snapshot!("help", help.stdout);
}
