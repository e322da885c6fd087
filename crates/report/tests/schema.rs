//! The published schemas are those that the code writes.

fn check(file: &str, current: &str) {
    let docs = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs");
    let path = docs.join(file);
    if std::env::var_os("INKSET_BLESS").is_some() {
        std::fs::write(&path, current).expect("docs can be written");
    }
    let published = std::fs::read_to_string(&path).expect("the schema is published");
    assert_eq!(
        published, current,
        "{file}: rewrite it with `INKSET_BLESS=1 cargo test -p inkset-report`"
    );
}

#[test]
fn published_price_schema_is_current() {
    check("price.schema.json", &inkset_report::price_schema());
}

#[test]
fn published_weigh_schema_is_current() {
    check("weigh.schema.json", &inkset_report::weigh_schema());
}
