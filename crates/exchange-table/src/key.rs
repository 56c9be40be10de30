//! Under which name does a person stand, that is no name?
//!
//! A keyed hash of the record's id. Whoever has the key can follow a person from one study to the next; whoever has
//! not cannot find the person, nor the same person in a study with another key.

use sha2::{Digest, Sha256};
use std::fmt;

/// The key of one study; it is kept where the study does not go.
#[derive(Clone)]
pub struct StudyKey([u8; 64]);

/// The key is too short to keep anybody from trying all of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "found a key of {found} bytes; expected 16 to 64 random bytes; make one and keep it apart from the study"
)]
pub struct BadKey {
    pub found: usize,
}

impl fmt::Debug for StudyKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("StudyKey(…)")
    }
}

impl StudyKey {
    /// # Errors
    /// A key that is shorter than 16 or longer than 64 bytes.
    pub fn new(bytes: &[u8]) -> Result<Self, BadKey> {
        if !(16..=64).contains(&bytes.len()) {
            return Err(BadKey { found: bytes.len() });
        }
        let mut block = [0; 64];
        block[..bytes.len()].copy_from_slice(bytes);
        Ok(Self(block))
    }

    /// HMAC-SHA-256 (RFC 2104) of the parts, each told with its length; the first `digits` hexadecimal digits.
    pub fn pseudonym(&self, parts: &[&str], digits: usize) -> String {
        let mut message = Vec::new();
        for part in parts {
            message.extend((part.len() as u64).to_be_bytes());
            message.extend(part.as_bytes());
        }
        let mac = self.hmac(&message);
        let hex: String = mac.iter().map(|b| format!("{b:02x}")).collect();
        hex.chars().take(digits).collect()
    }

    fn hmac(&self, message: &[u8]) -> [u8; 32] {
        let padded = |with: u8| self.0.map(|b| b ^ with);
        let inner = Sha256::new()
            .chain_update(padded(0x36))
            .chain_update(message)
            .finalize();
        let outer = Sha256::new()
            .chain_update(padded(0x5c))
            .chain_update(inner)
            .finalize();
        outer.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_keyed_hash_is_the_standard_s_example() {
        // RFC 4231, test case 1.
        let key = StudyKey::new(&[0x0b; 20]).unwrap();
        let hex: String = key
            .hmac(b"Hi There")
            .iter()
            .map(|b| format!("{b:02x}"))
            .collect();
        assert_eq!(
            hex,
            "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"
        );
    }

    #[test]
    fn another_key_gives_another_name_and_a_short_key_is_refused() {
        let of = |n: u8| {
            StudyKey::new(&[n; 32])
                .unwrap()
                .pseudonym(&["person", "1"], 32)
        };
        assert_eq!(of(1), of(1));
        assert_ne!(of(1), of(2));
        assert_eq!(of(1).len(), 32);
        assert!(StudyKey::new(b"short").is_err());
        assert!(!format!("{:?}", StudyKey::new(&[65; 16]).unwrap()).contains('A'));
    }
}
