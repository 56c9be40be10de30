//! What stands in a sealed file, byte by byte?
//!
//! A header of 48 bytes, then chunks of 64 KiB, each followed by its tag of 16 bytes; the last one may be
//! shorter, and is empty only where nothing was sealed.
//!
//! | bytes | what |
//! |---|---|
//! | 0–6 | `tbvault` |
//! | 7 | format, 1 |
//! | 8 | kind: 1 a file, 2 a stream |
//! | 9–24 | id of the keyring |
//! | 25–28 | number of the data key, most significant byte first |
//! | 29–47 | first 19 bytes of every nonce |
//!
//! Each chunk is XChaCha20-Poly1305 under the nonce `prefix ‖ counter (4 bytes) ‖ last (0 or 1)`: the
//! construction STREAM of Hoang, Reyhanitabar, Rogaway and Vizár (CRYPTO 2015), so that a chunk that is
//! missing, doubled, moved or cut off at the end does not open. Header and binding (what the whole
//! belongs to) are authenticated with every chunk, so that chunks of two files cannot be mixed either.

use crate::{Key, RingId, VaultError};
use chacha20poly1305::aead::AeadInOut;
use chacha20poly1305::{KeyInit, Tag, XChaCha20Poly1305, XNonce};

pub const CHUNK: usize = 64 * 1024;
pub const TAG: usize = 16;
pub const SEALED_CHUNK: usize = CHUNK + TAG;
pub const HEADER: usize = 48;
pub const PREFIX: usize = 19;

const MAGIC: &[u8; 7] = b"tbvault";
const FORMAT: u8 = 1;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    File,
    Stream,
}

impl Kind {
    const fn byte(self) -> u8 {
        match self {
            Kind::File => 1,
            Kind::Stream => 2,
        }
    }

    /// As said in a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Kind::File => "a sealed file",
            Kind::Stream => "a sealed backup",
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Header {
    pub kind: Kind,
    pub ring: RingId,
    pub key: u32,
    pub prefix: [u8; PREFIX],
}

impl Header {
    pub fn bytes(&self) -> [u8; HEADER] {
        let mut out = [0; HEADER];
        out[..7].copy_from_slice(MAGIC);
        out[7] = FORMAT;
        out[8] = self.kind.byte();
        out[9..25].copy_from_slice(self.ring.bytes());
        out[25..29].copy_from_slice(&self.key.to_be_bytes());
        out[29..].copy_from_slice(&self.prefix);
        out
    }

    /// Of bytes from outside, of which only the first [`HEADER`] are looked at.
    pub fn read(bytes: &[u8], kind: Kind) -> Result<Self, VaultError> {
        let not = |found| VaultError::NotSealed {
            found,
            expected: kind.words(),
        };
        let bytes: &[u8; HEADER] = bytes
            .first_chunk()
            .ok_or_else(|| not("fewer bytes than any seal has"))?;
        if &bytes[..7] != MAGIC {
            return Err(not(
                "something that was never sealed, or no longer begins as it was",
            ));
        }
        if bytes[7] > FORMAT {
            return Err(VaultError::TooNew {
                what: kind.words(),
                found: bytes[7].into(),
                known: FORMAT.into(),
            });
        }
        match bytes[8] {
            _ if bytes[7] < FORMAT => return Err(not("a seal of an unknown format")),
            b if b == kind.byte() => {}
            b if b == Kind::File.byte() => return Err(not(Kind::File.words())),
            b if b == Kind::Stream.byte() => return Err(not(Kind::Stream.words())),
            _ => return Err(not("a seal of an unknown kind")),
        }
        let mut header = Header {
            kind,
            ring: RingId::default(),
            key: 0,
            prefix: [0; PREFIX],
        };
        let mut ring = [0; 16];
        ring.copy_from_slice(&bytes[9..25]);
        header.ring = RingId::new(ring);
        let mut key = [0; 4];
        key.copy_from_slice(&bytes[25..29]);
        header.key = u32::from_be_bytes(key);
        header.prefix.copy_from_slice(&bytes[29..]);
        Ok(header)
    }
}

/// Seals or opens the chunks of one header, in order.
pub struct Chunks {
    cipher: XChaCha20Poly1305,
    nonce: [u8; 24],
    beside: [u8; HEADER + 32],
    next: Option<u32>,
    kind: Kind,
}

impl Chunks {
    /// `binding` is what the whole belongs to: the content hash of a file.
    pub fn new(key: &Key, header: &Header, binding: &[u8; 32]) -> Self {
        let mut nonce = [0; 24];
        nonce[..PREFIX].copy_from_slice(&header.prefix);
        let mut beside = [0; HEADER + 32];
        beside[..HEADER].copy_from_slice(&header.bytes());
        beside[HEADER..].copy_from_slice(binding);
        Chunks {
            cipher: XChaCha20Poly1305::new(key.bytes().into()),
            nonce,
            beside,
            next: Some(0),
            kind: header.kind,
        }
    }

    fn nonce(&mut self, last: bool) -> Result<XNonce, VaultError> {
        let count = self.next.ok_or(VaultError::TooLarge)?;
        // No chunk follows the last one, and none follows the highest number.
        self.next = if last { None } else { count.checked_add(1) };
        self.nonce[PREFIX..23].copy_from_slice(&count.to_be_bytes());
        self.nonce[23] = last.into();
        Ok(self.nonce.into())
    }

    /// Seals in place; the tag belongs behind it.
    pub fn seal(&mut self, chunk: &mut [u8], last: bool) -> Result<[u8; TAG], VaultError> {
        let nonce = self.nonce(last)?;
        let tag = self
            .cipher
            .encrypt_inout_detached(&nonce, &self.beside, chunk.into())
            .map_err(|_| VaultError::TooLarge)?;
        Ok(tag.into())
    }

    /// Opens in place a chunk with its tag behind it; answers with how many bytes of it are plain.
    pub fn open(&mut self, sealed: &mut [u8], last: bool) -> Result<usize, VaultError> {
        let altered = VaultError::Altered {
            what: self.kind.words(),
        };
        let Some(plain) = sealed.len().checked_sub(TAG) else {
            return Err(altered);
        };
        let nonce = self.nonce(last)?;
        let (chunk, tag) = sealed.split_at_mut(plain);
        let tag = Tag::try_from(&*tag).map_err(|_| altered.clone())?;
        self.cipher
            .decrypt_inout_detached(&nonce, &self.beside, chunk.into(), &tag)
            .map_err(|_| altered)?;
        Ok(plain)
    }
}
