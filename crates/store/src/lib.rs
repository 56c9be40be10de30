//! Where records are kept: the trait every backend fulfils, its errors, and the one suite that
//! every backend must pass.
//!
//! | file | question |
//! |---|---|
//! | [`store`](mod@store) | what can be asked of a store? |
//! | [`access`] | who comes in, what they saw, and whose record is closed |
//! | [`arrivals`] | which films came in without a person at the page, and what became of them? |
//! | [`chart`](mod@chart) | how is everything of one patient gathered? |
//! | [`error`] | what can go wrong, and what can the person do? |
//! | [`exports`] | which files did an export make, and until when are they there? |
//! | [`jobs`] | what waits to be done behind the pages, and who has it in hand? |
//! | [`keys`] | with which keys other programs come in, and with which passkeys people |
//! | [`conformance`] | does a backend keep every promise of the trait? |
//!
//! Architecture invariant: no SQL, no file layout, no clock and no randomness here.

pub mod access;
pub mod arrivals;
pub mod chart;
pub mod conformance;
pub mod error;
pub mod exports;
pub mod jobs;
pub mod keys;
pub mod store;

pub use access::Access;
pub use arrivals::Arrivals;
pub use chart::{chart, file_bytes};
pub use error::StoreError;
pub use exports::Exports;
pub use keys::Keys;
pub use store::{Answer, Saved, Store};
