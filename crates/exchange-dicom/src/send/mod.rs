//! How do objects go out?
//!
//! | file | question |
//! |---|---|
//! | `scu` | how do they go to another program over an association? |
//! | `multipart` | how do several travel in one body? |
//! | `web` | what do QIDO-RS, STOW-RS and WADO-RS ask, and what is answered? |

pub mod multipart;
mod scu;
pub mod web;

pub use scu::{Peer, SendError, Sent};
