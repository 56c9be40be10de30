//! Clips of heel rises: points in one frame, followed through all of them, and what they say of the rises.
//!
//! | file | question |
//! |---|---|
//! | [`hand`] | which clips are in hand, and how does one of their frames come out? |
//! | [`steps`] | how do points and rules change? |
//! | [`follow`] | how are the points followed, and how far is it? |
//! | [`page`] | what does the page show? |
//! | [`rises`] | how are rises told, of a clip or of markers? |

pub mod follow;
pub mod hand;
pub mod page;
pub mod rises;
pub mod steps;
