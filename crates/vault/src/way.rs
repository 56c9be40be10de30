//! What is a passphrase, a key file, a recovery code?
//!
//! Each becomes a wrapping key: the passphrase through Argon2id (RFC 9106), the other two, which are
//! random bytes already, directly; then all through HKDF with the way's own salt.

pub mod code;
pub mod file;
pub mod passphrase;

pub use code::RecoveryCode;
pub use file::KeyFile;
pub use passphrase::{Cost, Passphrase};

use crate::{Key, VaultError};

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WayKind {
    Passphrase,
    KeyFile,
    RecoveryCode,
}

impl WayKind {
    pub const ALL: [WayKind; 3] = [WayKind::Passphrase, WayKind::KeyFile, WayKind::RecoveryCode];

    /// As said in a sentence and written in the keyring file.
    pub const fn words(self) -> &'static str {
        match self {
            WayKind::Passphrase => "passphrase",
            WayKind::KeyFile => "key file",
            WayKind::RecoveryCode => "recovery code",
        }
    }

    pub fn from_words(words: &str) -> Option<Self> {
        WayKind::ALL.into_iter().find(|kind| kind.words() == words)
    }
}

impl std::fmt::Display for WayKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.words())
    }
}

/// A secret that somebody shows. Wiped when dropped, never shown again.
#[derive(Clone)]
pub enum WayIn {
    Passphrase(Passphrase),
    KeyFile(KeyFile),
    RecoveryCode(RecoveryCode),
}

impl WayIn {
    pub fn kind(&self) -> WayKind {
        match self {
            WayIn::Passphrase(_) => WayKind::Passphrase,
            WayIn::KeyFile(_) => WayKind::KeyFile,
            WayIn::RecoveryCode(_) => WayKind::RecoveryCode,
        }
    }

    /// What a new passphrase is made slow with; the other kinds need no slowing.
    pub(crate) fn cost(&self) -> Option<Cost> {
        match self {
            WayIn::Passphrase(passphrase) => Some(passphrase.cost()),
            _ => None,
        }
    }

    /// The key that wraps the data keys. `cost` as the keyring says, for a passphrase.
    pub(crate) fn wrapping_key(
        &self,
        salt: &[u8; 16],
        cost: Option<Cost>,
    ) -> Result<Key, VaultError> {
        let label: [&[u8]; 2] = [b"tiebeam vault 1 way in ", self.kind().words().as_bytes()];
        Ok(match self {
            WayIn::Passphrase(passphrase) => {
                let slow = passphrase.slowed(salt, cost.unwrap_or_default())?;
                Key::of(slow.bytes(), salt, &label)
            }
            WayIn::KeyFile(file) => Key::of(file.bytes(), salt, &label),
            WayIn::RecoveryCode(code) => Key::of(code.bytes(), salt, &label),
        })
    }
}

impl std::fmt::Debug for WayIn {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "a {} (not shown)", self.kind())
    }
}

impl From<Passphrase> for WayIn {
    fn from(passphrase: Passphrase) -> Self {
        WayIn::Passphrase(passphrase)
    }
}

impl From<KeyFile> for WayIn {
    fn from(file: KeyFile) -> Self {
        WayIn::KeyFile(file)
    }
}

impl From<RecoveryCode> for WayIn {
    fn from(code: RecoveryCode) -> Self {
        WayIn::RecoveryCode(code)
    }
}
