//! Which keys are there, which ways lead in, and how do both change?
//!
//! Every data key is wrapped separately under every way in, so that one stolen key file, taken away and
//! followed by a new data key, opens nothing of what comes after, not even beside an old copy of the
//! keyring. The price: a new data key needs every way in to be shown.
//!
//! Key 0 is the lasting key: files are named and pseudonyms made with it, and it never changes. The caller
//! writes [`Keyring::bytes`] in one piece (a new file, flushed, renamed over the old one) and before
//! anything is sealed with a new key.

mod text;

use crate::entropy::fresh;
use crate::key::same;
use crate::{Cost, Entropy, Key, Seal, VaultError, WayIn, WayKind};
use chacha20poly1305::aead::AeadInOut;
use chacha20poly1305::{KeyInit, Tag, XChaCha20Poly1305, XNonce};
use std::collections::BTreeMap;

/// So that a hostile file cannot ask for hours of work.
const MOST_WAYS: usize = 16;
const MOST_PASSPHRASES: usize = 4;
const MOST_KEYS: usize = 64;
const MOST_LABEL: usize = 60;

/// Tells keyrings apart; not secret.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct RingId([u8; 16]);

impl RingId {
    pub fn new(bytes: [u8; 16]) -> Self {
        RingId(bytes)
    }

    pub fn bytes(&self) -> &[u8; 16] {
        &self.0
    }
}

impl std::fmt::Display for RingId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&hex::encode(self.0))
    }
}

/// Tells the ways into one keyring apart; not secret.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WayId([u8; 8]);

impl std::fmt::Display for WayId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&hex::encode(self.0))
    }
}

impl std::str::FromStr for WayId {
    type Err = VaultError;

    fn from_str(text: &str) -> Result<Self, VaultError> {
        let mut id = [0; 8];
        hex::decode_to_slice(text, &mut id).map_err(|_| VaultError::NoSuchWay)?;
        Ok(WayId(id))
    }
}

/// A way in as the keyring file describes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    id: WayId,
    kind: WayKind,
    label: String,
    salt: [u8; 16],
    cost: Option<Cost>,
    wrapped: BTreeMap<u32, Wrapped>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Wrapped {
    nonce: [u8; 24],
    sealed: [u8; 48],
}

impl Way {
    pub fn id(&self) -> WayId {
        self.id
    }

    pub fn kind(&self) -> WayKind {
        self.kind
    }

    /// What people call it.
    pub fn label(&self) -> &str {
        &self.label
    }
}

/// The keyring file; closed until [`Keyring::open`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Keyring {
    id: RingId,
    /// 0 and the data keys; the highest is the current one.
    keys: Vec<u32>,
    ways: Vec<Way>,
    proof: [u8; 32],
}

impl Keyring {
    /// A new keyring with its first data key and one way in.
    pub fn make(
        way: &WayIn,
        label: &str,
        entropy: &mut dyn Entropy,
    ) -> Result<(Self, Seal), VaultError> {
        let id = RingId(fresh(entropy)?);
        let keys = BTreeMap::from([
            (0, Key::new(fresh(entropy)?)),
            (1, Key::new(fresh(entropy)?)),
        ]);
        let first = made(id, way, label, &keys, entropy)?;
        let mut ring = Keyring {
            id,
            keys: vec![0, 1],
            ways: vec![first],
            proof: [0; 32],
        };
        let seal = Seal::of(id, keys).ok_or(VaultError::Stale)?;
        ring.prove(&seal);
        Ok((ring, seal))
    }

    /// Of a file from outside.
    ///
    /// # Errors
    /// `KeyringDamaged`, `TooNew`, `BeyondLimits`.
    pub fn read(bytes: &[u8]) -> Result<Self, VaultError> {
        text::read(bytes)
    }

    /// The file.
    pub fn bytes(&self) -> Vec<u8> {
        text::whole(self).into_bytes()
    }

    pub fn id(&self) -> RingId {
        self.id
    }

    /// The key that new files are sealed with.
    pub fn current(&self) -> u32 {
        self.keys.last().copied().unwrap_or_default()
    }

    /// Older keys that are kept until nothing uses them, oldest first.
    pub fn retired(&self) -> Vec<u32> {
        let current = self.current();
        let data = self.keys.iter().copied();
        data.filter(|n| *n != 0 && *n != current).collect()
    }

    pub fn ways(&self) -> &[Way] {
        &self.ways
    }

    /// Tries the ways in of its kind, one after the other.
    ///
    /// # Errors
    /// `NoSuchKind`, `WrongWay`; `KeyringDamaged` where it opens one key and not all, or where somebody
    /// changed the file who could not open it.
    pub fn open(&self, shown: &WayIn) -> Result<Seal, VaultError> {
        self.opened(shown).map(|(_, seal)| seal)
    }

    fn opened(&self, shown: &WayIn) -> Result<(WayId, Seal), VaultError> {
        let mut found = VaultError::NoSuchKind(shown.kind());
        for way in self.ways.iter().filter(|way| way.kind == shown.kind()) {
            let wrapping = shown.wrapping_key(&way.salt, way.cost)?;
            let Some(keys) = self.unwrapped(way, &wrapping)? else {
                found = VaultError::WrongWay(shown.kind());
                continue;
            };
            let seal = Seal::of(self.id, keys).ok_or(VaultError::KeyringDamaged {
                detail: "it holds no keys",
            })?;
            self.proven(&seal)?;
            return Ok((way.id, seal));
        }
        Err(found)
    }

    /// `None` where the wrapping key is not this way's.
    fn unwrapped(
        &self,
        way: &Way,
        wrapping: &Key,
    ) -> Result<Option<BTreeMap<u32, Key>>, VaultError> {
        let mut keys = BTreeMap::new();
        for (number, wrapped) in &way.wrapped {
            if let Some(key) = unwrap(self.id, way.id, *number, wrapped, wrapping) {
                keys.insert(*number, key);
            }
        }
        if keys.is_empty() {
            return Ok(None);
        }
        if keys.len() < self.keys.len() {
            return Err(VaultError::KeyringDamaged {
                detail: "one of its keys does not open where another does",
            });
        }
        Ok(Some(keys))
    }

    fn proven(&self, seal: &Seal) -> Result<(), VaultError> {
        if same(&seal.proof(text::body(self).as_bytes()), &self.proof) {
            Ok(())
        } else {
            Err(VaultError::KeyringDamaged {
                detail: "it was changed by somebody who could not open it",
            })
        }
    }

    fn prove(&mut self, seal: &Seal) {
        self.proof = seal.proof(text::body(self).as_bytes());
    }

    /// Only who has opened this very state may change it.
    fn may_change(&self, seal: &Seal) -> Result<(), VaultError> {
        if seal.ring() != self.id {
            return Err(VaultError::OtherKeyring);
        }
        if seal.numbers() != self.keys[1..] {
            return Err(VaultError::Stale);
        }
        self.proven(seal)
    }

    fn way(&self, id: WayId) -> Result<usize, VaultError> {
        let at = self.ways.iter().position(|way| way.id == id);
        at.ok_or(VaultError::NoSuchWay)
    }

    fn is_new(&self, shown: &WayIn) -> Result<(), VaultError> {
        match self.opened(shown) {
            Ok(_) => Err(VaultError::SameWay(shown.kind())),
            Err(VaultError::WrongWay(_) | VaultError::NoSuchKind(_)) => Ok(()),
            Err(other) => Err(other),
        }
    }

    /// Adds a way in.
    pub fn add(
        &mut self,
        seal: &Seal,
        way: &WayIn,
        label: &str,
        entropy: &mut dyn Entropy,
    ) -> Result<WayId, VaultError> {
        self.may_change(seal)?;
        let of_kind = self.ways.iter().filter(|w| w.kind == way.kind()).count();
        let most = match way.kind() {
            WayKind::Passphrase => MOST_PASSPHRASES,
            _ => MOST_WAYS,
        };
        if of_kind >= most || self.ways.len() >= MOST_WAYS {
            return Err(VaultError::TooManyWays { most });
        }
        self.is_new(way)?;
        let made = made(self.id, way, label, &seal.data_keys(), entropy)?;
        let id = made.id;
        self.ways.push(made);
        self.prove(seal);
        Ok(id)
    }

    /// Takes a way in away. What was copied before stays open to it: make a new key as well where it was
    /// stolen.
    pub fn remove(&mut self, seal: &Seal, id: WayId) -> Result<(), VaultError> {
        self.may_change(seal)?;
        let at = self.way(id)?;
        if self.ways.len() == 1 {
            return Err(VaultError::LastWay);
        }
        self.ways.remove(at);
        self.prove(seal);
        Ok(())
    }

    /// Puts another secret in the place of one: a new passphrase, a fresh recovery code. Cheap: the keys
    /// are wrapped anew, nothing is sealed anew. The new way in has a new id.
    pub fn replace(
        &mut self,
        seal: &Seal,
        id: WayId,
        way: &WayIn,
        entropy: &mut dyn Entropy,
    ) -> Result<WayId, VaultError> {
        self.may_change(seal)?;
        let at = self.way(id)?;
        if self.ways[at].kind != way.kind() {
            return Err(VaultError::NoSuchWay);
        }
        self.is_new(way)?;
        let label = self.ways[at].label.clone();
        self.ways[at] = made(self.id, way, &label, &seal.data_keys(), entropy)?;
        self.prove(seal);
        Ok(self.ways[at].id)
    }

    /// Makes a new data key and retires the one before; every way in must be shown.
    ///
    /// # Errors
    /// `NotShown` with the kind of the first that was not; nothing has changed then.
    pub fn rotate(
        &mut self,
        seal: &Seal,
        shown: &[WayIn],
        entropy: &mut dyn Entropy,
    ) -> Result<Seal, VaultError> {
        self.may_change(seal)?;
        if self.keys.len() >= MOST_KEYS {
            return Err(VaultError::TooManyKeys { most: MOST_KEYS });
        }
        let mut wrapping = BTreeMap::new();
        for way in &self.ways {
            for secret in shown.iter().filter(|s| s.kind() == way.kind) {
                let key = secret.wrapping_key(&way.salt, way.cost)?;
                if self.unwrapped(way, &key)?.is_some() {
                    wrapping.insert(way.id, key);
                    break;
                }
            }
            if !wrapping.contains_key(&way.id) {
                return Err(VaultError::NotShown(way.kind));
            }
        }
        let number = self
            .current()
            .checked_add(1)
            .ok_or(VaultError::TooManyKeys { most: MOST_KEYS })?;
        let key = Key::new(fresh(entropy)?);
        let mut next = self.clone();
        for way in &mut next.ways {
            let wrapped = wrap(self.id, way.id, number, &key, &wrapping[&way.id], entropy)?;
            way.wrapped.insert(number, wrapped);
        }
        next.keys.push(number);
        let mut keys = seal.data_keys();
        keys.insert(number, key);
        let seal = Seal::of(self.id, keys).ok_or(VaultError::Stale)?;
        next.prove(&seal);
        *self = next;
        Ok(seal)
    }

    /// Lets go of a retired key. What is still sealed with it can never be opened again by this keyring.
    pub fn forget(&mut self, seal: &Seal, number: u32) -> Result<Seal, VaultError> {
        self.may_change(seal)?;
        if !self.keys.contains(&number) {
            return Err(VaultError::LostKey { number });
        }
        if number == 0 || number == self.current() {
            return Err(VaultError::InUse { number });
        }
        let mut keys = seal.data_keys();
        keys.remove(&number);
        let seal = Seal::of(self.id, keys).ok_or(VaultError::Stale)?;
        self.keys.retain(|n| *n != number);
        for way in &mut self.ways {
            way.wrapped.remove(&number);
        }
        self.prove(&seal);
        Ok(seal)
    }
}

/// A way in with every key wrapped under it.
fn made(
    ring: RingId,
    secret: &WayIn,
    label: &str,
    keys: &BTreeMap<u32, Key>,
    entropy: &mut dyn Entropy,
) -> Result<Way, VaultError> {
    let label = label.trim();
    if !can_be_kept(label) {
        return Err(VaultError::Label);
    }
    let mut way = Way {
        id: WayId(fresh(entropy)?),
        kind: secret.kind(),
        label: label.into(),
        salt: fresh(entropy)?,
        cost: secret.cost(),
        wrapped: BTreeMap::new(),
    };
    let wrapping = secret.wrapping_key(&way.salt, way.cost)?;
    for (number, key) in keys {
        let wrapped = wrap(ring, way.id, *number, key, &wrapping, entropy)?;
        way.wrapped.insert(*number, wrapped);
    }
    Ok(way)
}

fn can_be_kept(label: &str) -> bool {
    label.chars().count() <= MOST_LABEL
        && !label.contains(|c: char| c.is_control() || c == '"' || c == '\\')
}

/// What a wrapped key is bound to: it opens nowhere else.
fn place(ring: RingId, way: WayId, number: u32) -> Vec<u8> {
    let parts: [&[u8]; 4] = [
        b"tiebeam vault 1 wrapped key ",
        &ring.0,
        &way.0,
        &number.to_be_bytes(),
    ];
    parts.concat()
}

fn wrap(
    ring: RingId,
    way: WayId,
    number: u32,
    key: &Key,
    wrapping: &Key,
    entropy: &mut dyn Entropy,
) -> Result<Wrapped, VaultError> {
    let mut wrapped = Wrapped {
        nonce: fresh(entropy)?,
        sealed: [0; 48],
    };
    wrapped.sealed[..32].copy_from_slice(key.bytes());
    let (body, tag) = wrapped.sealed.split_at_mut(32);
    let made = XChaCha20Poly1305::new(wrapping.bytes().into())
        .encrypt_inout_detached(
            &XNonce::from(wrapped.nonce),
            &place(ring, way, number),
            body.into(),
        )
        .map_err(|_| VaultError::TooLarge)?;
    tag.copy_from_slice(&made);
    Ok(wrapped)
}

fn unwrap(ring: RingId, way: WayId, number: u32, wrapped: &Wrapped, wrapping: &Key) -> Option<Key> {
    let (body, tag) = wrapped.sealed.split_at(32);
    let mut key = zeroize::Zeroizing::new([0; 32]);
    key.copy_from_slice(body);
    XChaCha20Poly1305::new(wrapping.bytes().into())
        .decrypt_inout_detached(
            &XNonce::from(wrapped.nonce),
            &place(ring, way, number),
            key.as_mut_slice().into(),
            &Tag::try_from(tag).ok()?,
        )
        .ok()?;
    Some(Key::new(*key))
}
