//! Who may do what, and how does somebody show who they are?
//!
//! | file | question |
//! |---|---|
//! | [`may`] | which role may do which action? |
//! | [`passphrase`] | is a passphrase good enough, and is it the right one? |
//! | [`one_time`] | is a six-digit code the right one, and was it used before? |
//! | [`recovery`] | which codes let somebody in who has lost the rest? |
//! | [`token`] | how does a browser show that it has signed in? |
//! | [`waiting`] | how long must somebody wait after wrong attempts? |
//! | [`session`] | is a session still running? |
//!
//! Architecture invariant: no clock, no randomness, no database and no page. Times and random bytes are passed in.

pub mod may;
pub mod one_time;
pub mod passphrase;
pub mod recovery;
pub mod session;
pub mod token;
pub mod waiting;

pub use may::{Action, may};
