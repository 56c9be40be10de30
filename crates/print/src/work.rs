//! What is kept beside a file so that its readings can be made again?

use crate::pressure_text::{PressureUnit, recording};
use crate::read::PrintReadings;
use crate::scale::{Pitch, Scaling};
use crate::sheet::{Medium, Sheet};
use crate::steps::Steps;
use crate::{PrintError, Wish, find, read};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

pub const WORK_FORMAT: &str = "tiebeam-print-work";
pub const WORK_VERSION: u32 = 1;
/// Raised when the same sheet and steps would give other numbers.
pub const METHOD_VERSION: u32 = 1;

/// What no file says of itself.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "of", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Taken {
    Picture {
        /// `None`: guessed from the picture.
        medium: Option<Medium>,
        scaling: Scaling,
    },
    Grid {
        unit: PressureUnit,
        pitch: Pitch,
        /// Grids a second, of a series.
        rate_hz: Option<f64>,
    },
}

/// How a file was taken, and its steps.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Work {
    pub taken: Taken,
    pub steps: Steps,
}

impl Work {
    /// Finds every step anew.
    ///
    /// # Errors
    /// As [`find`].
    pub fn begun(sheet: &Sheet, taken: Taken, wish: &Wish) -> Result<Work, PrintError> {
        let steps = find(sheet, wish)?;
        Ok(Work { taken, steps })
    }

    /// # Errors
    /// As [`read`].
    pub fn read(&self, sheet: &Sheet) -> Result<PrintReadings, PrintError> {
        read(sheet, &self.steps)
    }
}

/// The sheet of a file as it came in.
///
/// # Errors
/// Not a picture or not a text of numbers, a scale that cannot be; one sentence each.
pub fn opened(bytes: &[u8], taken: &Taken, limits: &picture::Limits) -> Result<Sheet, PrintError> {
    match *taken {
        Taken::Picture { medium, scaling } => {
            let picture = picture::open(bytes, limits)?;
            Sheet::of_picture(&picture, medium, &scaling)
        }
        Taken::Grid {
            unit,
            pitch,
            rate_hz,
        } => {
            let text = std::str::from_utf8(bytes).map_err(|e| PrintError::NotText {
                found: format!("at byte {}", e.valid_up_to()),
            })?;
            Sheet::of_pressure(recording(text, unit, rate_hz)?, pitch)
        }
    }
}

/// A list `readings`, each with measure, side, value, error, unit, parts of the error and method version.
pub fn kept_readings(readings: &PrintReadings) -> Value {
    let list: Vec<Value> = readings
        .feet
        .iter()
        .flat_map(|foot| foot.readings.iter().map(move |r| (foot.side, r)))
        .map(|(side, r)| {
            json!({
                "measure": r.index.key(),
                "side": side,
                "estimate": r.estimate,
                "error_parts": r.error_parts,
                "method_version": METHOD_VERSION,
            })
        })
        .collect();
    json!({ "readings": list, "split": readings.split })
}
