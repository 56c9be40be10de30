//! How are bytes sealed at rest, and who can open them?
//!
//! A [`Keyring`] is a small text file: it holds the data keys, each wrapped separately under every way in
//! (a passphrase, a key file, a recovery code). Opened by one of them it gives a [`Seal`], which seals and
//! opens files, names them, and derives the keys of everything else. [`stream`] seals what is too large
//! for memory.
//!
//! | file | question |
//! |---|---|
//! | [`keyring`] | which keys are there, which ways lead in, and how do both change? |
//! | [`way`] | what is a passphrase, a key file, a recovery code? |
//! | [`seal`] | how is a file sealed, opened and named? |
//! | [`stream`](mod@stream) | how is a backup of any size sealed and verified whole? |
//! | `chunk` | what stands in a sealed file, byte by byte? |
//! | [`key`] | how does one key become another? |
//! | [`entropy`] | where do random bytes come from? |
//! | [`error`] | what can go wrong, and what can the person do? |
//!
//! Architecture invariant: no clock, no randomness of its own, no files, no SQL, no clinical word.
//!
//! What it does not protect against: a program that runs as the same person while the keyring is open; an
//! older keyring file put back in place of a newer one; how many files there are, how large, and when they changed.

mod chunk;
pub mod entropy;
pub mod error;
pub mod key;
pub mod keyring;
pub mod seal;
pub mod stream;
pub mod way;

pub use entropy::{Entropy, NoEntropy};
pub use error::VaultError;
pub use key::Key;
pub use keyring::{Keyring, RingId, WayId};
pub use seal::Seal;
pub use way::{Cost, KeyFile, Passphrase, RecoveryCode, WayIn, WayKind};
