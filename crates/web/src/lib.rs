//! Pages, forms and live answers: what the clinician sees and touches.
//!
//! Every page is made here and works without script; the script adds autosave and the film desk's
//! hand. Templates lie beside their handlers. The page never computes a reading: it asks `reading`,
//! `stage` and `care` and shows what they say.
//!
//! | folder or file | question |
//! |---|---|
//! | [`state`] | what does every handler hold? |
//! | [`context`] | who is working, in which light, on which day? |
//! | [`shell`] | what guards every request? |
//! | [`error`] | what went wrong, and what can the person do? |
//! | [`access`] | who comes in, what may they do, and what is written down of it? |
//! | [`layout`] | what stands around every page? |
//! | [`assets`] | which script, styles and fonts does a page load? |
//! | [`words`] | how are days, ages and numbers said? |
//! | [`adapt`] | how does what is stored become what a page shows? |
//! | [`intake`] | how does a file become a film of a visit? |
//! | [`arrivals`] | how do films come in by themselves, and which of them wait? |
//! | [`outgoing`] | how do results go out? |
//! | [`outside`] | what lies outside this program? |
//! | [`bench`] | how does a foot scan become an order for a device? |
//! | [`captures`] | how do prints, photographs, clips and markers become readings, and answers of the examination?
//! | [`care`] | what was given or done, and what wants a look? |
//! | [`course`] | what changed over time, and is it more than error? |
//! | [`exports`] | how do many records leave at once, or are read again? |
//! | [`jobs`] | how is a job done behind the pages? |
//! | [`heavy`] | where is work done that keeps every core busy for seconds? |
//! | [`openapi`] | which addresses answer data, and in which form? |
//! | [`machines`] | how do other programs ask, in open standards? |
//! | [`today`], [`patient`], [`practice`], [`sources`] | the screens of these names |
//!
//! Architecture invariant: no clock and no randomness (both are passed in with [`AppState`]), no SQL,
//! no personal data in an address, an error or a log.

pub mod access;
pub mod adapt;
pub mod agreement;
pub mod arrivals;
pub mod assets;
pub mod bench;
pub mod captures;
pub mod care;
pub mod context;
pub mod course;
pub mod desk;
pub mod error;
pub mod exports;
pub mod heavy;
pub mod intake;
pub mod jobs;
pub mod layout;
pub mod letters;
pub mod machines;
pub mod openapi;
pub mod outgoing;
pub mod outside;
pub mod pace;
pub mod patient;
pub mod practice;
pub mod shell;
pub mod sources;
pub mod state;
pub mod today;
pub mod visit;
pub mod words;

mod routes;

pub use access::doors::{Doors, Entropy, Reached};
pub use arrivals::inbox::FilmInbox;
pub use outside::{Outside, Peer, Way};
pub use routes::app;
pub use state::{AppState, Backups, Clock, Ids, KeptBackup, Safety};
