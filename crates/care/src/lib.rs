//! A first proposal of care: rungs of the ladder with reasons, what to rule out, and cautions.
//!
//! * [`Ladder::built_in`] holds the rungs as written in `knowledge/ladder/`, one file each;
//! * [`checks`] asks whether something speaks against a rung, or was not recorded;
//! * [`propose`] puts rungs in order for one foot;
//! * [`device`] says what speaks for and against each kind of device;
//! * [`programme`] holds the therapy programme as written in `knowledge/programme/`;
//! * [`log`] holds the rules over what was given or done: what is due, what overlaps, what speaks against it;
//! * [`orthosis`] proposes the values of a device, each with its reason, and says which limits a prescription
//!   oversteps.
//!
//! It proposes and never prescribes: the clinician decides, and local codes come first. While an alarm
//! sign is raised it proposes nothing but to deal with that.

pub mod checks;
pub mod device;
mod file_fault;
mod ladder;
pub mod log;
pub mod orthosis;
pub mod programme;
mod propose;
mod text;

pub use checks::{Check, CheckState, protective_feeling};
pub use file_fault::FileFault;
pub use ladder::{
    Also, BUILT_IN_FILES, Caution, Evidence, Ladder, LadderError, Look, Place, Rung, SourceNote,
};
pub use propose::{CareInput, Proposal, ProposedRung, Standing, propose};
