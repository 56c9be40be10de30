//! What was given or done, and what the rules say of it: what cannot be, what overlaps, what speaks against it,
//! and what wants a look on which day.
//!
//! * [`faults`]: what stops an entry, and what only warns;
//! * [`due`]: the looks that the ladder asks for, as days;
//! * [`ledger`] and [`injection_warnings`]: injections of one foot, and what speaks against another;
//! * [`progress`]: which load and phase come next in a programme, and which of its goals are met.
//!
//! Surprise: what should not have been given is kept, since it was given, and is warned about. Only what
//! cannot have happened stops a save.

mod due;
mod entry;
mod faults;
mod injection;
mod programme;

pub use due::{Due, DueState, due};
pub use entry::{Entry, Kind, name};
pub use faults::{Fault, faults};
pub use injection::{LedgerLine, injection_warnings, ledger};
pub use programme::{Criterion, Load, Progress, progress};
