//! How does a browser show that it has signed in?
//!
//! By 32 random bytes in a cookie; the practice keeps only their SHA-256, so that a copy of the record lets nobody in.

use sha2::{Digest, Sha256};

pub const BYTES: usize = 32;

/// As it stands in the cookie.
pub fn in_cookie(random: &[u8; BYTES]) -> String {
    hex::encode(random)
}

/// What is kept of it; `None` for anything that is no token.
pub fn kept(in_cookie: &str) -> Option<String> {
    if in_cookie.len() != BYTES * 2 {
        return None;
    }
    let random = hex::decode(in_cookie).ok()?;
    Some(hex::encode(Sha256::digest(random)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_is_not_what_the_cookie_holds() {
        let cookie = in_cookie(&[5; 32]);
        let there = kept(&cookie).unwrap();
        assert_ne!(there, cookie);
        assert_eq!(kept(&there), kept(&there));
        assert_eq!(kept("05"), None);
        assert_eq!(kept(&"g".repeat(64)), None);
    }
}
