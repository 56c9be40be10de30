//! What a chart says, typed again, for whoever takes it out of the house.
//!
//! | file | question |
//! |---|---|
//! | [`formats`] | under which names are sheets, plans and reports kept? |
//! | [`opened`] | what stands in the kept payloads of one chart, and what does not read back? |
//! | [`taken`] | which readings are there, and how was each come by? |
//! | [`measures`] | which measures can occur, in which unit, and what are they held against? |
//! | [`invented`] | what does a rich chart of nobody look like? |
//!
//! Architecture invariant: nothing here asks a store, reads the clock or makes randomness. What does not read back
//! is named in [`Opened::unreadable`] and left out; nothing is guessed at.

pub mod formats;
pub mod invented;
pub mod measures;
pub mod opened;
pub mod taken;

pub use formats::{KeptPlan, PersonSheet};
pub use measures::{MeasureFacts, measure};
pub use opened::{Opened, Unreadable};
pub use taken::{Origin, TakenReading};
