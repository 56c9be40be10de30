//! Many charts as one table of cases without names.
//!
//! | file | question |
//! |---|---|
//! | [`key`] | under which name does a person stand, that is no name? |
//! | [`column`] | what is a column, and what stands in a cell? |
//! | [`foot`] | what is known of one foot at one visit? |
//! | [`cohort`] | which columns has a row of one foot at one visit? |
//! | [`readings`] | which columns has a row of one reading? |
//! | [`csv`] | how is a table written as text? |
//! | [`parquet`] | how is it written for an engine? |
//! | [`dictionary`] | what does each column mean? |
//! | [`write`] | which files make a study, and what must be known before it is handed on? |
//!
//! Architecture invariant: a column and the way it is filled stand in one place, so that the dictionary cannot name
//! another column than the files have. No free words, no name, no date and no id of the record goes in. Missing is
//! null, never zero.

pub mod cohort;
pub mod column;
pub mod csv;
pub mod dictionary;
pub mod foot;
pub mod key;
pub mod parquet;
pub mod readings;
pub mod write;

pub use column::{Cell, Column, Kind};
pub use key::StudyKey;
pub use write::{Study, TableError, Written};
