//! Which id does a resource have, and which texts are ids at all?
//!
//! What has an id of ours keeps it. What is derived (a reading, an answer, a decided stage) gets a UUID of version 8
//! from a hash over what it is of: the same chart always makes the same ids, and no clock or chance takes part.

use sha2::{Digest, Sha256};
use uuid::{Builder, Uuid};

/// The standard's longest id.
pub const LONGEST_ID: usize = 64;

/// A UUID from the parts that name a thing; each part is told with its length, so that no two lists run together.
pub fn derived(parts: &[&str]) -> Uuid {
    let mut hash = Sha256::new();
    hash.update(b"tiebeam derived id 1");
    for part in parts {
        hash.update((part.len() as u64).to_be_bytes());
        hash.update(part.as_bytes());
    }
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&hash.finalize()[..16]);
    Builder::from_custom_bytes(bytes).into_uuid()
}

/// 1 to 64 letters, digits, hyphens and full stops.
pub fn is_id(text: &str) -> bool {
    (1..=LONGEST_ID).contains(&text.len())
        && text
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'.')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_derived_id_is_the_same_every_time_and_other_for_other_parts() {
        assert_eq!(derived(&["a", "bc"]), derived(&["a", "bc"]));
        assert_ne!(derived(&["a", "bc"]), derived(&["ab", "c"]));
        assert_eq!(derived(&["a"]).get_version_num(), 8);
        assert!(is_id(&derived(&["a"]).to_string()));
    }

    #[test]
    fn a_path_a_blank_and_a_long_text_are_no_ids() {
        for bad in ["", "../x", "a b", "a/b", "ä", &"a".repeat(65), "a\0"] {
            assert!(!is_id(bad), "{bad:?}");
        }
        for good in ["a", "A-1.b", &"a".repeat(64)] {
            assert!(is_id(good), "{good:?}");
        }
    }
}
