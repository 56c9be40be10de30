//! Keyrings, key files, recovery codes and the heads of sealed backups from outside: a sentence or a value, never a panic,
//! and what reads back is written as it was read.
#![no_main]

use libfuzzer_sys::fuzz_target;
use vault::{KeyFile, Keyring, RecoveryCode};

fuzz_target!(|bytes: &[u8]| {
    if let Ok(ring) = Keyring::read(bytes) {
        let again = Keyring::read(&ring.bytes()).expect("what was written reads back");
        assert_eq!(again, ring);
    }
    let _ = KeyFile::read(bytes);
    let _ = vault::stream::keyring(bytes);
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = RecoveryCode::read(text);
    }
});
