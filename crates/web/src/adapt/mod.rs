//! Thin layers between the pages and the crates below: what is stored as [`record::Kept`] becomes a
//! type again, and what a drawing needs is put together.

pub mod person;
pub mod plan;
pub mod readings;
pub mod rows;
