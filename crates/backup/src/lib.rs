//! How is a whole practice kept elsewhere, so that it can be put back?
//!
//! A backup is one file: the practice's rows of one moment and every file they name ([`store_sql::copy`]), sealed
//! under its keyring ([`vault::stream`]), which it carries. It is made while people work. It counts only once it was
//! put back into an empty place beside it and what lies there was found to be the same; until then it has no name
//! that this crate would list.
//!
//! | file | question |
//! |---|---|
//! | [`make`](mod@make) | how is a backup made and proved? |
//! | [`restore`](mod@restore) | how does a backup become a practice again? |
//! | [`shelf`] | which backups lie in a folder, and what are they called? |
//! | [`retention`] | which are kept, and which may go? |
//! | [`error`] | what can go wrong, and what can the person do? |
//!
//! Architecture invariant: no clock and no randomness of its own.

pub mod error;
pub mod make;
pub mod restore;
pub mod retention;
pub mod shelf;

pub use error::BackupError;
pub use make::{Made, make};
pub use restore::{Target, keyring_of, restore};
pub use retention::Rule;
pub use shelf::{Kept, kept_in};
