//! Everything of one patient as a folder that a person can read.
//!
//! | file | question |
//! |---|---|
//! | [`folder`] | which files stand in the folder, and is it whole? |
//! | [`name`] | under which name may a file lie on any disk? |
//! | [`html`] | how is a page written that needs no script and loads nothing? |
//! | [`page`] | what does the page say? |
//! | [`sheet`] | how do the readings stand as a table of their own? |
//!
//! A crate of its own: it needs neither a search nor Parquet, and who writes it needs the bytes of files, which the
//! others never touch. Architecture invariant: nothing here asks a store or reads the clock; bytes come through a
//! callback, and the same chart with the same bytes makes the same folder.

pub mod folder;
pub mod html;
pub mod name;
pub mod page;
pub mod sheet;

pub use folder::{Exported, ExportedFile, FileState, ReadableError, export};
