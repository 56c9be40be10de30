//! Records in a SQL database, and the files they name beside it.
//!
//! | file | question |
//! |---|---|
//! | `open` | is the data folder ours, whole, free and of a layout we know? |
//! | `lock` | is another process working in it? |
//! | `files` | how do a file's bytes get to disk so that they are there whole or not at all? |
//! | `intake` | how does a file get into the practice together with the record that names it? |
//! | `act` | how does a change happen whole or not at all, with its journal entry? |
//! | `db` | how does one statement reach either database? |
//! | `fault` | which sentence does a failure get? |
//! | `cells` | how does a row become a record? |
//! | `people`, `visits`, `films`, `points`, `findings`, `letters`, `journal` | the SQL, by subject |
//! | `scans`, `orders` | the same, for what a device is shaped on and how it is asked for |
//! | `captures` | the same, for prints, pressures, photographs and clips |
//! | `care` | the same, for what was given or done |
//! | `verify` | is everything still whole? |
//! | `api` | the [`store::Store`] trait, line by line |
//!
//! The data folder:
//!
//! ```text
//! records.sqlite3      everything but the bytes of files (with -wal and -shm beside it)
//! files/ab/abcd...     films, scans, captures, signed papers, sheets and solids of sent orders, each under the
//!                      SHA-256 of its bytes
//! incoming/            files on their way in; emptied at every start
//! left-over/           whole files that no record names, moved here at a start, never deleted
//! in-use.lock          held while a process works in the folder
//! ```
//!
//! Architecture invariant: SQL stands in this crate and in no crate below or beside it.

mod act;
mod api;
mod captures;
mod care;
mod cells;
mod db;
mod fault;
mod files;
mod films;
mod findings;
mod intake;
mod journal;
mod letters;
mod lock;
mod open;
mod orders;
mod people;
mod points;
mod scans;
mod verify;
mod visits;

pub use open::SqlStore;
