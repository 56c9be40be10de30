//! A file from outside, read whole, described and copied without names.

use exchange_dicom::inbox::{Origin, well_formed};
use exchange_dicom::nameless::{Rect, Secret, nameless};
use exchange_dicom::objects::SourceFilm;
use exchange_dicom::send::web::{Level, Query, described, json};
use exchange_dicom::tree::{self, Limits};

pub fn comes_in(data: &[u8]) {
    let limits = Limits {
        inflated_bytes: 1_000_000,
        ..Limits::default()
    };
    let _ = well_formed(data.to_vec(), Origin::Handed, &limits);
    let _ = SourceFilm::of_file(data);
    let query = Query {
        all_fields: true,
        ..Query::default()
    };
    if let Ok(Some(answer)) = described(data, Level::Instances, &query) {
        let _ = json(&[answer]);
    }
    let rect = Rect {
        x: 1,
        y: 1,
        width: 3,
        height: 3,
    };
    if let Ok(copy) = nameless(data, "7", &Secret::new([1; 32]), &[rect]) {
        // What comes out is a whole object, and copying it again gives no other kind of thing.
        let mut inflated = Vec::new();
        let object = tree::file(&copy.file, &mut inflated, &limits).expect("our own file");
        assert!(object.set.elements.iter().all(|e| e.tag.group() % 2 == 0));
    }
}
