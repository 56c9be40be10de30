//! The part of an address behind its question mark.

use exchange_dicom::facts::HeaderFacts;
use exchange_dicom::send::web::{MOST_ANSWERS, Query};

pub fn comes_in(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    if let Ok(query) = Query::read(text) {
        let _ = query.fits(&HeaderFacts::default());
        assert!(query.page(0..MOST_ANSWERS + 5).len() <= MOST_ANSWERS);
        assert!(query.fields.len() <= 64);
    }
}
