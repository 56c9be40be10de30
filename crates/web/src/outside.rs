//! What lies outside this practice's program: by which ways films come in, and to whom results go.

use exchange_dicom::{
    send::{Peer as Association, Stow},
    who::NumberRules,
};
use exchange_table::StudyKey;

/// As the program was started.
#[derive(Clone, Default)]
pub struct Outside {
    /// In words, such as 'over the network as TIEBEAM'.
    pub ways_in: Vec<String>,
    /// Who else gives this practice's chart numbers.
    pub numbers: NumberRules,
    /// To whom results can be sent; no two have one name.
    pub peers: Vec<Peer>,
    /// Under which people stand in a study without names.
    pub study_key: Option<StudyKey>,
}

/// Another system that results are sent to.
#[derive(Clone)]
pub struct Peer {
    /// As people here call it.
    pub name: String,
    pub way: Way,
}

#[derive(Clone)]
pub enum Way {
    Dicom(Association),
    Stow(Stow),
}
