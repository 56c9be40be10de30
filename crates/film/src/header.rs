//! What the file says about the person and the film, each thing only where it says so.

use serde::{Deserialize, Serialize};
use terms::{Sex, Side, Stance, View};
use time::Date;

/// Where a proposal for view, side or stance comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "from", rename_all = "kebab-case")]
pub enum Told {
    /// A coded attribute of the file, named here. Still shown for confirmation.
    Coded { attribute: String },
    /// Words of a description or protocol name: a proposal only, to be confirmed by the reader.
    Description { attribute: String, words: String },
}

impl Told {
    /// For the page: "from ViewCodeSequence", "from the description: 'foot lat standing'".
    pub fn words(&self) -> String {
        match self {
            Told::Coded { attribute } => format!("from {attribute}"),
            Told::Description { words, .. } => format!("from the description: '{words}'"),
        }
    }
}

/// What the file says. `None` and `Stance::Unknown` mean that it does not say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Header {
    pub view: Option<View>,
    pub view_told: Option<Told>,
    pub side: Option<Side>,
    pub side_told: Option<Told>,
    pub stance: Stance,
    pub stance_told: Option<Told>,
    /// The day the film was taken (acquisition, else content, else study date).
    pub taken_on: Option<Date>,
    pub patient_id: Option<String>,
    /// As written: family^given^middle^prefix^suffix.
    pub patient_name: Option<String>,
    pub birth_date: Option<Date>,
    pub sex: Option<Sex>,
    pub study_uid: Option<String>,
    pub series_uid: Option<String>,
    pub instance_uid: Option<String>,
    pub accession: Option<String>,
    /// CR, DX, …
    pub modality: Option<String>,
    pub body_part: Option<String>,
    pub description: Option<String>,
    /// How the file was packed, in words.
    pub packing: String,
    pub bits_stored: u16,
}

impl Default for Header {
    fn default() -> Self {
        Self {
            view: None,
            view_told: None,
            side: None,
            side_told: None,
            stance: Stance::Unknown,
            stance_told: None,
            taken_on: None,
            patient_id: None,
            patient_name: None,
            birth_date: None,
            sex: None,
            study_uid: None,
            series_uid: None,
            instance_uid: None,
            accession: None,
            modality: None,
            body_part: None,
            description: None,
            packing: String::new(),
            bits_stored: 0,
        }
    }
}
