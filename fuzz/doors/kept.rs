//! Which inputs of a door are kept: those of `corpora/DOOR.zip`, which earlier searches found worth keeping.

use std::{fs::File, io::Read, path::PathBuf};

pub fn folder() -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../fuzz"))
}

/// Each with its name; there is at least one.
pub fn inputs(door: &str) -> Vec<(String, Vec<u8>)> {
    let path = folder().join("corpora").join(format!("{door}.zip"));
    let file = File::open(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let mut kept = zip::ZipArchive::new(file).expect("an archive of inputs");
    let mut all = Vec::new();
    for at in 0..kept.len() {
        let mut one = kept.by_index(at).expect("an entry");
        if one.is_file() {
            let name = one.name().expect("a plain name").into_owned();
            let mut bytes = Vec::new();
            one.read_to_end(&mut bytes).expect("a whole entry");
            all.push((name, bytes));
        }
    }
    assert!(!all.is_empty(), "nothing is kept for {door}");
    all
}
