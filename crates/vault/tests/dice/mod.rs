//! Seeded dice in place of the system's generator, and a keyring whose passphrase is quick to try.
#![allow(dead_code, reason = "each test file uses what it needs")]

use rand::{Rng, RngCore, SeedableRng, rngs::StdRng};
use vault::{Cost, Entropy, Keyring, NoEntropy, Passphrase, Seal, WayIn};

pub struct Dice(pub StdRng);

impl Dice {
    pub fn of(seed: u64) -> Self {
        println!("seed {seed}");
        Dice(StdRng::seed_from_u64(seed))
    }

    pub fn bytes(&mut self, length: usize) -> Vec<u8> {
        let mut bytes = vec![0; length];
        self.0.fill_bytes(&mut bytes);
        bytes
    }

    pub fn below(&mut self, end: usize) -> usize {
        self.0.random_range(0..end)
    }
}

impl Entropy for Dice {
    fn fill(&mut self, bytes: &mut [u8]) -> Result<(), NoEntropy> {
        self.0.fill_bytes(bytes);
        Ok(())
    }
}

pub const WORDS: &str = "an invented passphrase";

pub fn quick(text: &str) -> WayIn {
    Passphrase::chosen(text)
        .unwrap()
        .at(Cost::new(8 * 1024, 1, 1).unwrap())
        .into()
}

pub fn ring(dice: &mut Dice) -> (Keyring, Seal) {
    Keyring::make(&quick(WORDS), "front desk", dice).unwrap()
}

pub fn content(plain: &[u8]) -> [u8; 32] {
    use sha2::Digest;
    sha2::Sha256::digest(plain).into()
}
