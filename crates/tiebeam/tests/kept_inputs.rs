//! What searches for panics found worth keeping, thrown at the same doors once more: an input that once was worth a look
//! stays answered. The bodies of pages are thrown in the tests of `web`, which have the whole practice.

#[path = "../../../fuzz/doors/kept.rs"]
mod kept;

#[path = "../../../fuzz/doors/dimse_bytes.rs"]
mod dimse_bytes;
#[path = "../../../fuzz/doors/fhir_id.rs"]
mod fhir_id;
#[path = "../../../fuzz/doors/fhir_query.rs"]
mod fhir_query;
#[path = "../../../fuzz/doors/keyring_file.rs"]
mod keyring_file;
#[path = "../../../fuzz/doors/nameless_file.rs"]
mod nameless_file;
#[path = "../../../fuzz/doors/open_film.rs"]
mod open_film;
#[path = "../../../fuzz/doors/points_file.rs"]
mod points_file;
#[path = "../../../fuzz/doors/qido_query.rs"]
mod qido_query;
#[path = "../../../fuzz/doors/stow_multipart.rs"]
mod stow_multipart;

use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Thrown by the tests of `web`.
const OF_PAGES: &str = "page_bodies";

/// Says which input it was: the name of a kept one is the hash of its bytes.
fn thrown(door: &str, comes_in: fn(&[u8])) {
    for (name, bytes) in kept::inputs(door) {
        let fine = catch_unwind(AssertUnwindSafe(|| comes_in(&bytes)));
        assert!(fine.is_ok(), "{door} panics at {name} of its kept inputs");
    }
}

macro_rules! doors {
    ($($door:ident),+ $(,)?) => {
        const DOORS: &[&str] = &[$(stringify!($door)),+];

        mod what_was_kept_is_answered_at {
            $(#[test]
            fn $door() {
                super::thrown(stringify!($door), super::$door::comes_in);
            })+
        }
    };
}

doors!(
    dimse_bytes,
    fhir_id,
    fhir_query,
    keyring_file,
    nameless_file,
    open_film,
    points_file,
    qido_query,
    stow_multipart,
);

fn names(folder: &str, ending: &str) -> BTreeSet<String> {
    std::fs::read_dir(kept::folder().join(folder))
        .expect("a folder of the searches")
        .map(|e| {
            e.expect("an entry")
                .file_name()
                .into_string()
                .expect("a plain name")
        })
        .filter_map(|name| name.strip_suffix(ending).map(str::to_owned))
        .collect()
}

#[test]
fn every_kept_archive_has_its_door_and_its_target_and_the_other_way_round() {
    let here: BTreeSet<String> = DOORS
        .iter()
        .chain([&OF_PAGES])
        .map(|d| (*d).to_owned())
        .collect();
    assert_eq!(names("corpora", ".zip"), here);
    for door in &here {
        let path = kept::folder().join(format!("fuzz_targets/{door}.rs"));
        let target = std::fs::read_to_string(path).expect("a target of this name");
        assert!(target.contains(&format!("../doors/{door}.rs\"")), "{door}");
    }
    let pages = include_str!("../../web/tests/web/main.rs");
    assert!(pages.contains("fuzz/doors/page_bodies.rs\""));
}
