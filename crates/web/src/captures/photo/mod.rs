//! Photographs of the standing foot, from behind and from the inner side: points over the picture, angles and
//! heights from them.
//!
//! | file | question |
//! |---|---|
//! | [`page`] | what does the page show? |
//! | [`steps`] | how do the points change, and what do they read? |

pub mod page;
pub mod steps;
