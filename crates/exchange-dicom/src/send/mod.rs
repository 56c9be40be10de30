//! How do objects go out?
//!
//! | file | question |
//! |---|---|
//! | `scu` | how do they go to another program over an association? |

mod scu;

pub use scu::{Peer, SendError, Sent};
