//! Records in a SQL database, and the files they name beside it.
//!
//! | file | question |
//! |---|---|
//! | `open` | what is an open store made of, and how is it asked? |
//! | `folder` | is the data folder ours, whole, free and of a layout we know? |
//! | `server` | is the database on the server ours, and of a layout we know? |
//! | `lock` | is another process working in the folder? |
//! | [`disk`] | how do folders and files of our own get to disk, for their owner alone? |
//! | `db` | how does one statement reach either database? |
//! | `shelf` | where do the bytes of files lie, and under which seal? |
//! | `files`, `objects` | how do they get to a folder or an object store, whole or not at all? |
//! | `sealed` | how does the practice's keyring close what lies there? |
//! | `intake` | how does a file get into the practice together with the record that names it? |
//! | `act` | how does a change happen whole or not at all, with its journal entry? |
//! | `fault` | which sentence does a failure get? |
//! | `cells` | how does a row become a record? |
//! | `people`, `visits`, `films`, `points`, `findings`, `letters`, `journal` | the SQL, by subject |
//! | `scans`, `orders` | the same, for what a device is shaped on and how it is asked for |
//! | `arrivals` | the same, for films that came in without a person at the page |
//! | `captures` | the same, for prints, pressures, photographs and clips |
//! | `care` | the same, for what was given or done |
//! | `access` | the same, for accounts, sessions, closed records, and what a lab and a reader may see |
//! | `exports` | the same, for what an export made |
//! | `erase` | how is everything of one patient erased, and what stays? |
//! | `keys` | the same, for keys of machines and passkeys of people |
//! | `trail` | who saw and did what? |
//! | `jobs` | the same, for what waits to be done behind the pages |
//! | `verify`, `references` | is everything still whole? |
//! | `tables` | which tables are there, in whichever database? |
//! | [`copy`] | how does everything get from one store to another? |
//! | `api` | the [`store::Store`] trait, line by line |
//!
//! The data folder:
//!
//! ```text
//! records.sqlite3      everything but the bytes of files (with -wal and -shm beside it)
//! files/ab/abcd...     films, scans, captures, signed papers, sheets and solids of sent orders, and what an
//!                      export made, each under the SHA-256 of its bytes
//! before-update/       the record file as it was before each change of its layout
//! incoming/            files on their way in; emptied at every start
//! left-over/           whole files that no record names, moved here at a start, never deleted
//! in-use.lock          held while a process works in the folder
//! ```
//!
//! Architecture invariant: SQL stands in this crate and in no crate below or beside it.

mod access;
mod act;
mod api;
mod arrivals;
mod captures;
mod care;
mod cells;
pub mod copy;
mod db;
pub mod disk;
mod erase;
mod exports;
mod fault;
mod files;
mod films;
mod findings;
mod folder;
mod intake;
mod jobs;
mod journal;
mod keys;
mod letters;
mod lock;
mod objects;
mod open;
mod orders;
mod people;
mod points;
mod references;
mod scans;
mod sealed;
mod server;
mod shelf;
mod tables;
mod trail;
mod verify;
mod visits;

pub use objects::Bucket;
pub use open::SqlStore;
pub use server::newest_layout;
pub use shelf::{DatabaseKey, Seal, Shelf, Unsealed};
