//! DICOM in and out, without the unpacking of pictures, which is crate `film`'s.
//!
//! | module | question |
//! |---|---|
//! | [`tree`] | how do bytes become elements, with every length held against what is there? |
//! | [`classes`] | which kinds of objects, written how, come in and go out? |
//! | [`facts`] | what does a header say about person, study and side? |
//! | [`inbox`] | who keeps what came in? |
//! | [`receive`] | how do films come in over the network? |
//! | [`watch`] | how do they come in through a folder? |
//! | [`who`] | whose film is this? |
//! | [`objects`] | how do readings, drawings and letters become objects that others read? |
//! | [`nameless`] | what does a copy without names keep? |
//! | [`send`] | how do objects go out? |
//!
//! # Architecture invariant
//! Nothing here reads the clock, makes an identifier or knows a store: times, identifiers, secrets and whoever keeps
//! objects are passed in. Nothing panics on bytes from outside, and no personal data stand in errors or logs.

pub mod classes;
pub mod dimse;
pub mod facts;
pub mod inbox;
pub mod nameless;
pub mod objects;
pub mod receive;
pub mod send;
pub mod tls;
pub mod tree;
pub mod uids;
pub mod watch;
pub mod who;

/// Names this program in meta groups and associations (PS3.7 D.3.3.2); a UUID made once.
pub const IMPLEMENTATION_UID: &str = "2.25.318110215638780636436008151994940621204";
pub const IMPLEMENTATION_NAME: &str = "TIEBEAM_1";
