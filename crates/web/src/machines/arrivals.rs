//! Where does a film go that came in from outside?

use crate::{AppState, error::PageError};
use exchange_dicom::inbox::Received;

/// By which way an object came in: the label of the key that sent it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    pub key: record::KeyId,
    pub label: String,
}

/// Keeps one object until somebody of the practice says whose film it is.
///
/// # Errors
/// `NotReady` while this practice takes nothing in from outside.
pub async fn take_in_from_outside(
    _state: &AppState,
    _way: &Way,
    _received: Received,
) -> Result<(), PageError> {
    Err(PageError::NotReady {
        sentence: "this practice takes no films in over this address yet".to_owned(),
    })
}
