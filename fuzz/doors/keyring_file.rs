//! Keyrings, key files, recovery codes and the heads of sealed backups from outside: a sentence or a value, never a panic,
//! and what reads back is written as it was read.

use sha2::{Digest, Sha256};
use vault::{KeyFile, Keyring, RecoveryCode};

pub fn comes_in(bytes: &[u8]) {
    ring(bytes);
    let _ = KeyFile::read(bytes);
    let _ = vault::stream::keyring(bytes);
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = RecoveryCode::read(text);
        ring(with_its_check(text).as_bytes());
    }
}

fn ring(bytes: &[u8]) {
    if let Ok(ring) = Keyring::read(bytes) {
        let again = Keyring::read(&ring.bytes()).expect("what was written reads back");
        assert_eq!(again, ring);
    }
}

/// With a last line that fits, so that what stands behind it is reached: no search guesses a hash.
fn with_its_check(text: &str) -> String {
    const LAST: &str = "text = \"";
    let text = text.trim_start_matches('\u{feff}').replace('\r', "");
    let above = text.rfind(LAST).map_or(text.as_str(), |at| &text[..at]);
    let check = hex::encode(Sha256::digest(above));
    format!("{above}{LAST}{check}\"\n")
}
