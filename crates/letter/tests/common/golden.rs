//! A paper's text held against the one that was read and found good.
//!
//! Set `BLESS=1` to write the golden texts anew after a change that is meant; read the difference first.

use letter::compose::Composed;
use std::path::Path;

pub fn golden(name: &str, composed: &Composed) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(format!("{name}.txt"));
    let text = composed.document.text();
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    for (i, (is, should)) in text.lines().zip(expected.lines()).enumerate() {
        assert_eq!(is, should, "{name}, line {}", i + 1);
    }
    assert_eq!(text.len(), expected.len(), "{name}: one text is longer");
}
