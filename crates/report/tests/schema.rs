//! The published schemas of JSON answers are those that the code writes.

fn is_current(name: &str, current: &str) {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../docs")
        .join(name);
    if std::env::var_os("INKSET_BLESS").is_some() {
        std::fs::write(&path, current).expect("the folder is there");
    }
    let published = std::fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(
        published, current,
        "{name}: rewrite it with `INKSET_BLESS=1 cargo test -p inkset-report`"
    );
}

#[test]
fn published_schema_of_prices_is_current() {
    is_current("price.schema.json", &inkset_report::price_schema());
}

#[test]
fn published_schema_of_comparisons_is_current() {
    is_current("compare.schema.json", &inkset_report::compare_schema());
}

#[test]
fn published_schema_of_weighing_is_current() {
    is_current("weigh.schema.json", &inkset_report::weigh_schema());
}

#[test]
fn published_schema_of_learning_is_current() {
    is_current("learn.schema.json", &inkset_report::learn_schema());
}
