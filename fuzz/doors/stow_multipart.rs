//! Bodies of several objects: the first line is the content type, the rest the body.

use exchange_dicom::send::multipart::{boundary, parts};
use exchange_dicom::send::web::stow;
use exchange_dicom::tree::Limits;

pub fn comes_in(data: &[u8]) {
    let at = data.iter().position(|b| *b == b'\n').unwrap_or(data.len());
    let (kind, body) = data.split_at(at);
    let body = body.get(1..).unwrap_or_default();
    let kind = String::from_utf8_lossy(kind);
    let limits = Limits {
        inflated_bytes: 100_000,
        ..Limits::default()
    };
    let _ = stow(&kind, body, &limits);
    if let Ok(found) = boundary(&kind) {
        let _ = parts(&found, body);
    }
    // And with a boundary that is sure to be one.
    if let Ok(all) = parts("b", body) {
        let bytes: usize = all.iter().map(|p| p.bytes.len()).sum();
        assert!(bytes <= body.len());
    }
}
