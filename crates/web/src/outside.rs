//! What lies outside this practice's program: by which ways films come in, and to whom results go.

use exchange_dicom::who::NumberRules;

/// As the program was started.
#[derive(Debug, Clone, Default)]
pub struct Outside {
    /// In words, such as 'over the network as TIEBEAM'.
    pub ways_in: Vec<String>,
    /// Who else gives this practice's chart numbers.
    pub numbers: NumberRules,
}
