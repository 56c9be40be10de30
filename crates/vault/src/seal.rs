//! How is a file sealed, opened and named?
//!
//! A file is sealed under its content hash and nothing random: the nonce is derived from the hash with a
//! key of its own, and the hash is checked first, so that the same file is always sealed to the same bytes
//! and two different ones never share a nonce. A crash between two tries leaves nothing to choose from.

use crate::chunk::{CHUNK, Chunks, HEADER, Header, Kind, PREFIX, SEALED_CHUNK, TAG};
use crate::key::{same, sha256};
use crate::{Key, RingId, VaultError};
use std::collections::BTreeMap;
use std::sync::Arc;
use zeroize::Zeroize;

/// The opened keys of a keyring. Cheap to clone; the keys are wiped with the last clone.
#[derive(Clone)]
pub struct Seal(Arc<Held>);

struct Held {
    ring: RingId,
    current: u32,
    lasting: Key,
    names: Key,
    keys: BTreeMap<u32, Keys>,
}

/// A data key and what is derived from it for every file, once.
struct Keys {
    data: Key,
    file: Key,
    nonce: Key,
}

impl Seal {
    /// `keys` holds the lasting key under 0; the current one is the highest.
    pub(crate) fn of(ring: RingId, mut keys: BTreeMap<u32, Key>) -> Option<Self> {
        let lasting = keys.remove(&0)?;
        let current = *keys.keys().next_back()?;
        Some(Seal(Arc::new(Held {
            ring,
            current,
            names: lasting.derived("name"),
            lasting,
            keys: keys
                .into_iter()
                .map(|(number, data)| {
                    let file = data.derived("file");
                    let nonce = data.derived("file nonce");
                    (number, Keys { data, file, nonce })
                })
                .collect(),
        })))
    }

    pub fn ring(&self) -> RingId {
        self.0.ring
    }

    /// The number of the key that new files are sealed with.
    pub fn current(&self) -> u32 {
        self.0.current
    }

    /// All data keys, oldest first.
    pub fn numbers(&self) -> Vec<u32> {
        self.0.keys.keys().copied().collect()
    }

    fn keys(&self, number: u32) -> Result<&Keys, VaultError> {
        self.0
            .keys
            .get(&number)
            .ok_or(VaultError::LostKey { number })
    }

    /// Seals a file whose SHA-256 is `content`.
    ///
    /// # Errors
    /// `NotThisContent` where it has another.
    pub fn seal(&self, content: &[u8; 32], plain: &[u8]) -> Result<Vec<u8>, VaultError> {
        if !same(&sha256(plain), content) {
            return Err(VaultError::NotThisContent);
        }
        let keys = self.keys(self.0.current)?;
        let mut prefix = [0; PREFIX];
        prefix.copy_from_slice(&keys.nonce.authenticated(content)[..PREFIX]);
        let header = Header {
            kind: Kind::File,
            ring: self.0.ring,
            key: self.0.current,
            prefix,
        };
        let mut chunks = Chunks::new(&keys.file, &header, content);
        let count = plain.len().div_ceil(CHUNK).max(1);
        let mut sealed = Vec::with_capacity(HEADER + plain.len() + count * TAG);
        sealed.extend_from_slice(&header.bytes());
        let mut rest = plain;
        loop {
            let (chunk, after) = rest.split_at(rest.len().min(CHUNK));
            let at = sealed.len();
            sealed.extend_from_slice(chunk);
            let tag = chunks.seal(&mut sealed[at..], after.is_empty())?;
            sealed.extend_from_slice(&tag);
            if after.is_empty() {
                return Ok(sealed);
            }
            rest = after;
        }
    }

    /// Opens a file that was sealed under this content hash; what comes out has it.
    pub fn open(&self, content: &[u8; 32], sealed: &[u8]) -> Result<Vec<u8>, VaultError> {
        let header = self.header(sealed, Kind::File)?;
        let keys = self.keys(header.key)?;
        let mut chunks = Chunks::new(&keys.file, &header, content);
        let mut rest = &sealed[HEADER..];
        let mut plain = Vec::with_capacity(rest.len());
        loop {
            let (chunk, after) = rest.split_at(rest.len().min(SEALED_CHUNK));
            let at = plain.len();
            plain.extend_from_slice(chunk);
            match chunks.open(&mut plain[at..], after.is_empty()) {
                Ok(length) => plain.truncate(at + length),
                Err(said) => {
                    plain.zeroize();
                    return Err(said);
                }
            }
            if after.is_empty() {
                break;
            }
            rest = after;
        }
        if same(&sha256(&plain), content) {
            Ok(plain)
        } else {
            plain.zeroize();
            Err(VaultError::Altered {
                what: Kind::File.words(),
            })
        }
    }

    pub(crate) fn header(&self, sealed: &[u8], kind: Kind) -> Result<Header, VaultError> {
        let header = Header::read(sealed, kind)?;
        if header.ring != self.0.ring {
            return Err(VaultError::OtherKeyring);
        }
        Ok(header)
    }

    /// The key number a sealed file asks for, without opening it: says whether it waits to be sealed anew
    /// and whether a retired key is still needed. Not authenticated until the file is opened.
    pub fn number_of(&self, sealed: &[u8]) -> Result<u32, VaultError> {
        Ok(self.header(sealed, Kind::File)?.key)
    }

    /// The length of a sealed file that holds `plain` bytes.
    pub fn sealed_length(plain: u64) -> u64 {
        let chunks = plain.div_ceil(CHUNK as u64).max(1);
        HEADER as u64 + plain + chunks * TAG as u64
    }

    /// What a file of this content is called on disk, in 64 hexadecimal digits. Stays the same when a new
    /// data key is made; without the keyring nobody can tell which known file lies there.
    pub fn name_of(&self, content: &[u8; 32]) -> String {
        hex::encode(self.0.names.authenticated(content))
    }

    /// The key of the database; changes with a new data key.
    pub fn database_key(&self) -> Key {
        self.keys(self.0.current)
            .map(|keys| keys.data.derived("database"))
            .expect("the current key is among the keys")
    }

    /// The key the database had under an older data key, to close it anew.
    pub fn database_key_of(&self, number: u32) -> Result<Key, VaultError> {
        Ok(self.keys(number)?.data.derived("database"))
    }

    /// A key for another purpose, from the current data key: it changes with a new data key.
    pub fn derive(&self, label: &str) -> Key {
        self.keys(self.0.current)
            .map(|keys| keys.data.derived(&format!("other {label}")))
            .expect("the current key is among the keys")
    }

    /// A key for another purpose that stays as long as the keyring: what a pseudonym is made with.
    pub fn derive_lasting(&self, label: &str) -> Key {
        self.0.lasting.derived(&format!("other {label}"))
    }

    pub(crate) fn stream_key(&self, number: u32) -> Result<Key, VaultError> {
        Ok(self.keys(number)?.data.derived("stream"))
    }

    /// What proves that a keyring file is as somebody who could open it wrote it.
    pub(crate) fn proof(&self, body: &[u8]) -> [u8; 32] {
        self.keys(self.0.current)
            .map(|keys| keys.data.derived("keyring").authenticated(body))
            .expect("the current key is among the keys")
    }

    pub(crate) fn data_keys(&self) -> BTreeMap<u32, Key> {
        let data = self.0.keys.iter();
        data.map(|(number, keys)| (*number, keys.data.clone()))
            .chain([(0, self.0.lasting.clone())])
            .collect()
    }
}

impl std::fmt::Debug for Seal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Seal(current key {}, not shown)", self.0.current)
    }
}
