//! Files of markers in space: which label is which point, and the same curves as a clip.
//!
//! | file | question |
//! |---|---|
//! | [`page`] | what does the page show? |
//! | [`steps`] | how do labels and rules change, and what do they read? |

pub mod page;
pub mod steps;
