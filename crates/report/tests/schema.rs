//! The published schema of `price --format json` is the one that the code writes.

#[test]
fn published_schema_is_current() {
    let path =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/price.schema.json");
    let current = inkset_report::price_schema();
    if std::env::var_os("INKSET_BLESS").is_some() {
        std::fs::write(&path, &current).unwrap();
    }
    let published = std::fs::read_to_string(&path).unwrap();
    assert_eq!(
        published, current,
        "rewrite it with `INKSET_BLESS=1 cargo test -p inkset-report`"
    );
}
