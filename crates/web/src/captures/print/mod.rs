//! Prints and pressures: from a picture of the sole, or a grid, to indices.
//!
//! | file | question |
//! |---|---|
//! | [`hand`] | which sheets are in hand, and what was read from them? |
//! | [`fields`] | how are the steps written as texts, and read back? |
//! | [`steps`] | how do the steps change, and get found anew? |
//! | [`page`] | the page, and everything that works without script |
//! | [`rows`] | how does a reading lie against what is published? |

pub mod fields;
pub mod hand;
pub mod page;
pub mod rows;
pub mod steps;
