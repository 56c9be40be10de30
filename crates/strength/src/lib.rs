//! How far does a shell bend, and does it last?
//!
//! * [`input`]: material and load cases, [`from_knowledge`] fills them;
//! * [`net`]: the shell as triangles, laid out in the flat plan;
//! * [`bench`]: every case in every way of holding; [`outcome`]: what comes out;
//! * [`further`]: another modulus, large motion, what a second computation needs;
//! * [`search`]: the thickness that meets a demand;
//! * [`words`]: a place said in words, and what is left out.
//!
//! # Architecture invariant
//! Knows no person beyond a weight, and no screen.

pub mod bench;
mod error;
pub mod from_knowledge;
pub mod further;
pub mod input;
pub mod net;
pub mod outcome;
mod plan;
mod press;
pub mod search;
pub mod stand;
mod told;
pub mod words;

pub use bench::{Bench, PAGE_UNKNOWNS, PREVIEW_UNKNOWNS, Question, Report, Stop, compute};
pub use error::StrengthError;
pub use input::{Band, Case, Held, Material, Shares, Stiffness};
pub use net::Net;
pub use outcome::Outcome;
pub use search::{Demand, Found, Thicken, Trying, Walls, search_thickness, search_thickness_told};
pub use words::left_out;
