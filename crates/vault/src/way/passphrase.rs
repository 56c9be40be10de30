//! How does a passphrase become a key, slowly?

use crate::{Key, VaultError};
use argon2::{Algorithm, Argon2, Block, Params, Version};
use unicode_normalization::UnicodeNormalization;
use zeroize::{Zeroize, Zeroizing};

/// How slow guessing is made: Argon2id with this much memory, this often, on so many lanes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cost {
    memory_kib: u32,
    passes: u32,
    lanes: u32,
}

impl Default for Cost {
    /// 64 MiB, three passes, one lane: about a fifth of a second.
    fn default() -> Self {
        Cost {
            memory_kib: 64 * 1024,
            passes: 3,
            lanes: 1,
        }
    }
}

impl Cost {
    /// # Errors
    /// `BeyondLimits` where a file asks for more than a small computer can give, or for next to nothing.
    pub fn new(memory_kib: u32, passes: u32, lanes: u32) -> Result<Self, VaultError> {
        let within = |what, found: u32, least, most, allowed| {
            if (least..=most).contains(&found) {
                Ok(found)
            } else {
                Err(VaultError::BeyondLimits {
                    what,
                    found: found.into(),
                    allowed,
                })
            }
        };
        Ok(Cost {
            memory_kib: within(
                "a memory cost in KiB of",
                memory_kib,
                8 * 1024,
                256 * 1024,
                "8192 to 262144",
            )?,
            passes: within("a number of passes of", passes, 1, 10, "1 to 10")?,
            lanes: within("a number of lanes of", lanes, 1, 4, "1 to 4")?,
        })
    }

    pub fn memory_kib(self) -> u32 {
        self.memory_kib
    }

    pub fn passes(self) -> u32 {
        self.passes
    }

    pub fn lanes(self) -> u32 {
        self.lanes
    }
}

/// What somebody typed, in one Unicode form (NFC), so that the same letters from another keyboard are the
/// same passphrase. A line break at its end is not part of it.
#[derive(Clone)]
pub struct Passphrase {
    text: Zeroizing<String>,
    cost: Cost,
}

/// Guessing 12 letters that nobody would guess at once is out of reach at this cost.
const LEAST: usize = 12;
const MOST_BYTES: usize = 1024;

impl Passphrase {
    /// For opening: any that was ever chosen.
    pub fn given(text: &str) -> Result<Self, VaultError> {
        let text = text.trim_end_matches(['\r', '\n']);
        if text.is_empty() || text.len() > MOST_BYTES {
            return Err(VaultError::Passphrase {
                found: text.chars().count(),
                expected: "between 1 and 1000",
            });
        }
        Ok(Passphrase {
            // Room for any form of it, so that growing leaves no copies behind.
            text: Zeroizing::new({
                let mut room = String::with_capacity(text.len() * 4);
                room.extend(text.nfc());
                room
            }),
            cost: Cost::default(),
        })
    }

    /// For a new way in: one that is long enough.
    pub fn chosen(text: &str) -> Result<Self, VaultError> {
        let passphrase = Passphrase::given(text)?;
        match passphrase.text.chars().count() {
            found if found < LEAST => Err(VaultError::Passphrase {
                found,
                expected: "at least 12",
            }),
            _ => Ok(passphrase),
        }
    }

    /// For a new way in on a computer that is slower or faster than usual.
    pub fn at(mut self, cost: Cost) -> Self {
        self.cost = cost;
        self
    }

    pub fn cost(&self) -> Cost {
        self.cost
    }

    pub(crate) fn slowed(&self, salt: &[u8; 16], cost: Cost) -> Result<Key, VaultError> {
        let no_room = VaultError::NoMemory {
            mib: cost.memory_kib / 1024,
        };
        let params = Params::new(cost.memory_kib, cost.passes, cost.lanes, Some(32))
            .map_err(|_| no_room.clone())?;
        // Asked for, not taken for granted: a small computer may have no room for it.
        let blocks = params.block_count();
        let mut memory = Vec::new();
        memory
            .try_reserve_exact(blocks)
            .map_err(|_| no_room.clone())?;
        memory.resize(blocks, Block::new());
        let mut out = Zeroizing::new([0; 32]);
        let done = Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
            .hash_password_into_with_memory(self.text.as_bytes(), salt, &mut *out, &mut memory);
        for block in &mut memory {
            block.zeroize();
        }
        done.map_err(|_| no_room)?;
        Ok(Key::new(*out))
    }
}
