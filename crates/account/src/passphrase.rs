//! Is a passphrase good enough, and is it the right one?
//!
//! Kept as an argon2id string with its own parameters and salt (RFC 9106). Length is what counts; no rules on kinds of
//! characters (common practice: length over composition).

use argon2::{Algorithm, Argon2, Params, PasswordHash, PasswordHasher, PasswordVerifier, Version};

/// Memory in KiB, passes, lanes. Recalled from the recommendations of RFC 9106, not read (`unconfirmed`); one lane is our own choice.
const MEMORY_KIB: u32 = 64 * 1024;
const PASSES: u32 = 3;
const LANES: u32 = 1;

pub const SHORTEST: usize = 12;
/// Longer ones are refused, so that nobody can keep the program busy with one.
pub const LONGEST: usize = 256;

#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Weak {
    #[error(
        "found a passphrase of {found} characters; expected at least {SHORTEST}: four or more words are easy to keep in mind"
    )]
    Short { found: usize },
    #[error("found a passphrase of more than {LONGEST} bytes; expected a shorter one")]
    Long,
    #[error(
        "found a passphrase that repeats a few characters; expected one with at least {LEAST_DIFFERENT} different ones"
    )]
    Repeats,
    #[error(
        "found a passphrase made of the sign-in name or the program's name; expected one that others cannot guess"
    )]
    Guessed,
}

const LEAST_DIFFERENT: usize = 6;

/// # Errors
/// Says why it is too weak; never repeats it.
pub fn check(passphrase: &str, login: &str) -> Result<(), Weak> {
    let length = passphrase.chars().count();
    if passphrase.len() > LONGEST {
        return Err(Weak::Long);
    }
    if length < SHORTEST {
        return Err(Weak::Short { found: length });
    }
    let mut different: Vec<char> = passphrase.to_lowercase().chars().collect();
    different.sort_unstable();
    different.dedup();
    if different.len() < LEAST_DIFFERENT {
        return Err(Weak::Repeats);
    }
    let mut rest = passphrase.to_lowercase();
    for known in [
        login.to_lowercase().as_str(),
        "tiebeam",
        "passphrase",
        "password",
        "123456789",
    ] {
        if known.len() >= 3 {
            rest = rest.replace(known, "");
        }
    }
    let left = rest.chars().filter(|c| c.is_alphanumeric()).count();
    if left < SHORTEST / 2 {
        return Err(Weak::Guessed);
    }
    Ok(())
}

fn hasher() -> Option<Argon2<'static>> {
    let params = Params::new(MEMORY_KIB, PASSES, LANES, None).ok()?;
    Some(Argon2::new(Algorithm::Argon2id, Version::V0x13, params))
}

/// The string to keep. `salt`: 16 fresh random bytes. `None` only where the machine lacks the memory.
///
/// Takes about a fifth of a second and 64 MiB: not on the threads that answer.
pub fn kept(passphrase: &str, salt: &[u8; 16]) -> Option<String> {
    hasher()?
        .hash_password_with_salt(passphrase.as_bytes(), salt)
        .ok()
        .map(|hash| hash.to_string())
}

/// Is it the one that was kept? Takes as long as [`kept`].
pub fn is_right(passphrase: &str, kept: &str) -> bool {
    if passphrase.len() > LONGEST {
        return false;
    }
    let (Ok(hash), Some(hasher)) = (PasswordHash::new(kept), hasher()) else {
        return false;
    };
    hasher.verify_password(passphrase.as_bytes(), &hash).is_ok()
}

/// What is checked where nobody has the sign-in name, so that the answer takes as long as for somebody who is there.
pub fn nobodys() -> &'static str {
    "$argon2id$v=19$m=65536,t=3,p=1$AAAAAAAAAAAAAAAAAAAAAA$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_right_passphrase_is_right_and_two_salts_give_two_strings() {
        let (a, b) = (
            kept("a tie beam holds the roof", &[1; 16]).unwrap(),
            kept("a tie beam holds the roof", &[2; 16]).unwrap(),
        );
        assert!(a.starts_with("$argon2id$v=19$m=65536,t=3,p=1$"), "{a}");
        assert_ne!(a, b);
        assert!(is_right("a tie beam holds the roof", &a));
        assert!(!is_right("a tie beam holds the rook", &a));
        assert!(!is_right("", &a) && !is_right("a tie beam holds the roof", "rubbish"));
        assert!(!is_right("anything at all here", nobodys()));
    }

    #[test]
    fn weak_passphrases_are_refused_with_what_is_wrong() {
        assert_eq!(check("short", "mara"), Err(Weak::Short { found: 5 }));
        assert_eq!(check(&"ab".repeat(200), "mara"), Err(Weak::Long));
        assert_eq!(check("aaaaaaaaaaaaaaaa", "mara"), Err(Weak::Repeats));
        assert_eq!(check("Tiebeam123456789", "mara"), Err(Weak::Guessed));
        assert_eq!(check("mara-mara-mara-quelle", "mara-mara"), Ok(()));
        assert_eq!(check("heron under grey slate", "mara"), Ok(()));
    }
}
