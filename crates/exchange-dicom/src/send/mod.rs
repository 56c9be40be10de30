//! How do objects go out?
//!
//! | file | question |
//! |---|---|
//! | `scu` | how do they go to another program over an association? |
//! | `multipart` | how do several travel in one body? |
//! | `stow` | how do they go to another program over the web? |
//! | `web` | what do QIDO-RS, STOW-RS and WADO-RS ask, and what is answered? |

pub mod multipart;
mod scu;
mod stow;
pub mod web;

pub use scu::{Peer, SendError, Sent};
pub use stow::{BadAddress, Stow};
