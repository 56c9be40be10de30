//! How does everything get from one store to another, whatever both are?
//!
//! | file | question |
//! |---|---|
//! | [`dump`] | how is everything written as one stream? |
//! | [`restore`] | how does the stream become a store, or is refused? |
//! | [`equality`] | do two stores hold the same? |
//! | `stream` | what does the stream look like, and how is a bad one told? |
//!
//! The stream, version 1. Whole numbers are little-endian.
//!
//! ```text
//! stream   "TIEBCOPY", then parts
//! part     kind (1 byte), length of the body (8 bytes), body, SHA-256 of all three (32 bytes)
//! kind 1   head, first: version (4 bytes), layout of the records (8 bytes)
//! kind 2   a table: name, number of columns (2 bytes), each with its name and kind (1 byte)
//! kind 3   rows of the table named last: number of rows (4 bytes), each cell after cell
//! kind 4   a file: SHA-256 of its bytes (64 small hexadecimal digits), its bytes
//! kind 5   end, last: rows (8 bytes), files (8 bytes), SHA-256 of everything before this part (32 bytes)
//! name     length (1 byte), UTF-8
//! cell     0, or 1 and a whole number (8 bytes), or 2 (text) or 3 (bytes) with a length (4 bytes) and the bytes
//! ```
//!
//! Tables come by name, columns by name, rows by the table's key, files by hash: one state of a practice
//! has one stream, from whichever database. What exports made is there for a while only and in no copy. The stream is neither sealed nor packed: who writes it to a
//! place that others reach wraps it.

mod dump;
mod equality;
mod restore;
mod stream;

pub use dump::dump;
pub use equality::equality;
pub use restore::{layout, restore};

/// What a copy holds.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Copied {
    pub tables: u64,
    pub rows: u64,
    pub files: u64,
}
