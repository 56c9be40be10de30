//! The file of marks: which frame, four points on each leg, and a length that is known.
//!
//! Places are pixels of the frame as it is shown upright: whole numbers at pixel centres, x to the right, y down.
//! Seen from behind: the middle of the lower leg above and above the ankle, the middle of the heel bone's back above
//! and below.

use anyhow::{Context, Result, anyhow};
use motion::steps::{Correction, KnownLength, LegMarks, Marks, Setup, Spot, USUAL_SCALE_ERROR};
use serde::{Deserialize, Serialize};
use std::fs;
use std::path::Path;
use terms::Side;

const FORMAT: &str = "tiebeam-marks";
const VERSION: u32 = 1;
const MOST_BYTES: u64 = 16 << 20;

/// As it is written.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct MarksFile {
    format: String,
    version: u32,
    /// What the file is about, in anybody's words; nothing is read from it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    note: String,
    /// The frame the points stand in, from 0.
    frame: usize,
    legs: Vec<LegMarks>,
    /// Points set by hand in other frames; following goes on from them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    corrections: Vec<Correction>,
    /// Without it heights are in distances of the leg's two points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    known_length: Option<Known>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    setup: Option<Setup>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Known {
    from: Spot,
    to: Spot,
    mm: f64,
    /// Usual where nobody says better.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    relative_error: Option<f64>,
}

/// What was set by hand.
pub struct MarksSet {
    pub marks: Marks,
    pub known_length: Option<KnownLength>,
    pub setup: Setup,
}

/// # Errors
/// No such file, or not of this form; one sentence.
pub fn open(path: &Path) -> Result<MarksSet> {
    let text = text_of(path, "marks", MOST_BYTES)?;
    of_text(&text).with_context(|| path.display().to_string())
}

fn of_text(text: &str) -> Result<MarksSet> {
    let file: MarksFile = serde_json::from_str(text).map_err(|e| {
        anyhow!("found no file of marks ({e}); expected the form that `tiebeam rise --example` prints; correct it")
    })?;
    if file.format != FORMAT || file.version != VERSION {
        let found: String = file.format.chars().take(40).collect();
        return Err(anyhow!(
            "found the form {found:?} version {}; expected {FORMAT:?} version {VERSION}; start from `tiebeam rise --example`",
            file.version
        ));
    }
    Ok(MarksSet {
        marks: Marks {
            frame: file.frame,
            legs: file.legs,
            corrections: file.corrections,
        },
        known_length: file.known_length.map(|k| KnownLength {
            from: k.from,
            to: k.to,
            mm: k.mm,
            relative_error: k.relative_error.unwrap_or(USUAL_SCALE_ERROR),
        }),
        setup: file.setup.unwrap_or_default(),
    })
}

/// A text file of at most so many bytes.
///
/// # Errors
/// No file, too large, no text.
pub fn text_of(path: &Path, what: &str, most: u64) -> Result<String> {
    let unread = || format!("the {what} {} could not be read", path.display());
    let about = fs::metadata(path).with_context(unread)?;
    if !about.is_file() || about.len() > most {
        return Err(anyhow!(
            "{}; found no file of at most {} MB, expected a JSON file; choose another",
            unread(),
            most >> 20
        ));
    }
    fs::read_to_string(path).with_context(unread)
}

/// Invented marks to be changed.
pub fn example() -> String {
    let at = Spot::new;
    let whole = MarksFile {
        format: FORMAT.to_owned(),
        version: VERSION,
        note: "Invented places, to be changed: pixels of the frame, x to the right, y down, from 0"
            .to_owned(),
        frame: 0,
        legs: vec![LegMarks {
            side: Side::Right,
            leg_upper: at(243.0, 180.5),
            leg_lower: at(241.5, 360.0),
            heel_upper: at(242.0, 492.0),
            heel_lower: at(248.5, 550.0),
        }],
        corrections: Vec::new(),
        known_length: Some(Known {
            from: at(20.0, 620.0),
            to: at(320.0, 620.0),
            mm: 200.0,
            relative_error: Some(USUAL_SCALE_ERROR),
        }),
        setup: Some(Setup::default()),
    };
    serde_json::to_string_pretty(&whole).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use motion::steps::check_marks;

    #[test]
    fn the_example_reads_back_as_marks_that_can_be_followed() {
        let set = of_text(&example()).expect("marks");
        assert_eq!(check_marks(&set.marks, 10, 480, 640), Ok(()));
        assert!(set.known_length.expect("a length").mm_per_px().is_ok());
        assert_eq!(set.setup, Setup::default());
    }

    #[test]
    fn what_is_left_out_is_usual_or_missing_and_never_zero() {
        let whole = example();
        let cut = |from: &str, to: &str| {
            let (a, b) = (
                whole.find(from).expect("there"),
                whole.rfind(to).expect("there"),
            );
            format!("{}{}", &whole[..a], &whole[b..])
        };
        let bare = of_text(&cut(",\n  \"known_length\"", "\n}")).expect("marks");
        assert!(bare.known_length.is_none());
        assert_eq!(bare.setup, Setup::default());
        let rough = of_text(&whole.replace(",\n    \"relative_error\": 0.015", "")).expect("marks");
        assert_eq!(
            rough.known_length.map(|k| k.relative_error),
            Some(USUAL_SCALE_ERROR)
        );
    }

    #[test]
    fn another_form_a_newer_version_and_a_misspelt_word_are_told() {
        let whole = example();
        for (from, to) in [
            ("tiebeam-marks", "tiebeam-points"),
            ("\"version\": 1", "\"version\": 2"),
            ("\"heel_lower\"", "\"heel_low\""),
            ("\"right\"", "\"both\""),
            ("\"mm\": 200.0", "\"mm\": \"200\""),
        ] {
            assert!(whole.contains(from), "{from}");
            let told = of_text(&whole.replace(from, to))
                .err()
                .map(|e| e.to_string());
            assert!(told.is_some_and(|t| t.contains("expected")), "{from}");
        }
    }
}
