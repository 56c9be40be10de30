//! How does one key become another?
//!
//! Every purpose has a key of its own, derived with HKDF-SHA256 under its own label (RFC 5869), so that
//! what is sealed for one purpose can never be taken for another.

use hkdf::Hkdf;
use hmac::{Hmac, KeyInit, Mac};
use sha2::{Digest, Sha256};
use subtle::ConstantTimeEq;
use zeroize::{Zeroize, ZeroizeOnDrop};

/// 32 secret bytes; wiped when dropped, never shown, compared in constant time.
#[derive(Clone, Zeroize, ZeroizeOnDrop)]
pub struct Key([u8; 32]);

impl Key {
    pub fn new(bytes: [u8; 32]) -> Self {
        Key(bytes)
    }

    /// The bytes themselves, for a library that takes them.
    pub fn bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// As 64 hexadecimal digits, wiped when dropped.
    pub fn hex(&self) -> zeroize::Zeroizing<String> {
        zeroize::Zeroizing::new(hex::encode(self.0))
    }

    /// The key of one purpose. `salt` may be empty.
    pub(crate) fn of(secret: &[u8], salt: &[u8], parts: &[&[u8]]) -> Self {
        let mut out = Key([0; 32]);
        Hkdf::<Sha256>::new(Some(salt), secret)
            .expand_multi_info(parts, &mut out.0)
            .expect("32 bytes are fewer than the 8160 that can be derived");
        out
    }

    pub(crate) fn derived(&self, label: &str) -> Self {
        Key::of(&self.0, &[], &[b"tiebeam vault 1 ", label.as_bytes()])
    }

    /// HMAC-SHA256 (RFC 2104).
    pub(crate) fn authenticated(&self, bytes: &[u8]) -> [u8; 32] {
        let mut mac =
            Hmac::<Sha256>::new_from_slice(&self.0).expect("HMAC takes a key of any length");
        mac.update(bytes);
        mac.finalize().into_bytes().into()
    }
}

impl PartialEq for Key {
    fn eq(&self, other: &Self) -> bool {
        same(&self.0, &other.0)
    }
}

impl Eq for Key {}

impl std::fmt::Debug for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Key(not shown)")
    }
}

pub(crate) fn same(a: &[u8], b: &[u8]) -> bool {
    a.ct_eq(b).into()
}

pub(crate) fn sha256(bytes: &[u8]) -> [u8; 32] {
    Sha256::digest(bytes).into()
}
