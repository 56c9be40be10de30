//! `docs/dicom-conformance.md` against the code.

use exchange_dicom::classes::{MADE, Named, SYNTAXES, TAKEN, VERIFICATION, WRITTEN};
use exchange_dicom::receive::ReceiverLimits;
use exchange_dicom::watch::WatchLimits;
use exchange_dicom::{IMPLEMENTATION_NAME, IMPLEMENTATION_UID, tree};
use std::collections::BTreeSet;
use std::path::Path;

fn page() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/dicom-conformance.md");
    std::fs::read_to_string(path).expect("the page is there")
}

/// Rows of two cells under a heading.
fn table(heading: &str) -> BTreeSet<(String, String)> {
    let page = page();
    let section = page
        .split("\n## ")
        .find(|s| s.starts_with(heading))
        .expect("the heading is there");
    section
        .lines()
        .filter_map(|l| l.strip_prefix("| ")?.strip_suffix(" |")?.split_once(" | "))
        .map(|(a, b)| (a.to_owned(), b.to_owned()))
        .filter(|(_, b)| b.starts_with("1.2.840."))
        .collect()
}

fn set(named: &[Named]) -> BTreeSet<(String, String)> {
    named
        .iter()
        .map(|n| (n.name.to_owned(), n.uid.to_owned()))
        .collect()
}

#[test]
fn the_classes_and_syntaxes_of_the_page_are_those_of_the_code() {
    let mut taken = set(TAKEN);
    taken.extend(set(&[VERIFICATION]));
    assert_eq!(table("3 SOP classes taken in"), taken);
    assert_eq!(table("4 Transfer syntaxes"), set(SYNTAXES));
    assert_eq!(table("5 SOP classes made"), set(MADE));
    assert!(page().contains(&format!("are written in {}", WRITTEN.name)));
}

#[test]
fn crate_film_unpacks_every_syntax_that_is_taken_and_no_other() {
    let film = film_syntaxes();
    let ours: BTreeSet<String> = SYNTAXES.iter().map(|s| s.uid.to_owned()).collect();
    assert_eq!(ours, film);
}

/// The identifiers that the source of crate `film` names as its packings.
fn film_syntaxes() -> BTreeSet<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../film/src/dicom/syntax.rs");
    let source = std::fs::read_to_string(path).expect("the source of crate film");
    source
        .split('"')
        .filter(|t| t.starts_with("1.2.840.10008.1.2"))
        .map(str::to_owned)
        .collect()
}

#[test]
fn the_numbers_of_the_page_are_the_usual_settings() {
    let limits = ReceiverLimits::default();
    let page = page();
    let rows = [
        format!("| associations at once | {} |", limits.associations),
        format!(
            "| associations at once from one address | {} |",
            limits.per_address
        ),
        format!("| largest PDU taken | {} bytes |", limits.pdu_bytes),
        format!(
            "| presentation contexts in a request | {} |",
            limits.contexts
        ),
        format!(
            "| largest data set of an object | {} bytes,",
            limits.object_bytes
        ),
        format!("| objects over one association | {} |", limits.objects),
        format!("| longest silence | {} s |", limits.idle.as_secs()),
        format!("| longest association | {} s |", limits.whole.as_secs()),
        format!("included | {} s |", limits.first.as_secs()),
        format!("| implementation class UID | {IMPLEMENTATION_UID} |"),
        format!("| implementation version name | {IMPLEMENTATION_NAME} |"),
        format!(
            "at least {} s apart",
            WatchLimits::default().settle.whole_seconds()
        ),
        format!("nested more than {} deep", tree::Limits::default().depth),
        format!("at most {}\nelements", tree::Limits::default().elements),
    ];
    for row in rows {
        assert!(page.contains(&row), "{row}");
    }
}
